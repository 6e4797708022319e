"""What a typed line can be made of. `text` is always what was typed, for the echo."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Time:
    """A time of day; `ambiguous` where it may be morning or evening ('6:30')."""

    hour: int
    minute: int
    ambiguous: bool
    text: str


@dataclass(frozen=True, slots=True)
class Num:
    """A bare number; `alternatives` its other readings, `clock` the time it may also be.

    '1.200' is 1200 with the alternative 1.2; '1830' before a noun is 1830 or half past six.
    """

    value: float
    text: str
    alternatives: tuple[float, ...] = ()
    clock: Time | None = None


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with a unit, the unit as the trade spells it: kg g mg lb oz, L mL cL gal qt pt
    cup tbsp tsp 'fl oz', cm mm m in ft, °C °F °, %, min h s day, kW W, ppm, km/h. '°' alone
    means degrees of an unknown scale.
    """

    value: float
    unit: str
    text: str
    alternatives: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Range:
    """From low to high: '10-15 min'; the unit is '' where none was typed."""

    low: float
    high: float
    unit: str
    text: str


@dataclass(frozen=True, slots=True)
class Ratio:
    """Parts to parts, in the order typed: '5:1', '1:5', 'uno por cinco'."""

    a: float
    b: float
    text: str


@dataclass(frozen=True, slots=True)
class Size:
    """A rectangle, '45x60'; the unit is '' where none was typed."""

    a: float
    b: float
    unit: str
    text: str


@dataclass(frozen=True, slots=True)
class Fraction:
    """So many of so many: '4/5', as typed."""

    a: int
    b: int
    text: str


@dataclass(frozen=True, slots=True)
class Delta:
    """A change by, never to: '+40', '40 mas', 'minus 5'; with a unit in '+5 min'."""

    value: float
    unit: str
    text: str


@dataclass(frozen=True, slots=True)
class Times:
    """So many times: 'x2', 'double', 'half'."""

    value: float
    text: str


@dataclass(frozen=True, slots=True)
class Ordinal:
    """A place in a row: '2nd', 'la segunda'; 'last' is -1."""

    value: int
    text: str


@dataclass(frozen=True, slots=True)
class Ago:
    """So long ago: '5 min ago', 'hace 5 min', 'just now' is 0."""

    minutes: float
    text: str


@dataclass(frozen=True, slots=True)
class Word:
    """A word, sign or emoji. `canonical` is the concept it stands for, else the folded word.

    `known` says that it is one of the trade's words, `near` that it took a forgiven typo.
    """

    text: str
    canonical: str
    lang: str | None = None
    known: bool = False
    near: bool = False


Token = (
    Num | Quantity | Range | Ratio | Size | Time | Fraction | Delta | Times | Ordinal | Ago | Word
)
