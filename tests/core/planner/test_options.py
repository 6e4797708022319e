"""Two or three things to do about a slip, with what each costs."""

from __future__ import annotations

import pytest

from core.model import Cards, Plan, Progress
from core.planner import check, options, plan, replan
from tests.core.planner.days import clock, harvest, hhmm, minutes, wedding
from tests.core.planner.test_replan import at, jammed
from tests.published import published

HINGE = (
    "common practice: a harvest supper's day, 18:09 the firebox hinge of P1 breaks; a2 moves to P2 "
    "at 18:24 and is off about 18:50; b2 is grilled only"
)


def hinge_broken(cards: Cards, first: Plan) -> Progress:
    now = at(cards, "18:09")
    return Progress(
        now,
        started={r.key: r.start for r in first.runs() if r.start <= now},
        ended={r.key: r.end for r in first.runs() if r.end <= now},
        expected_end={"pork-collar/a2/smoke": at(cards, "18:50")},
        down={"P1": (now, None)},
        moved={"pork-collar/a2/smoke": "P2"},
    )


@published(HINGE + ": b2's last batch ready 19:35, needed 19:41")
def test_a_load_without_its_pit_is_grilled_and_still_in_time() -> None:
    cards = harvest()
    first = plan(cards)
    best = options(cards, first, hinge_broken(cards, first), letter="B")[0]
    assert best.kind == "way"
    assert best.late_min <= 0
    load = best.plan.load("pork-collar/b2")
    assert load is not None
    assert {run.step for run in load.runs} == {"drain", "grill-only", "rest"}  # no sear any more
    assert minutes(cards, load.ready) == pytest.approx(hhmm("19:35"), abs=5)


@published(HINGE + ": 'Marisol gets 2 options with effect; picks'")
def test_there_is_more_than_one_thing_to_do_and_each_is_sound() -> None:
    cards = harvest()
    first = plan(cards)
    found = options(cards, first, hinge_broken(cards, first), letter="B")
    assert {o.kind for o in found} == {"way", "later", "keep"}
    assert [o.late_min for o in found] == sorted(o.late_min for o in found)
    for option in found:
        assert check(cards, option.plan, at(cards, "18:10")) == ()


@published(HINGE + ": a2 ready 19:10")
def test_the_load_that_moved_pits_is_seared_when_it_is_off() -> None:
    cards = harvest()
    first = plan(cards)
    best = options(cards, first, hinge_broken(cards, first), letter="B")[0]
    load = best.plan.load("pork-collar/a2")
    assert load is not None
    assert (load.station, clock(cards, load.off)) == ("P2", "18:50")
    assert minutes(cards, load.ready) == pytest.approx(hhmm("19:10"), abs=6)


def test_another_way_once_taken_stands_in_the_next_plan() -> None:
    cards = harvest()
    first = plan(cards)
    day = hinge_broken(cards, first)
    taken = options(cards, first, day, letter="B")[0].plan
    again = replan(cards, taken, day, letter="C", reason="")
    load = again.load("pork-collar/b2")
    assert load is not None
    assert "grill-only" in {run.step for run in load.runs}


def test_what_is_in_time_has_one_thing_to_do() -> None:
    cards = wedding()
    found = options(cards, plan(cards), jammed(cards), letter="B")
    assert [o.kind for o in found] == ["keep"]
