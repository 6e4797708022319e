"""The live estimate: given what was read, when to look, what to expect, when to pull.

The most likely cook is fitted to the readings; an ensemble around it says how sure that is. The
band is honest or there is none: with one early reading it is wide, on a plateau it may have no
end, and a reading that does not fit is told as such instead of being averaged in silence.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from core.errors import OutOfRangeError
from core.facts import HeatKnown
from core.heat.ahead import Ensemble, carried, onward
from core.heat.card import House, cooler_k, house
from core.heat.fit import NOISE_K, Posterior, Trial, before, fitted
from core.heat.learn import counted, taught
from core.heat.pit import Pit
from core.heat.prior import Prior, body_of
from core.heat.readings import APART_K, Sorted, believable, sort_readings
from core.heat.rise import CarryOver, blended, usual_rise
from core.heat.timing import ENOUGH_COOKS
from core.model import Clock, Line, Piece, Qty, Reading, Source, Step, Value, say

Array = NDArray[np.float64]

DOUBT = "pit or probe"
ODD = "odd reading"
"""The newest reading cannot be: the last good estimate is kept until another says the same."""

_DOUBT_SDS, _DOUBT_K = 2.0, 5.0
_FALL_K = 3.0
_NEVER_SHARE = 0.5  # so many members that never arrive make it no forecast
_LONGEST_S = 72 * 3600.0  # nothing on a fire takes longer: past it there is no forecast
_OPEN_SHARE = 0.1  # so many make the band open at its end
_AHEAD = 0.4  # look so far before the likely pull, as a share of the band's early half
_SURE = 0.8  # a band this wide, over the middle, wants another look before its early end


@dataclass(frozen=True, slots=True)
class Band:
    """The core at an instant: low, likely and high of four cooks in five, °C."""

    at: datetime
    low_c: float
    likely_c: float
    high_c: float


@dataclass(frozen=True, slots=True)
class Forecast:
    """When to look and what to expect; None where it cannot be told.

    `check_at` is the next look and `expect_c` what should be read there. The pull lies between
    `pull_low` and `pull_high` four times in five; `pull_high` is None where it may take much
    longer, all three where it can't be forecast. `doubt` is '', 'pit or probe' or 'odd reading',
    `note` the one thing to say about it; `refused` the readings that could not be used.
    """

    target_c: float
    check_at: datetime | None
    expect_c: float | None
    expect_low_c: float | None
    expect_high_c: float | None
    pull_at: datetime | None
    pull_low: datetime | None
    pull_high: datetime | None
    carry: CarryOver
    peak_at: datetime | None
    now_c: float
    rate_k_min: float
    readings: int
    source: Source
    doubt: str = ""
    note: Line | None = None
    refused: tuple[Line, ...] = ()
    curve: tuple[Band, ...] = ()
    expected_last_c: float | None = None

    @property
    def carry_over_k(self) -> float:
        """Return the middle of the carry-over, K."""
        return self.carry.middle_k


def estimate(
    step: Step,
    piece: Piece,
    pit: Pit,
    readings: Sequence[Reading],
    start: datetime,
    now: datetime,
    prior: Prior | None = None,
    tested: float = 0.0,
    heat: HeatKnown | None = None,
) -> Forecast:
    """Return the forecast of a load on its fire.

    Parameters
    ----------
    step, piece
        Of the card; the step ends at a core, the piece has a thickness.
    pit
        The fire, its log and plans.
    readings
        All readings of the load so far, in any order; what cannot be used is told, not used.
    start, now
        When it went on, and the present.
    prior
        What to assume in place of the card's tested batch, or of the table; None takes those.
    tested
        Pieces in the tested batch, for the source.
    heat
        What the house has learned of this fire and cut; it moves the card's own calibration. From
        enough cooks on the card itself was timed by them when the cook started.

    Returns
    -------
    Forecast
        Times are instants; never in the past but for a core already there, never infinite.

    Raises
    ------
    OutOfRangeError
        If the step has no core to reach, or the thickness is missing or cannot be.
    """
    if step.until_core_c is None:
        raise OutOfRangeError("until_core", "(none)", "on the card: the step ends at a temperature")
    known = house(piece, step, pit.kind, tested, pit.set_c)
    if prior is not None:
        known = House(prior, body_of(piece, prior, known.body.start_c), known.fire_c)
    enough = heat is not None and heat.cooks >= ENOUGH_COOKS
    known = counted(known, heat) if enough else taught(known, heat)
    return _Case(known, step, piece, pit, start, max(now, start)).forecast(readings)


@dataclass(frozen=True, slots=True)
class _Case:
    """One load in its fire, with what is known of both."""

    house: House
    step: Step
    piece: Piece
    pit: Pit
    start: datetime
    now: datetime

    @property
    def target_c(self) -> float:
        return float(self.step.until_core_c or 0.0)

    @property
    def now_s(self) -> float:
        return (self.now - self.start).total_seconds()

    def trial(self) -> Trial:
        times, fire = self.pit.fire(self.start)
        cooler = cooler_k(self.house, self.step, round(self.pit.slower, 3))
        wrap = np.inf if self.pit.wrap_c is None or self.pit.wrapped_at else self.pit.wrap_c
        return Trial(
            body=self.house.body,
            prior=self.house.prior,
            fire=(times, tuple(c + cooler for c in fire)),
            legs=self.pit.legs(self.start),
            turns_s=tuple(60 * t for t in self.step.turns_min),
            boils_c=self.pit.boils_c,
            wrap_c=float(wrap),
        )

    def sorted(self, readings: Sequence[Reading], hottest_c: float) -> Sorted:
        found = sort_readings(readings, self.start, self.now, hottest_c)
        return believable(found, hottest_c, self.house.body, self.house.prior.kind)

    def forecast(self, readings: Sequence[Reading]) -> Forecast:
        trial = self.trial()
        hottest = max(*trial.fire[1], self.pit.set_c)
        sorted_ = self.sorted(readings, hottest)
        used = sorted_.usable
        times = np.array([(r.at - self.start).total_seconds() for r in used])
        cores = self.house.meant(np.array([r.value for r in used], float))
        posterior = fitted(trial, times.tolist(), cores.tolist()) if used else before(trial)
        target = float(self.house.meant(np.array([self.target_c]))[0])
        way = onward(trial, posterior, target, self.now_s, self._guess_s(used))
        made = self._made(trial, way, len(used))
        doubt, note = self._doubt(trial, posterior, times, cores)
        if sorted_.apart_k >= APART_K:
            doubt, note = DOUBT, _two_probes(sorted_.apart_k)
        if sorted_.odd is not None:
            doubt, note = ODD, _cannot_follow(sorted_.odd, used[-1])
        made = replace(made, refused=sorted_.refused, doubt=doubt)
        if made.pull_at is None and note is None:
            note = self._no_forecast()
        if note is None and len(used) == 1:
            note = say("One reading only: a second one narrows this.")
        if used and used[-1].value >= self.target_c:
            made = self._there(made)
        return replace(made, note=note)

    def _guess_s(self, used: Sequence[Reading]) -> float:
        """Return about how long is left: only the size of steps hangs on it."""
        total = 60 * (self.step.ideal_min or 0.0) or 0.5 * self.house.body.half_m**2 * 8e6
        if used:
            risen = max(used[-1].value - self.house.body.start_c, 3.0)
            since = (used[-1].at - self.start).total_seconds()
            left = (self.target_c - used[-1].value) / risen * since
        else:
            left = total - self.now_s
        return float(min(max(left, 0.1 * total, 120.0), 3 * total + 3600))

    # -------------------------------------------------------------- what comes of it

    def _made(self, trial: Trial, way: Ensemble, count: int) -> Forecast:
        left = np.maximum(way.arrive_s - self.now_s, 0.0)
        late = float(np.mean(~np.isfinite(left)))
        low_s, likely_s, high_s = _widened(left, self.house.prior, self.now_s)
        if self.house.pace != 1.0 and likely_s is not None:
            likely_s = self._paced(likely_s)
            low_s = min(low_s or 0.0, likely_s)
        low_s, likely_s, high_s = (_in_sight(s) for s in (low_s, likely_s, high_s))
        rise = carried(trial, way, self.pit.rest(), np.isfinite(way.arrive_s))
        fire = trial.fire[1][-1]
        usual = usual_rise(200 * self.house.body.half_m, fire, self.target_c)
        carry = blended(usual, rise.rise_k, rise.after_s)
        no_end = late > _OPEN_SHARE or high_s is None
        pull = None if late > _NEVER_SHARE or likely_s is None else self._at(likely_s)
        look_s = self._look_s(low_s, likely_s, None if no_end else high_s, count)
        low_c, likely_c, high_c = self._expected(way, look_s)
        here = self._expected(way, 0.0)[1]
        return Forecast(
            target_c=self.target_c,
            check_at=self._at(look_s, whole=True),
            expect_c=likely_c,
            expect_low_c=low_c,
            expect_high_c=high_c,
            pull_at=pull,
            pull_low=None if pull is None or low_s is None else self._at(low_s),
            pull_high=None if pull is None or no_end or high_s is None else self._at(high_s),
            carry=carry,
            peak_at=None if pull is None else pull + timedelta(minutes=carry.peak_min),
            now_c=here,
            rate_k_min=self._expected(way, 60.0)[1] - here,
            readings=count,
            source=self.house.prior.source,
            curve=self._curve(way),
        )

    def _paced(self, left_s: float) -> float:
        """Return the time left with the card's own pace: its tested minutes, to the minute."""
        return max((self.now_s + left_s) * self.house.pace - self.now_s, 0.0)

    def _at(self, left_s: float, whole: bool = False) -> datetime:
        """Return an instant so many seconds from now; `whole` on the last full minute before."""
        at = self.now + timedelta(seconds=left_s)
        floor = at.replace(second=0, microsecond=0)
        return floor if whole and floor > self.now else at

    def _look_s(
        self, low_s: float | None, likely_s: float | None, high_s: float | None, count: int
    ) -> float:
        """Return how long until the next look: short of the likely pull, sooner in a wide band."""
        planned = self._planned_s()
        if low_s is None or likely_s is None:
            return min(x for x in (planned, 1800.0, *(low_s,) * (low_s is not None)) if x)
        wide = high_s is None or high_s - low_s > _SURE * max(likely_s, 60.0)
        near = likely_s - _AHEAD * (likely_s - low_s)
        look = low_s * 0.6 if wide and low_s > 1200 else near
        if not count and planned is not None:
            look = min(look, planned)
        return max(look, 60.0)

    def _planned_s(self) -> float | None:
        """Return how long until the card's next planned look, if one is ahead."""
        ahead = [60 * c.after_min - self.now_s for c in self.step.checks]
        return next((s for s in sorted(ahead) if s > 30), None)

    def _expected(self, way: Ensemble, left_s: float) -> tuple[float, float, float]:
        """Return what to read so many seconds from now: low, likely, high of four in five."""
        low, likely, high = self._bands(way, np.array([self.now_s + left_s]))[:, 0]
        return float(low), float(likely), float(high)

    def _bands(self, way: Ensemble, at_s: Array) -> Array:
        """Return low, likely and high at each of these seconds since going on: 3 rows."""
        place = np.clip(np.searchsorted(way.times_s, at_s, "right") - 1, 0, way.times_s.size - 2)
        step = way.times_s[place + 1] - way.times_s[place]
        share = np.clip((at_s - way.times_s[place]) / step, 0.0, 1.0)[:, None]
        model = way.probe[place] + share * (way.probe[place + 1] - way.probe[place])
        return np.asarray(np.quantile(self.house.said(model), [0.1, 0.5, 0.9], axis=1))

    def _curve(self, way: Ensemble, points: int = 60) -> tuple[Band, ...]:
        """Return the fitted curve with its band, from going on to the likely pull and some more."""
        done = way.arrive_s[np.isfinite(way.arrive_s)]
        until = float(np.median(done)) if done.size else float(way.times_s[-1])
        until = min(max(until * 1.1, self.now_s + 300.0), float(way.times_s[-1]))
        at_s = np.linspace(0.0, until, points)
        bands = self._bands(way, at_s).T
        return tuple(
            Band(self.start + timedelta(seconds=at), *band)
            for at, band in zip(at_s.tolist(), bands.tolist(), strict=True)
        )

    def _there(self, made: Forecast) -> Forecast:
        """Return the forecast of a core that has been read at its target: pull now."""
        return replace(
            made,
            check_at=self.now,
            pull_at=self.now,
            pull_low=self.now,
            pull_high=self.now,
            peak_at=self.now + timedelta(minutes=made.carry.peak_min),
        )

    # -------------------------------------------------------------- what does not fit

    def _doubt(
        self, trial: Trial, found: Posterior, times: Array, cores: Array
    ) -> tuple[str, Line | None]:
        """Return whether the last reading fits the card, the fire and the readings before it."""
        if not times.size:
            return "", None
        last = float(self.house.said(cores[-1:])[0])
        drawn = before(trial).drawn(40, 7)
        read = trial.read(drawn, times[-1:])[:, 0]
        middle, sd = float(read[0]), float(np.hypot(read.std(), NOISE_K))
        expected = float(self.house.said(np.array([middle]))[0])
        gap = float(cores[-1]) - middle
        if abs(gap) > max(_DOUBT_SDS * sd, _DOUBT_K):
            return DOUBT, _not_as_expected(last, expected)
        if times.size > 1:
            off = cores - found.read_c
            if cores[-1] < cores[:-1].max() - _FALL_K or abs(off[-1]) > 3.5 * NOISE_K:
                fits = float(self.house.said(found.read_c[-1:])[0])
                return DOUBT, _not_as_expected(last, fits)
        return "", None

    def _no_forecast(self) -> Line:
        hottest = self.pit.hottest_ahead(self.now)
        if hottest <= self.target_c + 2:
            return say(
                "Can't be forecast: a fire at {fire} does not bring the core to {target}.",
                fire=Qty(round(hottest), "°C"),
                target=Qty(self.target_c, "°C"),
            )
        return say("Can't be forecast on the plateau. Wrap it, or a hotter fire, or wait and read.")


def _in_sight(left_s: float | None) -> float | None:
    """Return a time left that somebody could wait for; None for what amounts to never."""
    return left_s if left_s is not None and left_s <= _LONGEST_S else None


def _widened(
    left: Array, prior: Prior, now_s: float
) -> tuple[float | None, float | None, float | None]:
    """Return the early, the likely and the late end of the time left, s; None is never.

    Likely is the most likely member, which comes first. The spread of the others is laid around
    it on a scale of ratios, widened by what synthetic cooks needed, and the model's own error in
    the time so far comes on top.
    """
    low, median, high = np.quantile(left, [0.1, 0.5, 0.9], method="nearest").tolist()
    if not np.isfinite(median):
        return (low if np.isfinite(low) else None), None, None
    likely = float(left[0]) if np.isfinite(left[0]) else median
    middle, base = max(median, 30.0), max(likely, 30.0)
    own = 1.28 * prior.drift * now_s / base
    early = np.hypot(prior.widen * np.log(middle / max(min(low, middle), 1.0)), own)
    late = np.hypot(prior.widen * np.log(max(high, middle) / middle), own)
    end = float(base * np.exp(late)) if np.isfinite(high) else None
    return min(float(base * np.exp(-early)), likely), likely, end


def _not_as_expected(read_c: float, expected_c: float) -> Line:
    """Return what to do about a reading off its expectation: low and high want different things."""
    if read_c < expected_c:
        return say(
            "Pit or probe? Expected {expected}, read {read}. Second probe at grate height. If the"
            " core is right, finish on the grill.",
            expected=Qty(round(expected_c), "°C"),
            read=Qty(read_c, "°C"),
        )
    return say(
        "Pit or probe? Expected {expected}, read {read}. Near the surface or the bone? Probe the"
        " thickest again; the lower counts.",
        expected=Qty(round(expected_c), "°C"),
        read=Qty(read_c, "°C"),
    )


def _cannot_follow(odd: Reading, before: Reading) -> Line:
    """Return what to do about a reading that no core can show after the one before."""
    fields: dict[str, Value] = {
        "read": Qty(odd.value, "°C"),
        "before": Qty(before.value, "°C"),
        "clock": Clock(before.at),
    }
    if odd.value < before.value:
        return say("{read} after {before} at {clock}: a core on the fire does not fall. Probe the"
                   " thickest again.", **fields)  # fmt: skip
    return say("{read} after {before} at {clock}: no core rises so fast. Probe the thickest again.",
               **fields)  # fmt: skip


def _two_probes(apart_k: float) -> Line:
    return say(
        "Two probes {apart} apart: the lower counts. Ice slush, half ice half water, stir: 0 °C"
        " ±1.",
        apart=Qty(round(apart_k), "°C"),
    )
