"""Readings: booked as typed, set against what was expected. A thermometer outranks a timer."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from itertools import pairwise

from core.cook.boxes import air_is_fine, box_finding
from core.cook.cooling import CHILLS, NEAR, cooling_finding
from core.cook.decision import Dated, Decision, Notice, booked
from core.cook.forecast import Outlook, after_core, after_pit, is_fire
from core.cook.names import thing_of, verb_of
from core.cook.reports import late_notice, retimed
from core.cook.state import Cook, Phase
from core.cook.subjects import Item, items_named, key_of
from core.errors import OutOfRangeError, UnknownNameError
from core.facts import GiveReading, ReadingTaken, VerdictGiven
from core.model import (
    Answer,
    Clock,
    Finding,
    Label,
    Line,
    Number,
    Place,
    Qty,
    Reading,
    Sound,
    StepRun,
    Verdict,
    say,
)
from core.safety.rules import source_of
from core.tables import tables_version

CORE_C = (-30.0, 115.0)  # frozen hard to just over boiling
FIRE_C = (-30.0, 600.0)
OFF_CURVE_K = 4.0  # further from the expected curve than this is said
OVER_K = 5.0  # so far over its target a core is doubted before it is pulled


def reading_given(cook: Cook, wish: GiveReading, by: str, at: datetime, now: datetime) -> Decision:
    """Book a reading and say what it means: for a load, for a fire, for a box."""
    item = _about(cook, wish.reading)
    reading = replace(wish.reading, at=at, who=by, about=_about_key(wish.reading, item))
    low, high = CORE_C if reading.place is Place.CORE else FIRE_C
    if reading.unit == "°C" and not low <= reading.value <= high:
        raise OutOfRangeError("reading", f"{reading.value:g} °C", f"{low:g} to {high:g} °C")
    if item is None and is_fire(cook, reading.about):
        reading = replace(reading, place=Place.PIT)
    taken = Dated(at, ReadingTaken(reading))
    number = Number("reading", reading.value, reading.unit)
    noted = _noted(cook, item, reading)
    if item is None and air_is_fine(cook, reading):
        words = say("{noted} Air within the limit; the food was not probed.", noted=noted)
        return Decision((taken,), Answer((words,), numbers=(number,)))
    box = box_finding(cook, reading) if item is None else None
    if box is not None:
        given = Dated(at, VerdictGiven(box, tables_version()))
        answer = Answer((box.text, noted), box.verdict, (number,), sources=source_of(box))
        return Decision((taken, given), answer, _told(cook, box, by))
    after = booked(cook, (taken,), by, now)
    cooled = cooling_finding(after, item, max(at, now)) if item is not None else None
    if cooled is not None:
        given = Dated(at, VerdictGiven(cooled, tables_version()))
        answer = Answer((cooled.text, noted), cooled.verdict, (number,), sources=source_of(cooled))
        return Decision((taken, given), answer, _told(cook, cooled, by))
    seen = _outlook(after, item, reading, at)
    lines = (noted, *(seen.lines if seen else _meaning(cook, item, reading)))
    facts = (taken, *(seen.facts if seen else ()))
    after = booked(cook, facts, by, now)
    moved = tuple(Dated(now, fact) for fact in retimed(after, now)) if len(facts) > 1 else ()
    numbers = (number, *(seen.numbers if seen else ()))
    late = late_notice(cook, booked(after, moved, by, now))
    return Decision((*facts, *moved), Answer(lines[:4], numbers=numbers), late)


def _outlook(cook: Cook, item: Item | None, reading: Reading, at: datetime) -> Outlook | None:
    """Return the heat model's view where there is one; a core that is there needs none."""
    if item is None:
        return after_pit(cook, reading.about, at) if reading.place is Place.PIT else None
    if not isinstance(item, StepRun) or reading.place is not Place.CORE:
        return None
    if item.until_core_c is None or cook.phase(item.key) is not Phase.RUNNING:
        return None
    if reading.value < item.until_core_c:
        return after_core(cook, item, at)
    seen = after_core(cook, item, at) if reading.value >= item.until_core_c + OVER_K else None
    return seen if seen is not None and seen.odd else None


def _told(cook: Cook, box: Finding, by: str) -> tuple[Notice, ...]:
    """Tell the chef of a box that is not in order, unless it was the chef who read it."""
    chef = cook.cards.chef if cook.cards else None
    in_time = "/" in box.about  # a pot that cools in time is no trouble; a warm box is
    running_out = box.deadline is not None and not in_time
    grave = box.verdict in {Verdict.BIN, Verdict.STOP} or running_out
    if chef is None or chef.id == by or not grave:
        return ()
    line = say("{about}: {text}", about=Label(box.about), text=box.text)
    return (Notice(f"box/{cook.seq}", (chef.id,), (line,), Sound.ALARM, kind="finding"),)


def _about(cook: Cook, reading: Reading) -> Item | None:
    """Return the run a reading is of: the named load's running one, or the only one on."""
    if reading.about:
        if _is_station(cook, reading.about):
            return None
        named = items_named(cook, reading.about)
    else:
        named = list(cook.plan.runs()) if cook.plan else []
    running = [i for i in named if cook.phase(key_of(i)) is Phase.RUNNING]
    chill = [i for i in named if i.do in CHILLS and abs(i.start - reading.at) <= NEAR]
    if reading.about and chill and not any(getattr(i, "on_fire", False) for i in running):
        return chill[0]
    measured = [i for i in running if isinstance(i, StepRun) and i.until_core_c is not None]
    if reading.about or len(measured) == 1:
        return (measured or running or named or [None])[0]
    if not measured:
        raise UnknownNameError("running load for that reading", reading.about, _stations(cook))
    known = ", ".join(i.unit for i in measured)
    raise UnknownNameError("single load", reading.about or "that reading", known)


def _is_station(cook: Cook, name: str) -> bool:
    return bool(cook.cards and cook.cards.station(name))


def _stations(cook: Cook) -> str:
    return ", ".join(s.id for s in cook.cards.kit.stations) if cook.cards else ""


def _about_key(reading: Reading, item: Item | None) -> str:
    return key_of(item) if item is not None else reading.about


def _noted(cook: Cook, item: Item | None, reading: Reading) -> Line:
    what = thing_of(item, cook.cards) if item else Label(reading.about)
    return say(
        "{what} {value} {clock}.",
        what=what,
        value=Qty(reading.value, reading.unit),
        clock=Clock(reading.at),
    )


def _meaning(cook: Cook, item: Item | None, reading: Reading) -> tuple[Line, ...]:
    if not isinstance(item, StepRun) or reading.place is not Place.CORE:
        return ()
    if cook.phase(item.key) is not Phase.RUNNING:
        return (say("By my log it is not on. Say 'on' with its clock time."),)
    if item.until_core_c is not None and reading.value >= item.until_core_c:
        pull = say("{verb} now: {core} reached.", verb=verb_of("pull"), core=_c(item.until_core_c))
        return (pull,)
    expected = expected_core_c(cook, item, reading.at)
    if expected is None:
        return ()
    if abs(reading.value - expected) <= OFF_CURVE_K:
        looks = [c for c in item.checks if c[0] > reading.at]
        nxt = looks[0] if looks else (item.end, item.until_core_c or expected)
        return (
            say(
                "On curve. Next look {clock}, expect {core}.", clock=Clock(nxt[0]), core=_c(nxt[1])
            ),
        )
    return (
        say(
            "Expected {core}. Pit or probe? Second probe in the same piece, another at the grate.",
            core=_c(expected),
        ),
        say("Until then the lower reading counts."),
    )


def _c(value: float) -> Qty:
    return Qty(round(value, 1), "°C")


def expected_core_c(cook: Cook, run: StepRun, at: datetime) -> float | None:
    """Return the core the tested batch had at this point, °C, between its planned looks.

    None before the start, after the last look, or where the card gives no looks.
    """
    started = cook.job(run.key).started
    if started is None or not run.checks:
        return None
    shift = started - run.start
    first = _start_core(cook, run)
    points = [(started, first)] if first is not None else []
    points += [(when + shift, core_c) for when, core_c in run.checks]
    for (t0, c0), (t1, c1) in pairwise(points):
        if t0 <= at <= t1:
            part = (at - t0) / (t1 - t0)
            return c0 + part * (c1 - c0)
    return None


def _start_core(cook: Cook, run: StepRun) -> float | None:
    step = cook.cards.dish(run.dish).steps[run.index] if cook.cards else None
    return step.start_temp_c if step else None
