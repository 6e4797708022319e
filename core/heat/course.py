"""What happens around a piece over time: the fire's temperature, wrapping, flips, the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from core.errors import OutOfRangeError

Array = NDArray[np.float64]

PIT_VAPOUR = 0.02
"""Vapour in the air of a fire, kg/m³; from 0.02 to 0.05 changes a cook by about a hundredth."""

ROOM_VAPOUR = 0.008

REST_WET = 0.6
"""How wet resting, uncovered food is: 1 a water surface, 0 dry; juices gather on what rests."""

COVERED_WET = 0.15
"""The same under a loose cover, which lets some steam out."""


class Stage(StrEnum):
    """What the surface meets."""

    FIRE = "fire"
    WRAPPED = "wrapped"
    REST = "rest"
    COVERED = "covered"


@dataclass(frozen=True, slots=True)
class Leg:
    """From `start_s` on: on the fire, wrapped in it, or resting in air of `air_c` with `film`.

    A fire's air comes from the log of the fire; only a rest has its own.
    """

    start_s: float
    stage: Stage = Stage.FIRE
    air_c: float | None = None
    film_w_m2k: float | None = None


@dataclass(frozen=True, slots=True)
class Course:
    """The same thing in time steps: arrays have one entry a step, `times_s` one more.

    `low_c` is what the grate side of a two-faced piece meets. `film` is not a number on the fire,
    where each member has its own. `wet` multiplies the member's wetness on the fire and stands
    alone in a rest. `damped` steps are backward Euler,
    two halves after every jump, so that Crank-Nicolson does not ring.
    """

    times_s: Array
    air_c: Array
    low_c: Array
    on_fire: NDArray[np.bool_]
    film: Array
    wet: Array
    vapour: Array
    damped: NDArray[np.bool_]
    turned: NDArray[np.bool_]

    @property
    def steps_s(self) -> Array:
        """Return the length of each step, s."""
        return np.diff(self.times_s)


def _grid(
    start_s: float, until_s: float, jumps: Sequence[float], step_s: float
) -> tuple[Array, NDArray[np.bool_]]:
    """Return step ends and which steps are damped."""
    marks = [start_s, *sorted({t for t in jumps if start_s < t < until_s}), until_s]
    times = [np.array([start_s])]
    damped: list[NDArray[np.bool_]] = []
    for low, high in pairwise(marks):
        count = max(int(np.ceil((high - low) / step_s - 1e-9)), 1)
        ends = low + (high - low) * np.arange(1, count + 1) / count
        first = low + (high - low) / count / 2
        times.append(np.concatenate(([first], ends)))
        damped.append(np.array([True, True] + [False] * (count - 1)))
    return np.concatenate(times), np.concatenate(damped)


def course(
    until_s: float,
    step_s: float,
    fire: tuple[Sequence[float], Sequence[float]],
    legs: Sequence[Leg] = (Leg(0.0),),
    turns_s: Sequence[float] = (),
    start_s: float = 0.0,
    jumped: bool = True,
    grate: tuple[Sequence[float], Sequence[float]] | None = None,
) -> Course:
    """Return the time steps of a cook, or of a part of it.

    Parameters
    ----------
    until_s, start_s
        Seconds since the food went on.
    step_s
        The longest step; about a 150th of the cook gives 0.02 °C.
    fire
        Knots of the fire's temperature: seconds, °C. Straight between, level beyond.
    legs
        What the surface meets from when on, the earliest first.
    turns_s
        When the piece is turned over.
    jumped
        Whether something jumps at the start of this part; False continues an earlier one.
    grate
        Knots of what the lower face meets, where that is not the fire's air.

    Examples
    --------
    >>> course(120, 60, ([0.0], [110.0])).times_s.tolist()
    [0.0, 30.0, 60.0, 120.0]
    """
    if not (0 <= start_s < until_s and step_s > 0):
        raise OutOfRangeError("time", f"{start_s:g} to {until_s:g} s", "forwards, from 0")
    jumps = [*turns_s, *(leg.start_s for leg in legs)]
    times, damped = _grid(start_s, until_s, jumps, step_s)
    if not jumped:
        damped[:2] = False
    middle = (times[1:] + times[:-1]) / 2
    which = np.searchsorted(np.array([leg.start_s for leg in legs]), middle, side="right") - 1
    which = np.maximum(which, 0)
    air = np.interp(middle, fire[0], fire[1])
    low = air if grate is None else np.interp(middle, grate[0], grate[1])
    own = np.array([np.nan if leg.air_c is None else leg.air_c for leg in legs])[which]
    burning = np.array([leg.stage in {Stage.FIRE, Stage.WRAPPED} for leg in legs])[which]
    return Course(
        times_s=times,
        air_c=np.where(np.isnan(own), air, own),
        low_c=np.where(np.isnan(own), low, own),
        on_fire=burning,
        film=np.array([leg.film_w_m2k or np.nan for leg in legs])[which],
        wet=np.array([_WET[leg.stage] for leg in legs])[which],
        vapour=np.where(burning, PIT_VAPOUR, ROOM_VAPOUR),
        damped=damped,
        turned=np.searchsorted(np.sort(np.array(turns_s)), middle) % 2 == 1,
    )


_WET = {Stage.FIRE: 1.0, Stage.WRAPPED: 0.0, Stage.REST: REST_WET, Stage.COVERED: COVERED_WET}
