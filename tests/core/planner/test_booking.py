"""Capacity before promise, and what would help."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.planner import capacity, explain, plan
from core.planner.relief import fits, in_hand
from tests.core.planner.days import clock, harvest, supper
from tests.published import published

NOTE = "common practice: a harvest supper's booking note"


@published(NOTE + ": 'OK for 320, tight at 360 …'")
def test_the_supper_is_ok_for_320_and_tight_at_360() -> None:
    assert plan(harvest(), heads=320).fits == "yes"
    assert plan(harvest(), heads=360).fits == "tight"


@published(NOTE + ": fails at 400; 'third pit or 5 a minute fixes it'")
def test_what_fails_is_fixed_by_a_third_pit_or_a_slower_pace() -> None:
    seen = capacity(harvest())
    assert seen.fails is not None
    assert seen.fails == pytest.approx(400, abs=20)
    kinds = {m.kind for m in explain(harvest(), heads=seen.fails).remedies}
    assert {"kit", "slower"} <= kinds


def test_every_remedy_is_solved_again_and_true() -> None:
    found = explain(harvest(), heads=440)
    assert found.fits == "no"
    assert found.remedies
    for remedy in found.remedies:
        assert fits(remedy.cards, remedy.heads, remedy.shift) != "no"


def test_a_plan_that_fails_says_what_would_help() -> None:
    made = plan(harvest(), heads=440)
    assert made.fits == "no"
    assert 1 <= len(made.fixes) <= 3


def test_a_tight_plan_says_what_would_give_it_more_time() -> None:
    made = explain(harvest(), heads=360)
    assert made.fits == "tight"
    before = in_hand(harvest(), 360)
    assert made.remedies
    for remedy in made.remedies:
        assert in_hand(remedy.cards, remedy.heads, remedy.shift) >= min(10, before + 5)


def test_where_nothing_helps_alone_the_cheapest_mix_does() -> None:
    found = explain(harvest(), heads=900)
    assert [m.kind for m in found.remedies] == ["mix", "fewer"]
    mix, fewer = found.remedies
    assert fits(mix.cards, mix.heads, mix.shift) != "no"
    assert mix.heads == 900
    assert fits(harvest(), fewer.heads) != "no"
    assert fits(harvest(), fewer.heads + 1) == "no"


def test_nothing_in_the_mix_is_idle() -> None:
    harvest_kit, mixed = harvest().kit.stations, explain(harvest(), heads=900).remedies[0].cards
    # the raw hand, the third smoker and the pace, each taken out again by hand
    assert fits(replace(mixed, crew=harvest().crew), 900) == "no"
    assert fits(replace(mixed, kit=replace(mixed.kit, stations=harvest_kit)), 900) == "no"
    assert fits(replace(mixed, event=harvest().event), 900) == "no"


def test_no_plan_at_all_says_why_and_how_many_could_be_fed() -> None:
    found = explain(harvest(), heads=10_000)
    assert found.why is not None
    assert "one kitchen" in found.why.text
    assert [m.kind for m in found.remedies] == ["fewer"]


def test_a_few_guests_fewer_never_fail_where_more_are_fed() -> None:
    assert [h for h in range(300, 410, 3) if fits(harvest(), h) == "no"] == []


def test_a_plan_that_fits_offers_nothing() -> None:
    assert plan(harvest()).fixes == ()
    assert explain(harvest()).remedies == ()


def test_the_window_of_a_shortage_holds_the_loads_that_are_late() -> None:
    crowd = supper(heads=700, per_min=14)
    found = explain(crowd)
    assert found.shortages
    short = found.shortages[0]
    assert short.family == "P"
    assert short.loads >= 1
    late = [f.deadline for f in plan(crowd).findings if f.kind == "late" and f.deadline]
    assert any(short.begins <= at <= short.ends for at in late)


def test_capacity_says_when_food_runs_out() -> None:
    at = capacity(supper()).at
    assert at is not None
    assert "19:00" <= clock(supper(), at) <= "20:30"


def test_no_remedy_touches_a_limit_of_the_dish() -> None:
    for remedy in explain(harvest(), heads=440).remedies:
        assert remedy.cards.dishes == harvest().dishes


def test_a_small_party_is_simply_ok() -> None:
    small = supper(heads=60)
    assert capacity(small, upto=100).fails is None


def test_slower_lanes_are_offered_only_where_lanes_have_a_pace() -> None:
    cards = supper(heads=500, per_min=10)
    at_once = replace(cards.event.serve[0], per_min=None, at_once=True)
    event = replace(cards.event, serve=(at_once,))
    assert "slower" not in {m.kind for m in explain(replace(cards, event=event)).remedies}
