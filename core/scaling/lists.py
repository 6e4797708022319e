"""What to make and what to buy for the whole menu."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import ceil

from core.model import Buy, Cards, Dish, Make, Pack
from core.scaling.expand import (
    Need,
    batches_for,
    menu_needs,
    menu_portions,
    menu_prepared,
    needs_of,
)
from core.scaling.measures import in_unit
from core.scaling.packs import whole_packs

FROM_THE_TAP = frozenset({"water", "agua", "cold water", "agua fría", "ice water"})
"""What nobody buys, unless the card names packs for it."""

_EXACT = 1e-9


def _shorn(value: float) -> float:
    """Return the value to 12 significant digits: 8.25 batches of 0.8 kg are 6.6 kg."""
    return float(f"{value:.12g}")


def make_list(cards: Cards, heads: int, fixed: Mapping[str, int] | None = None) -> tuple[Make, ...]:
    """Everything the crew makes: dishes, what goes into them from other cards, and mixes by parts.

    Parameters
    ----------
    cards
        The event's cards.
    heads
        People to feed.
    fixed
        Portions by dish id where they are already decided; else they follow from the heads.

    Returns
    -------
    tuple of Make
        Each dish as it is cooked, in its batch's unit; then what is prepared for it: mixes by
        parts (the whole, then the parts) and cards inside. `of` is the id of the menu dish; kg,
        L, pieces or portions, not rounded.
    """
    made: list[Make] = []
    cooked = menu_portions(cards, heads, fixed)
    for dish_id, portions in menu_prepared(cards, heads, fixed).items():
        dish = cards.dish(dish_id)
        if not portions:
            continue
        needs = list(needs_of(cards, dish, batches_for(dish, portions)))
        whole = batches_for(dish, cooked[dish_id]) * dish.batch.amount
        made.append(Make(dish.name, _shorn(whole), dish.batch.unit))
        made.extend(_mixes(dish, needs))
        made.extend(_inner(dish, needs))
    return tuple(made)


def _mixes(dish: Dish, needs: list[Need]) -> Iterable[Make]:
    for mix in dict.fromkeys(n.mix for n in needs if n.mix):
        parts = [n for n in needs if n.mix == mix]
        yield Make(mix, _shorn(sum(n.qty for n in parts)), "L", dish.id)
        yield from (Make(n.label, _shorn(n.qty), n.unit, dish.id) for n in parts)


def _inner(dish: Dish, needs: list[Need]) -> Iterable[Make]:
    """Yield the cards inside this dish, each once, those already shown as a part left out."""
    total: dict[tuple[str, str], float] = {}
    for need in needs:
        if need.card is not None and not need.mix:
            key = (need.label, need.unit)
            total[key] = total.get(key, 0.0) + need.qty
    return (Make(name, _shorn(qty), unit, dish.id) for (name, unit), qty in total.items())


def buy_list(cards: Cards, heads: int, fixed: Mapping[str, int] | None = None) -> tuple[Buy, ...]:
    """Everything to buy, added up over all dishes, in whole packs where the cards name packs.

    Parameters
    ----------
    cards, heads, fixed
        As for `make_list`.

    Returns
    -------
    tuple of Buy
        In order of coming up on the menu; `leftover` in the unit of the need.
    """
    need: dict[tuple[str, str], float] = {}
    packs: dict[tuple[str, str], dict[tuple[float, str], Pack]] = {}
    names: dict[tuple[str, str], str] = {}
    for _, row in menu_needs(cards, heads, fixed):
        if row.card is not None:
            continue
        offered = row.ingredient.packs
        if row.name.casefold() in FROM_THE_TAP and not offered:
            continue
        key = (row.name.casefold(), row.unit)
        names.setdefault(key, row.name)
        need[key] = need.get(key, 0.0) + row.qty
        packs.setdefault(key, {}).update({(p.amount, p.unit): p for p in offered})
    return tuple(
        bought(names[key], qty, key[1], tuple(packs[key].values())) for key, qty in need.items()
    )


def bought(name: str, need: float, unit: str, packs: tuple[Pack, ...] = ()) -> Buy:
    """One line of the buy list.

    Pieces are bought whole. Packs in another unit are turned into the need's through the density
    table; a pack that cannot be turned is left out, and with none left the need stands as it is.

    Examples
    --------
    >>> row = bought("collar", 61.96, "kg", (Pack(12, "kg"),))
    >>> row.packs[0][1], round(row.leftover, 2)
    (6, 10.04)
    """
    need = float(ceil(need - _EXACT)) if unit == "pieces" else _shorn(need)
    usable = {size: pack for pack in packs if (size := in_unit(name, pack.amount, pack.unit, unit))}
    if not usable:
        return Buy(name, need, unit)
    choice = whole_packs(need, [Pack(size, unit, pack.price) for size, pack in usable.items()])
    chosen = tuple((usable[pack.amount], count) for pack, count in choice.packs)
    return Buy(name, need, unit, chosen, _shorn(choice.leftover))


def leftover_portions(buy: Buy, kept_after_trim: float, portion: float) -> int:
    """Whole portions that the leftover of a buy line makes.

    Parameters
    ----------
    buy
        A line of the buy list.
    kept_after_trim
        Fraction left after trimming, 0 < f <= 1.
    portion
        One portion, raw and trimmed, in the line's unit.

    Examples
    --------
    >>> leftover_portions(Buy("collar", 62.6, "kg", (), 9.4), 0.92, 0.18)
    48
    """
    return int(buy.leftover * kept_after_trim / portion + _EXACT)
