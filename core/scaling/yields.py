"""The yield chain: as purchased, trimmed, cooked, on the plate; each factor with its origin.

Three yields multiply and are never mixed: trim, cooking, and bone or fat taken off afterwards. A
portion is set raw (trimmed) or set cooked. What the house has measured beats the card, the card a
published table, and a table a rule of thumb.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import floor, prod

from core.errors import OutOfRangeError
from core.model import Ingredient, Source
from core.tables.quantities import row, source_of

_EXACT = 1e-9
MOST_GAIN = 6.0
"""Nothing dry takes up more than this many times its weight."""


class State(StrEnum):
    """At which end of the chain a weight was taken."""

    BOUGHT = "bought"
    TRIMMED = "trimmed"
    COOKED = "cooked"


@dataclass(frozen=True, slots=True)
class Factor:
    """One link: weight after over weight before, and where the number comes from."""

    fraction: float
    source: Source
    cooks: int | None = None


@dataclass(frozen=True, slots=True)
class Chain:
    """Trim and cooking of one good, in that order."""

    trim: Factor
    cook: Factor

    def after(self, state: State) -> float:
        """Return how much of what was bought is left at that state."""
        if state is State.BOUGHT:
            return 1.0
        return self.trim.fraction * (self.cook.fraction if state is State.COOKED else 1.0)


def as_purchased_kg(edible_kg: float, yield_fraction: float) -> float:
    """Raw weight to buy so that `edible_kg` is left.

    Parameters
    ----------
    edible_kg
        Edible portion (EP), kg.
    yield_fraction
        EP over as purchased (AP), above 0; above 1 for what takes up water.

    Returns
    -------
    float
        AP weight, kg, not rounded: packs are the buy list's business.

    Raises
    ------
    OutOfRangeError
        If the weight is negative or the fraction is not in (0, 6].

    References
    ----------
    Armed Forces Recipe Service, General Information No. 6: AP = EP x factor, factor = 1 / yield.

    Examples
    --------
    >>> as_purchased_kg(12.0, yield_fraction=0.8)
    15.0
    """
    if not edible_kg >= 0:
        raise OutOfRangeError("weight", f"{edible_kg} kg", "0 or more")
    if not 0 < yield_fraction <= MOST_GAIN:
        raise OutOfRangeError("yield", yield_fraction, "above 0 and at most 6")
    return edible_kg / yield_fraction


def edible_kg(as_purchased: float, *yields: float) -> float:
    """Weight left of what was bought after one or more yields, kg.

    Examples
    --------
    >>> round(edible_kg(72.0, 0.92), 2)
    66.24
    """
    for fraction in yields:
        if not 0 < fraction <= MOST_GAIN:
            raise OutOfRangeError("yield", fraction, "above 0 and at most 6")
    if not as_purchased >= 0:
        raise OutOfRangeError("weight", f"{as_purchased} kg", "0 or more")
    return as_purchased * prod(yields)


def bought_kg(portions: float, portion_kg: float, state: State, chain: Chain) -> float:
    """Weight to buy for so many portions.

    Parameters
    ----------
    portions
        0 or more.
    portion_kg
        One portion, weighed at `state`.
    state
        TRIMMED for a portion set raw, COOKED for one set on the plate. The cook loss is divided
        out only for a cooked one: doing it for a raw one would buy it twice.
    chain
        The factors.

    Examples
    --------
    >>> known = Source("card", "card")
    >>> chain = Chain(Factor(0.92, known), Factor(0.78, known))
    >>> round(bought_kg(1, 0.150, State.COOKED, chain) * 1000)
    209
    """
    return as_purchased_kg(portions * portion_kg, chain.after(state))


def portions_of(as_purchased: float, portion_kg: float, state: State, chain: Chain) -> int:
    """Whole portions in what was bought; the last one may be short and is not counted.

    Examples
    --------
    >>> known = Source("card", "card")
    >>> portions_of(72.0, 0.18, State.TRIMMED, Chain(Factor(0.92, known), Factor(0.78, known)))
    368
    """
    if not portion_kg > 0:
        raise OutOfRangeError("portion", f"{portion_kg} kg", "above 0")
    return floor(edible_kg(as_purchased, chain.after(state)) / portion_kg + _EXACT)


@dataclass(frozen=True, slots=True)
class Measured:
    """What the house has measured: of which good, at which link, over how many cooks."""

    item: str
    state: State
    fraction: float
    cooks: int


def chain_of(good: Ingredient, house: Sequence[Measured] = ()) -> Chain:
    """The chain of an ingredient of a card, overridden by what the house has measured.

    Notes
    -----
    A card without `cook_yield` gives a cooking factor of 1 with the origin 'not on the card', so
    that an answer can say so.

    Examples
    --------
    >>> collar = Ingredient("collar", trim=0.08, cook_yield=0.78)
    >>> chain_of(collar, (Measured("Collar", State.COOKED, 0.77, 3),)).cook
    Factor(fraction=0.77, source=Source(id='house', title='measured by the house', clause='', \
status='house'), cooks=3)
    """
    card = Source("card", "dish card", good.name, "card")
    unknown = Source("card", "not on the card", good.name, "card")
    trim = Factor(1 - good.trim, card)
    cook = Factor(good.cook_yield, card) if good.cook_yield else Factor(1.0, unknown)
    return Chain(
        _measured(good.name, State.TRIMMED, house) or trim,
        _measured(good.name, State.COOKED, house) or cook,
    )


def _measured(item: str, state: State, house: Sequence[Measured]) -> Factor | None:
    for found in house:
        if found.item.casefold() == item.casefold() and found.state is state:
            source = Source("house", "measured by the house", "", "house")
            return Factor(found.fraction, source, found.cooks)
    return None


def thumb_loss(key: str, link: str) -> tuple[Factor, Factor]:
    """Low and high fraction kept, by rule of thumb; `link`: trim, cook or left (of the bought).

    Examples
    --------
    >>> [f.fraction for f in thumb_loss("pulled pork", "left")]
    [0.45, 0.5]
    >>> [round(f.fraction, 2) for f in thumb_loss("pork collar", "cook")]
    [0.76, 0.8]
    """
    found = row("rules", "loss", key)
    low, high = found[link]
    source = source_of("rules", found)
    if link == "left":
        return Factor(low, source), Factor(high, source)
    return Factor(1 - high, source), Factor(1 - low, source)
