"""A menu taken apart: dishes into portions, portions into batches, cards into what goes in them.

Amounts on a card are as bought, so they scale straight with the batch; no trim is divided out
again. A card may stand in another as an ingredient: a salad has a dressing, a brine a concentrate.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from core.errors import CannotPlanError
from core.model import Batch, Cards, Dish, Event, Ingredient, MenuItem
from core.scaling.heads import portions_to_make, portions_to_prepare
from core.scaling.measures import in_unit

_DEEPEST = 8  # cards inside cards; more is a circle


@dataclass(frozen=True, slots=True)
class Need:
    """So much of one ingredient or card for one dish; `mix` names the mix it is a part of."""

    name: str
    qty: float
    unit: str
    of: Dish
    ingredient: Ingredient
    card: Dish | None = None
    mix: str = ""

    @property
    def label(self) -> str:
        """Return what the crew calls it: the card's own name, else the ingredient's."""
        return self.card.name if self.card else self.name


def menu_portions(
    cards: Cards, heads: int, fixed: Mapping[str, int] | None = None
) -> dict[str, int]:
    """Return the portions of every menu dish to cook; `fixed` ones are taken as told."""
    return _menu(cards, heads, fixed, portions_to_make)


def menu_prepared(
    cards: Cards, heads: int, fixed: Mapping[str, int] | None = None
) -> dict[str, int]:
    """Return the portions of every menu dish to buy for and season, the raw reserve with it."""
    return _menu(cards, heads, fixed, portions_to_prepare)


def _menu(
    cards: Cards,
    heads: int,
    fixed: Mapping[str, int] | None,
    rule: Callable[[Event, Dish, MenuItem, int], int],
) -> dict[str, int]:
    found: dict[str, int] = {}
    for item in cards.event.menu:
        portions = (fixed or {}).get(item.dish)
        if portions is None:
            portions = rule(cards.event, cards.dish(item.dish), item, heads)
        found[item.dish] = found.get(item.dish, 0) + portions
    return found


def portion_of(dish: Dish) -> Batch:
    """Return one portion: as the card says, else one piece, else one of the batch's portions.

    Raises
    ------
    CannotPlanError
        If the batch is a weight or a volume and the card does not say what a portion is.
    """
    if dish.portion is not None:
        return dish.portion
    if dish.batch.unit in {"pieces", "portions"}:
        return Batch(1, dish.batch.unit)
    raise CannotPlanError("the card '{card}' does not say how big a portion is", card=dish.id)


def batches_for(dish: Dish, portions: float) -> float:
    """Batches of the card that make so many portions; not rounded.

    Examples
    --------
    >>> salad = Dish("s", "S", Batch(1.3, "kg"), Batch(0.1625, "kg"))
    >>> batches_for(salad, 66)
    8.25
    """
    portion = portion_of(dish)
    return portions * _in_batch_unit(dish, portion.amount, portion.unit)


def _in_batch_unit(dish: Dish, amount: float, unit: str) -> float:
    """Return how many batches such an amount of the dish is."""
    batch = dish.batch
    if not batch.amount > 0:
        raise CannotPlanError("the card '{card}' has a batch of nothing", card=dish.id)
    if unit == batch.unit:
        return amount / batch.amount
    if unit == "portions":
        return amount * _in_batch_unit(dish, *_portion_pair(dish))
    if batch.unit == "portions" and dish.portion and dish.portion.unit != "portions":
        return amount / _same(dish, dish.portion.amount, dish.portion.unit, unit) / batch.amount
    return _same(dish, amount, unit, batch.unit) / batch.amount


def _portion_pair(dish: Dish) -> tuple[float, str]:
    portion = portion_of(dish)
    return portion.amount, portion.unit


def _same(dish: Dish, amount: float, unit: str, wanted: str) -> float:
    """Return the amount in another unit, through the piece's weight or the density table."""
    weight = dish.piece.weight_kg
    if weight and (unit, wanted) == ("pieces", "kg"):
        return amount * weight
    if weight and (unit, wanted) == ("kg", "pieces"):
        return amount / weight
    changed = in_unit(dish.name, amount, unit, wanted)
    if changed is None:
        raise CannotPlanError(
            "the card '{card}' is in {wanted}, but {unit} of it are asked",
            card=dish.id,
            wanted=wanted,
            unit=unit,
        )
    return changed


def needs_of(cards: Cards, dish: Dish, batches: float, depth: int = 0) -> Iterator[Need]:
    """Yield all that goes into so many batches, cards inside cards taken apart after themselves.

    Raises
    ------
    CannotPlanError
        If cards stand in each other in a circle.
    """
    if depth > _DEEPEST:
        raise CannotPlanError("the card '{card}' ends up inside itself", card=dish.id)
    for ingredient in dish.ingredients:
        qty, unit, mix = _scaled(cards, dish, ingredient, batches)
        card = cards.dish(ingredient.card) if ingredient.card else None
        yield Need(ingredient.name or ingredient.card or "", qty, unit, dish, ingredient, card, mix)
        if card is not None:
            inner = _in_batch_unit(card, qty, unit)
            yield from needs_of(cards, card, inner, depth + 1)


def _scaled(
    cards: Cards, dish: Dish, ingredient: Ingredient, batches: float
) -> tuple[float, str, str]:
    """Return amount, unit and the mix it belongs to, if it is a part of one."""
    if ingredient.parts is not None:
        mix = [x for x in dish.ingredients if x.parts is not None]
        fill = ingredient.fill_to_l or next((x.fill_to_l for x in mix if x.fill_to_l), None)
        if fill is None:
            raise CannotPlanError(
                "'{good}' in '{card}' has parts but no fill_to", good=ingredient.name, card=dish.id
            )
        same = [x for x in mix if (x.fill_to_l or fill) == fill]
        share = ingredient.parts / sum(x.parts or 0.0 for x in same)
        return fill * batches * share, "L", " + ".join(_called(cards, x) for x in same)
    if ingredient.qty is not None:
        return ingredient.qty * batches, ingredient.unit, ""
    if ingredient.fill_to_l is not None:
        return _up_to_the_mark(dish, ingredient.fill_to_l) * batches, "L", ""
    raise CannotPlanError("'{good}' in '{card}' has no amount", good=ingredient.name, card=dish.id)


def _called(cards: Cards, ingredient: Ingredient) -> str:
    return cards.dish(ingredient.card).name if ingredient.card else ingredient.name


def _up_to_the_mark(dish: Dish, fill_l: float) -> float:
    """Return the litres a filler takes: the mark less what else is a liquid; solids not counted.

    What is dissolved takes room too, so this is the most that can go in, never short of water.
    """
    liquid = sum(x.qty or 0.0 for x in dish.ingredients if x.unit == "L" and x.qty is not None)
    return max(fill_l - liquid, 0.0)


def menu_needs(
    cards: Cards, heads: int, fixed: Mapping[str, int] | None = None
) -> Iterator[tuple[Dish, Need]]:
    """Yield everything that goes into the whole menu, with the menu dish it is for."""
    for dish_id, portions in menu_prepared(cards, heads, fixed).items():
        dish = cards.dish(dish_id)
        if portions:
            for need in needs_of(cards, dish, batches_for(dish, portions)):
                yield dish, need


def merged(needs: Iterator[Need]) -> dict[tuple[str, str], Need]:
    """Return needs of the same thing added up, by folded name and unit, in order of coming up."""
    total: dict[tuple[str, str], Need] = {}
    for need in needs:
        key = (need.label.casefold(), need.unit)
        known = total.get(key)
        total[key] = replace(known, qty=known.qty + need.qty) if known else need
    return total
