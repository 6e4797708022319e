"""Alarms: no question, no right asked, every phone that must know, before and after any cook."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.cook import Cook, decide
from core.cook.safety.alarms import EVERYBODY
from core.cook.service.silence import hushed_notices
from core.facts import Mute, RaiseAlarm
from core.model import Sound, Verdict
from core.safety.site import Alarm
from tests.core.cook.safety.days import at, spoken, started, words

EVERYONE = {"ana", "bo", "carmen", "dev", "eli"}


@pytest.mark.parametrize("alarm", [a for a in Alarm if a in EVERYBODY])
def test_an_alarm_for_all_rings_every_other_phone_and_the_room(alarm: Alarm) -> None:
    _, told = spoken(started(), "bo", "13:00", RaiseAlarm(alarm.value))
    people = {p for n in told.notices for p in n.to}
    assert people == EVERYONE - {"bo"} | {"room"}
    assert {n.sound for n in told.notices} == {Sound.ALARM}


@pytest.mark.parametrize("alarm", ["", *(a.value for a in Alarm if a not in EVERYBODY)])
def test_the_others_page_chef_first_aider_and_leads(alarm: str) -> None:
    _, told = spoken(started(), "eli", "13:00", RaiseAlarm(alarm))
    people = {p for n in told.notices for p in n.to}
    assert {"ana", "dev"} <= people  # Dev is the first aider on the card


@pytest.mark.parametrize("alarm", ["", *(a.value for a in Alarm)])
def test_the_answer_is_a_stop_of_four_lines_at_most_and_asks_nothing(alarm: str) -> None:
    _, told = spoken(started(), "client", "13:00", RaiseAlarm(alarm))
    assert told.answer is not None
    assert told.answer.verdict is Verdict.STOP
    assert 1 <= len(told.answer.lines) <= 4
    assert told.answer.lines[0].text.startswith("{verdict}")
    assert told.answer.question is None


@pytest.mark.parametrize("alarm", ["", "reaction", "down"])
def test_where_an_ambulance_comes_first_so_do_number_gate_and_address(alarm: str) -> None:
    _, told = spoken(started(), "bo", "13:00", RaiseAlarm(alarm))
    first = words(replace(told.answer, lines=told.answer.lines[:1])) if told.answer else ""
    for word in ("999", "gate 3", "The lower orchard, Orchard Lane 3"):
        assert word in first


def test_said_twice_within_three_minutes_it_rings_once() -> None:
    cook, _ = spoken(started(), "bo", "13:00", RaiseAlarm("co"))
    cook, again = spoken(cook, "dev", "13:02", RaiseAlarm("co"))
    assert again.notices == ()
    assert again.answer is not None
    _, other = spoken(cook, "dev", "13:02", RaiseAlarm("gas"))
    assert other.notices


def test_no_mute_holds_it_back() -> None:
    cook, _ = spoken(started(), "dev", "12:50", Mute(at("14:00")))
    cook, told = spoken(cook, "bo", "13:00", RaiseAlarm("co"))
    kept = hushed_notices(cook, told.notices, at("13:00"))
    assert {n.sound for n in kept if "dev" in n.to} == {Sound.ALARM}


def test_before_any_cook_and_after_it_is_closed_it_is_answered() -> None:
    for cook in (Cook(), replace(started(), closed=True)):
        told = decide(cook, RaiseAlarm("co"), by="bo", at=at("13:00"), now=at("13:00"))
        assert told.answer is not None
        assert told.answer.verdict is Verdict.STOP
