"""Capacity before promise, and what would help."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.model import Clock
from core.planner import capacity, explain, plan
from core.planner.relief import fits
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
    assert {"fire", "slower"} <= kinds


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
    at = capacity(supper()).text.fields["at"]
    assert isinstance(at, Clock)
    assert "19:00" <= clock(supper(), at.at) <= "20:30"


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
