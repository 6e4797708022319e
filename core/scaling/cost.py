"""What a portion costs, and a plate: the chef's business alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from core.errors import OutOfRangeError
from core.model import Buy, Cards, Pack
from core.scaling.expand import menu_needs, menu_prepared
from core.scaling.lists import buy_list
from core.scaling.measures import in_unit


def portion_cost(price_per_kg: float, trim: float, raw_portion_kg: float) -> float:
    """Cost of one portion set raw.

    Parameters
    ----------
    price_per_kg
        As purchased.
    trim
        Fraction lost to trimming, 0 <= t < 1. Cook loss is not divided out: the portion is raw.
    raw_portion_kg
        Trimmed and raw, kg.

    Examples
    --------
    >>> round(portion_cost(7.20, 0.08, 0.190), 2)
    1.49
    """
    if not 0 <= trim < 1:
        raise OutOfRangeError("trim", f"{trim * 100:g} %", "from 0 up to below 100 %")
    if not (price_per_kg >= 0 and raw_portion_kg >= 0):
        raise OutOfRangeError("price", price_per_kg, "0 or more")
    return price_per_kg / (1 - trim) * raw_portion_kg


@dataclass(frozen=True, slots=True)
class PlateCost:
    """Cost of one plate by what is eaten, by what is bought, and the goods without a price."""

    eaten: float
    bought: float
    unpriced: tuple[str, ...]


def plate_cost(cards: Cards, heads: int, fixed: Mapping[str, int] | None = None) -> PlateCost:
    """Cost per head of the whole menu, in the event's currency.

    Parameters
    ----------
    cards, heads, fixed
        As for `make_list`.

    Returns
    -------
    PlateCost
        `eaten` counts what goes into the dishes at the cheapest pack price, `bought` whole packs.
        Goods without a price are named, never guessed.
    """
    if heads < 1:
        raise OutOfRangeError("heads", heads, "1 or more")
    lines = buy_list(cards, heads, fixed)
    prices = _prices(cards, heads, fixed)
    eaten = sum(prices.get((b.item.casefold(), b.unit), 0.0) * b.need for b in lines)
    paid = sum(_paid(b) for b in lines)
    unpriced = tuple(b.item for b in lines if (b.item.casefold(), b.unit) not in prices)
    return PlateCost(eaten / heads, paid / heads, unpriced)


def _paid(line: Buy) -> float:
    return sum((pack.price or 0.0) * count for pack, count in line.packs)


def _prices(
    cards: Cards, heads: int, fixed: Mapping[str, int] | None
) -> dict[tuple[str, str], float]:
    """Return the lowest price for one unit of each good, where a pack has one."""
    found: dict[tuple[str, str], float] = {}
    for _, need in menu_needs(cards, heads, fixed):
        price = cheapest(need.name, need.unit, need.ingredient.packs)
        if price is not None:
            key = (need.name.casefold(), need.unit)
            found[key] = min(price, found.get(key, price))
    return found


def cheapest(name: str, unit: str, packs: Sequence[Pack]) -> float | None:
    """Return the lowest price for one `unit` of a good; None if no pack of it has a price.

    Examples
    --------
    >>> cheapest("rump", "kg", [Pack(5, "kg", 84.50), Pack(2.5, "kg", 44.00)])
    16.9
    """
    each = [
        pack.price / size
        for pack in packs
        if pack.price is not None and (size := in_unit(name, pack.amount, pack.unit, unit))
    ]
    return round(min(each), 6) if each else None


def portion_costs(cards: Cards, heads: int) -> dict[str, float]:
    """Cost of one portion of each menu dish, by dish id; what has no price counts as nothing."""
    portions = menu_prepared(cards, heads)
    total = dict.fromkeys(portions, 0.0)
    for dish, need in menu_needs(cards, heads):
        price = cheapest(need.name, need.unit, need.ingredient.packs) if not need.card else None
        total[dish.id] += (price or 0.0) * need.qty
    return {dish: total[dish] / count for dish, count in portions.items() if count}
