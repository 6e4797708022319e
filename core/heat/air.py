"""Moist air at a wet surface: vapour pressure, wet bulb, how fast water leaves."""

from __future__ import annotations

from math import exp, log

import numpy as np
from numpy.typing import NDArray

from core.errors import OutOfRangeError

Array = NDArray[np.float64]

HFG = 2.34e6
"""Heat to evaporate water from a hot surface, J/kg."""

_LEWIS = 0.92
"""Lewis number to the two thirds, water vapour in air."""

_R_VAPOUR = 461.5
_SEA_LEVEL_PA = 101_325.0


def saturation_pa(at_c: float) -> float:
    """Return the vapour pressure over water.

    Parameters
    ----------
    at_c
        °C, 0 to 200.

    References
    ----------
    Hyland & Wexler 1983, as printed in the ASHRAE Handbook - Fundamentals, psychrometrics.

    Examples
    --------
    >>> round(saturation_pa(100.0), -2)
    101400.0
    """
    t = at_c + 273.15
    return exp(
        -5.8002206e3 / t
        + 1.3914993
        - 4.8640239e-2 * t
        + 4.1764768e-5 * t * t
        - 1.4452093e-8 * t**3
        + 6.5459673 * log(t)
    )


def vapour_density(at_c: Array) -> tuple[Array, Array]:
    """Return saturated vapour density, kg/m³, and its slope, kg/(m³ K).

    Parameters
    ----------
    at_c
        °C, 0 to 150; Antoine's equation, within 0.5 % and much faster than the handbook's.

    Examples
    --------
    >>> density, _ = vapour_density(np.array([100.0]))
    >>> round(float(density[0]), 3)
    0.588
    """
    over = at_c + 233.426
    kelvin = at_c + 273.15
    density = (133.322 / _R_VAPOUR) * np.exp(18.584877 - 3984.9228 / over) / kelvin
    return density, density * (3984.9228 / (over * over) - 1.0 / kelvin)


def mass_transfer(film_w_m2k: Array, air_c: Array) -> Array:
    """Return how readily vapour leaves, m/s, by the Lewis relation."""
    rho_c = 353.0 / (air_c + 273.15) * 1008.0  # air at 1 atm: 353 kg K/m³ over T; J/(kg K)
    return np.asarray(film_w_m2k / (rho_c * _LEWIS))


def boiling_c(altitude_m: float = 0.0) -> float:
    """Return where water boils.

    Parameters
    ----------
    altitude_m
        m above the sea, -500 to 5,000; standard atmosphere.

    References
    ----------
    Common practice: 95 °C at 1,500 m.

    Examples
    --------
    >>> round(boiling_c(1500))
    95
    """
    if not -500 <= altitude_m <= 5000:
        raise OutOfRangeError("altitude", f"{altitude_m:g} m", "-500 to 5,000 m")
    wanted = _SEA_LEVEL_PA * (1 - 2.25577e-5 * altitude_m) ** 5.25588
    low, high = 70.0, 110.0
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if saturation_pa(middle) < wanted else (low, middle)
    return low


def wet_bulb_c(air_c: float, humidity_ratio: float, pressure_pa: float = _SEA_LEVEL_PA) -> float:
    """Return the temperature a wet thermometer falls to.

    Parameters
    ----------
    air_c
        °C, 0 to 200.
    humidity_ratio
        kg of vapour a kg of dry air.
    pressure_pa
        Pa.

    Notes
    -----
    In a smoker this is 36 to 46 °C: a plateau of the core at 65 to 75 °C is not the wet bulb.

    References
    ----------
    ASHRAE Handbook - Fundamentals, psychrometrics, wet bulb above freezing.

    Examples
    --------
    >>> round(wet_bulb_c(121.0, 0.02), 1)
    41.8
    """
    low, high = 0.0, min(air_c, 99.0)
    for _ in range(60):
        wet = (low + high) / 2
        pressure = saturation_pa(wet)
        saturated = 0.621945 * pressure / (pressure_pa - pressure)
        ratio = ((2501 - 2.326 * wet) * saturated - 1.006 * (air_c - wet)) / (
            2501 + 1.86 * air_c - 4.186 * wet
        )
        low, high = (wet, high) if ratio < humidity_ratio else (low, wet)
    return (low + high) / 2


def humidity_ratio(air_c: float, relative: float, pressure_pa: float = _SEA_LEVEL_PA) -> float:
    """Return kg of vapour a kg of dry air at a relative humidity of 0 to 1.

    Examples
    --------
    >>> round(humidity_ratio(20.0, 0.5), 4)
    0.0073
    """
    vapour = relative * saturation_pa(air_c)
    return 0.621945 * vapour / (pressure_pa - vapour)
