"""One number with one unit: taken apart, and converted with pint."""

from __future__ import annotations

import math
import re
from functools import cache
from typing import TYPE_CHECKING

from core.errors import OutOfRangeError, UnitError
from core.units.words import BASE, WORDS

if TYPE_CHECKING:
    import pint

NUMBER = r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)"
_QUANTITY = re.compile(rf"\s*({NUMBER})\s*(\S.*?)\s*")
LONGEST = 60  # characters; the longest honest quantity, '3 imperial fl oz', is far below


@cache
def _registry() -> pint.UnitRegistry[float]:
    import pint

    return pint.UnitRegistry()


@cache
def _line(unit: str, base: str) -> tuple[float, float]:
    """Return slope and offset of the straight line from a unit to its base."""
    registry = _registry()
    zero = registry.Quantity(0.0, unit).to(base).magnitude
    # From 1000, not from 1: a degree has an offset, and subtracting it from 1 costs digits.
    thousand = registry.Quantity(1000.0, unit).to(base).magnitude
    return (thousand - zero) / 1000.0, zero


def shorn(value: float) -> float:
    """Return the value to 12 significant digits: 230 °F is 110 °C, not 110.00000000000006."""
    return float(f"{value:.12g}")


def number(text: str, whole: str, wanted: str) -> float:
    """Return a decimal with point or comma; refuse '1,200', which is two different numbers."""
    if re.fullmatch(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}", text):
        raise UnitError(whole, f"{wanted}: write the number without a thousands sign")
    value = float(text.replace(",", "."))
    if not math.isfinite(value):
        raise UnitError(whole, wanted)
    return value


def split(text: str, wanted: str) -> tuple[float, str]:
    """Return the number and the unit's word, folded to how the table spells it."""
    match = _QUANTITY.fullmatch(text) if len(text) <= LONGEST else None
    if match is None:
        raise UnitError(text[:LONGEST], wanted)
    word = re.sub(r"\s+", " ", match[2].casefold().lstrip("°º"))
    return number(match[1], text, wanted), word.strip()


def converted(value: float, word: str, kind: str, text: str, wanted: str) -> float:
    """Return a number of this unit in the unit we keep; `text` and `wanted` are for the error."""
    unit = WORDS[kind].get(word)
    if unit is None:
        raise UnitError(text, wanted)
    if unit == BASE[kind]:
        return value
    slope, offset = _line(unit, BASE[kind])
    return shorn(value * slope + offset)


def measured(text: str, kind: str, wanted: str) -> float:
    """Return what the text says of this kind of quantity, in the unit we keep."""
    value, word = split(text, wanted)
    return converted(value, word, kind, text, wanted)


def not_negative(value: float, name: str, text: str) -> float:
    """Return the value, or refuse one below zero."""
    if value < 0:
        raise OutOfRangeError(name, text, "zero or more")
    return value
