"""A food as far as it is known: each matter is the set of what it may be.

Not knowing a matter means everything it could be is still in the set, and a verdict clears only
if it clears all of them. So knowing less can never turn a fail into a pass.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from itertools import product

from core.model import Dish, FoodClass
from core.tables import Row, table


class Kind(StrEnum):
    """What animal or plant."""

    BEEF = "beef"
    LAMB = "lamb"
    PORK = "pork"
    GAME = "game"
    WILD_GAME = "wild_game"
    RATITE = "ratite"
    POULTRY = "poultry"
    FISH = "fish"
    EGG = "egg"
    PLANT = "plant"


class State(StrEnum):
    """Whether the inside is still closed. Opened: injected, tenderised, scored, rolled."""

    INTACT = "intact"
    OPENED = "opened"
    MINCED = "minced"
    STUFFED = "stuffed"


class Cut(StrEnum):
    """A portion piece, a steak, a whole roast, a whole bird."""

    PIECE = "piece"
    STEAK = "steak"
    ROAST = "roast"
    WHOLE = "whole"


_OF_MEAT = frozenset({Cut.PIECE, Cut.STEAK, Cut.ROAST})
_OF_BIRD = frozenset({Cut.PIECE, Cut.ROAST, Cut.WHOLE})
_CUTS: Mapping[Kind, frozenset[Cut]] = {
    Kind.POULTRY: _OF_BIRD,
    Kind.WILD_GAME: _OF_MEAT | {Cut.WHOLE},
    Kind.FISH: frozenset({Cut.PIECE}),
    Kind.EGG: frozenset({Cut.PIECE}),
    Kind.PLANT: frozenset({Cut.PIECE}),
}


def _possible(kind: Kind, state: State) -> frozenset[Cut]:
    """Return the cuts there are: what is minced is neither a roast nor a whole bird."""
    if state is State.MINCED:
        return frozenset({Cut.PIECE})
    return _CUTS.get(kind, _OF_MEAT)


@dataclass(frozen=True, slots=True)
class Exact:
    """One thing a food may be, nothing left open."""

    kind: Kind
    state: State
    cut: Cut
    to_order: bool


@dataclass(frozen=True, slots=True)
class Food:
    """What a food may be. `labelled` is True once its label says whole-muscle intact.

    `species` chicken, turkey or other, None unknown; `fat_pct` percent, None unknown; `to_order`
    is for eggs: broken and served at once.
    """

    kinds: frozenset[Kind] = frozenset(Kind)
    states: frozenset[State] = frozenset(State)
    cuts: frozenset[Cut] = frozenset(Cut)
    to_order: frozenset[bool] = frozenset({True, False})
    labelled: bool = False
    species: str | None = None
    fat_pct: float | None = None
    name: str = ""

    def _whole_not(self, state: State) -> bool:
        """Say whether a state is ruled out by its cut: a whole bird is not minced."""
        return state is State.MINCED and len(self.states) > 1 and Cut.PIECE not in self.cuts

    def exact(self) -> Iterator[Exact]:
        """Yield everything it may be, leaving out what does not exist (a whole bird of beef)."""
        for kind, state, cut, to_order in product(
            sorted(self.kinds), sorted(self.states), sorted(self.cuts), sorted(self.to_order)
        ):
            possible = _possible(kind, state)
            if cut not in possible and (possible & self.cuts or self._whole_not(state)):
                continue
            real_cut = cut if cut in possible else Cut.PIECE
            if kind is Kind.EGG or to_order is min(self.to_order):
                yield Exact(kind, state, real_cut, to_order)


_CLASSES: Mapping[FoodClass, Food] = {
    FoodClass.A1: Food(
        kinds=frozenset({Kind.BEEF, Kind.LAMB, Kind.PORK, Kind.GAME, Kind.FISH, Kind.EGG}),
        states=frozenset({State.INTACT}),
        cuts=frozenset({Cut.PIECE, Cut.STEAK}),
        to_order=frozenset({True}),
    ),
    FoodClass.A2: Food(
        kinds=frozenset({Kind.BEEF, Kind.LAMB, Kind.PORK, Kind.GAME, Kind.FISH, Kind.RATITE}),
        states=frozenset({State.OPENED, State.MINCED}),
        to_order=frozenset({False}),
    ),
    FoodClass.A3: Food(kinds=frozenset({Kind.POULTRY, Kind.WILD_GAME})),
    FoodClass.B: Food(
        kinds=frozenset({Kind.BEEF, Kind.LAMB, Kind.PORK}),
        states=frozenset({State.INTACT}),
        cuts=frozenset({Cut.ROAST}),
    ),
    FoodClass.C: Food(
        kinds=frozenset({Kind.BEEF}),
        states=frozenset({State.INTACT}),
        cuts=frozenset({Cut.STEAK}),
        labelled=True,
    ),
    FoodClass.EGG: Food(kinds=frozenset({Kind.EGG})),
    FoodClass.FISH: Food(kinds=frozenset({Kind.FISH}), states=frozenset({State.INTACT})),
    FoodClass.PLANT: Food(kinds=frozenset({Kind.PLANT})),
}


def food_of_class(food_class: FoodClass, name: str = "", fat_pct: float | None = None) -> Food:
    """Return what a card's class leaves open, narrowed by the words of its name.

    Examples
    --------
    >>> sorted(food_of_class(FoodClass.B, "Pork butt").kinds)
    [<Kind.PORK: 'pork'>]
    """
    base = _CLASSES[food_class]
    said = food_named(name)
    kinds = base.kinds & said.kinds
    if food_class is FoodClass.A3 and not kinds:  # anything stuffed is A3 too
        base = replace(base, states=frozenset({State.STUFFED}))
        kinds = said.kinds
    return replace(
        base,
        kinds=kinds or base.kinds,
        states=(base.states & said.states) or base.states,
        cuts=(base.cuts & said.cuts) or base.cuts,
        species=said.species,
        fat_pct=fat_pct,
        name=name,
    )


def food_of_dish(dish: Dish) -> Food | None:
    """Return the food a dish's card describes; None where the card gives no class."""
    if dish.piece.food_class is None:
        return None
    fat = dish.piece.fat
    return food_of_class(
        dish.piece.food_class,
        f"{dish.name} {dish.id.replace('-', ' ').replace('_', ' ')}",
        None if fat is None else fat * 100,
    )


def plain(text: str) -> str:
    """Return text folded for comparing: lower case, no accents, no hyphens."""
    split = unicodedata.normalize("NFKD", text.casefold().replace("-", " "))
    return "".join(ch for ch in split if not unicodedata.combining(ch))


@cache
def _words() -> Mapping[str, tuple[Row, ...]]:
    found: dict[str, tuple[Row, ...]] = {}
    for row in table("food_safety_words")["words"]["rows"]:
        for word in row["words"]:
            found[plain(word)] = (*found.get(plain(word), ()), row)
    return found


@cache
def _longest() -> int:
    return max(len(word.split()) for word in _words())


def food_words(text: str) -> tuple[Row, ...]:
    """Return what the words of a text say of a food, the longest phrases first read."""
    tokens = [w.strip(".,;:!?()") for w in plain(text).split()]
    found: list[Row] = []
    at = 0
    while at < len(tokens):
        for width in range(min(_longest(), len(tokens) - at), 0, -1):
            rows = _words().get(" ".join(tokens[at : at + width]))
            if rows:
                found.extend(rows)
                at += width
                break
        else:
            at += 1
    return tuple(found)


def food_named(text: str) -> Food:
    """Return the food words describe; what they do not say stays open.

    Examples
    --------
    >>> sorted(food_named("injected pork butt").states), food_named("pollo").species
    ([<State.OPENED: 'opened'>], 'chicken')
    """
    said = food_words(text)
    kinds = {Kind(row["kind"]) for row in said if "kind" in row}
    weak = {Kind(kind) for row in said for kind in row.get("weak_kinds", ())}
    states = {State(row["state"]) for row in said if "state" in row}
    cuts = {Cut(row["cut"]) for row in said if "cut" in row}
    species = {row["species"] for row in said if "species" in row}
    return Food(
        kinds=frozenset(kinds or weak or Kind),
        states=frozenset(_hardest(states)),
        cuts=frozenset(cuts or Cut),
        species=species.pop() if len(species) == 1 else None,
        name=text,
    )


def _hardest(states: set[State]) -> frozenset[State]:
    """Return what was done to it; 'whole chicken, stuffed' is stuffed, not also intact."""
    done = states - {State.INTACT}
    return frozenset(done or states or State)
