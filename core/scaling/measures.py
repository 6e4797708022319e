"""Volume to weight and back, through the density table.

Salts are converted by weight only: a cup of fine and a cup of flaky salt differ by almost two.
Dry goods in cups come with their spread, because a scoop is not a scale.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from core.errors import OutOfRangeError
from core.model import Source
from core.tables.quantities import row, rows, source_of

US_CUP_L = 0.2365882365
"""NIST Handbook 44, Appendix C; exact."""

LITRES = {
    "cup": US_CUP_L,
    "floz": US_CUP_L / 8,
    "tbsp": US_CUP_L / 16,
    "tsp": US_CUP_L / 48,
}
"""The measures of the density table, L, largest first.

NIST SP 430, table 1: 1 cup is 16 tbsp, 48 tsp, 8 fl oz.
"""

US_GALLON_L = 3.785411784
IMPERIAL_GALLON_L = 4.54609
METRIC_CUP_L = 0.25

SCOOP_SPREAD = 0.15
"""How far two cups of the same dry thing differ; common practice, 15 % either way."""

LIQUID_SPREAD = 0.03


@dataclass(frozen=True, slots=True)
class Measure:
    """One level household measure of a food as the table prints it, g."""

    unit: str
    printed: str
    grams: float

    @property
    def kg_per_l(self) -> float:
        """Return the bulk density, kg/L."""
        return self.grams / 1000 / LITRES[self.unit]


def largest(measures: Sequence[Measure]) -> Measure:
    """Return the measure of the largest unit, the first printed of several."""
    return min(measures, key=lambda m: list(LITRES).index(m.unit))


@dataclass(frozen=True, slots=True)
class Food:
    """A food of the density table; `kind` is liquid, dry, pieces or salt."""

    key: str
    name: str
    kind: str
    measures: tuple[Measure, ...]
    also: tuple[str, ...]
    source: Source

    def best(self) -> Measure:
        """Return the measure to go by: the largest, which was weighed with the least error."""
        return largest(self.measures)


@dataclass(frozen=True, slots=True)
class Weighed:
    """A volume turned into a weight, kg, with how far a second scoop may differ."""

    food: Food
    kg: float
    low_kg: float
    high_kg: float
    measure: Measure


@cache
def foods() -> tuple[Food, ...]:
    """Return the density table."""
    return tuple(
        Food(
            found["key"],
            found["name"],
            found["kind"],
            tuple(Measure(*m) for m in found["measures"]),
            tuple(found.get("also", ())),
            source_of("densities", found, found.get("ndb", "")),
        )
        for found in rows("densities", "food")
    )


def folded(text: str) -> str:
    """Return lower case without accents, one space between words: 'Azúcar  Moreno' is the same.

    Examples
    --------
    >>> folded("Azúcar  Moreno")
    'azucar moreno'
    """
    bare = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(c for c in bare if not unicodedata.combining(c)).split())


@cache
def _by_name() -> dict[str, Food]:
    names: dict[str, Food] = {}
    for food in foods():
        for name in (food.key, food.name, *food.also):
            names.setdefault(folded(name), food)
    return names


def food_named(name: str) -> Food | None:
    """Return the food with exactly this name, key or other name, accents and case aside.

    Never the nearest one: a wrong ingredient is a wrong weight.

    Examples
    --------
    >>> food_named("azúcar").key
    'sugar_granulated'
    """
    return _by_name().get(folded(name))


def food_in(text: str) -> Food | None:
    """Return the food whose name stands in the text; the longest name wins.

    Examples
    --------
    >>> food_in("how heavy is 1 cup brown sugar").key
    'sugar_brown'
    """
    padded = f" {folded(text)} "
    names = (name for name in _by_name() if f" {name} " in padded)
    longest = max(names, key=len, default=None)
    return _by_name()[longest] if longest else None


def weighed(food: Food, volume_l: float, state: str = "") -> Weighed:
    """Weight of a volume of a food, with its spread.

    Parameters
    ----------
    food
        Of the density table.
    volume_l
        L, 0 or more.
    state
        A word the table prints beside the measure: 'packed', 'shredded'. Unknown words are ignored.

    Returns
    -------
    Weighed
        kg. Dry goods and pieces carry 15 % either way, or all that the table prints for the same
        measure where that is wider; liquids 3 %.

    Raises
    ------
    OutOfRangeError
        If the volume is negative.

    References
    ----------
    USDA National Nutrient Database for Standard Reference, release 26, household weights.

    Examples
    --------
    >>> round(weighed(food_named("sugar"), 1.75 * US_CUP_L).kg, 4)
    0.35
    """
    if not volume_l >= 0:
        raise OutOfRangeError("volume", f"{volume_l} L", "0 or more")
    stated = [m for m in food.measures if folded(state) in folded(m.printed).split()]
    measure = largest(stated) if stated else food.best()
    kg = volume_l * measure.kg_per_l
    if food.kind == "liquid":
        return Weighed(food, kg, kg * (1 - LIQUID_SPREAD), kg * (1 + LIQUID_SPREAD), measure)
    same = [measure] if stated else [m for m in food.measures if m.unit == measure.unit]
    low = min(min(m.kg_per_l for m in same) * volume_l, kg * (1 - SCOOP_SPREAD))
    high = max(max(m.kg_per_l for m in same) * volume_l, kg * (1 + SCOOP_SPREAD))
    return Weighed(food, kg, low, high, measure)


def salt_range(volume_l: float) -> tuple[float, float]:
    """Return the lightest and the heaviest that this volume of salt may be, kg.

    Examples
    --------
    >>> [round(kg, 3) for kg in salt_range(US_CUP_L)]
    [0.134, 0.292]
    """
    densities = [m.kg_per_l for food in foods() if food.kind == "salt" for m in food.measures]
    return min(densities) * volume_l, max(densities) * volume_l


def in_unit(name: str, amount: float, unit: str, wanted: str) -> float | None:
    """Return the amount in the wanted unit (kg, L, pieces), or None if that cannot be known.

    Examples
    --------
    >>> in_unit("olive oil", 1.0, "L", "kg")
    0.913
    >>> in_unit("salt", 1.0, "L", "kg") is None
    True
    """
    if unit == wanted:
        return amount
    food = food_named(name)
    if food is None or food.kind == "salt" or {unit, wanted} != {"kg", "L"}:
        return None
    density = food.best().kg_per_l
    return round(amount * density if wanted == "kg" else amount / density, 4)


def rub_kg(volume_l: float) -> Weighed:
    """Weight of a volume of mixed spice rub; a house that has weighed its own says so on a card.

    Notes
    -----
    Common practice: 130 g a US cup, 15 % either way.
    """
    found = row("rules", "seasoned_rub", "rub")
    cup = Measure("cup", "cup", found["grams_per_cup"])
    food = Food("rub", "spice rub", "dry", (cup,), (), source_of("rules", found))
    return weighed(food, volume_l)
