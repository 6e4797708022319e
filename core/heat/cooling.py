"""Hot food cooling in a pan, by depth: in air, by a fan, on ice, stirred or left alone.

A forecast never clears anything: it says whether a depth can make a cooling limit at all. Only a
reading shows that it did.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.errors import OutOfRangeError
from core.model import Source
from core.tables.heat import heat_table

Array = NDArray[np.float64]

_K, _RHO_C = 0.50, 3.8e6  # thick wet food: beans, stew, sauce; W/(m K), J/(m³ K)
_CELLS = 40
DEPTH_CM = (0.5, 60.0)

FIRST_STAGE_MIN, ALL_MIN = 120.0, 360.0
"""Two-stage cooling: 57 to 21 °C within 2 h, to 5 °C within 6 h in all (FDA Food Code 3-501.14)."""

_FROM_C = 57.0


@dataclass(frozen=True, slots=True)
class Within:
    """Minutes: at best, likely, at worst; None where it does not get there."""

    fast: float | None
    likely: float | None
    slow: float | None


@dataclass(frozen=True, slots=True)
class CoolingForecast:
    """Minutes from 57 °C (or from the start, where that is colder) to 21 and to 5 °C."""

    to_21: Within
    to_5: Within
    source: Source

    @property
    def two_stage(self) -> bool | None:
        """Tell whether this way makes both limits of two-stage cooling: None where it may."""
        at_worst, at_best = (self.to_21.slow, self.to_5.slow), (self.to_21.fast, self.to_5.fast)
        limits = (FIRST_STAGE_MIN, ALL_MIN)
        if all(x is not None and x <= cap for x, cap in zip(at_worst, limits, strict=True)):
            return True
        if any(x is None or x > cap for x, cap in zip(at_best, limits, strict=True)):
            return False
        return None


def pan_minutes(
    depth_cm: float,
    targets_c: tuple[float, ...],
    start_c: float,
    top: tuple[float, float],
    bottom: tuple[float, float],
    mixed: bool = False,
) -> tuple[float | None, ...]:
    """Return when the warmest place of a pan is down to each temperature, minutes.

    Parameters
    ----------
    depth_cm
        Depth of the food, cm.
    targets_c
        °C.
    start_c
        °C, one temperature all through.
    top, bottom
        Film coefficient W/(m² K) and what is beyond it, °C.
    mixed
        Stirred: one temperature all through, all the time.

    Returns
    -------
    tuple
        None where it does not get there. The sides of the pan are left out: the slow, safe side.

    References
    ----------
    Conduction through a slab with two films (Carslaw & Jaeger), exact in time by its modes.

    Examples
    --------
    >>> pan_minutes(5.0, (21.0,), 57.0, (10.0, 3.0), (10.0, 3.0))[0] / 60 < 4
    True
    """
    if mixed:
        return _mixed_minutes(depth_cm, targets_c, start_c, top, bottom)
    depth = depth_cm / 100
    width = depth / _CELLS
    inner = _K / width
    ends = [1.0 / (1.0 / max(film, 1e-6) + width / 2 / _K) for film in (bottom[0], top[0])]
    matrix = np.diag(np.full(_CELLS, 2 * inner))
    matrix -= np.diag(np.full(_CELLS - 1, inner), 1) + np.diag(np.full(_CELLS - 1, inner), -1)
    matrix[0, 0] += ends[0] - inner
    matrix[-1, -1] += ends[1] - inner
    push = np.zeros(_CELLS)
    push[0], push[-1] = ends[0] * bottom[1], ends[1] * top[1]
    steady = np.linalg.solve(matrix, push)
    rates, modes = np.linalg.eigh(matrix / (_RHO_C * width))
    start = modes.T @ (start_c - steady)

    def warmest(seconds: float) -> float:
        return float((steady + modes @ (start * np.exp(-rates * seconds))).max())

    return tuple(_falls_to(warmest, target, 1.0 / float(rates[0])) for target in targets_c)


def _falls_to(warmest: Callable[[float], float], target: float, scale_s: float) -> float | None:
    """Return when a falling temperature reaches the target, minutes, by bisection."""
    low, high = 0.0, scale_s
    while warmest(high) > target:
        low, high = high, 2 * high
        if high > 60 * scale_s:
            return None
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if warmest(middle) > target else (low, middle)
    return high / 60


def _mixed_minutes(
    depth_cm: float,
    targets_c: tuple[float, ...],
    start_c: float,
    top: tuple[float, float],
    bottom: tuple[float, float],
) -> tuple[float | None, ...]:
    films = top[0] + bottom[0]
    around = (top[0] * top[1] + bottom[0] * bottom[1]) / films
    scale = _RHO_C * depth_cm / 100 / films / 60
    left = [(target - around) / (start_c - around) for target in targets_c]
    return tuple(max(-scale * float(np.log(x)), 0.0) if x > 0 else None for x in left)


def cooling_forecast(
    depth_cm: float, on_ice: bool, stirred: bool, start_c: float, air_c: float, fan: bool = False
) -> CoolingForecast:
    """Return how long food in a pan takes to cool, with an honest band.

    Parameters
    ----------
    depth_cm
        Depth of the food, cm, 0.5 to 60.
    on_ice
        The pan stands in ice slush; else on a rack with air on both sides, at worst on a shelf.
    stirred
        Every ten minutes or so.
    start_c
        °C, -5 to 110.
    air_c
        Air around it, °C.
    fan
        Moving air.

    Returns
    -------
    CoolingForecast
        Minutes from 57 °C on. Never a verdict: only a reading shows that food has cooled.

    Raises
    ------
    OutOfRangeError
        If the depth or a temperature cannot be.

    Examples
    --------
    >>> cooling_forecast(4.0, on_ice=True, stirred=True, start_c=90, air_c=4).two_stage
    True
    >>> cooling_forecast(30.0, on_ice=False, stirred=False, start_c=90, air_c=4).two_stage
    False
    """
    least, most = DEPTH_CM
    if not least <= depth_cm <= most:
        raise OutOfRangeError("depth", f"{depth_cm:g} cm", f"{least:g} to {most:g} cm")
    if not (-5 <= start_c <= 110 and -30 <= air_c <= 60):
        raise OutOfRangeError("temperature", f"{start_c:g} and {air_c:g} °C", "of a kitchen")
    table = heat_table("rules")["cooling"]
    air = table["fan"] if fan else table["air"]
    begin = min(start_c, _FROM_C)

    def ways(below: int, above: int) -> tuple[float | None, ...]:
        under = _bottom(table, air, below, on_ice, stirred, air_c)
        return pan_minutes(depth_cm, (21.0, 5.0), begin, (air[above], air_c), under, stirred)

    # Warm air helps hot food and hinders nearly cold food: at best and at worst, try both films.
    best, likely, worst = (ways(2, 0), ways(2, 2)), ways(1, 1), (ways(0, 0), ways(0, 2))
    first, second = (
        Within(_soonest(best[0][i], best[1][i]), likely[i], _latest(worst[0][i], worst[1][i]))
        for i in (0, 1)
    )
    title = heat_table("rules")["sources"][table["source"]]
    source = Source("cooling", title, "", table["status"])
    return CoolingForecast(first, second, source)


def _soonest(one: float | None, other: float | None) -> float | None:
    return min((x for x in (one, other) if x is not None), default=None)


def _latest(one: float | None, other: float | None) -> float | None:
    return None if one is None or other is None else max(one, other)


def _bottom(
    table: Mapping[str, Any], air: list[float], way: int, on_ice: bool, stirred: bool, air_c: float
) -> tuple[float, float]:
    """Return film and temperature below the pan at best (2), likely (1) and worst (0)."""
    if not on_ice:
        return air[way] * (0.2, 0.7, 1.0)[way], air_c
    ice = table["ice"][way]
    if stirred:
        ice = 1.0 / (1.0 / ice + 1.0 / table["stirred"][way])
    return ice, 0.0
