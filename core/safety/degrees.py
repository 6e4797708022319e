"""Temperatures as they were read, and limits as they are printed.

American documents print °F and round to °C; others print °C only. A reading is judged by the
figure printed in its own unit, so that 57 °C and 135 °F both meet the limit that prints both, and
134.9 °F does not.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.errors import OutOfRangeError
from core.model import Qty
from core.tables import Row

_EPS = 1e-9  # °F to °C and back costs the last bits of a float


@dataclass(frozen=True, slots=True)
class Degrees:
    """A temperature, °C; `fahrenheit` when the thermometer was read in °F."""

    c: float
    fahrenheit: bool = False

    @property
    def f(self) -> float:
        """Return it in °F, shorn of float dust."""
        return round(self.c * 9 / 5 + 32, 6)

    def words(self) -> Qty:
        """Return it in the unit it was read in."""
        return Qty(self.f, "°F") if self.fahrenheit else Qty(self.c, "°C")


def of_f(value: float) -> Degrees:
    """Return a temperature that was read in °F.

    Examples
    --------
    >>> of_f(158).c
    70.0
    """
    return Degrees((value - 32) / 1.8, fahrenheit=True)


FOOD_C = (-40.0, 120.0)
"""What food can be (own bounds): outside it the probe or the unit is at fault."""


def is_food_temperature(read: Degrees) -> bool:
    """Say whether food can be so cold or hot; a reading that is no number is none either."""
    return FOOD_C[0] <= read.c <= FOOD_C[1]


def core_reading(value: float, *, fahrenheit: bool | None = None) -> Degrees:
    """Return a core temperature; a bare number no meat can have in °C was read in °F.

    Parameters
    ----------
    value
        What the thermometer showed.
    fahrenheit
        Its unit if it was said, None for a bare number.

    Raises
    ------
    OutOfRangeError
        Below -40 °C or above 120 °C: no core of food is there, the probe is at fault.

    Examples
    --------
    >>> core_reading(165).fahrenheit, core_reading(74).fahrenheit
    (True, False)
    """
    bare_f = fahrenheit is None and value > 105.0  # wet food cannot pass the boiling of water
    read = of_f(value) if fahrenheit or bare_f else Degrees(value)
    if not is_food_temperature(read):
        raise OutOfRangeError("core", f"{value:g}", "between -40 and 120 °C")
    return read


@dataclass(frozen=True, slots=True)
class Limit:
    """A printed temperature: °C, and °F where the document prints it."""

    c: float
    f: float | None = None

    def reached(self, read: Degrees) -> bool:
        """Say whether a reading is at or above the limit.

        Examples
        --------
        >>> Limit(57.0, 135).reached(Degrees(57.0)), Limit(57.0, 135).reached(of_f(134.9))
        (True, False)
        """
        if read.fahrenheit and self.f is not None:
            return read.f >= self.f - _EPS
        return read.c >= self.c - _EPS

    def kept(self, read: Degrees) -> bool:
        """Say whether a reading is at or below the limit."""
        if read.fahrenheit and self.f is not None:
            return read.f <= self.f + _EPS
        return read.c <= self.c + _EPS

    def words(self, like: Degrees | None = None) -> Qty:
        """Return the limit in the unit of the reading it is held against."""
        if like is not None and like.fahrenheit:
            value = self.f if self.f is not None else round(self.c * 9 / 5 + 32, 1)
            return Qty(value, "°F")
        return Qty(self.c, "°C")


def limit_in(row: Row, key: str) -> Limit:
    """Return the limit a row prints under `key`: 'max' reads max_c and, where printed, max_f."""
    return Limit(float(row[f"{key}_c"]), float(row[f"{key}_f"]) if f"{key}_f" in row else None)
