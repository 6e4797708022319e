"""Curing salt: ingoing nitrite in parts per million, by the federal formulas.

The legal limit is a hard stop. Below it nothing is cleared: curing is licensed practice, and the
strength of the curing salt must be read off its label, because 6.25 % and 5.88 % and 0.6 % are
all sold under names that sound alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.errors import OutOfRangeError
from core.model import Source
from core.tables.quantities import rows, source_of

US_CURE_NO_1 = 0.0625
"""Nitrite in the pink curing salt sold in the US; elsewhere 0.0588 or 0.005 to 0.006."""


class Product(StrEnum):
    """What is cured and how; the names of the limit table."""

    COMMINUTED = "comminuted (sausage)"
    IMMERSION = "immersion or pumped, not bacon"
    DRY = "dry cured, not bacon"
    BACON_WET = "bacon, pumped or massaged or immersion"
    BACON_DRY = "bacon, dry cured"


@dataclass(frozen=True, slots=True)
class Limit:
    """The most nitrite that may go in, ppm of the raw weight."""

    product: Product
    ppm: float
    source: Source


def limit_of(product: Product) -> Limit:
    """Return the legal limit of a product.

    Examples
    --------
    >>> limit_of(Product.COMMINUTED).ppm
    156.0
    """
    found = next(r for r in rows("cures", "limits") if r["product"] == product.value)
    return Limit(product, float(found["nitrite_ppm"]), source_of("cures", found))


def _checked(cure: float, nitrite: float, base: float) -> None:
    if not cure >= 0:
        raise OutOfRangeError("curing salt", cure, "0 or more")
    if not 0 < nitrite <= 1:
        raise OutOfRangeError("nitrite", f"{nitrite * 100:g} %", "above 0 and at most 100 %")
    if not base > 0:
        raise OutOfRangeError("meat", base, "above 0")


def dry_ppm(cure_kg: float, nitrite: float, meat_kg: float) -> float:
    """Ingoing nitrite of a dry cure or a sausage mix, ppm.

    Parameters
    ----------
    cure_kg
        Curing salt, kg.
    nitrite
        Nitrite in it as a fraction: 0.0625, not 6.25.
    meat_kg
        Raw (green) weight, kg; never the finished weight.

    References
    ----------
    USDA FSIS Directive 7620.3, Processing Inspectors' Calculations Handbook, p. 15.

    Examples
    --------
    >>> round(dry_ppm(0.00192, US_CURE_NO_1, 1.0), 1)
    120.0
    """
    _checked(cure_kg, nitrite, meat_kg)
    return cure_kg * nitrite * 1e6 / meat_kg


def pumped_ppm(cure_kg: float, nitrite: float, pump: float, pickle_kg: float) -> float:
    """Ingoing nitrite of a pumped piece, ppm.

    Parameters
    ----------
    cure_kg, nitrite
        Curing salt in the pickle, kg, and its nitrite fraction.
    pump
        Pickle pumped in over raw weight, a fraction: 0.10 for a ten percent pump.
    pickle_kg
        The whole pickle with all that is in it, kg.

    References
    ----------
    USDA FSIS Directive 7620.3, p. 19.

    Examples
    --------
    >>> round(pumped_ppm(0.06, 1.0, 0.20, 100), 1)
    120.0
    """
    _checked(cure_kg, nitrite, pickle_kg)
    if not 0 < pump < 1:
        raise OutOfRangeError("pump", f"{pump * 100:g} %", "above 0 and below 100 %")
    return cure_kg * nitrite * pump * 1e6 / pickle_kg


def immersion_ppm(cure_kg: float, nitrite: float, meat_kg: float, pickle_kg: float) -> float:
    """Ingoing nitrite of an immersed piece at equilibrium, ppm of meat and pickle.

    References
    ----------
    USDA FSIS Directive 7620.3, p. 22 (method two).

    Examples
    --------
    >>> round(immersion_ppm(0.0144, US_CURE_NO_1, 5.0, 2.5), 1)
    120.0
    """
    _checked(cure_kg, nitrite, meat_kg)
    if not pickle_kg >= 0:
        raise OutOfRangeError("pickle", f"{pickle_kg} kg", "0 or more")
    return cure_kg * nitrite * 1e6 / (meat_kg + pickle_kg)


def dry_cure_kg(ppm: float, nitrite: float, meat_kg: float) -> float:
    """Curing salt for so many ppm in a dry cure, kg; the inverse of `dry_ppm`.

    Examples
    --------
    >>> round(dry_cure_kg(120, US_CURE_NO_1, 1.0) * 1000, 2)
    1.92
    """
    _checked(0, nitrite, meat_kg)
    if not ppm > 0:
        raise OutOfRangeError("nitrite", f"{ppm:g} ppm", "above 0")
    return ppm * meat_kg / (nitrite * 1e6)


def over_limit(ppm: float, product: Product) -> bool:
    """Say whether so many ppm may not go in.

    Notes
    -----
    Limits are printed in whole ppm; the ounce form of the sausage limit, 1/4 oz in 100 lb, is
    156.25 and is the same limit as 156. Half a digit is allowed for that and no more.

    Examples
    --------
    >>> over_limit(156.25, Product.COMMINUTED), over_limit(157, Product.COMMINUTED)
    (False, True)
    """
    return ppm >= limit_of(product).ppm + 0.5
