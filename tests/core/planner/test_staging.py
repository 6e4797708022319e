"""The first stage is sized to the second: what a fire takes within the gap, and no more."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from core.model import Plan, Progress
from core.planner import check, plan, replan
from core.planner.kitchen import Kitchen
from core.planner.staging import most_in_gap
from tests.core.planner.days import clock, crew, harvest, hhmm, kit, minutes, run, steak, supper
from tests.core.planner.test_replan import at
from tests.published import published

RULE = "common practice: smoked, then seared without parking: at most 10 min between the two"


def gone(now: datetime, *fires: str, first: Plan | None = None) -> Progress:
    """Return these fires out from now on; with a plan, everything so far as planned."""
    runs = first.runs() if first else ()
    return Progress(
        now,
        started={r.key: r.start for r in runs if r.start <= now},
        ended={r.key: r.end for r in runs if r.end <= now},
        down=dict.fromkeys(fires, (now, None)),
    )


# by hand: a gap of 2 to 10 min starts 1 + floor(8 / 4.5) = 2 batches of 30 on each grill
@published(RULE)
@pytest.mark.parametrize(("grills", "cooks", "most"), [(2, 2, 120), (1, 2, 60), (2, 1, 60)])
def test_a_load_is_what_fires_and_hands_take_within_the_gap(
    grills: int, cooks: int, most: int
) -> None:
    cards = replace(supper(), kit=kit(grills=grills), crew=crew(grills=cooks))
    assert most_in_gap(Kitchen(cards, 282), steak(), 0) == most


def test_a_fire_that_is_out_counts_for_nothing() -> None:
    assert most_in_gap(Kitchen(supper(), 282, out=frozenset({"G1"})), steak(), 0) == 60


def test_without_a_longest_gap_a_load_is_what_its_fire_holds() -> None:
    smoke, *rest = steak().steps
    loose = steak(steps=(replace(smoke, gap_max_min=None), *rest))
    assert most_in_gap(Kitchen(supper(), 282), loose, 0) is None


def test_one_grill_cook_gets_loads_of_sixty_instead_of_no_plan() -> None:
    cards = replace(supper(), crew=crew(grills=1))
    made = plan(cards)
    assert {load.count for load in made.loads[:-1]} == {60}
    assert check(cards, made) == ()


@published(RULE)
def test_a_grill_dead_before_the_fires_are_lit_makes_smaller_loads_in_time() -> None:
    cards, now = harvest(), at(harvest(), "15:10")
    made = replan(cards, plan(cards), gone(now, "G1"), letter="B", reason="")
    meat = [x for x in made.loads if x.dish == "pork-collar"]
    assert [x.count for x in meat] == [60, 60, 60, 60, 48]  # by hand: 288 in sixties
    assert all(x.slack_min >= 0 for x in made.loads)
    assert check(cards, made, now) == ()


def test_the_brine_that_runs_ends_when_it_was_to_end() -> None:
    cards, now = harvest(), at(harvest(), "15:10")
    first = plan(cards)
    made = replan(cards, first, gone(now, "G1"), letter="B", reason="")
    for n in range(1, 6):
        was, task = (next(t for t in p.tasks if t.id == f"pork-collar/brine/{n}")
                     for p in (first, made))  # fmt: skip
        assert (task.start, task.end) == (was.start, was.end)


def test_a_fire_is_not_hot_sooner_than_it_can_be_lit() -> None:
    cards, now = harvest(), at(harvest(), "15:10")
    made = replan(cards, plan(cards), gone(now, "G1"), letter="B", reason="")
    lit = [t for t in made.tasks if t.do == "light" and t.end > now]
    assert lit
    assert min(t.start for t in lit) >= now


@published(RULE)
def test_loads_on_their_fire_stay_and_the_rest_is_shared_out_again() -> None:
    cards, now = harvest(), at(harvest(), "18:20")
    first = plan(cards)
    made = replan(cards, first, gone(now, "G1", first=first), letter="B", reason="")
    counts = {x.name: x.count for x in made.loads if x.dish == "pork-collar"}
    assert counts == {"a1": 72, "b1": 72, "a2": 72, "b2": 60, "a3": 12}
    assert check(cards, made, now) == ()


def test_what_has_to_wait_for_the_one_grill_is_said_and_stays_in_its_pit() -> None:
    cards, now = harvest(), at(harvest(), "18:20")
    first = plan(cards)
    made = replan(cards, first, gone(now, "G1", first=first), letter="B", reason="")
    said = {f.about: f.text for f in made.findings}
    third = said["pork-collar/b1/sear/3"]
    assert "leave it on {station} until {at}" in third.text
    # by hand: off 18:21, seared 18:23, 18:27:30, 18:32; 10 min before that is 18:22
    assert clock(cards, third.fields["at"].at) == "18:22"  # type: ignore[union-attr]
    assert run(made, "pork-collar/b1/smoke").end == run(first, "pork-collar/b1/smoke").end


def test_a_new_load_of_raw_pieces_was_never_brined_again() -> None:
    cards, now = harvest(), at(harvest(), "18:20")
    first = plan(cards)
    made = replan(cards, first, gone(now, "G1", first=first), letter="B", reason="")
    assert not [f for f in made.findings if "brine" in f.about]
    drain = run(made, "pork-collar/a3/drain")
    assert minutes(cards, drain.start) == hhmm("15:30")


@pytest.mark.parametrize("clock_now", ["15:10", "16:45", "17:20", "18:05"])
def test_one_grill_has_a_plan_at_any_hour(clock_now: str) -> None:
    cards, now = harvest(), at(harvest(), clock_now)
    first = plan(cards)
    made = replan(cards, first, gone(now, "G1", first=first), letter="B", reason="")
    assert check(cards, made, now) == ()
    again = replan(cards, made, gone(now, "G1", first=made), heads=328, letter="C", reason="")
    assert check(cards, again, now) == ()
