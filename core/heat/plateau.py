"""What if: wrapped now, a hotter or a failed fire; how long a plateau may last.

Each answer is the same forecast under two futures, so that only the difference counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from core.heat.estimate import Forecast, estimate
from core.heat.pit import Pit
from core.heat.prior import Kind, Prior
from core.model import Piece, Reading, Step
from core.tables.heat import heat_row

_SLOW_K_MIN = 0.1  # K a minute; slower is a plateau


@dataclass(frozen=True, slots=True)
class Future:
    """A forecast as things stand, and the same with one thing changed.

    `saves_min` is how much sooner (negative: later) the likely pull comes, None where either
    cannot be forecast.
    """

    as_is: Forecast
    changed: Forecast

    @property
    def saves_min(self) -> float | None:
        """Return the minutes that the change saves."""
        first, second = self.as_is.pull_at, self.changed.pull_at
        if first is None or second is None:
            return None
        return (first - second).total_seconds() / 60


def if_wrapped(
    step: Step,
    piece: Piece,
    pit: Pit,
    readings: Sequence[Reading],
    start: datetime,
    now: datetime,
    prior: Prior | None = None,
) -> Future:
    """Return the forecast as it is, and with the piece wrapped now."""
    bare = replace(pit, wrap_c=None)
    as_is = estimate(step, piece, bare, readings, start, now, prior)
    wrapped = replace(bare, wrapped_at=pit.wrapped_at or now)
    return Future(as_is, estimate(step, piece, wrapped, readings, start, now, prior))


def if_fire(
    step: Step,
    piece: Piece,
    pit: Pit,
    readings: Sequence[Reading],
    start: datetime,
    now: datetime,
    then: Sequence[tuple[datetime, float]],
    prior: Prior | None = None,
) -> Future:
    """Return the forecast with the fire staying at its setting, and with the given way of it.

    Parameters
    ----------
    pit
        The fire; the part of its log after `now` is replaced in both futures.
    then
        Times and °C to come: an outage, a new setting, when it is back.
    """
    past = tuple(x for x in pit.log if x[0] <= now)
    steady = replace(pit, log=past)
    changed = replace(pit, log=(*past, *then), back_at=None)
    as_is = estimate(step, piece, steady, readings, start, now, prior)
    return Future(as_is, estimate(step, piece, changed, readings, start, now, prior))


def cost_of_log(
    step: Step,
    piece: Piece,
    pit: Pit,
    start: datetime,
    now: datetime,
    prior: Prior | None = None,
) -> float | None:
    """Return what the log of the fire costs against a fire that held its setting, minutes.

    Notes
    -----
    An outage costs the heat it kept from the food, not its own length: what the piece has
    taken in goes on to the core.
    """
    held = replace(pit, log=(), back_at=None)
    without = estimate(step, piece, held, (), start, now, prior)
    with_log = estimate(step, piece, pit, (), start, now, prior)
    if without.pull_at is None or with_log.pull_at is None:
        return None
    return (with_log.pull_at - without.pull_at).total_seconds() / 60


def on_plateau(made: Forecast, kind: Kind) -> bool:
    """Tell whether a core stands on the plateau of a low-and-slow cook."""
    row = heat_row("rules", "rules", "stall")
    inside = row["low_c"] - 3 <= made.now_c <= row["high_c"] + 3
    return kind is Kind.SMOKER and inside and made.rate_k_min < _SLOW_K_MIN
