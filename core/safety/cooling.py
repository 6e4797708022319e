"""Cooling cooked food: both stages of a rule book, asked at the right moments, never closed by
silence.

The clock starts at the last reading at or above the top of the first stage, and a stage counts as
reached only from the reading that shows it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from core.model import Clock, Finding, Line, Profile, Qty, Verdict, say
from core.safety.degrees import Degrees, Limit, limit_in
from core.safety.rules import Rule, finding, of_profile
from core.safety.words import PROFILES, span
from core.safety.worst import judged

FIRST_ASK_MIN = 60.0
BEFORE_LIMIT_MIN = 10.0
LAST_HOUR_MIN = 60.0
AGAIN_MIN = 10.0
"""When to ask: an hour in, 10 min before a limit, an hour before a long one, then every 10."""

REHEAT_ONCE = Limit(74.0, 165)
"""Missing the first stage: reheat to this once and start again, else bin (C2, extension record)."""

REHEAT_WITHIN = timedelta(hours=4)
"""How long after it left the heat reheating still starts a new clock (own bound, from the 4 h of
time control): what lay warm longer is binned, however hot it is made."""


@dataclass(frozen=True, slots=True)
class Cooling:
    """One pot or pan cooling: its readings in any order, when it started if that was said.

    `ambient` for food made from things at room temperature; `reheated` when it has been reheated
    after a missed stage already. `depth_cm` is how deep the food lies, where that is known.
    """

    readings: tuple[tuple[datetime, Degrees], ...] = ()
    started: datetime | None = None
    ambient: bool = False
    reheated: bool = False
    about: str = ""
    depth_cm: float | None = None

    def in_order(self) -> tuple[tuple[datetime, Degrees], ...]:
        """Return the readings by time; reports come late and out of order."""
        return tuple(sorted(self.readings, key=lambda point: point[0]))

    def start(self, top: Limit) -> datetime | None:
        """Return when the clock started: as said, or at the last reading at or above the top
        before the food fell below it; a hot edge or a warming up sets nothing back.
        """
        if self.started is not None:
            return self.started
        again = self._reheated_at(top)
        start: datetime | None = None
        for at, read in self.in_order():
            if again is not None and at < again:
                continue
            if top.reached(read):
                start = at
            elif start is not None:
                break
        return start

    def was_reheated(self, top: Limit) -> bool:
        """Say whether it has been reheated after it had fallen: once is all there is."""
        return self.reheated or self._reheated_at(top) is not None

    def _reheated_at(self, top: Limit) -> datetime | None:
        """Return when it was hot through again after it had fallen: the first time in time."""
        begun: datetime | None = None
        fallen = False
        for at, read in self.in_order():
            if top.reached(read) and not fallen:
                begun = at
            fallen = fallen or (begun is not None and not top.reached(read))
            if begun is None or not fallen or not REHEAT_ONCE.reached(read):
                continue
            return at if at <= begun + REHEAT_WITHIN else None
        return None


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage as it stands: to which temperature by when, and when that was seen."""

    rule: Rule
    to: Limit
    start: datetime
    by: datetime
    seen: datetime | None

    @property
    def met(self) -> bool:
        """Say whether it was seen in time."""
        return self.seen is not None and self.seen <= self.by


def stages(cooling: Cooling, profile: Profile) -> tuple[Stage, ...]:
    """Return the stages of a rule book for this food; empty where the start is not known or the
    book has no number.
    """
    if cooling.ambient:
        return _ambient_stages(cooling, profile)
    found: list[Stage] = []
    for rule in of_profile("cooling", profile):
        begun = cooling.start(limit_in(rule.row, "from")) if not found else found[0].start
        start = begun if rule.row["total"] or not found else (found[-1].seen or found[-1].by)
        if start is None or begun is None:
            return ()
        found.append(_stage(rule, start, cooling, after=begun))
    return tuple(found)


def _ambient_stages(cooling: Cooling, profile: Profile) -> tuple[Stage, ...]:
    start = cooling.started or (cooling.in_order()[0][0] if cooling.readings else None)
    if start is None:
        return ()
    return tuple(
        _stage(rule, start, cooling, after=start) for rule in of_profile("cooling_ambient", profile)
    )


def _stage(rule: Rule, start: datetime, cooling: Cooling, after: datetime) -> Stage:
    to = limit_in(rule.row, "to")
    by = start + timedelta(minutes=float(rule.row["max_min"]))
    seen: datetime | None = None
    for at, read in cooling.in_order():
        if at < after or (seen is not None and at > by):
            continue
        if not to.kept(read):
            seen = None  # it went up again, or the probe had been in the ice
        elif seen is None:
            seen = at
    return Stage(rule, to, start, by, seen)


def cooling_verdict(cooling: Cooling, profile: Profile | None, now: datetime) -> Finding:
    """Return whether a pot cools in time: OK, NOT YET with its next limit, BIN, or UNKNOWN.

    Parameters
    ----------
    cooling
        Its readings.
    profile
        The rule book; None gives the worst of all.
    now
        The present: a limit that passed without a reading is UNKNOWN, never closed.
    """
    return judged(profile, lambda each: _verdict(cooling, each, now))


def _verdict(cooling: Cooling, profile: Profile, now: datetime) -> Finding:
    steps = stages(cooling, profile)
    if not steps:
        return finding(None, Verdict.UNKNOWN, _no_stage(cooling, profile), profile=profile,
                       about=cooling.about)  # fmt: skip
    for step in steps:
        trouble = _trouble(step, cooling, now)
        if trouble is not None:
            return trouble
        if not step.met:
            return _running(step, steps, cooling)
    return _cooled(steps, cooling, profile)


def _no_stage(cooling: Cooling, profile: Profile) -> Line:
    section = "cooling_ambient" if cooling.ambient else "cooling"
    rows = of_profile(section, profile)
    if not rows:
        return say(
            "{verdict}. The {profile} rules give no cooling number. As quick as you can: 21 °C in"
            " 2 h, 5 °C in 6 h.",
            verdict=Verdict.UNKNOWN,
            profile=PROFILES[profile],
        )
    return say(
        "{verdict}. When was it at {top}? Without a start there is no clock.",
        verdict=Verdict.UNKNOWN,
        top=limit_in(rows[0].row, "from").words() if not cooling.ambient else say("kitchen heat"),
    )


def _trouble(step: Stage, cooling: Cooling, now: datetime) -> Finding | None:
    late = next(
        (
            (at, read)
            for at, read in cooling.in_order()
            if at >= step.by and at >= step.start and not step.to.kept(read)
        ),
        None,
    )
    if late is not None and not step.met:
        return _missed(step, cooling, *late)
    if step.seen is not None and step.seen > step.by:
        if _surely_late(step, cooling, step.seen):
            return _missed(step, cooling, step.seen, _read_at(cooling, step.seen))
        text = say(
            "{verdict}. {limit} was due at {by} and nobody read it: {read} at {at} does not show"
            " it.",
            verdict=Verdict.UNKNOWN,
            limit=step.to.words(),
            by=Clock(step.by),
            read=_read_at(cooling, step.seen).words(),
            at=Clock(step.seen),
        )
        return finding(step.rule, Verdict.UNKNOWN, text, deadline=step.by, about=cooling.about)
    if now >= step.by and step.seen is None:
        return finding(step.rule, Verdict.UNKNOWN, _unread(step), deadline=step.by,
                       about=cooling.about)  # fmt: skip
    return None


def _unread(step: Stage) -> Line:
    return say(
        "{verdict}. {limit} was due at {by} and nobody read it. Probe it now.",
        verdict=Verdict.UNKNOWN,
        limit=step.to.words(),
        by=Clock(step.by),
    )


def _surely_late(step: Stage, cooling: Cooling, seen: datetime) -> bool:
    """Say whether food seen cold only after the limit was still too warm at it.

    Cooling towards ice as fast as the readings around the limit allow; a pot read far below the
    limit later may have been in time, and then nobody knows.
    """
    before = [(at, read.c) for at, read in cooling.in_order() if step.start <= at <= step.by]
    top = limit_in(step.rule.row, "from").c if "from_c" in step.rule.row else 20.0
    (at, warm) = before[-1] if before else (step.start, top)
    cold = max(_read_at(cooling, seen).c, 0.1)
    share = (step.by - at) / (seen - at)
    return float(warm * (cold / warm) ** share) > step.to.c if warm > cold else warm > step.to.c


def _read_at(cooling: Cooling, at: datetime) -> Degrees:
    return next(read for when, read in cooling.readings if when == at)


def _missed(step: Stage, cooling: Cooling, at: datetime, read: Degrees) -> Finding:
    top = limit_in(step.rule.row, "from") if not cooling.ambient else None
    again = top is not None and not cooling.was_reheated(top) and step.to.c >= 20
    if again and step.start <= at < step.start + REHEAT_WITHIN:
        text = say(
            "{verdict}, or reheat to {reheat} now, once, and start again. {read} at {at}, limit"
            " {limit} by {by}.",
            verdict=Verdict.BIN,
            reheat=REHEAT_ONCE.words(read),
            read=read.words(),
            at=Clock(at),
            limit=step.to.words(read),
            by=Clock(step.by),
        )
    else:
        text = say(
            "{verdict}. {read} at {at}, limit {limit} by {by}.",
            verdict=Verdict.BIN,
            read=read.words(),
            at=Clock(at),
            limit=step.to.words(read),
            by=Clock(step.by),
        )
    return finding(step.rule, Verdict.BIN, text, deadline=step.by, about=cooling.about)


def _running(step: Stage, steps: tuple[Stage, ...], cooling: Cooling) -> Finding:
    ahead = predicted_c(cooling, step.by)
    points = cooling.in_order()
    if ahead is not None and ahead > step.to.c:
        text = say(
            "{verdict}. At this rate {ahead} at {by}, limit {limit}: shallower pans, ice, stir.",
            verdict=Verdict.NOT_YET,
            ahead=Degrees(round(ahead)).words(),
            by=Clock(step.by),
            limit=step.to.words(),
        )
    elif ahead is None and cooling.depth_cm is not None and too_deep(cooling.depth_cm):
        text = say(
            "{verdict}. {depth} deep likely misses {limit} by {by}, even on ice, stirred: shallower"
            " pans.",
            verdict=Verdict.NOT_YET,
            depth=Qty(round(cooling.depth_cm), "cm", 0),
            limit=step.to.words(),
            by=Clock(step.by),
        )
    elif points and step is steps[-1]:
        text = say(
            "{verdict}. {read}; {limit} by {by}.",
            verdict=Verdict.NOT_YET,
            read=points[-1][1].words(),
            limit=step.to.words(points[-1][1]),
            by=Clock(step.by),
        )
    elif points:
        text = say(
            "{verdict}. {read}; {limit} by {by}, {end} by {last}.",
            verdict=Verdict.NOT_YET,
            read=points[-1][1].words(),
            limit=step.to.words(points[-1][1]),
            by=Clock(step.by),
            end=steps[-1].to.words(points[-1][1]),
            last=Clock(steps[-1].by),
        )
    else:
        text = say(
            "{verdict}. {limit} by {by}, {end} by {last}.",
            verdict=Verdict.NOT_YET,
            limit=step.to.words(),
            by=Clock(step.by),
            end=steps[-1].to.words(),
            last=Clock(steps[-1].by),
        )
    return finding(step.rule, Verdict.NOT_YET, text, deadline=step.by, about=cooling.about)


def _cooled(steps: tuple[Stage, ...], cooling: Cooling, profile: Profile) -> Finding:
    last = steps[-1]
    seen = last.seen or last.by
    if all(step.rule.may_clear for step in steps):
        text = say(
            "{verdict}. Cooled: {limit} at {at}, {took} from {top}.",
            verdict=Verdict.OK,
            limit=last.to.words(),
            at=Clock(seen),
            took=span((seen - steps[0].start).total_seconds()),
            top=Clock(steps[0].start),
        )
        return finding(last.rule, Verdict.OK, text, about=cooling.about)
    text = say(
        "{verdict}. Cooled to {limit} at {at}, but the {profile} number is not confirmed.",
        verdict=Verdict.UNKNOWN,
        limit=last.to.words(),
        at=Clock(seen),
        profile=PROFILES[profile],
    )
    return finding(last.rule, Verdict.UNKNOWN, text, about=cooling.about)


# ------------------------------------------------------------------ when to ask


@dataclass(frozen=True, slots=True)
class AskMoment:
    """When to ask for the temperature of a cooling pot, and in which words.

    `finding` is the verdict at a limit nobody has read: it is given as the question is asked.
    """

    at: datetime
    line: Line
    loud: bool
    finding: Finding | None = None


def ask_moments(cooling: Cooling, profile: Profile | None, now: datetime) -> tuple[AskMoment, ...]:
    """Return the questions still to be asked: an hour in, 10 min before each limit, at a limit that
    nobody met or read loudly and every 10 min until somebody answers.

    With no rule book set the two-stage limits of US food service are asked for, being the ones with
    most moments; the verdict itself is the worst of all books.
    """
    own = stages(cooling, profile or Profile.US)
    steps = own or stages(cooling, Profile.US)
    found: list[AskMoment] = []
    last_read = max((at for at, _ in cooling.readings), default=None)
    for step in steps:
        if step.seen is not None:
            continue
        for at, loud in _moments(step, now):
            if last_read is None or at > last_read:
                book = profile if not own else None
                missed = _unread_at(step, cooling, book) if at == step.by else None
                found.append(AskMoment(at, _question(step, at), loud, missed))
    return tuple(sorted(found, key=lambda moment: moment.at))


def _unread_at(step: Stage, cooling: Cooling, without: Profile | None) -> Finding:
    """Return the verdict on a limit that passed unread; a book `without` a number cites none."""
    rule = None if without is not None else step.rule
    return finding(rule, Verdict.UNKNOWN, _unread(step), profile=without, deadline=step.by,
                   about=cooling.about)  # fmt: skip


def _moments(step: Stage, now: datetime) -> list[tuple[datetime, bool]]:
    length = (step.by - step.start).total_seconds() / 60
    found = [(step.by - timedelta(minutes=BEFORE_LIMIT_MIN), False), (step.by, True)]
    if length <= 180:
        found.insert(0, (step.start + timedelta(minutes=FIRST_ASK_MIN), False))
    else:
        found.insert(0, (step.by - timedelta(minutes=LAST_HOUR_MIN), False))
    again = timedelta(minutes=AGAIN_MIN)
    gone = max(0, (now - step.by) // again)  # of those long past only the newest still asks
    found += [(step.by + n * again, True) for n in (gone, gone + 1) if n and now >= step.by]
    return found


def _question(step: Stage, at: datetime) -> Line:
    if at > step.by:
        return say(
            "Temperature now? {limit} was due at {by}.", limit=step.to.words(), by=Clock(step.by)
        )
    return say("Temperature now? {limit} by {by}.", limit=step.to.words(), by=Clock(step.by))


# ------------------------------------------------------------------ how it will go


def predicted_c(cooling: Cooling, at: datetime, around_c: float = 0.0) -> float | None:
    """Return the temperature two readings point to at an instant, °C; None with fewer.

    Newton's law towards `around_c` (ice) through the first and last reading of the fall. A
    prediction warns; it never stands for a reading.

    Examples
    --------
    >>> from datetime import UTC
    >>> start = datetime(2026, 6, 12, 17, 25, tzinfo=UTC)
    >>> pot = Cooling(((start, Degrees(57.0)), (start + timedelta(hours=1), Degrees(38.0))))
    >>> round(predicted_c(pot, start + timedelta(hours=2)), 1)
    25.3
    """
    points = [(when, read.c) for when, read in cooling.in_order() if read.c > around_c + 0.5]
    if len(points) < 2:
        return None
    (first, hot), (last, now_c) = points[0], points[-1]
    elapsed = (last - first).total_seconds()
    if elapsed <= 0 or now_c >= hot:
        return None
    rate = math.log((hot - around_c) / (now_c - around_c)) / elapsed
    return around_c + (now_c - around_c) * math.exp(-rate * (at - last).total_seconds())


def too_deep(depth_cm: float) -> bool:
    """Say whether food so deep likely misses two-stage cooling even on ice and stirred.

    A forecast of the heat model, which may warn and never clears.

    Examples
    --------
    >>> too_deep(4.0), too_deep(10.0)
    (False, True)
    """
    from core.heat.cooling import DEPTH_CM, FIRST_STAGE_MIN, cooling_forecast

    least, most = DEPTH_CM
    depth = min(max(depth_cm, least), most)
    made = cooling_forecast(depth, on_ice=True, stirred=True, start_c=90.0, air_c=15.0)
    return made.to_21.likely is None or made.to_21.likely > FIRST_STAGE_MIN


def pans_for(mass_kg: float, depth_cm: float = 4.0) -> tuple[int, float]:
    """Return how many GN 1/1 pans hold food at most about so deep, and how deep it then is, cm.

    A GN 1/1 pan measures 53 × 32.5 cm; food as dense as water. 4 cm on ice, stirred, is common
    practice for two-stage cooling.

    Examples
    --------
    >>> pans_for(20.0)
    (3, 3.9)
    """
    area_cm2 = 53.0 * 32.5
    per_pan_kg = area_cm2 * depth_cm / 1000
    pans = max(1, math.ceil(mass_kg / per_pan_kg - 0.05))
    return pans, round(mass_kg * 1000 / area_cm2 / pans, 1)


def ice_kg(mass_kg: float) -> float:
    """Return the ice to bring for cooling from boiling to 5 °C: its own weight and half again.

    Examples
    --------
    >>> ice_kg(20.0)
    30.0
    """
    return mass_kg * 1.5
