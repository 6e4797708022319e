"""The harvest supper's day as it is typed, with its prep day.

Expected: the printed day of the harvest scenario (common practice; cooling: FDA Food Code
3-501.14(A), 57 to 21 °C in 2 h and to 5 °C in 6 h), within the tolerances written there.
"""

from __future__ import annotations

import pytest

from bot.examples import HARVEST_SUPPER
from core.model import Sound, Verdict
from tests.flow.days import Day, example_day

SCRIPT = (HARVEST_SUPPER / "day.txt").read_text("utf-8").splitlines()


@pytest.fixture(scope="module")
def day() -> Day:
    return example_day(HARVEST_SUPPER)


def answered(day: Day, words: str) -> tuple[Verdict | None, str]:
    number = next(n for n, line in enumerate(SCRIPT, start=1) if line.endswith(words))
    (reply,) = day.replies(number)
    assert reply.message.tag is not None
    return reply.message.tag.verdict, reply.message.text


@pytest.mark.parametrize(
    ("words", "verdict", "says"),
    [
        ("Lucía: judías 57", Verdict.NOT_YET, "21 °C a las 19:25"),
        ("Lucía: judías 24", Verdict.NOT_YET, "21 °C a las 19:25"),
        ("Lucía: judías 9", Verdict.NOT_YET, "5 °C a las 23:25"),
        ("Lucía: judías 4", Verdict.OK, "Enfriado"),
    ],
)
def test_beans_cooling_are_judged_from_the_last_hot_reading(
    day: Day, words: str, verdict: Verdict, says: str
) -> None:
    got, text = answered(day, words)
    assert got is verdict
    assert says in text


def test_lucia_alone_is_asked_an_hour_in_and_ten_minutes_before_the_limit(day: Day) -> None:
    asked = [s for s in day.shown if "¿Temperatura ahora?" in s.message.text and s.room != "crew"]
    assert [(day.local(s.at), s.room) for s in asked] == [("18:25", "@lucia"), ("19:15", "@lucia")]


def test_forty_five_more_is_one_more_load_after_the_chef_s_tap(day: Day) -> None:
    assert day.cook.plan is not None
    extra = [x for x in day.cook.plan.loads if x.number == "L5"]
    assert [x.count for x in extra] == [33]  # printed: 12 brined and 21 dry-salted
    question = next(s for s in day.to("marisol") if "320 → 365" in s.message.text)
    assert question.message.sound is Sound.ONCE


def test_sesame_is_a_yes_and_names_what_it_is_in(day: Day) -> None:
    verdict, text = answered(day, "Ben: any sesame in the salad")
    assert verdict is Verdict.YES
    assert "tahini" in text


def test_five_tubs_make_one_push_to_nuria(day: Day) -> None:
    pushes = [s for s in day.rung("nuria") if "SALMUERA Pork collar" in s.message.text]
    first = [s for s in pushes if day.local(s.at) == "14:00"]
    assert len(first) == 1
    assert len(first[0].message.lines) == 5


def test_no_push_line_is_longer_than_ninety_characters(day: Day) -> None:
    calls = [s for s in day.shown if s.message.tag and s.message.tag.kind == "call"]
    long = [line for s in calls for line in s.message.lines if len(line) > 90]
    assert [line for line in long if "→" in line and "·" in line] == []
