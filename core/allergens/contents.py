"""What a dish as made contains: ingredient by ingredient, swaps applied, NO only when earned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

from core.allergens.words import implied, is_within, same_thing, token_of
from core.model import Cards, Dish, Ingredient, Verdict


@dataclass(frozen=True, slots=True)
class Swap:
    """Another brand or another thing was used from `at` on. Its label is unknown until confirmed.

    `ingredient` is what the card calls it; `allergens` None until somebody has read the label.
    `seen` is when the other brand was first told of: what was made before holds the card's brand,
    so both labels count until every batch is younger. `own` is the card's own brand, whose label
    was read on the day: it adds to the card and takes nothing away.
    """

    ingredient: str
    at: datetime | None = None
    allergens: tuple[str, ...] | None = None
    may_contain: tuple[str, ...] = ()
    confirmed: bool = False
    seen: datetime | None = None
    own: bool = False


@dataclass(frozen=True, slots=True)
class Made:
    """What was really made: the latest batch of each dish by number with its time, and swaps.

    `first` is when the first batch of a dish was made; `added` what went into any of its batches
    beside the card, whose labels nobody has read. What stands under '' may be in any dish.
    """

    batches: Mapping[str, tuple[int, datetime]]
    swaps: tuple[Swap, ...] = ()
    first: Mapping[str, datetime] = field(default_factory=dict)
    added: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


NOTHING_MADE = Made({})


@dataclass(frozen=True, slots=True)
class Content:
    """What one dish says of one allergen: the verdict, where it is in, what leaves it open."""

    dish: Dish
    token: str
    verdict: Verdict
    where: tuple[str, ...] = ()
    open: tuple[str, ...] = ()


# ------------------------------------------------------------------ one dish, one allergen


def contains(cards: Cards, dish: Dish, token: str, made: Made = NOTHING_MADE) -> Content:
    """Return whether a dish as made contains an allergen.

    Parameters
    ----------
    cards
        All cards, for the cards a dish is made of.
    dish
        The dish.
    token
        The allergen asked for, one of the table.
    made
        Its latest batch and the swaps; a swap counts for what was made after it, and wherever
        nobody wrote down when it was made.
    """
    where: list[str] = []
    unsure: list[str] = []
    used = list(_used(cards, dish, made))
    for each in used:
        said = _one(each, token)
        if said is Verdict.YES:
            where.append(each.name)
        elif said is Verdict.NOT_CONFIRMED:
            unsure.append(each.name)
    unsure += made.added.get("", ())
    if where:
        return Content(dish, token, Verdict.YES, tuple(dict.fromkeys(where)))
    if unsure or not used:
        return Content(dish, token, Verdict.NOT_CONFIRMED, open=tuple(dict.fromkeys(unsure)))
    return Content(dish, token, Verdict.NO)


def _one(ingredient: Ingredient, token: str) -> Verdict:
    declared = {token_of(word) for word in ingredient.allergens or ()}
    perhaps = {token_of(word) for word in ingredient.may_contain}
    surely, maybe = implied(ingredient.name)
    if any(is_within(each, token) for each in declared | surely):
        return Verdict.YES
    known = ingredient.allergens is not None and ingredient.label_confirmed
    if not known and any(is_within(each, token) for each in maybe):
        return Verdict.YES
    could = declared | perhaps | surely | maybe
    touches = any(is_within(each, token) or is_within(token, each) for each in could)
    return Verdict.NO if known and not touches else Verdict.NOT_CONFIRMED


def _used(cards: Cards, dish: Dish, made: Made, seen: tuple[str, ...] = ()) -> Iterator[Ingredient]:
    """Yield every ingredient of a dish as made, through the cards it is made of, brine too."""
    swaps = _swaps_for(dish, made)
    for name in made.added.get(dish.id, ()):
        yield Ingredient(name, allergens=None)
    for ingredient in dish.ingredients:
        if ingredient.card is None:
            yield _swapped(ingredient, swaps, made.first.get(dish.id))
            continue
        part = next((d for d in cards.dishes if d.id == ingredient.card), None)
        if part is None or part.id in seen:
            yield Ingredient(ingredient.card, allergens=None)
        else:
            yield from _used(cards, part, made, (*seen, dish.id))


def _swaps_for(dish: Dish, made: Made) -> tuple[Swap, ...]:
    batch = made.batches.get(dish.id)
    if batch is None:
        return made.swaps
    return tuple(swap for swap in made.swaps if swap.at is None or swap.at <= batch[1])


def _swapped(ingredient: Ingredient, swaps: tuple[Swap, ...], first: datetime | None) -> Ingredient:
    for swap in swaps:
        if same_thing(swap.ingredient, ingredient.name):
            ingredient = _with(ingredient, swap, first)
    return ingredient


def _with(ingredient: Ingredient, swap: Swap, first: datetime | None) -> Ingredient:
    """Return an ingredient as its labels say, all of those that may be in the food."""
    if not swap.confirmed or swap.allergens is None:
        return replace(
            ingredient,
            allergens=None,
            may_contain=(*ingredient.may_contain, *swap.may_contain),
            label_confirmed=False,
        )
    replaced = swap.seen is None or (first is not None and first > swap.seen)
    if replaced and not swap.own:
        return replace(
            ingredient,
            allergens=swap.allergens,
            may_contain=swap.may_contain,
            label_confirmed=True,
        )
    known = ingredient.allergens is not None and ingredient.label_confirmed
    return replace(
        ingredient,
        allergens=(*(ingredient.allergens or ()), *swap.allergens),
        may_contain=(*ingredient.may_contain, *swap.may_contain),
        label_confirmed=swap.own or known,
    )


def dishes_using(cards: Cards, ingredient: str) -> tuple[Dish, ...]:
    """Return the dishes that use an ingredient, through the cards they are made of."""
    return tuple(
        dish
        for dish in cards.dishes
        if any(same_thing(ingredient, each.name) for each in _used(cards, dish, NOTHING_MADE))
    )


def served(cards: Cards) -> tuple[Dish, ...]:
    """Return the dishes on the menu; all of them where the menu names none of the cards."""
    ids = {item.dish for item in cards.event.menu}
    return tuple(d for d in cards.dishes if d.id in ids) or cards.dishes
