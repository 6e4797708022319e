"""The golden wedding row by row: who was told what, when, how loud, and who was not told.

Rows of the printed day that are no slip (common practice); slips have tests of their own. A push
is a message that makes a phone sound.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

import pytest

from bot.examples import GOLDEN_WEDDING
from bot.rehearse import Shown
from core.model import Sound, Verdict
from tests.flow.days import Day, example_day

SCRIPT = (GOLDEN_WEDDING / "day.txt").read_text("utf-8").splitlines()
CREW = ("ana", "bo", "carmen", "dev", "eli")


@pytest.fixture(scope="module")
def day() -> Day:
    return example_day(GOLDEN_WEDDING)


def on_the_day(day: Day, start: str, end: str) -> list[Shown]:
    """Return what made a sound between two clock times of the day itself."""
    event = day.cards.event
    return [
        s for s in day.shown
        if event.local(s.at).date() == event.day and start <= day.local(s.at) < end
        and s.message.sound is not Sound.SILENT
    ]  # fmt: skip


def rung(pushes: Iterable[Shown]) -> set[str]:
    return {s.room.removeprefix("@") for s in pushes}


def reply(day: Day, words: str) -> Shown:
    number = next(n for n, line in enumerate(SCRIPT, start=1) if line.endswith(words))
    (answer,) = day.replies(number)
    return answer


ASKER_ONLY = [
    ("Eli: box 3 6.5", "eli", r"box3 6\.5 °C", "07:46", "08:00"),
    ("Eli: box 3 4.2", "eli", r"4\.2 °C", "08:01", "08:15"),
    ("Carmen: caja 2 marca 7", "carmen", r"7 °C es el aire.*11:35", "11:20", "11:22"),
    ("Carmen: caja 2 comida 4,6", "carmen", r"^OK\. 4,6 °C", "11:22", "11:30"),
    ("Carmen: caja 2 4,4", "carmen", r"4,4 °C 11:35", "11:32", "11:46"),
    ("Bo: 12:08 A on", "bo", r"SMOKE 12:08", "12:10", "12:13"),
    ("Bo: 12:22 B on", "bo", r"SMOKE 12:22", "12:23", "12:31"),
    ("Bo: A 38", "bo", r"Check at 13:1\d", "13:00", "13:05"),
    ("Carmen: alergia al apio", "carmen", r"^SÍ\. apio: Celeriac", "13:05", "13:07"),
    ("Bo: A 46", "bo", r"PULL now: 46 °C", "13:15", "13:33"),
    ("Bo: B 46", "bo", r"PULL now: 46 °C", "13:24", "13:33"),
    ("Carmen: aliño hecho", "carmen", r"ALIÑA hecho 13:35", "13:34", "13:38"),
    ("Dev: seconds", "dev", r"48 slices .*\n6 tables: 8 each", "14:16", "14:40"),
    ("Dev: any egg in potato thing", "dev", r"milk, mustard", "14:41", "15:13"),
    ("Dev: 17 slices left from B.2", "dev", r"by 15:44", "15:35", "15:44"),
    ("Bo: ash in the drum", "bo", r"lidded metal", "16:22", "16:30"),
]
"""What is typed, who hears the answer, what it says, and a stretch in which nobody is rung."""


@pytest.mark.parametrize(("words", "who", "says", "start", "end"), ASKER_ONLY)
def test_a_question_or_a_tick_is_answered_to_its_asker_alone(
    day: Day, words: str, who: str, says: str, start: str, end: str
) -> None:
    answer = reply(day, words)
    assert (answer.room, answer.message.sound) == (f"@{who}", Sound.SILENT)
    assert re.search(says, answer.message.text), answer.message.text
    assert rung(on_the_day(day, start, end)) == set()


CALLS = [
    ("LOAD THE VAN", "eli", "07:45"),
    ("LIGHT smoker", "bo", "09:30"),
    ("PULL Celeriac", "bo", "11:45"),
    ("SMOKE Lamb rump A", "bo", "12:08"),
    ("SMOKE Lamb rump B", "bo", "12:22"),
    ("LIGHT grill", "bo", "12:25"),
    ("PULL Lamb rump A", "bo", "13:14"),
    ("ALIÑA leek potato salad", "carmen", "13:35"),  # moved with plates, not at 13:30
    ("PACK UP", "eli", "16:30"),
]


@pytest.mark.parametrize(("words", "who", "clock"), CALLS)
def test_a_call_rings_once_the_one_who_acts_and_nobody_else(
    day: Day, words: str, who: str, clock: str
) -> None:
    event = day.cards.event
    pushes = [
        s for s in day.shown
        if words in s.message.text and s.message.sound is not Sound.SILENT
        and event.local(s.at).date() == event.day
        and s.message.tag and s.message.tag.kind == "call"
    ]  # fmt: skip
    assert rung(pushes) == {who}
    first = day.local(pushes[0].at)
    off = abs(int(first[:2]) * 60 + int(first[3:]) - int(clock[:2]) * 60 - int(clock[3:]))
    assert off <= 4  # printed: ±4 min for the outage, ±3 where pushes are merged
    assert pushes[0].message.sound is Sound.ONCE


def test_the_celeriac_over_its_hold_is_a_word_on_quality_and_rings_nobody(day: Day) -> None:
    assert reply(day, "Bo: celeriac off").message.sound is Sound.SILENT
    assert rung(on_the_day(day, "11:47", "12:00")) == set()


def test_a_phone_without_signal_gets_what_waited_once_when_it_is_back(day: Day) -> None:
    waited = [s for s in day.to("bo") if "11:05" <= day.local(s.at) < "11:30"
              and day.cards.event.local(s.at).date() == day.cards.event.day]  # fmt: skip
    assert waited == []
    keys = [s.key for s in day.to("bo")]
    assert len(keys) == len(set(keys))


def test_a_severe_allergy_is_an_alarm_for_the_allergy_lead_and_an_answer_to_dev_only(
    day: Day,
) -> None:
    pushes = on_the_day(day, "12:48", "12:53")
    assert [(s.room, s.message.sound) for s in pushes] == [("@carmen", Sound.ALARM)]
    assert reply(day, "Dev: table 4 severe nut allergy").message.tag is not None
    told = [s for s in day.shown if "severe nut" in s.message.text]
    assert rung(told) == {"carmen"}


def test_celery_is_answered_yes_in_carmen_s_own_language(day: Day) -> None:
    tag = reply(day, "Carmen: alergia al apio").message.tag
    assert tag is not None
    assert tag.verdict is Verdict.YES


def test_the_sear_rings_bo_alone_and_its_turns_make_no_sound(day: Day) -> None:
    turns = [s for s in day.shown if "FLIP" in s.message.text]
    assert turns
    assert all(s.message.sound is Sound.SILENT for s in turns)
    assert rung(on_the_day(day, "13:15", "13:33")) == set()


def test_while_platters_go_out_nobody_is_rung(day: Day) -> None:
    assert rung(on_the_day(day, "14:16", "14:40")) == set()


def test_what_was_binned_rings_nobody_any_more(day: Day) -> None:
    late = [s for s in on_the_day(day, "15:44", "16:05") if "Lamb rump" in s.message.text]
    assert late == []


def test_salad_out_since_1415_is_binned_by_1615_and_then_silent(day: Day) -> None:
    warned = [s for s in on_the_day(day, "15:50", "16:20") if "potato salad" in s.message.text]
    assert [day.local(s.at) for s in warned] == ["16:05"]  # binned 16:14, before the alarm
    assert rung(warned) == {"dev"}


def test_nobody_is_rung_after_the_crew_has_left_until_eleven(day: Day) -> None:
    event = day.cards.event
    quiet = [s for s in day.shown if s.message.sound is not Sound.SILENT
             and event.local(s.at).strftime("%d %H:%M") > "13 17:30"]  # fmt: skip
    assert {(s.room, event.local(s.at).strftime("%d %H:%M")) for s in quiet} == {
        ("@ana", "14 11:00")
    }


def test_the_review_is_ana_s_alone_with_six_lines_and_one_question(day: Day) -> None:
    (review,) = [s for s in day.to("ana") if "promised" in s.message.text]
    assert len(review.message.lines) == 7
    assert len(review.message.choices) == 2
    told = [s for s in day.shown if "promised" in s.message.text]
    assert rung(told) == {"ana"}
    assert "Lamb rump smoke: 66 min, card 62 min" in review.message.text  # printed: A 66, B 66


@pytest.mark.parametrize("person", ["bo", "carmen", "dev", "eli"])
def test_nobody_gets_more_than_twelve_pushes_in_any_hour(day: Day, person: str) -> None:
    times = [s.at for s in day.rung(person) if s.message.tag and s.message.tag.kind == "call"]
    for start in times:
        assert sum(0 <= (t - start).total_seconds() < 3600 for t in times) <= 12


def test_no_answer_is_longer_than_four_lines_and_its_question(day: Day) -> None:
    replies = [s for s in day.shown if s.message.tag and s.message.tag.kind == "reply"]
    long = [s.message.text for s in replies if len(s.message.lines) > 5]
    assert long == []


def test_the_card_of_the_room_is_pinned_once_and_edited_with_each_letter(day: Day) -> None:
    pinned = [s for s in day.shown if s.message.pin]
    assert [s.edit_of is None for s in pinned].count(True) == 1
    letters = [s.message.tag.letter for s in pinned if s.message.tag]
    assert letters == ["A", "B", "C", "D"]
    assert all(s.message.sound is Sound.SILENT for s in pinned if s.edit_of)
    assert "Rules: " in pinned[0].message.text


def test_the_head_of_the_chain_is_posted_at_the_start_and_with_each_letter(day: Day) -> None:
    heads = [s for s in day.shown if s.room == "crew" and re.search(r"Log ", s.message.text)]
    assert len(heads) >= 4


def test_everybody_of_the_crew_is_somebody(day: Day) -> None:
    assert {p.id for p in day.cards.crew} == set(CREW)
