"""A grill dead, both, both pits, too many guests: a plan, or why not and what would fit."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from bot.examples import GOLDEN_WEDDING, HARVEST_SUPPER
from core.facts import PlanAdopted
from core.planner import check
from tests.flow.days import Day, played
from tests.published import published

SEARED = "common practice: two-stage steaks, 10 min at most from smoker to grill, 30 on a grill"


@cache
def day(folder: Path, *lines: str) -> Day:
    return played(folder, "\n".join(lines) + "\n")


def answer(played_day: Day, line: int) -> str:
    reply = next(s for s in played_day.replies(line) if s.message.text)
    return reply.message.text


def supper(*lines: str) -> Day:
    return day(HARVEST_SUPPER, *lines)


# by hand: the gap of 2 to 10 min starts two batches of 30 on one grill, so 288 are 4 x 60 + 48
@published(SEARED)
@pytest.mark.parametrize("clock", ["T-2 10:00", "15:10"])
def test_one_grill_less_is_smaller_loads_and_plates_hold(clock: str) -> None:
    one = supper(f"{clock} Marisol: grill 1 dead")
    text = answer(one, 1)
    assert text.startswith("G1 out: plates")
    assert "hold" in text.splitlines()[0]
    assert "5 loads of 60, not 4 of 72" in text
    (reply,) = one.replies(1)
    assert reply.message.choices[0].startswith("smaller loads:")


@published(SEARED)
def test_one_grill_less_in_mid_service_leaves_what_is_on_its_fire() -> None:
    one = supper(
        "17:10 Teo: a1 on", "17:36 Iker: b1 on", "17:55 Teo: a1 off 50", "18:02 Teo: a2 on",
        "18:20 Marisol: grill 1 dead",
    )  # fmt: skip
    text = answer(one, 5)
    assert text.startswith("G1 out: plates 19:00 hold")
    assert "b2 60 pcs, a3 12 pcs" in text
    assert "SEAR 216 pcs" in text  # by hand: 288 less the 72 of a1, seared by 18:06
    assert "; on 1 " in text


def test_rain_more_guests_and_propane_after_a_dead_grill_still_have_a_plan() -> None:
    one = supper(
        "15:10 Marisol: grill 1 dead", "15:11 Marisol: [1]", "15:20 Marisol: rain",
        "15:25 Marisol: heads 328", "15:26 Marisol: [1]", "15:30 Ben: propane out",
    )  # fmt: skip
    assert "no hay plan" not in "".join(s.message.text for s in one.shown)
    assert "no plan" not in "".join(s.message.text for s in one.shown)
    plans = [e.fact.plan for e in one.cook.entries if isinstance(e.fact, PlanAdopted)]
    meat = [x.count for x in plans[1].loads if x.dish == "pork-collar"]
    assert meat == [60, 60, 60, 60, 48]
    assert plans[2].heads == 328


def test_a_report_after_the_tap_leaves_the_smaller_loads_as_they_are() -> None:
    one = supper(
        "15:10 Marisol: grill 1 dead", "15:11 Marisol: [1]", "17:02 Teo: a1 on",
        "17:40 Marisol: grill 1 back", "17:50 Teo: a1 off 50",
    )  # fmt: skip
    plan = one.cook.plan
    assert plan is not None
    assert [x.count for x in plan.loads if x.dish == "pork-collar"] == [60, 60, 60, 60, 48]


def test_both_grills_dead_says_what_breaks_first_and_when_a_grill_has_to_be_hot() -> None:
    one = supper("15:12 Marisol: grill 1 dead", "15:13 Marisol: grill 2 dead")
    lines = answer(one, 2).splitlines()
    assert lines[1] == "sear of Pork collar a1.1 has no grill left, needed 19:00."
    assert lines[2].startswith("Would help: G1 hot again by 17:")
    assert "one more G, lit now" in lines[2]
    assert len(lines) <= 4


def test_one_grill_back_of_two_is_asked_about_for_the_other_is_still_out() -> None:
    one = supper("15:12 Marisol: grill 1 dead", "15:13 Marisol: grill 2 dead",
                 "15:40 Marisol: grill 1 back")  # fmt: skip
    assert answer(one, 3).startswith("G1 back 15:40. plates 19:00 hold")
    (reply,) = one.replies(3)
    assert (
        "5 tandas de 60" in reply.message.choices[0] or "5 loads of 60" in reply.message.choices[0]
    )


def test_both_pits_dead_with_a_load_on_grills_what_has_not_begun() -> None:
    one = supper("17:10 Teo: a1 on", "17:30 Teo: P1 down", "17:30 Iker: P2 down",
                 "17:32 Marisol: [1]")  # fmt: skip
    asked = [s for s in one.to("marisol") if s.message.text.startswith("P2 fuera")]
    assert "b1, a2, b2: parrilla en vez de ahumado" in asked[0].message.choices[0]
    plans = [e.fact.plan for e in one.cook.entries if isinstance(e.fact, PlanAdopted)]
    ways = {x.name for x in plans[-1].loads if "grill-only" in {r.step for r in x.runs}}
    assert ways == {"b1", "a2", "b2"}


def test_six_times_the_guests_on_the_day_says_how_many_would_fit() -> None:
    wedding = day(GOLDEN_WEDDING, "03:36 Ana: heads 365")
    lines = answer(wedding, 1).splitlines()
    assert lines[0] == "60 → 365 heads: no plan from here."
    assert "Lamb rump" in lines[1]
    assert "needed 14:00" in lines[1]
    assert lines[2].startswith("Would help: 81 guests at most")


def test_the_number_that_would_fit_is_in_time_and_one_more_is_not() -> None:
    most = answer(day(GOLDEN_WEDDING, "03:36 Ana: heads 81"), 1)
    more = answer(day(GOLDEN_WEDDING, "03:36 Ana: heads 82"), 1)
    assert "NOT held" not in most.splitlines()[0]
    assert "NOT held" in more.splitlines()[0]


def test_a_late_report_with_no_plan_is_kept_and_the_chef_hears_what_would_help() -> None:
    one = supper("15:12 Marisol: grill 1 dead", "15:13 Marisol: grill 2 dead", "15:16 Teo: 10 late")
    assert "Would help: " in answer(one, 3)
    assert any("Ayudaría" in s.message.text for s in one.rung("marisol"))


def test_every_plan_taken_after_a_dead_grill_is_sound() -> None:
    one = supper("15:10 Marisol: grill 1 dead", "15:11 Marisol: [1]", "15:20 Marisol: rain")
    plan = next(e for e in reversed(one.cook.entries) if isinstance(e.fact, PlanAdopted))
    assert isinstance(plan.fact, PlanAdopted)
    assert check(one.cards, plan.fact.plan, plan.at) == ()
