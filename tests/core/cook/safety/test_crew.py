"""Somebody is sick: off at once, told to the chef alone, with what they touched by their ticks.

48 h after symptoms end: Food Standards Agency, food handlers fitness to work (C2 in the tables).
"""

from __future__ import annotations

from datetime import UTC

import pytest

from bot.record import what_of
from bot.render import render
from core.calls import calls_owed
from core.cook import Cook
from core.cook.safety.crew import touched
from core.errors import NotAllowedError, UnknownNameError
from core.facts import Report, ReportBack, ReportSick, ReportStep
from core.model import Sound, Verdict
from tests.core.cook.safety.days import at, spoken, started, tap, words


def dressed() -> Cook:
    """Return a cook in which Carmen has dressed the salad."""
    step = ReportStep("leek-potato-salad", "dress", Report.DONE)
    return spoken(started(), "carmen", "13:40", step)[0]


def test_who_is_sick_is_said_to_the_chef_alone() -> None:
    cook, told = spoken(dressed(), "dev", "14:00", ReportSick("carmen"))
    assert {p for n in told.notices for p in n.to} == {"ana"}
    assert "Carmen" not in words(told.answer)
    assert all(n.sound is Sound.ALARM for n in told.notices)
    assert cook.safety.off == {"carmen": at("14:00")}


def test_the_chef_sees_what_was_touched_and_bins_it_by_a_tap() -> None:
    cook, told = spoken(dressed(), "dev", "14:00", ReportSick("carmen"))
    (notice,) = told.notices
    assert len(notice.lines) <= 4
    assert [c.text for c in notice.choices] == ["bin it", "leave it"]
    cook, _ = tap(cook, "ana", "14:02", 1)
    assert "leek-potato-salad/dress" in cook.safety.binned


def test_touched_comes_from_ticks_not_from_the_plan() -> None:
    assert touched(started(), "carmen") == ()
    (one,) = touched(dressed(), "carmen")
    assert (one.what, one.end, one.ready_to_eat) == ("leek-potato-salad/dress", at("13:40"), True)


def test_meat_that_is_still_to_be_cooked_is_named_and_not_binned() -> None:
    cook = spoken(started(), "ana", "12:05", ReportStep("A", "rub", Report.DONE))[0]
    (one,) = touched(cook, "ana")
    assert not one.ready_to_eat


def test_a_sick_chef_is_told_to_who_stands_in() -> None:
    _, told = spoken(started(), "ana", "10:00", ReportSick("ana"))
    assert [n.to for n in told.notices] == [("bo",)]


def test_no_call_goes_to_who_is_off() -> None:
    assert any("carmen" in c.to for c in calls_owed(started()))
    cook, _ = spoken(started(), "dev", "10:00", ReportSick("carmen"))
    assert not any("carmen" in c.to for c in calls_owed(cook))


def test_the_record_carries_no_name() -> None:
    cook, _ = spoken(started(), "dev", "10:00", ReportSick("carmen"))
    told = [render(what_of(e, cook), "en", UTC) for e in cook.entries[-4:]]
    assert any("off sick" in line for line in told)
    assert not any("Carmen" in line and "sick" in line for line in told)


def test_before_48_hours_nobody_is_let_back() -> None:
    cook, _ = spoken(started(), "dev", "10:00", ReportSick("carmen"))
    cook, refused = spoken(cook, "ana", "16:00", ReportBack("carmen"))
    assert refused.answer is not None
    assert refused.answer.verdict is Verdict.STOP
    assert "carmen" in cook.safety.off


def test_only_the_chef_lets_somebody_back() -> None:
    cook, _ = spoken(started(), "dev", "10:00", ReportSick("carmen"))
    with pytest.raises(NotAllowedError):
        spoken(cook, "carmen", "16:00", ReportBack("carmen"))


def test_somebody_unknown_is_asked_for() -> None:
    with pytest.raises(UnknownNameError):
        spoken(started(), "dev", "10:00", ReportSick("luis"))
