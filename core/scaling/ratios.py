"""Parts, percents and mixtures. n parts to one are n + 1 parts in all, always.

Three salt percentages look alike and are not: of the water, of the finished solution, and of meat
and water together. Each has its own function; the caller says which it took.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from core.errors import OutOfRangeError

MEAT_L_PER_KG = 0.95
"""Room that a kilogram of raw meat takes in a tub, L; common practice."""

COVER_L_PER_KG = 1.0
"""Brine over a kilogram of meat, L; common practice."""

RIM = 0.87
"""How full a tub may be with meat and brine in it and still be carried; common practice."""


def _positive(name: str, value: float) -> None:
    if not value > 0:
        raise OutOfRangeError(name, value, "above 0")


def _fraction(name: str, value: float) -> None:
    if not 0 < value < 1:
        raise OutOfRangeError(name, f"{value * 100:g} %", "above 0 and below 100 %")


def shares(total: float, parts: Sequence[float]) -> tuple[float, ...]:
    """Split a total by parts.

    Parameters
    ----------
    total
        In any unit, 0 or more.
    parts
        Two or more, each above 0.

    Returns
    -------
    tuple of float
        One share per part; they add up to the total.

    Examples
    --------
    >>> shares(18.0, (5, 1))
    (15.0, 3.0)
    """
    if len(parts) < 2 or any(not p > 0 for p in parts):
        raise OutOfRangeError("parts", ":".join(f"{p:g}" for p in parts), "two or more above 0")
    if not total >= 0:
        raise OutOfRangeError("total", total, "0 or more")
    whole = sum(parts)
    return tuple(total * p / whole for p in parts)


def brine_beside_meat_l(tub_l: float, meat_kg: float, rim: float = RIM) -> float:
    """Brine that goes into a tub with meat in it, L: what covers it, or what room is left.

    Parameters
    ----------
    tub_l
        The tub to its brim, L.
    meat_kg
        In it, kg.
    rim
        Usable fraction of the tub.

    Returns
    -------
    float
        The lesser of 1 L per kg and the room left, L; 0 when the meat alone fills it.

    Notes
    -----
    Common practice: meat takes 0.95 L/kg.

    Examples
    --------
    >>> round(brine_beside_meat_l(18, 8), 2), round(brine_beside_meat_l(18, 10), 2)
    (8.0, 6.16)
    """
    _positive("tub", tub_l)
    if not meat_kg >= 0:
        raise OutOfRangeError("meat", f"{meat_kg} kg", "0 or more")
    room = tub_l * rim - meat_kg * MEAT_L_PER_KG
    return max(min(meat_kg * COVER_L_PER_KG, room), 0.0)


def most_meat_kg(tub_l: float, rim: float = RIM) -> float:
    """Meat that a tub holds together with as many litres of brine, kg.

    Examples
    --------
    >>> round(most_meat_kg(18), 2)
    8.03
    """
    _positive("tub", tub_l)
    return tub_l * rim / (MEAT_L_PER_KG + COVER_L_PER_KG)


def salt_of_water_kg(water_kg: float, fraction: float) -> float:
    """Salt for a strength given on the water: 6 % is 60 g to the litre.

    Examples
    --------
    >>> salt_of_water_kg(25, 0.06)
    1.5
    """
    if not water_kg >= 0:
        raise OutOfRangeError("water", f"{water_kg} kg", "0 or more")
    _fraction("strength", fraction)
    return water_kg * fraction


def salt_of_solution_kg(water_kg: float, fraction: float) -> float:
    """Salt for a strength given on the finished solution: w t / (1 - t).

    Examples
    --------
    >>> round(salt_of_solution_kg(10, 0.05), 4)
    0.5263
    """
    if not water_kg >= 0:
        raise OutOfRangeError("water", f"{water_kg} kg", "0 or more")
    _fraction("strength", fraction)
    return water_kg * fraction / (1 - fraction)


def salt_at_equilibrium_kg(meat_kg: float, water_kg: float, fraction: float) -> float:
    """Salt for meat and water together, the salt itself not counted in the base: t (m + w).

    Parameters
    ----------
    meat_kg, water_kg
        kg, 0 or more.
    fraction
        Of meat plus water.

    References
    ----------
    USDA FSIS Directive 7620.3, p. 22 (method two) counts the additive over meat and pickle, which
    is `salt_at_equilibrium_total_kg`; the difference is below 2 % at brine strengths.

    Examples
    --------
    >>> round(salt_at_equilibrium_kg(10, 5, 0.015), 4)
    0.225
    """
    if not (meat_kg >= 0 and water_kg >= 0):
        raise OutOfRangeError("weight", f"{meat_kg} kg, {water_kg} kg", "0 or more")
    _fraction("strength", fraction)
    return (meat_kg + water_kg) * fraction


def salt_at_equilibrium_total_kg(meat_kg: float, water_kg: float, fraction: float) -> float:
    """Salt for meat and water together, the salt counted in the base: t (m + w) / (1 - t).

    Examples
    --------
    >>> round(salt_at_equilibrium_total_kg(10, 5, 0.015), 4)
    0.2284
    """
    return salt_at_equilibrium_kg(meat_kg, water_kg, fraction) / (1 - fraction)


def concentrate_for(total: float, strong: float, wanted: float) -> float:
    """Concentrate in a total so that it comes out at the wanted strength; the rest is water.

    Parameters
    ----------
    total
        Of the mixed solution, in any unit.
    strong, wanted
        Strengths in one and the same measure, 0 < wanted <= strong.

    Examples
    --------
    >>> concentrate_for(12.5, strong=250, wanted=50)
    2.5
    """
    if not total >= 0:
        raise OutOfRangeError("total", total, "0 or more")
    if not 0 < wanted <= strong:
        raise OutOfRangeError(
            "strength", f"{wanted:g}", "above 0 and no more than the concentrate's"
        )
    return total * wanted / strong


def salt_to_add_kg(solution_kg: float, has: float, wanted: float) -> float:
    """Salt that lifts a weak brine to a strength, both of the solution: s (t - p) / (1 - t).

    Examples
    --------
    >>> round(salt_to_add_kg(20, has=0.04, wanted=0.06), 4)
    0.4255
    """
    _positive("brine", solution_kg)
    _fraction("strength", wanted)
    if not 0 <= has <= wanted:
        raise OutOfRangeError("strength now", f"{has * 100:g} %", "no more than wanted")
    return solution_kg * (wanted - has) / (1 - wanted)


def water_to_add_kg(solution_kg: float, has: float, wanted: float) -> float:
    """Water that thins a strong brine to a strength, both of the solution: s (p / t - 1).

    Examples
    --------
    >>> round(water_to_add_kg(20, has=0.08, wanted=0.05), 6)
    12.0
    """
    _positive("brine", solution_kg)
    _fraction("strength", wanted)
    if not wanted <= has < 1:
        raise OutOfRangeError("strength now", f"{has * 100:g} %", "no less than wanted")
    return solution_kg * (has / wanted - 1)


def pearson_parts(a: float, b: float, wanted: float) -> tuple[float, float]:
    """Parts of a and of b that mix to the wanted strength: the cross differences of the square.

    Raises
    ------
    OutOfRangeError
        If the wanted strength does not lie between the two.

    Examples
    --------
    >>> pearson_parts(30, 12, 20)
    (8, 10)
    """
    if a == b or not min(a, b) <= wanted <= max(a, b):
        raise OutOfRangeError("wanted", f"{wanted:g}", "between the two strengths")
    return abs(b - wanted), abs(a - wanted)


def limiting(have: Mapping[str, float], need: Mapping[str, float]) -> tuple[str, float]:
    """The ingredient that runs out first, and how many times the recipe it allows.

    Raises
    ------
    OutOfRangeError
        If nothing of what is needed was counted.

    Examples
    --------
    >>> limiting({"cabbage": 9.0, "carrot": 5.0}, {"cabbage": 14.0, "carrot": 4.0})
    ('cabbage', 0.6428571428571429)
    """
    counted = {name: have[name] / qty for name, qty in need.items() if name in have and qty > 0}
    if not counted:
        raise OutOfRangeError("on hand", "nothing", "at least one of the recipe's ingredients")
    first = min(counted, key=lambda name: counted[name])
    return first, counted[first]
