"""Conversion at the border: words with units in, kg, L, cm, min, °C, kW out.

Only words a kitchen uses are understood, and each stands for one thing: `C` is a temperature,
never a charge; `gal` is the US gallon unless `imperial` stands before it. What could be read two
ways is refused. Nothing further in converts anything.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING

from core.errors import OutOfRangeError, UnitError

if TYPE_CHECKING:
    import pint

_BASE = {
    "mass": "kilogram",
    "volume": "liter",
    "length": "centimeter",
    "time": "minute",
    "temperature": "degree_Celsius",
    "temperature difference": "delta_degree_Celsius",
    "power": "kilowatt",
    "speed": "kilometer / hour",
    "rate": "1 / minute",
}

# The words of the trade, English and Spanish, by what they measure: ours -> pint's name.
_WORDS: Mapping[str, Mapping[str, str]] = {
    "mass": {
        "kg": "kilogram",
        "kilo": "kilogram",
        "kilos": "kilogram",
        "g": "gram",
        "gr": "gram",
        "mg": "milligram",
        "t": "metric_ton",
        "lb": "pound",
        "lbs": "pound",
        "oz": "ounce",
        "st": "stone",
    },
    "volume": {
        "l": "liter",
        "litre": "liter",
        "litres": "liter",
        "liter": "liter",
        "liters": "liter",
        "litro": "liter",
        "litros": "liter",
        "dl": "deciliter",
        "cl": "centiliter",
        "ml": "milliliter",
        "gal": "gallon",
        "qt": "liquid_quart",
        "pt": "liquid_pint",
        "cup": "cup",
        "cups": "cup",
        "fl oz": "fluid_ounce",
        "floz": "fluid_ounce",
        "tbsp": "tablespoon",
        "tsp": "teaspoon",
        "imperial gal": "imperial_gallon",
        "imperial qt": "imperial_quart",
        "imperial pt": "imperial_pint",
        "imperial fl oz": "imperial_fluid_ounce",
    },
    "length": {
        "cm": "centimeter",
        "mm": "millimeter",
        "m": "meter",
        "in": "inch",
        "inch": "inch",
        "inches": "inch",
        '"': "inch",
        "ft": "foot",
    },
    "time": {
        "min": "minute",
        "mins": "minute",
        "minute": "minute",
        "minutes": "minute",
        "minuto": "minute",
        "minutos": "minute",
        "h": "hour",
        "hr": "hour",
        "hrs": "hour",
        "hour": "hour",
        "hours": "hour",
        "hora": "hour",
        "horas": "hour",
        "s": "second",
        "sec": "second",
        "d": "day",
        "day": "day",
        "days": "day",
        "día": "day",
        "días": "day",
    },
    "temperature": {"c": "degree_Celsius", "f": "degree_Fahrenheit"},
    "temperature difference": {
        "c": "delta_degree_Celsius",
        "k": "delta_degree_Celsius",
        "f": "delta_degree_Fahrenheit",
    },
    "power": {"kw": "kilowatt", "w": "watt", "btu/h": "Btu_it / hour"},
    "speed": {
        "km/h": "kilometer / hour",
        "kmh": "kilometer / hour",
        "m/s": "meter / second",
        "mph": "mile / hour",
        "kn": "knot",
    },
    "rate": {
        "/min": "1 / minute",
        "per min": "1 / minute",
        "1/min": "1 / minute",
        "/h": "1 / hour",
        "per h": "1 / hour",
        "1/h": "1 / hour",
    },
}

_COUNTS = {
    "piece": "pieces",
    "pieces": "pieces",
    "pc": "pieces",
    "pcs": "pieces",
    "pieza": "pieces",
    "piezas": "pieces",
    "portion": "portions",
    "portions": "portions",
    "ración": "portions",
    "raciones": "portions",
}

_NUMBER = r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)"
_QUANTITY = re.compile(rf"\s*({_NUMBER})\s*(\S.*?)\s*")
_DURATION_PART = re.compile(rf"\s*({_NUMBER})\s*([^\W\d_]+)")
_HOURS_AND_MINUTES = re.compile(r"\s*([0-9]+)\s*[hH]\s*([0-5][0-9])\s*")
_RECTANGLE = re.compile(rf"\s*({_NUMBER})\s*[xX×]\s*({_NUMBER})\s*(\S.*?)\s*")
_LONGEST = 60  # characters; the longest honest quantity, '3 imperial fl oz', is far below

MINUTES_A_MONTH = 31 * 24 * 60.0


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


def _shorn(value: float) -> float:
    """Return the value to 12 significant digits: 230 °F is 110 °C, not 110.00000000000006."""
    return float(f"{value:.12g}")


def _number(text: str, whole: str, wanted: str) -> float:
    """Return a decimal with point or comma; refuse '1,200', which is two different numbers."""
    if re.fullmatch(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}", text):
        raise UnitError(whole, f"{wanted}: write the number without a thousands sign")
    value = float(text.replace(",", "."))
    if not math.isfinite(value):
        raise UnitError(whole, wanted)
    return value


def _split(text: str, wanted: str) -> tuple[float, str]:
    """Return the number and the unit's word, folded to how the table spells it."""
    match = _QUANTITY.fullmatch(text) if len(text) <= _LONGEST else None
    if match is None:
        raise UnitError(text[:_LONGEST], wanted)
    word = match[2].casefold().replace("°", "").replace("º", "").strip()
    return _number(match[1], text, wanted), re.sub(r"\s+", " ", word)


def _converted(value: float, word: str, kind: str, text: str, wanted: str) -> float:
    unit = _WORDS[kind].get(word)
    if unit is None:
        raise UnitError(text, wanted)
    if unit == _BASE[kind]:
        return value
    slope, offset = _line(unit, _BASE[kind])
    return _shorn(value * slope + offset)


def _measured(text: str, kind: str, wanted: str) -> float:
    value, word = _split(text, wanted)
    return _converted(value, word, kind, text, wanted)


def _not_negative(value: float, name: str, text: str) -> float:
    if value < 0:
        raise OutOfRangeError(name, text, "zero or more")
    return value


def mass_kg(text: str) -> float:
    """Return a weight in kg.

    Parameters
    ----------
    text
        Number and unit: kg, g, mg, t, lb, oz, st. Decimal point or comma.

    Returns
    -------
    float
        kg, zero or more.

    Raises
    ------
    UnitError
        If it is no weight, or its number can be read two ways ('1,200 g').
    OutOfRangeError
        If it is negative.

    References
    ----------
    NIST Handbook 44, Appendix C: 1 lb = 453.592 37 g exactly.

    Examples
    --------
    >>> mass_kg("1.9 kg"), mass_kg("250 g"), mass_kg("1,9 kg")
    (1.9, 0.25, 1.9)
    """
    return _not_negative(_measured(text, "mass", "weight"), "weight", text)


def volume_l(text: str) -> float:
    """Return a volume in L; `gal qt pt cup fl oz tbsp tsp` are US, `imperial gal` is not.

    Parameters
    ----------
    text
        Number and unit.

    Returns
    -------
    float
        L, zero or more.

    Raises
    ------
    UnitError
        If it is no volume.
    OutOfRangeError
        If it is negative.

    References
    ----------
    NIST Handbook 44, Appendix C: 1 US gallon = 3.785 411 784 L exactly; UK Weights and Measures
    Act 1985, Schedule 1: 1 gallon = 4.546 09 L.

    Examples
    --------
    >>> volume_l("180 mL"), volume_l("1 gal"), volume_l("1 imperial gal")
    (0.18, 3.785411784, 4.54609)
    """
    return _not_negative(_measured(text, "volume", "volume"), "volume", text)


def length_cm(text: str) -> float:
    """Return a length in cm, zero or more.

    Examples
    --------
    >>> length_cm("25 mm"), length_cm("1 in")
    (2.5, 2.54)
    """
    return _not_negative(_measured(text, "length", "length"), "length", text)


def rectangle_cm(text: str) -> tuple[float, float]:
    """Return width and depth in cm of '200 x 70 cm'; one unit, said once.

    Raises
    ------
    UnitError
        If it is not two lengths with a unit.
    OutOfRangeError
        If a side is not above zero.

    Examples
    --------
    >>> rectangle_cm("1.1 x 0.55 m")
    (110.0, 55.0)
    """
    wanted = "size, like 200 x 70 cm"
    match = _RECTANGLE.fullmatch(text) if len(text) <= _LONGEST else None
    if match is None:
        raise UnitError(text[:_LONGEST], wanted)
    word = match[3].casefold()
    width, depth = (
        _converted(_number(side, text, wanted), word, "length", text, wanted)
        for side in (match[1], match[2])
    )
    if width <= 0 or depth <= 0:
        raise OutOfRangeError("size", text, "above zero both ways")
    return width, depth


def minutes(text: str) -> float:
    """Return a length of time in minutes.

    Parameters
    ----------
    text
        '90 min', '1 h 30 min', '1h30', '45 s', '2 days'. '1:30' is refused: hours or minutes?

    Returns
    -------
    float
        Minutes, zero or more.

    Raises
    ------
    UnitError
        If it is no length of time.
    OutOfRangeError
        If it is negative or longer than a month.

    Examples
    --------
    >>> minutes("90 min"), minutes("1 h 30 min"), minutes("1h30"), minutes("45 s")
    (90.0, 90.0, 90.0, 0.75)
    """
    wanted = "length of time, like 90 min or 1 h 30 min"
    if len(text) > _LONGEST:
        raise UnitError(text[:_LONGEST], wanted)
    if clock := _HOURS_AND_MINUTES.fullmatch(text):
        text = f"{clock[1]} h {clock[2]} min"
    total, at = 0.0, 0
    while match := _DURATION_PART.match(text, at):
        if total and match[1][0] in "+-":
            raise UnitError(text, wanted)
        part = _number(match[1], text, wanted)
        total += _converted(part, match[2].casefold(), "time", text, wanted)
        at = match.end()
    if at == 0 or text[at:].strip():
        raise UnitError(text, wanted)
    if not 0 <= total <= MINUTES_A_MONTH:
        raise OutOfRangeError("length of time", text, "from 0 to a month")
    return _shorn(total)


def celsius(text: str) -> float:
    """Return a temperature in °C.

    Parameters
    ----------
    text
        Number and C or F; a bare number is refused.

    Returns
    -------
    float
        °C.

    Raises
    ------
    UnitError
        If it is no temperature.
    OutOfRangeError
        If it is below absolute zero.

    References
    ----------
    NIST SP 811 (2008), B.8: t/°C = (t/°F - 32)/1.8.

    Examples
    --------
    >>> celsius("110 C"), celsius("230 F"), celsius("4,5 °C")
    (110.0, 110.0, 4.5)
    """
    value = _measured(text, "temperature", "temperature, like 110 C or 230 F")
    if value < -273.15:
        raise OutOfRangeError("temperature", text, "above absolute zero")
    return value


def kelvins(text: str) -> float:
    """Return a temperature difference in K; 9 F of rise are 5 K, where 9 °F would be -12.8 °C.

    Examples
    --------
    >>> kelvins("5 C"), kelvins("9 F")
    (5.0, 5.0)
    """
    return _measured(text, "temperature difference", "temperature difference, like 5 C")


def fraction(text: str) -> float:
    """Return a percentage as a fraction; above 1 for what grows, as dry beans do when cooked.

    Raises
    ------
    UnitError
        If there is no percent sign: 0.08 might be meant as 0.08 %.
    OutOfRangeError
        If it is negative.

    Examples
    --------
    >>> fraction("8 %"), fraction("225 %")
    (0.08, 2.25)
    """
    value, word = _split(text, "percentage, like 8 %")
    if word != "%":
        raise UnitError(text, "percentage, like 8 %")
    return _not_negative(_shorn(value / 100), "percentage", text)


def power_kw(text: str) -> float:
    """Return a power in kW, zero or more.

    Examples
    --------
    >>> power_kw("12 kW"), round(power_kw("10000 BTU/h"), 2)
    (12.0, 2.93)
    """
    return _not_negative(_measured(text, "power", "power, like 12 kW"), "power", text)


def speed_kmh(text: str) -> float:
    """Return a wind speed in km/h, zero or more.

    Examples
    --------
    >>> speed_kmh("20 km/h"), speed_kmh("10 m/s")
    (20.0, 36.0)
    """
    return _not_negative(_measured(text, "speed", "speed, like 20 km/h"), "speed", text)


def per_minute(text: str) -> float:
    """Return a rate per minute, zero or more.

    Examples
    --------
    >>> per_minute("6 /min"), per_minute("360 per h")
    (6.0, 6.0)
    """
    return _not_negative(_measured(text, "rate", "rate, like 6 /min"), "rate", text)


def amount(text: str) -> tuple[float, str]:
    """Return how much of something, in kg, L, pieces or portions, whichever it is.

    Raises
    ------
    UnitError
        If it is neither a weight, a volume nor a count.
    OutOfRangeError
        If it is negative.

    Examples
    --------
    >>> amount("978 g"), amount("1 L"), amount("4 pieces")
    ((0.978, 'kg'), (1.0, 'L'), (4.0, 'pieces'))
    """
    wanted = "weight, volume or count, like 1.9 kg, 1 L or 4 pieces"
    value, word = _split(text, wanted)
    if word in _COUNTS:
        return _not_negative(value, "count", text), _COUNTS[word]
    kind, unit = ("mass", "kg") if word in _WORDS["mass"] else ("volume", "L")
    return _not_negative(_converted(value, word, kind, text, wanted), "amount", text), unit
