"""Service: plates counted, running out, portions, holds, boxes, what is left, the morning after.

Printed figures: the trade's chat lines and its two days (common practice).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from functools import cache

import pytest

from bot.cards import read_event
from bot.examples import HARVEST_SUPPER
from core.calls import calls_owed
from core.cook import Cook, Decision, decide
from core.cook.decision import booked
from core.cook.service.boxes import first_answer, ready_loads
from core.cook.service.card import card_lines, rules_line
from core.cook.service.forecast import fixes_for, left_answer, outlook
from core.cook.service.morning import six_lines
from core.cook.service.review import questions
from core.errors import KitchenError, OutOfRangeError
from core.facts import (
    Came,
    Choose,
    CloseCook,
    CountLeft,
    CountPlates,
    GiveNumber,
    HoldService,
    KeepMeasured,
    Measure,
    MeasurementTaken,
    QuestionAnswered,
    RaiseAlarm,
    RestartService,
    SeeQueue,
    ServiceHeld,
    SetOut,
    SetPortion,
    StartCook,
    Wish,
)
from core.model import Moment, Verdict
from core.rights import check_right
from tests.core.cook.ringing import ring
from tests.core.cook_cases import at, said, started, wish
from tests.published import published

TRADE = "the trade's chat lines, C6, C7 and S11 (common practice)"


@cache
def supper() -> Cook:
    """Return the harvest supper just started, for 360: 150 are left when 210 are out."""
    cards = read_event(HARVEST_SUPPER)
    then = on("12:00")
    what = StartCook("harvest-supper-1", cards, {})
    facts = decide(Cook(), what, by="marisol", at=then, now=then).facts
    return replace(booked(Cook(), facts, "marisol", then), heads=360)


def on(clock: str) -> datetime:
    """Return an instant of the supper's day."""
    hour, minute = clock.split(":")
    return read_event(HARVEST_SUPPER).event.instant(Moment(0, int(hour), int(minute)))


def told(cook: Cook, what: Wish, clock: str, by: str = "olga") -> tuple[Cook, Decision]:
    """Decide a wish at the supper and book it."""
    now = on(clock)
    decision = decide(cook, what, by=by, at=now, now=now)
    return booked(cook, decision.facts, by, now), decision


def numbers(decision: Decision) -> dict[str, float | str]:
    assert decision.answer is not None
    return {n.name: n.value for n in decision.answer.numbers}


# ------------------------------------------------------------------ running out


def at_1955() -> Cook:
    """Return the supper at 19:55: 210 out since 19:00, 98 meat and 14 veg left."""
    cook, _ = told(supper(), CountPlates(210), "19:55")
    cook, _ = told(cook, CountLeft(98, "plates", "pork-collar"), "19:55")
    return told(cook, CountLeft(14, "plates", "portobello-lentil"), "19:55")[0]


@published(TRADE)
def test_210_in_55_min_with_112_left_runs_out_at_20_24_and_leaves_38_short() -> None:
    seen = outlook(at_1955(), on("19:55"))
    assert (seen.left, seen.guests, seen.short) == (112, 150, 38)
    assert seen.per_min == pytest.approx(3.8, abs=0.05)
    assert seen.out_at is not None
    assert abs((seen.out_at - on("20:24")).total_seconds()) <= 120


@published(TRADE)
def test_the_warning_comes_by_itself_a_quarter_of_an_hour_before() -> None:
    warned = [c for c in calls_owed(at_1955()) if c.kind == "out"]
    assert len(warned) == 1
    assert warned[0].to == ("olga", "marisol")
    assert abs((warned[0].at - on("20:09")).total_seconds()) <= 120


def test_nobody_is_warned_when_the_plates_reach_everybody() -> None:
    cook, _ = told(supper(), CountPlates(210), "19:55")
    cook = replace(cook, heads=320)  # 332 made
    assert not [c for c in calls_owed(cook) if c.kind == "out"]


def test_a_portion_that_would_do_is_named_for_a_dish_that_is_sliced() -> None:
    cook, _ = wish(started(), CountPlates(20), "dev", "14:20")
    cook, _ = wish(cook, CountLeft(40, "plates"), "dev", "14:21")  # 40 guests, 40 plates: enough
    assert fixes_for(cook, outlook(cook, at("14:21"))) == ()
    cook, _ = wish(cook, CountLeft(33, "plates"), "dev", "14:25")
    fixes = fixes_for(cook, outlook(cook, at("14:25")))
    # by hand: lamb is 56 of 66 plates, so 28 of 33 are left: 140 slices for 34 guests, 4 each
    assert [(f.amount, f.was, f.unit) for f in fixes] == [(4, 5, "slices")]


def test_a_smaller_portion_makes_more_plates_and_is_one_push_to_all() -> None:
    cook = at_1955()
    cook, decision = told(cook, SetPortion("pork-collar", 111, "g"), "19:56", "marisol")
    # by hand: 98 x 148 / 111 = 130.7
    assert cook.service.left["pork-collar"].amount == 131
    assert [n.to for n in decision.notices] == [("room",)]
    assert outlook(cook, on("19:56")).left == 145


def test_only_the_chef_may_change_a_portion() -> None:
    with pytest.raises(KitchenError, match=r"(?i)marisol"):
        check_right(supper(), SetPortion("pork-collar", 100, "g"), "olga")


def test_asked_before_anybody_counted_it_says_so() -> None:
    answer = left_answer(supper(), on("19:10"), chef=False)
    assert answer.lines[0].fields["left"].value == 332  # type: ignore[union-attr]  # 288 and 44
    assert answer.lines[1].text.startswith("Nobody counted")


# ------------------------------------------------------------------ counting


@published(TRADE)
def test_six_trays_of_ten_are_sixty_portions_at_87_a_minute() -> None:
    cook, _ = told(supper(), CountPlates(0, "lane-2a"), "18:30")
    cook, _ = told(cook, CountPlates(36, "lane-2a"), "18:36")
    _, decision = told(cook, CountPlates(0, "lane-2a", more=True, trays=6, each=10), "18:41")
    assert numbers(decision)["out"] == 96
    assert numbers(decision)["pace"] == pytest.approx(8.7, abs=0.05)


def test_lanes_add_up_and_a_total_of_all_corrects_them() -> None:
    cook, _ = told(supper(), CountPlates(80, "lane-1a"), "19:20")
    cook, _ = told(cook, CountPlates(40, "lane-2a"), "19:21")
    assert cook.service.out == 120
    cook, _ = told(cook, CountPlates(90, "lane-1a"), "19:25")
    assert cook.service.out == 130
    cook, _ = told(cook, CountPlates(150), "19:26")
    assert cook.service.out == 150


def test_fewer_than_before_is_asked_and_either_answer_is_booked() -> None:
    cook, _ = told(supper(), CountPlates(80), "19:20")
    cook, decision = told(cook, CountPlates(30), "19:25")
    assert cook.service.out == 80
    assert decision.answer is not None
    assert len(decision.answer.choices) == 2
    assert told(cook, Choose(1), "19:26")[0].service.out == 110
    assert told(cook, Choose(2), "19:26")[0].service.out == 30


@pytest.mark.parametrize("what", [CountPlates(-1), CountPlates(10**6), CountLeft(-2, "plates")])
def test_an_absurd_count_is_refused(what: Wish) -> None:
    with pytest.raises(OutOfRangeError):
        told(supper(), what, "19:20")


@published(TRADE)
def test_a_line_of_thirty_at_22_a_minute_waits_14_min_and_8_at_the_planned_4() -> None:
    cook = supper()
    assert cook.cards is not None
    event = cook.cards.event
    slower = replace(event, serve=(replace(event.serve[0], per_min=4.0),))
    cook = replace(cook, cards=replace(cook.cards, event=slower))
    _, decision = told(cook, SeeQueue(30, 2.2), "19:20", "kim")
    assert numbers(decision) == {"wait": 14, "wait_after": 8}
    assert [n.to for n in decision.notices] == [("olga",)]  # the front lead, nobody else


# ------------------------------------------------------------------ hold and restart


def test_a_hold_stops_the_clock_of_the_pace_and_no_other() -> None:
    cook, _ = told(supper(), CountPlates(60), "19:10")
    cook, decision = told(cook, HoldService("speech"), "19:10")
    assert [(n.to, int(n.sound)) for n in decision.notices] == [(("room",), 1)]
    cook, _ = told(cook, RestartService(), "19:30")
    cook, _ = told(cook, CountPlates(120), "19:40")
    assert outlook(cook, on("19:40")).per_min == pytest.approx(6.0)  # by hand: 60 in 10 min


def test_lightning_holds_service_and_only_the_chef_calls_it_on_again() -> None:
    cook, decision = told(supper(), RaiseAlarm("lightning"), "19:10", "kim")
    assert any(isinstance(d.fact, ServiceHeld) for d in decision.facts)
    with pytest.raises(KitchenError, match="safety stop"):
        told(cook, RestartService(), "19:40", "olga")
    cook, _ = told(cook, RestartService(), "19:40", "marisol")
    assert cook.service.held is None


def test_crew_may_stop_service_but_not_start_it() -> None:
    check_right(supper(), HoldService(), "kim")
    with pytest.raises(KitchenError, match=r"(?i)olga"):
        check_right(supper(), RestartService(), "kim")


def test_a_restart_says_what_goes_first() -> None:
    cook = said(said(said(said(started(), "A", "on", "12:08"), "A", "off", "13:10"),
                     "A.1", "on", "13:12"), "A.1", "off", "13:19")  # fmt: skip
    cook = said(said(cook, "A.2", "on", "13:19"), "A.2", "off", "13:26")
    cook, _ = wish(cook, HoldService("speech"), "dev", "13:30")
    _, decision = wish(cook, RestartService(), "dev", "13:38")
    assert decision.answer is not None
    assert decision.answer.lines[1].text.startswith("{load} first")


# ------------------------------------------------------------------ oldest box first


def test_the_oldest_load_that_is_still_good_goes_first() -> None:
    cook = said(said(started(), "A", "on", "12:08"), "A", "off", "13:10")
    for unit, off in (("A.1", "13:19"), ("A.2", "13:26")):
        cook = said(said(cook, unit, "on", "13:12" if unit == "A.1" else "13:19"), unit, "off", off)
    assert [(r.load.name, r.left) for r in ready_loads(cook)] == [("A", 28)]
    good, late = first_answer(cook, at("13:30")), first_answer(cook, at("13:45"))
    assert good.lines[0].text.startswith("{load} first")
    assert late.lines[0].text.startswith("{load} past its hold")  # the card holds it for 15 min


def test_plates_counted_out_are_taken_from_the_oldest_load() -> None:
    cook = said(said(started(), "A", "on", "12:08"), "A", "off", "13:10")
    for unit, times in (("A.1", ("13:12", "13:19")), ("A.2", ("13:19", "13:26"))):
        cook = said(said(cook, unit, "on", times[0]), unit, "off", times[1])
    cook, _ = wish(cook, CountPlates(22), "dev", "13:30")
    # by hand: 22 plates of 66, lamb 56 of them: 18.7 pieces gone of 28
    assert [r.left for r in ready_loads(cook)] == [9]


# ------------------------------------------------------------------ keep or bin


@published("the wedding's day, 15:40: off the grill 13:44, one 2 h period to 15:44 (UK)")
@pytest.mark.parametrize(("clock", "verdict"), [("15:40", Verdict.OK), ("15:45", Verdict.BIN)])
def test_pink_lamb_has_one_period_of_two_hours_from_off_the_fire(
    clock: str, verdict: Verdict
) -> None:
    cook = said(said(started(), "B", "on", "12:22"), "B", "off", "13:28")
    cook = said(said(cook, "B.1", "on", "13:31"), "B.1", "off", "13:37")
    cook = said(said(cook, "B.2", "on", "13:38"), "B.2", "off", "13:44")
    _, decision = wish(cook, CountLeft(17, "slices", of="B.2"), "dev", clock)
    assert decision.answer is not None
    assert decision.answer.verdict is verdict


def test_without_a_batch_the_first_one_off_the_fire_counts() -> None:
    cook = said(said(started(), "B", "on", "12:22"), "B", "off", "13:28")
    cook = said(said(cook, "B.1", "on", "13:31"), "B.1", "off", "13:37")
    cook = said(said(cook, "B.2", "on", "13:38"), "B.2", "off", "13:44")
    _, decision = wish(cook, CountLeft(17, "slices"), "dev", "15:40")
    assert decision.answer is not None
    assert decision.answer.verdict is Verdict.BIN  # B.1: 13:37, so 15:37


@published("the supper's day, 20:20: on the line since 18:55, bin by 20:55 (house 2 h)")
@pytest.mark.parametrize(("clock", "binned"), [("20:20", False), ("20:56", True)])
def test_salad_on_the_line_is_binned_two_hours_after(clock: str, binned: bool) -> None:
    cook, _ = told(supper(), SetOut("aubergine-bean-salad", Came.LINE), "18:55", "lucia")
    _, decision = told(cook, CountLeft(5.1, "kg", "aubergine-bean-salad"), clock, "lucia")
    assert decision.answer is not None
    assert (decision.answer.verdict is Verdict.BIN) is binned
    deadlines = [d.fact.finding.deadline for d in decision.facts if hasattr(d.fact, "finding")]
    assert deadlines == [on("20:55")]


def test_food_nobody_timed_is_unknown_never_fine() -> None:
    _, decision = told(supper(), CountLeft(5.1, "kg", "aubergine-bean-salad"), "20:20", "lucia")
    assert decision.answer is not None
    assert decision.answer.verdict is Verdict.UNKNOWN


def test_time_out_of_the_cold_adds_up_over_two_stretches() -> None:
    name = "aubergine-bean-salad"
    cook, _ = told(supper(), SetOut(name, Came.LINE), "18:00", "lucia")
    cook, _ = told(cook, SetOut(name, Came.BACK), "19:00", "lucia")
    cook, _ = told(cook, SetOut(name, Came.LINE), "19:30", "lucia")
    stood = cook.service.stood[name]
    assert (stood.before_min, stood.since) == (60.0, on("19:30"))


# ------------------------------------------------------------------ the pinned card


def test_the_pinned_card_shows_whose_rules_hold_and_the_stricter_limits() -> None:
    cards = started().cards
    assert cards is not None
    fields = rules_line(cards).fields
    assert set(fields) == {"profile", "hot", "cold"}
    plan = started().plan
    assert plan is not None
    texts = [line.text for line in card_lines(cards, plan, at("09:00"))]
    assert texts[0].startswith("{event}: plates")
    assert any(text.startswith("Emergency") for text in texts)


def test_without_a_region_the_card_says_that_the_strictest_counts() -> None:
    cards = started().cards
    assert cards is not None
    open_ = replace(cards, event=replace(cards.event, profile=None))
    assert "strictest" in rules_line(open_).text


# ------------------------------------------------------------------ the morning after


def day_after() -> Cook:
    """Return the wedding after its day, one load timed, closed."""
    cook = said(said(started(), "A", "on", "12:08"), "A", "off", "13:14")
    cook, _ = wish(cook, CountPlates(66), "dev", "14:20")
    cook, _ = wish(cook, CountLeft(2.0, "kg", "leek-potato-salad"), "carmen", "16:00")
    return wish(cook, CloseCook(), "ana", "17:30")[0]


def test_the_review_is_six_lines_for_the_chef_alone_at_eleven() -> None:
    cook, pushes = ring(day_after(), at("12:00", 1))
    (review,) = pushes
    assert (review.person, review.at) == ("ana", at("11:00", 1))
    assert len(review.calls) == 7  # six lines and the first question
    assert len(six_lines(cook)) == 6


def test_at_most_five_questions_each_answered_with_a_number() -> None:
    cook, _ = ring(day_after(), at("12:00", 1))
    asked = 0
    for minute in range(1, 12):
        open_ = cook.open_questions("ana")
        if not open_:
            break
        asked += 1
        answer: Wish = Choose(1) if open_[-1].question.choices else GiveNumber(10.1, "kg")
        cook, _ = _next(cook, answer, minute)
    assert 2 <= asked <= 5
    assert next(questions(cook), None) is None
    kept = {e.fact.kind.value for e in cook.entries if isinstance(e.fact, MeasurementTaken)}
    assert "minutes" in kept
    assert "yield" in kept


def _next(cook: Cook, answer: Wish, minute: int) -> tuple[Cook, Decision]:
    now = at(f"11:{minute:02}", 1)
    decision = decide(cook, answer, by="ana", at=now, now=now)
    return booked(cook, decision.facts, "ana", now), decision


def test_ten_point_one_of_twelve_point_three_kg_is_a_yield_of_82_percent() -> None:
    cook, _ = ring(day_after(), at("12:00", 1))
    while cook.open_questions("ana") and cook.open_questions("ana")[-1].question.choices:
        cook, _ = _next(cook, Choose(2), 1 + len(cook.questions))
    cook, _ = _next(cook, GiveNumber(10.1, "kg"), 30)
    taken = [e.fact for e in cook.entries if isinstance(e.fact, MeasurementTaken)]
    assert taken[-1].value == pytest.approx(0.82, abs=0.001)  # by hand: 10.1 / (56 x 0.22)


def test_leaving_a_question_keeps_nothing() -> None:
    cook, _ = ring(day_after(), at("12:00", 1))
    before = len(cook.entries)
    cook, _ = _next(cook, Choose(2), 5)
    new = [e.fact for e in cook.entries[before:]]
    assert any(isinstance(f, QuestionAnswered) for f in new)
    assert not any(isinstance(f, MeasurementTaken) for f in new)


def test_an_absurd_weight_is_refused_and_asked_again() -> None:
    cook, _ = ring(day_after(), at("12:00", 1))
    while cook.open_questions("ana")[-1].question.choices:
        cook, _ = _next(cook, Choose(2), 1 + len(cook.questions))
    with pytest.raises(OutOfRangeError):
        _next(cook, GiveNumber(900, "kg"), 40)


def test_a_closed_cook_takes_nothing_but_the_review() -> None:
    cook, _ = ring(day_after(), at("12:00", 1))
    with pytest.raises(KitchenError, match="closed"):
        _next(cook, CountPlates(5), 5)
    _next(cook, KeepMeasured(Measure.YIELD, "lamb rump", 0.8), 6)


def test_a_day_nobody_touched_has_no_review() -> None:
    assert not [c for c in calls_owed(started()) if c.kind == "review"]
