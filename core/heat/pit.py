"""The fire as the crew knows it: what it was set to, what its thermometer said, what is planned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from core.heat.air import boiling_c
from core.heat.course import Leg, Stage
from core.heat.prior import Kind

_SWING_MIN = 10.0  # a lone reading far off the last is taken to have come about in so long
_SWING_K = 8.0
_LID_SHARE, _LID_MIN = 0.6, 1.0  # of its heat over the air outside an opened pit loses, how soon
RECOVERY_MIN = 10.0
"""From lid shut to back at its temperature, a healthy fire; common practice, 8 to 12 min."""


@dataclass(frozen=True, slots=True)
class Pit:
    """A fire: its class, what it is set to, its log, and when it is expected back if it is down.

    `log` may hold times to come, as planned. `wrapped_at` says since when the piece is wrapped,
    `wrap_c` at which core it is going to be. `air_c` is where the piece will rest, `covered` how.
    `lids` are the moments the lid was opened; a reading soon after outranks what is assumed of
    them. `slower` is how much longer weather makes a tested step, where only the card can tell.
    """

    kind: Kind
    set_c: float
    log: tuple[tuple[datetime, float], ...] = ()
    back_at: datetime | None = None
    wrapped_at: datetime | None = None
    wrap_c: float | None = None
    wind_kmh: float = 0.0
    altitude_m: float = 0.0
    air_c: float = 20.0
    covered: bool = False
    lids: tuple[datetime, ...] = ()
    recovery_min: float = RECOVERY_MIN
    slower: float = 1.0

    @property
    def boils_c(self) -> float:
        """Return where water boils at the site, °C."""
        return boiling_c(self.altitude_m)

    def fire(self, start: datetime) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Return the knots of the fire's temperature: seconds since `start`, °C."""
        knots = [(start, self.set_c)]
        for at, value in sorted(self.log):
            before, was = knots[-1]
            swing = timedelta(minutes=_SWING_MIN)
            if abs(value - was) > _SWING_K and at - before > swing * 1.5:
                knots.append((at - swing, was))
            if at <= before:
                knots.pop()
            knots.append((at, value))
        if self.back_at is not None and self.back_at > knots[-1][0]:
            knots.append((self.back_at, self.set_c))
        knots = self._opened(knots, start)
        return tuple((at - start).total_seconds() for at, _ in knots), tuple(c for _, c in knots)

    def _opened(
        self, knots: list[tuple[datetime, float]], start: datetime
    ) -> list[tuple[datetime, float]]:
        """Return the knots with the dip of each opened lid that no reading shows by itself."""
        back = timedelta(minutes=max(self.recovery_min, 2 * _LID_MIN))
        for lid in self.lids:
            if lid < start or any(lid <= at <= lid + back for at, _ in self.log):
                continue
            was, then = _between(knots, lid), _between(knots, lid + back)
            low = was - _LID_SHARE * max(was - self.air_c, 0.0)
            kept = [knot for knot in knots if not lid <= knot[0] <= lid + back]
            dip = [(lid, was), (lid + timedelta(minutes=_LID_MIN), low), (lid + back, then)]
            knots = sorted([*kept, *dip])
        return knots

    def hottest_ahead(self, now: datetime) -> float:
        """Return the hottest the fire is known or planned to be from now on, °C."""
        ahead = [c for at, c in self.log if at >= now]
        if self.back_at is not None or not self.log:
            ahead.append(self.set_c)
        last = [c for at, c in sorted(self.log) if at < now][-1:]
        return max(ahead + last)

    def legs(self, start: datetime) -> tuple[Leg, ...]:
        """Return what the surface meets from when on."""
        bare = (Leg(0.0),)
        if self.wrapped_at is None:
            return bare
        since = max((self.wrapped_at - start).total_seconds(), 0.0)
        return (*bare, Leg(since, Stage.WRAPPED)) if since else (Leg(0.0, Stage.WRAPPED),)

    def rest(self) -> Leg:
        """Return the rest after pulling: bare or covered, in still air or wind."""
        film = 7.5 if self.covered else 11.0
        film += min(self.wind_kmh, 60.0) / 3.6 * (0.8 if self.covered else 2.5)
        stage = Stage.COVERED if self.covered else Stage.REST
        return Leg(0.0, stage, self.air_c, film)


def _between(knots: Sequence[tuple[datetime, float]], at: datetime) -> float:
    """Return the fire at an instant: straight between knots, level beyond."""
    before = [knot for knot in knots if knot[0] <= at]
    after = [knot for knot in knots if knot[0] > at]
    if not before or not after:
        return (before or after)[-1 if before else 0][1]
    (t0, c0), (t1, c1) = before[-1], after[0]
    return c0 + (c1 - c0) * ((at - t0) / (t1 - t0))


@dataclass(frozen=True, slots=True)
class Back:
    """A fire coming up: how fast, K/min, and when it is there (None: it is not rising)."""

    now_c: float
    per_min_k: float
    at: datetime | None


def back_up(log: Sequence[tuple[datetime, float]], target_c: float) -> Back | None:
    """Return when a fire is back at its temperature, by the line of its last readings.

    Parameters
    ----------
    log
        Readings of the fire, °C; at least two, the last ten minutes' at most are used.
    target_c
        °C.

    Examples
    --------
    >>> at = datetime(2026, 6, 13, 18, 0)
    >>> rising = [(at, 103.0), (at + timedelta(minutes=5), 109.0)]
    >>> back_up(rising, 118.0).at.strftime("%H:%M:%S")
    '18:12:30'
    """
    known = sorted(log)
    if len(known) < 2:
        return None
    last_at, last = known[-1]
    near = [x for x in known if last_at - x[0] <= timedelta(minutes=10)]
    first_at, first = near[0] if len(near) > 1 else known[-2]
    minutes = (last_at - first_at).total_seconds() / 60
    rate = (last - first) / minutes if minutes else 0.0
    if last >= target_c:
        return Back(last, rate, last_at)
    if rate <= 0.05:
        return Back(last, rate, None)
    return Back(last, rate, last_at + timedelta(minutes=(target_c - last) / rate))
