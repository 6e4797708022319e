"""Any sequence of reports: no call is owed twice, none is for finished work, nobody is swamped.

Random wishes of random people at random times, the calls rung between them.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.calls import calls_owed, due, merged
from core.cook import Cook, Phase, decide
from core.cook.decision import Dated, booked
from core.cook.service.review import asked_with
from core.cook.service.silence import budget, hushed, is_lead, is_muted, must_ring
from core.errors import KitchenError
from core.facts import (
    AnswerCall,
    CallMade,
    Came,
    Choose,
    CountLeft,
    CountPlates,
    GiveNumber,
    GiveReading,
    HoldService,
    Mute,
    Report,
    ReportStep,
    RestartService,
    RunLate,
    SeeQueue,
    SetOut,
    SetTimer,
    StopTimer,
    Undo,
    Wish,
)
from core.model import Call, Place, Reading, Sound
from tests.core.cook_cases import at, started

START = at("11:55")
PEOPLE = ("ana", "bo", "carmen", "dev", "eli")
HOUR = timedelta(hours=1)
MOST_TRIED = 2
"""So many open questions are answered at the end: each answer may make a plan, which takes time."""

SUBJECTS = st.sampled_from(
    ["A", "B", "A.1", "A.2", "B.1", "B.2", "celeriac", "grill", "leek-potato-salad", "", "serve"]
)
REPORTS = st.builds(
    ReportStep, SUBJECTS, st.sampled_from(["on", "off", "done", "sear", "dress", "serve"]),
    st.sampled_from([Report.START, Report.DONE]),
)  # fmt: skip
READINGS = st.builds(
    lambda about, value: GiveReading(Reading(value, Place.CORE, START, "bo", about)),
    st.sampled_from(["A", "B", "A.1"]), st.floats(5, 70),
)  # fmt: skip
OTHERS: st.SearchStrategy[Wish] = st.one_of(
    st.just(AnswerCall()),
    st.builds(Choose, st.integers(1, 3)),
    st.just(Undo()),
    st.builds(RunLate, st.floats(1, 30), st.sampled_from(["", "A", "B"])),
    st.builds(lambda m: Mute(START + timedelta(minutes=m)), st.integers(-10, 240)),
    st.just(Mute(None)),
    st.builds(SetTimer, st.sampled_from(["sauce", "buns", ""]), st.floats(0.5, 90)),
    st.builds(StopTimer, st.sampled_from(["sauce", ""])),
    st.builds(CountPlates, st.integers(0, 90), st.sampled_from(["", "pass"]), st.booleans()),
    st.builds(CountLeft, st.floats(0, 60), st.sampled_from(["plates", "slices", "kg"]),
              st.sampled_from(["", "lamb-rump", "leek-potato-salad"])),
    st.builds(HoldService, st.sampled_from(["", "speech", "lightning"])),
    st.just(RestartService()),
    st.builds(SetOut, st.sampled_from(["leek-potato-salad", "box1"]), st.sampled_from(Came)),
    st.builds(SeeQueue, st.integers(1, 60), st.none() | st.floats(0.5, 9)),
    st.builds(GiveNumber, st.floats(0, 50)),
)  # fmt: skip
WISHES: st.SearchStrategy[Wish] = st.one_of(REPORTS, REPORTS, READINGS, OTHERS)
STEPS = st.lists(
    st.tuples(st.integers(0, 12), st.sampled_from(PEOPLE), WISHES), min_size=1, max_size=9
)


class Day:
    """One played day and what it showed."""

    def __init__(self) -> None:
        self.cook = started()
        self.pushes: dict[str, list[datetime]] = {person: [] for person in PEOPLE}

    def ring(self, until: datetime) -> None:
        """Make what falls due, holding every call against what has been reported."""
        for _ in range(500):
            owed = calls_owed(self.cook)
            first = min((c.at for c in owed), default=None)
            if first is None or first > until:
                return
            now = max(first, self.cook.entries[-1].heard)
            ripe = hushed(self.cook, due(owed, now), now)
            keys = [c.key for c in ripe]
            assert len(keys) == len(set(keys)), "one call, twice in a message"
            assert not set(keys) & self.cook.calls.keys(), "a call was owed twice"
            for call in ripe:
                assert is_wanted(self.cook, call), f"{call.key} is for finished work"
            self.note(ripe, now)
            facts = tuple(Dated(now, CallMade(c)) for c in ripe)
            self.cook = booked(self.cook, (*facts, *asked_with(self.cook, ripe, now)), "bot", now)
        raise AssertionError("calls never end")

    def note(self, ripe: tuple[Call, ...], now: datetime) -> None:
        """Hold each person's pushes against mute and budget."""
        for person, group in merged(ripe):
            may_wait = all(not must_ring(self.cook, c, person) for c in group)
            loud = any(c.sound is not Sound.SILENT for c in group)
            if person not in self.pushes or not loud:
                continue
            if may_wait:
                assert not is_muted(self.cook, person, now), "a muted person was rung"
                recent = [t for t in self.pushes[person] if now - t < HOUR]
                assert is_lead(self.cook, person) or len(recent) < budget(self.cook, now)
            self.pushes[person].append(now)


def is_wanted(cook: Cook, call: Call) -> bool:
    """Say whether a call asks for something that is not done yet."""
    if call.kind in {"start", "tick"}:
        return cook.phase(call.about) is Phase.WAITING
    if call.kind in {"end", "check", "flip", "limit"}:
        return cook.phase(call.about) in {Phase.WAITING, Phase.RUNNING}
    return True


def can_be_answered(cook: Cook, now: datetime) -> bool:
    """Say whether every open question takes at least one of its answers."""
    waiting = [q for q in cook.questions.values() if q.answered is None]
    for open_ in waiting[-MOST_TRIED:]:
        by, key = open_.question.to[0], open_.question.key
        numbers = range(1, len(open_.question.choices) + 1)
        assert numbers or key.startswith("review/"), key
        if numbers and not any(answered(cook, Choose(n, key), by, now) for n in numbers):
            return False
    return True


def answered(cook: Cook, wish: Wish, by: str, now: datetime) -> bool:
    """Say whether a wish is decided rather than refused."""
    try:
        decide(cook, wish, by=by, at=now, now=now)
    except KitchenError:
        return False
    return True


@settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck))
@given(STEPS)
def test_whatever_is_reported_no_call_is_doubled_stale_or_too_many(
    steps: list[tuple[int, str, Wish]],
) -> None:
    day, now = Day(), START
    day.ring(now)
    for minutes, by, wish in steps:
        now += timedelta(minutes=minutes)
        day.ring(now)
        now = max(now, day.cook.entries[-1].heard)
        try:
            decision = decide(day.cook, wish, by=by, at=now, now=now)
        except KitchenError:
            continue
        day.cook = booked(day.cook, decision.facts, by, now)
        lines = decision.answer.lines if decision.answer else ()
        assert len(lines) <= 5
    day.ring(now + HOUR)
    assert can_be_answered(day.cook, now + HOUR)
