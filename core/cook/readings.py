"""Readings: booked as typed, set against what was expected. A thermometer outranks a timer."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from itertools import pairwise

from core.cook.decision import Dated, Decision
from core.cook.names import thing_of, verb_of
from core.cook.state import Cook, Phase
from core.cook.subjects import Item, items_named, key_of
from core.errors import OutOfRangeError, UnknownNameError
from core.facts import GiveReading, ReadingTaken
from core.model import Answer, Clock, Label, Line, Number, Place, Qty, Reading, StepRun, say

CORE_C = (-30.0, 115.0)  # frozen hard to just over boiling
FIRE_C = (-30.0, 600.0)
OFF_CURVE_K = 4.0  # further from the expected curve than this is said


def reading_given(cook: Cook, wish: GiveReading, by: str, at: datetime) -> Decision:
    """Book a reading and say what it means for the load."""
    item = _about(cook, wish.reading)
    reading = replace(wish.reading, at=at, who=by, about=_about_key(wish.reading, item))
    low, high = CORE_C if reading.place is Place.CORE else FIRE_C
    if reading.unit == "°C" and not low <= reading.value <= high:
        raise OutOfRangeError("reading", f"{reading.value:g} °C", f"{low:g} to {high:g} °C")
    lines = (_noted(cook, item, reading), *_meaning(cook, item, reading))
    number = Number("reading", reading.value, reading.unit)
    return Decision((Dated(at, ReadingTaken(reading)),), Answer(lines, numbers=(number,)))


def _about(cook: Cook, reading: Reading) -> Item | None:
    """Return the run a reading is of: the named load's running one, or the only one on."""
    if reading.about:
        if _is_station(cook, reading.about):
            return None
        named = items_named(cook, reading.about)
    else:
        named = list(cook.plan.runs()) if cook.plan else []
    running = [i for i in named if cook.phase(key_of(i)) is Phase.RUNNING]
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
