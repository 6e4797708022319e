"""Parked meat, boxes, tables and pink meat: called at their moments, said once, climbing.

8 and 10 min between two fires, 2 h on the table: house rules, common practice; one period under
2 h below 63 °C: Food Safety and Hygiene (England) Regulations 2013, Sch 4 (C).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.calls import calls_owed
from core.cook import Cook, decide
from core.cook.boxes import box_out
from core.cook.decision import Dated, booked
from core.cook.safety.watch import said_with, unsafe
from core.facts import (
    ApprovePink,
    CallMade,
    Choose,
    GiveReading,
    LiftStop,
    ReadingTaken,
    Report,
    ReportStep,
    VerdictGiven,
)
from core.model import FoodClass, Place, Reading, Sound, Verdict
from core.safety.clocks import Side
from tests.core.cook.safety.days import at, calls, food, given, on_and_off, spoken, started, words
from tests.published import published


def as_pork(cook: Cook) -> Cook:
    """Return the wedding with pork collar in place of the lamb."""
    assert cook.cards is not None
    lamb = cook.cards.dish("lamb-rump")
    pork = replace(lamb, name="Pork collar", piece=replace(lamb.piece, food_class=FoodClass.A1))
    dishes = tuple(pork if d.id == lamb.id else d for d in cook.cards.dishes)
    return replace(cook, cards=replace(cook.cards, dishes=dishes))


def rung(cook: Cook, clock: str) -> tuple[Cook, list[str]]:
    """Make the calls that are due, each with its verdict, as the dispatcher does."""
    now = at(clock)
    ripe = [c for c in calls_owed(cook) if c.at <= now]
    facts = tuple(Dated(now, f) for f in (*map(CallMade, ripe), *said_with(cook, ripe)))
    return booked(cook, facts, "bot", now), [c.key for c in ripe]


# ------------------------------------------------------------------ two fires


def test_parked_pork_is_warned_of_at_8_min_and_stopped_at_10() -> None:
    cook = as_pork(on_and_off(started(), "A", "12:08", "13:10", 46.0))
    first, second = calls(cook, "gap")
    assert (first.at, first.sound) == (at("13:18"), Sound.ONCE)
    assert (second.at, second.sound, second.must) == (at("13:20"), Sound.ALARM, True)
    assert [c.text for c in second.choices] == ["sear now", "back on the first fire", "bin it"]


def test_whole_lamb_is_warned_of_and_never_stopped() -> None:
    cook = on_and_off(started(), "A", "12:08", "13:10", 46.0)
    assert [c.sound for c in calls(cook, "gap")] == [Sound.ONCE]


def test_once_it_is_on_the_second_fire_nothing_more_is_said_of_it() -> None:
    cook = as_pork(on_and_off(started(), "A", "12:08", "13:10", 46.0))
    for unit in ("A.1", "A.2"):
        cook = spoken(cook, "bo", "13:12", ReportStep(unit, "sear", Report.START))[0]
    assert calls(cook, "gap") == ()


def test_the_stop_is_booked_once_climbs_and_ends_with_any_answer() -> None:
    cook = as_pork(on_and_off(started(), "A", "12:08", "13:10", 46.0))
    cook, _ = rung(cook, "13:20")
    assert [v.rule for v in cook.verdicts] == ["house.stage_gap"]
    climbed = [c for c in calls(cook, "gap") if c.rung == 1]
    assert [c.at for c in climbed] == [at("13:23")]
    cook, _ = rung(cook, "13:23")
    assert [v.rule for v in cook.verdicts] == ["house.stage_gap"]  # said once
    stop = next(m for m in cook.calls.values() if m.call.kind == "gap" and m.call.must)
    cook, _ = spoken(cook, stop.call.to[0], "13:24", ReportStep("A.1", "sear", Report.START))
    cook, _ = spoken(cook, stop.call.to[0], "13:24", ReportStep("A.2", "sear", Report.START))
    assert [c for c in calls(cook, "gap") if c.rung] == []


def test_a_second_fire_lit_too_late_is_said_at_the_report() -> None:
    cook = as_pork(on_and_off(started(), "A", "12:08", "13:10", 46.0))
    _, told = spoken(cook, "bo", "13:25", ReportStep("A.1", "sear", Report.START))
    assert told.answer is not None
    assert told.answer.verdict is Verdict.STOP
    assert [f.rule for f in given(told)] == ["house.stage_gap"]
    assert ("ana",) in [n.to for n in told.notices]


# ------------------------------------------------------------------ boxes


def test_a_warm_box_is_looked_at_again_in_15_min_and_binned_at_its_deadline() -> None:
    cook = spoken(started(), "carmen", "12:40", food("box2", 4.0))[0]
    cook, told = spoken(cook, "carmen", "12:55", food("box2", 7.0))
    assert given(told)[0].deadline == at("14:40")  # last good 12:40, 2 h: by hand
    again, bin_ = calls(cook, "box")
    assert (again.at, again.to) == (at("13:10"), ("carmen",))
    assert (bin_.at, bin_.sound) == (at("14:40"), Sound.ALARM)


def test_a_good_reading_of_its_food_ends_the_clock() -> None:
    cook = spoken(started(), "carmen", "12:40", food("box2", 4.0))[0]
    cook = spoken(cook, "carmen", "12:55", food("box2", 7.0))[0]
    cook = spoken(cook, "carmen", "13:05", food("box2", 4.5))[0]
    assert calls(cook, "box") == ()


def test_cold_air_alone_asks_nothing_and_warm_air_asks_for_the_food() -> None:
    cold = GiveReading(Reading(4.2, Place.AIR, at("11:00"), "carmen", "box3"))
    warm = GiveReading(Reading(6.5, Place.AIR, at("11:00"), "carmen", "box3"))
    assert calls(spoken(started(), "carmen", "11:00", cold)[0], "box") == ()
    (again,) = calls(spoken(started(), "carmen", "11:00", warm)[0], "box")
    assert again.at == at("11:15")


def test_times_out_of_the_cold_add_up() -> None:
    cook = spoken(started(), "carmen", "10:00", food("box2", 4.0))[0]
    for clock, value in (("10:30", 7.0), ("10:45", 4.0), ("11:00", 8.0)):
        cook = spoken(cook, "carmen", clock, food("box2", value))[0]
    out = box_out(cook, cook.readings[-1], Side.COLD, at("11:00"))
    assert (out.since, out.before_min, out.periods) == (at("10:45"), 45.0, 1)  # 10:00 to 10:45


@published("Food Safety and Hygiene (England) Regulations 2013, Sch 4: one period under 2 h")
def test_a_second_time_below_the_heat_is_the_bin_in_the_uk() -> None:
    cook = spoken(started(), "bo", "12:00", food("hot1", 66.0, who="bo"))[0]
    for clock, value in (("12:20", 60.0), ("12:25", 65.0)):
        cook = spoken(cook, "bo", clock, food("hot1", value, who="bo"))[0]
    _, told = spoken(cook, "bo", "12:40", food("hot1", 61.0, who="bo"))
    assert told.answer is not None
    assert told.answer.verdict is Verdict.BIN


def test_reheated_through_it_starts_afresh() -> None:
    cook = spoken(started(), "bo", "12:00", food("hot1", 66.0, who="bo"))[0]
    for clock, value in (("12:20", 60.0), ("12:25", 75.0)):
        cook = spoken(cook, "bo", clock, food("hot1", value, who="bo"))[0]
    _, told = spoken(cook, "bo", "12:40", food("hot1", 61.0, who="bo"))
    assert told.answer is not None
    assert told.answer.verdict is Verdict.OK  # 15 min of its first 2 h
    assert given(told)[0].deadline == at("14:25")


def test_a_tap_on_binned_empties_the_box_and_its_clock() -> None:
    cook = spoken(started(), "carmen", "12:40", food("box2", 4.0))[0]
    cook = spoken(cook, "carmen", "12:55", food("box2", 7.0))[0]
    cook, keys = rung(cook, "14:40")
    key = next(k for k in keys if "/bin/" in k)
    assert cook.verdicts[-1].verdict is Verdict.BIN
    wish = Choose(1, key)
    then = decide(cook, wish, by="carmen", at=at("14:41"), now=at("14:41"))
    cook = booked(cook, then.facts, "carmen", at("14:41"))
    assert "box2" in cook.safety.binned
    assert calls(cook, "box") == ()


# ------------------------------------------------------------------ tables, pink


def seared(cook: Cook) -> Cook:
    cook = on_and_off(cook, "A", "12:08", "13:10", 46.0)
    return spoken(cook, "bo", "13:12", ReportStep("A.1", "sear", Report.START))[0]


def served(cook: Cook) -> Cook:
    cook = seared(cook)
    cook = spoken(cook, "carmen", "13:35", ReportStep("leek-potato-salad", "dress", Report.DONE))[0]
    return spoken(cook, "dev", "14:15", ReportStep("serve/1", "", Report.DONE))[0]


def test_what_is_on_the_tables_is_binned_after_the_house_s_two_hours() -> None:
    salad = [c for c in calls(served(started()), "out") if "salad" in c.key]
    assert [(c.at, c.sound) for c in salad] == [
        (at("16:05"), Sound.ONCE),
        (at("16:15"), Sound.ALARM),  # 14:15 and 2 h: the wedding's own day
    ]
    assert {p for c in salad for p in c.to} == {"dev"}


def test_the_label_is_said_when_it_goes_out() -> None:
    cook = spoken(seared(started()), "carmen", "13:35",
                  ReportStep("leek-potato-salad", "dress", Report.DONE))[0]  # fmt: skip
    _, told = spoken(cook, "dev", "14:15", ReportStep("serve/1", "", Report.DONE))
    assert "OUT {out} BIN {bin}" in words(told.answer)


def test_pink_lamb_has_its_one_period_from_off_the_fire() -> None:
    cook = on_and_off(started(), "A", "12:08", "13:10", 46.0)
    cook = spoken(cook, "bo", "13:12", ReportStep("A.1", "sear", Report.START))[0]
    cook = spoken(cook, "bo", "13:19", ReportStep("A.1", "off", Report.DONE, core_c=51.0))[0]
    assert [c.at for c in calls(cook, "pink")] == [at("15:09"), at("15:19")]  # 13:19 and 2 h


def test_hot_air_makes_it_one_hour() -> None:
    cook = served(started())
    air = ReadingTaken(Reading(33.0, Place.AIR, at("14:20"), "dev", ""))
    cook = booked(cook, (Dated(at("14:20"), air),), "dev", at("14:20"))
    salad = [c for c in calls(cook, "out") if "salad" in c.key and c.sound is Sound.ALARM]
    assert [c.at for c in salad] == [at("15:15")]  # 1 h at 32 °C and more: house rule


def test_pink_wants_a_name_and_the_chef_is_asked_once() -> None:
    cook = on_and_off(started(), "A", "12:08", "13:10", 46.0)
    cook = spoken(cook, "bo", "13:12", ReportStep("A.1", "sear", Report.START))[0]
    cook, told = spoken(cook, "bo", "13:19", ReportStep("A.1", "off", Report.DONE, core_c=51.0))
    assert [n.to for n in told.notices if n.choices] == [("ana",)]
    cook, _ = spoken(cook, "ana", "13:20", ApprovePink("lamb-rump"))
    cook = spoken(cook, "bo", "13:21", ReportStep("A.2", "sear", Report.START))[0]
    cook, again = spoken(cook, "bo", "13:27", ReportStep("A.2", "off", Report.DONE, core_c=51.0))
    assert [n for n in again.notices if n.choices] == []


@pytest.mark.parametrize("dish", ["celeriac", "leek-potato-salad"])
def test_nothing_but_whole_beef_and_lamb_is_approved_pink(dish: str) -> None:
    cook, told = spoken(started(), "ana", "13:20", ApprovePink(dish))
    assert cook.safety.pink == {}
    assert told.answer is not None
    assert told.answer.verdict is Verdict.STOP


def test_what_came_off_its_last_fire_unprobed_is_unknown() -> None:
    cook = on_and_off(started(), "A", "12:08", "13:10", 46.0)
    cook = spoken(cook, "bo", "13:12", ReportStep("A.1", "sear", Report.START))[0]
    _, told = spoken(cook, "bo", "13:19", ReportStep("A.1", "off", Report.DONE))
    assert told.answer is not None
    assert told.answer.verdict is Verdict.UNKNOWN
    assert any(isinstance(d.fact, VerdictGiven) for d in told.facts)


def test_what_was_lifted_is_no_longer_open() -> None:
    cook = spoken(started(), "carmen", "10:00", food("box2", 4.0))[0]
    cook = spoken(cook, "carmen", "12:30", food("box2", 9.0))[0]
    assert any(f.about == "box2" for f in unsafe(cook, at("12:31")))
    cook = spoken(cook, "ana", "12:32", LiftStop("box2", "only drinks in it"))[0]
    cook = spoken(cook, "bo", "12:33", Choose(1))[0]
    assert not any(f.about == "box2" for f in unsafe(cook, at("12:34")))
