"""Salt in water by the tables: salometer degrees, density, how much dissolves at all."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from core.errors import OutOfRangeError
from core.tables.quantities import rows

SATURATED = 0.26395
"""100 degrees of the salometer: salt by weight of the solution, saturated at 60 °F."""


def salometer_degrees(fraction: float) -> float:
    """Degrees of the salometer of a strength by weight of the solution.

    References
    ----------
    'The Salometer and How to Use It', salt industry sheet: 100 degrees are 26.395 % by weight.

    Examples
    --------
    >>> round(salometer_degrees(0.10558), 1)
    40.0
    """
    if not 0 <= fraction <= SATURATED + 1e-9:
        raise OutOfRangeError("strength", f"{fraction * 100:g} %", "from 0 to 26.395 %, saturated")
    return 100 * fraction / SATURATED


def strength_at(degrees: float) -> float:
    """Strength by weight of the solution at so many degrees.

    Examples
    --------
    >>> round(strength_at(40), 5)
    0.10558
    """
    if not 0 <= degrees <= 100:
        raise OutOfRangeError("salometer", f"{degrees:g}", "from 0 to 100 degrees")
    return SATURATED * degrees / 100


def _between(x: float, points: Sequence[tuple[float, float]]) -> float:
    """Return y on the straight line between the two nearest points."""
    at = min(max(bisect_right(points, (x, float("inf"))), 1), len(points) - 1)
    (x0, y0), (x1, y1) = points[at - 1], points[at]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def brine_kg_per_l(fraction: float) -> float:
    """Density of salt water at 20 °C, kg/L, between the printed points.

    Parameters
    ----------
    fraction
        Salt by weight of the solution, 0 to 0.22.

    References
    ----------
    CRC Handbook of Chemistry and Physics, aqueous NaCl at 20 °C.

    Examples
    --------
    >>> round(brine_kg_per_l(0.05), 4), round(brine_kg_per_l(0.055), 4)
    (1.034, 1.0376)
    """
    points = [(r["percent"] / 100, r["kg_per_l"]) for r in rows("salometer", "density")]
    if not points[0][0] <= fraction <= points[-1][0]:
        raise OutOfRangeError("strength", f"{fraction * 100:g} %", "from 0 to 22 %")
    return _between(fraction, points)


def most_that_dissolves(temp_c: float) -> float:
    """Strength of a saturated brine at a temperature, by weight of the solution.

    Parameters
    ----------
    temp_c
        0 to 100 °C.

    References
    ----------
    CRC Handbook of Chemistry and Physics, solubility of NaCl.

    Examples
    --------
    >>> round(most_that_dissolves(5), 4)
    0.263
    """
    points = [(float(r["temp_c"]), r["percent"] / 100) for r in rows("salometer", "saturation")]
    if not points[0][0] <= temp_c <= points[-1][0]:
        raise OutOfRangeError("temperature", f"{temp_c:g} °C", "from 0 to 100 °C")
    return _between(temp_c, points)


def salt_for_volume_kg(brine_l: float, fraction: float) -> float:
    """Salt in a finished volume of brine of a strength by weight, kg.

    Examples
    --------
    >>> round(salt_for_volume_kg(10, 0.05), 3)
    0.517
    """
    if not brine_l >= 0:
        raise OutOfRangeError("volume", f"{brine_l} L", "0 or more")
    return brine_l * brine_kg_per_l(fraction) * fraction


def strength_of_g_per_l(grams_per_l: float) -> float:
    """Strength by weight of a brine of so many grams of salt in a litre of finished brine.

    Examples
    --------
    >>> round(strength_of_g_per_l(51.7), 4)
    0.05
    """
    if not 0 <= grams_per_l <= 256:
        raise OutOfRangeError("strength", f"{grams_per_l:g} g/L", "from 0 to 256 g/L")
    low, high = 0.0, 0.22
    for _ in range(60):  # halving: the density rises with the strength, so there is one answer
        middle = (low + high) / 2
        low, high = (
            (middle, high)
            if brine_kg_per_l(middle) * middle * 1000 < grams_per_l
            else (low, middle)
        )
    return (low + high) / 2
