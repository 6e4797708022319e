"""The harvest supper row by row: who was told what, when, how loud, and who was not told.

Rows of the printed day that are no slip (common practice); slips have tests of their own. A push
is a message that makes a phone sound.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, timedelta

import pytest

from bot.examples import HARVEST_SUPPER
from bot.rehearse import Shown
from core.model import Lead, Role, Sound, Verdict
from tests.flow.days import Day, example_day

SCRIPT = (HARVEST_SUPPER / "day.txt").read_text("utf-8").splitlines()
LEADS = {Lead.PIT, Lead.COLD, Lead.FRONT}


@pytest.fixture(scope="module")
def day() -> Day:
    return example_day(HARVEST_SUPPER)


def between(day: Day, start: str, end: str, before: int = 0) -> list[Shown]:
    """Return what made a sound between two clock times of the day, or so many days before it."""
    event = day.cards.event
    wanted = date_of(day, before)
    return [
        s for s in day.shown
        if event.local(s.at).date() == wanted and start <= day.local(s.at) < end
        and s.message.sound is not Sound.SILENT
    ]  # fmt: skip


def date_of(day: Day, before: int) -> date:
    return day.cards.event.day - timedelta(days=before)


def rung(pushes: Iterable[Shown]) -> set[str]:
    return {s.room.removeprefix("@") for s in pushes}


def saying(pushes: Iterable[Shown], words: str) -> list[Shown]:
    return [s for s in pushes if re.search(words, s.message.text)]


def reply(day: Day, words: str) -> Shown:
    number = next(n for n, line in enumerate(SCRIPT, start=1) if line.endswith(words))
    (answer,) = day.replies(number)
    return answer


ANSWERS = [
    ("Nuria: collar 6.8", "nuria", r"6[.,]8 °C"),
    ("Nuria: collar 4.1", "nuria", r"4[.,]1 °C"),
    ("Nuria: brine on", "nuria", r"BRINE IN 14:02\.\n5 of them"),
    ("Nuria: 4/5 fuera", "nuria", r"15:31\.\n4 en total"),
    ("Nuria: 5/5 fuera", "nuria", r"16:02"),
    ("Teo: a1 43", "teo", r"Two probes 6 °C apart: the lower counts\. Ice slush"),
    ("Rafa: a1.1 on", "rafa", r"a1\.1: SEAR|a1\.1: MARCA"),
    ("Teo: a1 off 50", "teo", r"SMOKE done 17:55\.\nNext: SEAR Pork collar a1\.1 17:57"),
    ("Teo: a2 on", "teo", r"SMOKE 18:02"),
    ("Lucía: ensalada aliñada", "lucia", r"ALIÑA hecho 18:15"),
    ("Jo: sear b1", "jo", r"b1\.1: SEAR 18:23"),
    ("Iker: a3 on", "iker", r"a3: (SMOKE|AHÚMA) 18:54"),
    ("Olga: go", "olga", r"SERVE 19:00"),
    ("Ben: any sesame in the salad", "ben", r"^YES\. .*sesame in tahini"),
    ("Rafa: hot 1 61", "rafa", r"61 °C is the air\. Probe the food"),
    ("Lucía: 5.1 kg salad left", "lucia", r"20:55"),
    ("Pau: sauce 66", "pau", r"66 °C"),
]
"""What is typed, who hears the answer, what it says."""


@pytest.mark.parametrize(("words", "who", "says"), ANSWERS)
def test_an_answer_goes_to_its_asker_alone_and_makes_no_sound(
    day: Day, words: str, who: str, says: str
) -> None:
    answer = reply(day, words)
    assert (answer.room, answer.message.sound) == (f"@{who}", Sound.SILENT)
    assert re.search(says, answer.message.text), answer.message.text


NOBODY = [
    ("10:30", "11:00", 1),  # a warm case: Nuria's business
    ("18:26", "19:15", 1),  # beans cool as they should
    ("19:16", "20:40", 1),
    ("14:01", "15:10", 0),  # brine is in
    ("20:21", "20:45", 0),
    ("21:00", "22:00", 0),
]
"""Stretches in which no phone sounds."""


@pytest.mark.parametrize(("start", "end", "before"), NOBODY)
def test_nobody_is_rung(day: Day, start: str, end: str, before: int) -> None:
    pushes = between(day, start, end, before)
    assert [(day.local(s.at), s.room, s.message.lines) for s in pushes] == []


def test_lucia_alone_is_asked_for_the_beans_and_then_it_is_silent(day: Day) -> None:
    asked = saying(between(day, "17:00", "23:59", 1), "Temperatura ahora")
    assert rung(asked) == {"lucia"}
    assert [day.local(s.at) for s in asked] == ["18:25", "19:15"]
    assert [s.message.sound for s in asked] == [Sound.ONCE, Sound.ONCE]


def test_five_tubs_into_the_brine_are_one_push_to_nuria(day: Day) -> None:
    pushes = saying(between(day, "13:50", "14:10"), "SALMUERA")
    assert [(s.room, s.message.sound) for s in pushes] == [("@nuria", Sound.ONCE)]


def test_brine_out_under_its_maximum_never_becomes_an_alarm(day: Day) -> None:
    loud = [s for s in between(day, "15:30", "17:00") if s.message.sound is Sound.ALARM]
    assert saying(loud, "SALMUERA|BRINE") == []


def test_forty_five_more_ask_the_chef_and_after_the_tap_the_room_hears_it_once(day: Day) -> None:
    asked = saying(between(day, "15:10", "15:12"), "320 → 365")
    assert [(s.room, s.message.sound) for s in asked] == [("@marisol", Sound.ONCE)]
    told = saying(between(day, "15:12", "15:15"), "365")
    assert [s.room for s in told if s.room == "crew"] == ["crew"]


def test_two_probes_that_differ_are_teo_s_alone(day: Day) -> None:
    assert saying(between(day, "17:45", "17:50"), "probes|sondas") == []


def test_the_sear_of_a1_is_one_push_to_each_griller_with_its_core(day: Day) -> None:
    pushes = saying(between(day, "17:55", "18:05"), "(SEAR|MARCA) Pork collar a1")
    assert rung(pushes) == {"rafa", "jo"}
    assert len(pushes) == 2
    assert all("≥63 °C" in s.message.text for s in pushes)
    assert {s.message.sound for s in pushes} == {Sound.ONCE}


def test_dressing_stands_where_it_was_and_rings_the_cold_hands_only(day: Day) -> None:
    pushes = saying(between(day, "18:00", "18:40"), "ALIÑA|DRESS")
    assert rung(pushes) == {"lucia", "pau"}
    assert {day.local(s.at) for s in pushes} == {"18:15"}


def test_b1_is_seared_on_both_grills_and_nobody_else_is_rung_for_it(day: Day) -> None:
    pushes = saying(between(day, "18:20", "18:30"), "(SEAR|MARCA) Pork collar b1")
    assert rung(pushes) == {"rafa", "jo"}
    assert {s.message.sound for s in pushes} == {Sound.ONCE}


def test_a3_goes_on_without_a_push_once_it_is_ticked(day: Day) -> None:
    assert saying(between(day, "18:55", "19:00"), "a3") == []


def test_lanes_open_by_one_call_to_each_server(day: Day) -> None:
    pushes = saying(between(day, "18:40", "19:00"), "OPEN|ABRE")
    assert sorted((s.room, day.local(s.at)) for s in pushes) == [
        ("@kim", "18:45"), ("@nico", "18:45"), ("@sol", "18:45"), ("@tara", "18:45"),
    ]  # fmt: skip


def test_at_seven_olga_is_told_to_serve_and_nobody_else(day: Day) -> None:
    pushes = saying(between(day, "18:58", "19:05"), "SERVE|SIRVE")
    assert [(s.room, day.local(s.at)) for s in pushes] == [("@olga", "19:00")]


def test_a_slow_lane_is_for_the_front_lead_once(day: Day) -> None:
    pushes = saying(between(day, "19:12", "19:13"), "lane-1b")
    assert [(s.room, s.message.sound) for s in pushes] == [("@olga", Sound.ONCE)]
    assert "end table; swap the server" in pushes[0].message.text


def test_sesame_is_a_yes_to_ben_and_rings_nobody(day: Day) -> None:
    tag = reply(day, "Ben: any sesame in the salad").message.tag
    assert tag is not None
    assert tag.verdict is Verdict.YES
    assert saying(between(day, "19:15", "19:20"), "esam") == []


def test_a_box_at_61_is_never_called_fine(day: Day) -> None:
    tag = reply(day, "Rafa: hot 1 61").message.tag
    assert tag is not None
    assert tag.verdict is Verdict.UNKNOWN  # air: the food was not probed
    again = saying(between(day, "19:28", "19:50"), "hot1")
    assert rung(again) == {"rafa"}


def test_salad_on_the_line_since_1855_is_warned_of_and_binned_at_2055(day: Day) -> None:
    pushes = saying(between(day, "20:30", "21:30"), "ubergine")
    first, alarm = pushes[0], next(s for s in pushes if s.message.sound is Sound.ALARM)
    assert (first.room, day.local(first.at), first.message.sound) == ("@olga", "20:45", Sound.ONCE)
    assert (alarm.room, day.local(alarm.at)) == ("@olga", "20:55")


def test_the_review_is_marisol_s_alone(day: Day) -> None:
    told = saying(day.shown, "prometidos|promised")
    assert rung(told) == {"marisol"}
    assert len(told[0].message.lines) == 7


def leading(day: Day) -> set[str]:
    return {p.id for p in day.cards.crew if p.role is Role.CHEF or LEADS & {*p.leads}}


def test_ten_minutes_around_doors_nobody_but_a_lead_gets_more_than_two_pushes(day: Day) -> None:
    pushes = [s for s in between(day, "18:50", "19:10") if s.room != "crew"]
    counts = {who: sum(s.room == f"@{who}" for s in pushes) for who in rung(pushes)}
    assert {who: n for who, n in counts.items() if n > 2 and who not in leading(day)} == {}
    assert sum(counts.values()) > 0


def test_nothing_sounds_in_a_night_of_the_prep_days(day: Day) -> None:
    event = day.cards.event
    night = [
        s for s in day.shown
        if s.message.sound is not Sound.SILENT and event.local(s.at).date() <= event.day
        and (event.local(s.at).hour >= 22 or event.local(s.at).hour < 6)
        and event.local(s.at).strftime("%d %H:%M") < "09 12:00"
    ]  # fmt: skip
    assert night == []


def test_each_call_is_made_once_and_no_message_repeats_its_key(day: Day) -> None:
    keys = [(s.room, s.key) for s in day.shown if s.edit_of is None]
    assert len(keys) == len(set(keys))


def test_a_copy_in_the_room_never_sounds(day: Day) -> None:
    calls = [s for s in day.shown if s.room == "crew" and s.message.tag and s.message.tag.keys]
    rings = [s for s in calls if s.message.sound is not Sound.SILENT]
    kinds = {s.message.tag.kind for s in rings if s.message.tag}
    assert "call" not in kinds
    assert all("/start" not in key for s in rings if s.message.tag for key in s.message.tag.keys)
