"""The golden wedding's day as it is typed: who was told what, when, how loud.

Expected clock times: the printed day of the wedding scenario (common practice), within the
tolerances written there, unless a line says by hand.
"""

from __future__ import annotations

import json
import re
from datetime import datetime
from pathlib import Path

import jsonschema
import pytest

from bot.codec import fact_text
from bot.examples import GOLDEN_WEDDING
from bot.naming import names_of, with_names
from bot.rehearse import Shown
from bot.sendjson import send_json
from core.cook import replay
from core.facts import CallMade, PlanAdopted, ReadingTaken, StepReported, VerdictGiven
from core.model import Moment, Sound, Verdict
from tests.flow.days import Day, example_day, played

SCHEMAS = Path(__file__).parents[1] / "bot" / "schemas"
SCRIPT = (GOLDEN_WEDDING / "day.txt").read_text("utf-8").splitlines()


@pytest.fixture(scope="module")
def day() -> Day:
    return example_day(GOLDEN_WEDDING)


def number_of(words: str) -> int:
    return next(n for n, line in enumerate(SCRIPT, start=1) if line.endswith(words))


def minutes_off(day: Day, at: datetime, clock: str) -> float:
    hour, minute = clock.split(":")
    return (
        abs((at - day.cards.event.instant(Moment(0, int(hour), int(minute)))).total_seconds()) / 60
    )


def first_call(day: Day, key: str) -> Shown:
    return next(
        s for s in day.shown
        if s.message.tag and s.message.tag.kind == "call" and key in s.message.tag.keys
    )  # fmt: skip


@pytest.mark.parametrize(
    ("key", "person", "clock"),
    [
        ("light/smoker/tick", "bo", "09:30"),
        ("celeriac/L1/smoke/start", "bo", "10:05"),
        ("lamb-rump/A/smoke/start", "bo", "12:08"),
        ("lamb-rump/B/smoke/start", "bo", "12:22"),
        ("light/grill/tick", "bo", "12:25"),
        ("leek-potato-salad/dress/tick", "carmen", "13:34"),  # it moved with plates
    ],
)
def test_each_call_rings_the_one_who_acts_at_its_time(
    day: Day, key: str, person: str, clock: str
) -> None:
    call = first_call(day, key)
    assert call.room == f"@{person}"
    assert call.message.sound is Sound.ONCE
    assert minutes_off(day, call.at, clock) <= 5


def test_after_a_reading_the_look_moves_to_where_the_thermometer_points(day: Day) -> None:
    looks = [s for s in day.rung("bo") if "CHECK Lamb rump A" in s.message.text]
    assert minutes_off(day, looks[-1].at, "13:14") <= 5  # the pit fell: 13:14, not 13:10


def test_a_call_is_on_one_phone_and_silent_in_the_room(day: Day) -> None:
    key = "lamb-rump/A/smoke/start"
    with_it = [s for s in day.shown if s.message.tag and key in s.message.tag.keys]
    assert sorted((s.room, s.message.sound) for s in with_it) == [
        ("@bo", Sound.ONCE),
        ("crew", Sound.SILENT),
    ]


def test_the_room_hears_both_languages_and_carmen_only_her_own(day: Day) -> None:
    dress = first_call(day, "leek-potato-salad/dress/tick")
    assert dress.message.lines[0].startswith("ALIÑA")
    room = next(s for s in day.shown if s.room == "crew" and "ALIÑA" in s.message.text)
    assert "DRESS" in room.message.text


def test_a_load_ticked_late_keeps_the_time_that_was_said(day: Day) -> None:
    on = next(
        e for e in day.cook.entries
        if isinstance(e.fact, StepReported) and e.fact.run == "lamb-rump/A/smoke"
    )  # fmt: skip
    assert (day.local(on.at), day.local(on.heard)) == ("12:08", "12:11")


def test_the_fallen_pit_costs_rack_a_about_four_minutes_not_fourteen(day: Day) -> None:
    (reply,) = day.replies(number_of("Bo: pit 92"))
    assert "4 min later" in reply.message.text


def test_nothing_changes_until_the_chef_taps(day: Day) -> None:
    plans = [e for e in day.cook.entries if isinstance(e.fact, PlanAdopted)]
    assert [(p.by, day.local(p.at)) for p in plans][1:] == [
        ("ana", "10:42"),
        ("ana", "12:47"),
        ("ana", "13:54"),
    ]
    (asked,) = day.replies(number_of("Client: +8 coming, 2 veggie"))
    assert asked.room == "@client"
    question = next(s for s in day.to("ana") if "60 → 68" in s.message.text)
    assert question.message.choices == ("apply", "leave it")
    assert day.local(question.at) == "10:40"


def test_warm_air_in_a_box_is_unknown_and_its_food_in_order_is_ok(day: Day) -> None:
    (air,) = day.replies(number_of("caja 2 marca 7"))
    assert air.message.tag is not None
    assert air.message.tag.verdict is Verdict.UNKNOWN
    (food,) = day.replies(number_of("caja 2 comida 4,6"))
    assert food.message.tag is not None
    assert food.message.tag.verdict is Verdict.OK
    assert food.message.lines[0].startswith("OK")


def test_every_verdict_is_kept_with_its_rule(day: Day) -> None:
    given = [e.fact for e in day.cook.entries if isinstance(e.fact, VerdictGiven)]
    assert given
    assert all(v.tables for v in given)


def test_no_call_for_the_same_moment_is_made_twice(day: Day) -> None:
    calls = [e.fact.call for e in day.cook.entries if isinstance(e.fact, CallMade)]
    moments = [(c.about, c.kind, c.at, c.to, c.rung, c.line.text) for c in calls]
    assert len(moments) == len(set(moments))


def test_a_restart_is_a_replay(day: Day) -> None:
    assert day.cook.cards is not None
    assert with_names(replay(day.cook.entries), names_of(day.cook.cards)) == day.cook


def test_no_fact_says_what_anybody_is_called(day: Day) -> None:
    assert day.cook.cards is not None
    stored = "".join(fact_text(e.fact) for e in day.cook.entries)
    for name in names_of(day.cook.cards).values():
        assert not re.search(rf"\b{name}\b", stored), name


def test_what_a_phone_missed_is_shown_when_it_is_back() -> None:
    script = "09:00 Bo: (offline)\n10:30 Bo: (online)\n10:31 Ana: status"
    day = played(GOLDEN_WEDDING, script)
    to_bo = [(day.local(s.at), s.message.lines[0]) for s in day.to("bo") if day.local(s.at) < "11"]
    assert ("10:30", "LIGHT smoker · 115 °C · 09:30") in to_bo
    assert [line for at, line in to_bo if at < "10:30"] == []


def test_readings_are_kept_as_typed(day: Day) -> None:
    cores = [
        e.fact.reading.value for e in day.cook.entries
        if isinstance(e.fact, ReadingTaken) and e.fact.reading.about == "lamb-rump/A/smoke"
    ]  # fmt: skip
    assert cores == [28.0, 38.0, 46.0]


def test_a_jammed_auger_is_answered_with_what_it_does_to_plates(day: Day) -> None:
    (reply,) = day.replies(number_of("Bo: auger jammed"))
    assert reply.message.lines[0].startswith("smoker out: plates 14:00")


def test_every_line_of_the_script_is_answered(day: Day) -> None:
    answered = {s.message.tag.line for s in day.shown if s.message.tag and s.message.tag.line}
    silent = {"(offline)", "(online)"}
    typed = {
        n for n, line in enumerate(SCRIPT, start=1)
        if line and not line.startswith("#") and line.split(": ", 1)[1] not in silent
    }  # fmt: skip
    assert typed - answered == set()


def test_each_send_is_an_object_of_the_contract(day: Day) -> None:
    schema = json.loads((SCHEMAS / "send.json").read_text("utf-8"))
    for n, shown in enumerate(day.shown, start=1):
        row = send_json(
            n, day.cards.event.local(shown.at), shown.room, shown.message, shown.key, None
        )
        jsonschema.validate(row, schema)


def test_no_answer_is_longer_than_four_lines_a_person(day: Day) -> None:
    replies = [s for s in day.shown if s.message.tag and s.message.tag.kind == "reply"]
    assert [s.message.lines for s in replies if len(s.message.lines) > 4] == []


def test_a_severe_allergy_rings_the_allergy_lead_and_holds_the_plate(day: Day) -> None:
    (reply,) = day.replies(number_of("Dev: table 4 severe nut allergy"))
    assert reply.message.tag is not None
    assert reply.message.tag.verdict is Verdict.NOT_CONFIRMED
    told = [s for s in day.to("carmen") if "severe nut allergy" in s.message.text]
    assert [s.message.sound for s in told] == [Sound.ALARM]
