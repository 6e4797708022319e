"""What a text with a unit measures: a weight, a length of time, a temperature."""

from __future__ import annotations

import re

from core.errors import OutOfRangeError, UnitError
from core.units.convert import (
    LONGEST,
    NUMBER,
    converted,
    measured,
    not_negative,
    number,
    shorn,
    split,
)
from core.units.words import COUNTS, WORDS

_DURATION_PART = re.compile(rf"\s*({NUMBER})\s*([^\W\d_]+)")
_HOURS_AND_MINUTES = re.compile(r"\s*([0-9]+)\s*[hH]\s*([0-5][0-9])\s*")
_RECTANGLE = re.compile(rf"\s*({NUMBER})\s*[xX×]\s*({NUMBER})\s*(\S.*?)\s*")

MINUTES_A_MONTH = 31 * 24 * 60.0


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
    return not_negative(measured(text, "mass", "weight"), "weight", text)


def volume_l(text: str, *, imperial: bool = False) -> float:
    """Return a volume in L; `gal qt pt cup fl oz tbsp tsp` are US, `imperial gal` is not.

    Parameters
    ----------
    text
        Number and unit.
    imperial
        Whether a bare `gal`, `qt`, `pt` or `fl oz` is meant the British way.

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
    >>> volume_l("1 pt", imperial=True)
    0.56826125
    """
    value, word = split(text, "volume")
    if imperial and f"imperial {word}" in WORDS["volume"]:
        word = f"imperial {word}"
    return not_negative(converted(value, word, "volume", text, "volume"), "volume", text)


def length_cm(text: str) -> float:
    """Return a length in cm, zero or more.

    Examples
    --------
    >>> length_cm("25 mm"), length_cm("1 in")
    (2.5, 2.54)
    """
    return not_negative(measured(text, "length", "length"), "length", text)


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
    match = _RECTANGLE.fullmatch(text) if len(text) <= LONGEST else None
    if match is None:
        raise UnitError(text[:LONGEST], wanted)
    word = match[3].casefold()
    width, depth = (
        converted(number(side, text, wanted), word, "length", text, wanted)
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
    if len(text) > LONGEST:
        raise UnitError(text[:LONGEST], wanted)
    if clock := _HOURS_AND_MINUTES.fullmatch(text):
        text = f"{clock[1]} h {clock[2]} min"
    total, at = 0.0, 0
    while match := _DURATION_PART.match(text, at):
        if total and match[1][0] in "+-":
            raise UnitError(text, wanted)
        part = number(match[1], text, wanted)
        total += converted(part, match[2].casefold(), "time", text, wanted)
        at = match.end()
    if at == 0 or text[at:].strip():
        raise UnitError(text, wanted)
    if not 0 <= total <= MINUTES_A_MONTH:
        raise OutOfRangeError("length of time", text, "from 0 to a month")
    return shorn(total)


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
    value = measured(text, "temperature", "temperature, like 110 C or 230 F")
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
    return measured(text, "temperature difference", "temperature difference, like 5 C")


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
    value, word = split(text, "percentage, like 8 %")
    if word != "%":
        raise UnitError(text, "percentage, like 8 %")
    return not_negative(shorn(value / 100), "percentage", text)


def power_kw(text: str) -> float:
    """Return a power in kW, zero or more.

    Examples
    --------
    >>> power_kw("12 kW"), round(power_kw("10000 BTU/h"), 2)
    (12.0, 2.93)
    """
    return not_negative(measured(text, "power", "power, like 12 kW"), "power", text)


def speed_kmh(text: str) -> float:
    """Return a wind speed in km/h, zero or more.

    Examples
    --------
    >>> speed_kmh("20 km/h"), speed_kmh("10 m/s")
    (20.0, 36.0)
    """
    return not_negative(measured(text, "speed", "speed, like 20 km/h"), "speed", text)


def per_minute(text: str) -> float:
    """Return a rate per minute, zero or more.

    Examples
    --------
    >>> per_minute("6 /min"), per_minute("360 per h")
    (6.0, 6.0)
    """
    return not_negative(measured(text, "rate", "rate, like 6 /min"), "rate", text)


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
    value, word = split(text, wanted)
    if word in COUNTS:
        return not_negative(value, "count", text), COUNTS[word]
    kind, unit = ("mass", "kg") if word in WORDS["mass"] else ("volume", "L")
    return not_negative(converted(value, word, kind, text, wanted), "amount", text), unit
