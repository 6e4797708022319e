"""Cans by their number: what is in them, from the printed can table."""

from __future__ import annotations

import re
from dataclasses import dataclass

from core.model import Source
from core.tables.quantities import rows, source_of

_KG = {"oz": 0.028349523125, "lb": 0.45359237}
_CUP_L = 0.2365882365
_PART = re.compile(r"(\d+)(?:-(\d+)/(\d+))?(?: (oz|lb))?")


@dataclass(frozen=True, slots=True)
class Can:
    """A can of the table: net weight and volume, low and high."""

    name: str
    net_kg: tuple[float, float]
    litres: tuple[float, float]
    source: Source


def can_numbered(number: str) -> Can | None:
    """Return the can of this number, '10' or '2-1/2'; None where the table has none.

    References
    ----------
    Can-size note of a state extension service, 2009.

    Examples
    --------
    >>> [round(kg, 2) for kg in can_numbered("10").net_kg]
    [2.72, 3.32]
    """
    for found in rows("cans", "cans"):
        if found["can"].split()[:2] == ["No.", number]:
            net = _ends(found["net"].split(" / ")[0])
            cups = _ends(f"{found['cups']}")
            return Can(
                found["can"],
                net,
                (cups[0] * _CUP_L, cups[1] * _CUP_L),
                source_of("cans", found, found["can"]),
            )
    return None


def _ends(text: str) -> tuple[float, float]:
    """Return low and high of '6 lb to 7 lb 5 oz', kg, or of '12 to 13', as it stands."""
    sides = text.split(" to ")
    unit = next((m[4] for m in _PART.finditer(sides[-1]) if m[4]), None)
    low, high = (_sum(side, unit) for side in (sides[0], sides[-1]))
    return low, high


def _sum(text: str, unit: str | None) -> float:
    total = 0.0
    for whole, above, below, own in _PART.findall(text):
        value = float(whole) + (int(above) / int(below) if above else 0.0)
        factor = own or unit
        total += value * (_KG[factor] if factor else 1.0)
    return total
