"""JSON for machines: every field of the contract, and nothing that is not in it."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from bot.askjson import answer_json, number_of, unit_name
from bot.planjson import plan_json
from bot.ports import Outgoing, Tag
from bot.render import render
from bot.sendjson import send_json
from core.calls import calls_of
from core.model import (
    Answer,
    Buy,
    Cards,
    Line,
    Load,
    Number,
    Pack,
    Plan,
    Qty,
    Sound,
    Source,
    Verdict,
    say,
)
from tests.bot.plans import harvest, harvest_plan, wedding, wedding_plan

SCHEMAS = Path(__file__).parent / "schemas"
NOW = datetime(2026, 6, 13, 12, 46, tzinfo=UTC)


def schema(name: str) -> Draft202012Validator:
    found = json.loads((SCHEMAS / f"{name}.json").read_text("utf-8"))
    Draft202012Validator.check_schema(found)
    return Draft202012Validator(found)


def valid(name: str, value: object) -> None:
    """Check a value as it comes back from its text."""
    schema(name).validate(json.loads(json.dumps(value, allow_nan=False)))


def words(line: Line) -> str:
    return render(line, "en", UTC)


def as_json(plan: Plan, cards: Cards) -> dict[str, object]:
    return plan_json(plan, calls_of(plan, cards), words, cards.event.zone)


def rows(found: dict[str, object], key: str) -> list[dict[str, object]]:
    value = found[key]
    assert isinstance(value, list)
    return value


# ------------------------------------------------------------------ plan --json


def test_both_plans_are_as_the_contract_says() -> None:
    valid("plan", as_json(wedding_plan(), wedding()))
    valid("plan", as_json(harvest_plan(), harvest()))


def test_a_missing_or_unknown_field_is_not_as_the_contract_says() -> None:
    found = as_json(wedding_plan(), wedding())
    checker = schema("plan")
    assert not checker.is_valid({k: v for k, v in found.items() if k != "fits"})
    assert not checker.is_valid({**found, "more": 1})
    assert not checker.is_valid({**found, "fits": "maybe"})


def test_every_batch_of_a_load_is_a_task_with_its_load_and_step() -> None:
    tasks = rows(as_json(wedding_plan(), wedding()), "tasks")
    sears = [t for t in tasks if t["load"] == "lamb-rump/A" and t["step"] == "sear"]
    assert [(t["batch"], t["start"]) for t in sears] == [  # by hand, from the plan's table
        ("A.1", "2026-06-13T13:12:00+01:00"),
        ("A.2", "2026-06-13T13:18:30+01:00"),
    ]


def test_a_step_of_the_whole_load_has_no_batch() -> None:
    tasks = rows(as_json(wedding_plan(), wedding()), "tasks")
    smoke = next(t for t in tasks if t["id"] == "lamb-rump/A/smoke")
    assert (smoke["batch"], smoke["station"], smoke["count"]) == (None, "smoker", 28)


def test_tasks_stand_in_order_of_time() -> None:
    starts = [str(t["start"]) for t in rows(as_json(harvest_plan(), harvest()), "tasks")]
    assert starts == sorted(starts)


def test_a_load_has_its_times_at_the_site() -> None:
    load = next(
        x for x in rows(as_json(harvest_plan(), harvest()), "loads") if x["id"] == "pork-collar/b2"
    )
    assert load["on"] == "2026-10-09T18:28:00-07:00"
    assert load["slack_min"] == 13  # by hand: ready 19:28, needed 19:41


def test_only_a_finding_of_safety_has_a_verdict() -> None:
    found = rows(as_json(wedding_plan(), wedding()), "findings")
    assert [(f["kind"], f["verdict"]) for f in found] == [("quality", None), ("safety", "NOT YET")]


def test_a_pack_is_in_the_unit_of_its_line() -> None:
    bottle = Buy("olive oil", 1.0, "kg", ((Pack(1.0, "L"), 2),), 0.826)
    found = as_json(replace(wedding_plan(), buy=(bottle,)), wedding())
    packs = rows(found, "buy")[0]["packs"]
    assert packs == [{"size": 0.913, "count": 2}]  # a litre is 0.913 kg, USDA SR26 04053


def test_an_endless_hold_is_null_and_not_a_number_json_lacks() -> None:
    load: Load = replace(wedding_plan().loads[0], hold_min=float("inf"))
    found = as_json(replace(wedding_plan(), loads=(load,)), wedding())
    assert rows(found, "loads")[0]["hold_min"] is None
    valid("plan", found)


def test_an_empty_plan_is_a_plan() -> None:
    valid("plan", plan_json(Plan("A", 0, NOW, (), ()), (), words))


# ------------------------------------------------------------------ ask --json


FULL = Answer(
    lines=(say("{salt} of salt.", salt=Qty(1.5, "kg")), say("Weigh it.")),
    verdict=Verdict.UNKNOWN,
    numbers=(
        Number("salt", 1.5, "kg", 1.4, 1.6),
        Number("eggs", 12.0, "pieces"),
        Number("deadline", NOW.isoformat(), "time"),
        Number("cost", 12.5, "EUR"),
    ),
    read_as=say("salt for {water}", water=Qty(10, "L")),
    question=say("Fine or coarse?"),
    choices=(say("fine"), say("coarse")),
    sources=(Source("q1", "A table", "row 3", "C"), Source("card", "The card")),
)


def test_an_answer_is_as_the_contract_says() -> None:
    valid("ask", answer_json(FULL, words))
    valid("ask", answer_json(Answer(()), words))


def test_question_and_choices_are_there_only_where_it_asks_back() -> None:
    assert not {"question", "choices"} & set(answer_json(replace(FULL, question=None), words))
    assert answer_json(FULL, words)["choices"] == ["fine", "coarse"]


def test_a_range_has_low_and_high_and_a_number_alone_has_not() -> None:
    numbers = rows(answer_json(FULL, words), "numbers")
    assert (numbers[0]["low"], numbers[0]["high"]) == (1.4, 1.6)
    assert "low" not in numbers[1]


def test_lines_of_the_answer_are_lines_of_the_text() -> None:
    assert answer_json(FULL, words)["text"] == "1.5 kg of salt.\nWeigh it."


@pytest.mark.parametrize("unit", ["pieces", "pcs", "portions", "heads", "plates", ""])
def test_what_is_counted_is_a_count(unit: str) -> None:
    assert unit_name(unit) == "count"


@pytest.mark.parametrize(
    "unit",
    [
        "kg",
        "g",
        "L",
        "mL",
        "cm",
        "mm",
        "s",
        "min",
        "h",
        "°C",
        "kW",
        "ppm",
        "%",
        "g/L",
        "g/kg",
        "1/min",
        "count",
        "time",
        "lb",
        "oz",
        "qt",
        "gal",
        "cup",
        "°F",
        "EUR",
    ],
)
def test_units_of_the_contract_stay_as_they_are(unit: str) -> None:
    assert unit_name(unit) == unit


def test_a_verdict_outside_the_list_is_not_as_the_contract_says() -> None:
    assert not schema("ask").is_valid({**answer_json(FULL, words), "verdict": "SAFE"})


def test_whole_numbers_have_no_point() -> None:
    assert json.dumps(number_of(28.0)) == "28"


# ------------------------------------------------------------------ rehearse --json

CALL = Outgoing(
    ("PULL lamb A at 46 °C · look 13:10",),
    ("done", "+5 min"),
    Sound.ONCE,
    tag=Tag("call", ("bo",), keys=("lamb/A/smoke/end", "lamb/B/smoke/check1"), load="lamb/A",
            step="smoke"),
)  # fmt: skip


def test_a_send_is_as_the_contract_says() -> None:
    valid("send", send_json(1, NOW, "@bo", CALL, "c:1"))
    valid("send", send_json(2, NOW, "crew", Outgoing(("hello",)), "n:1", edit_of=1))


def test_a_silent_copy_bears_the_key_of_its_call() -> None:
    assert CALL.tag is not None
    copy = replace(CALL, sound=Sound.SILENT, tag=replace(CALL.tag, kind="room", to=("room",)))
    ringing, silent = send_json(1, NOW, "@bo", CALL, "a"), send_json(2, NOW, "crew", copy, "b")
    assert ringing["key"] == silent["key"] == "lamb/A/smoke/end"
    assert silent["to"] == ["room"]


def test_every_key_of_a_merged_call_is_there() -> None:
    assert send_json(1, NOW, "@bo", CALL, "c:1")["keys"] == list(CALL.tag.keys if CALL.tag else ())


def test_a_reply_says_which_line_of_the_script_it_answers() -> None:
    reply = Outgoing(("OK.",), tag=Tag("reply", ("ana",), Verdict.OK, line=7))
    found = send_json(3, NOW, "@ana", reply, "r:1")
    assert (found["line"], found["verdict"], found["key"]) == (7, "OK", "r:1")


def test_absent_is_null() -> None:
    found = send_json(1, NOW, "crew", Outgoing(("hello",)), "n:1")
    assert all(found[k] is None for k in ("verdict", "load", "step", "letter", "picture", "line"))
