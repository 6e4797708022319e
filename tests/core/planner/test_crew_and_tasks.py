"""Who does what, and what is done around the food."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import pytest

from core.model import Moment, Person, Role, Station, StationKind, Step, Tied
from core.planner import plan
from core.planner.crewing import able
from tests.core.planner.days import clock, crew, harvest, run, steak, supper, wedding
from tests.published import published

GRILL = (Station("G1", StationKind.GRILL, "G"),)


def people(*crew_: Person) -> tuple[str, ...]:
    cards = replace(supper(), crew=crew_)
    return able(cards, Step("sear", "sear", "grill", skill="grill"), GRILL, fire=True, raw=False)


def test_only_who_has_the_skill_is_asked() -> None:
    assert people(Person("a", "A"), Person("b", "B", skills=("grill",))) == ("b",)


def test_a_role_or_a_lead_is_a_skill_too() -> None:
    cards = replace(supper(), crew=(Person("a", "A", Role.PIT),))
    step = Step("tend", "tend", "grill", skill="pit")
    assert able(cards, step, GRILL, fire=True, raw=False) == ("a",)


def test_whose_station_it_is_comes_before_whose_role_it_is() -> None:
    own = Person("z", "Z", Role.CREW, skills=("grill",), stations=("G1",))
    pit = Person("a", "A", Role.PIT, skills=("grill",))
    chef = Person("c", "C", Role.CHEF, skills=("grill",))
    assert people(chef, pit, own) == ("z", "a", "c")


@published("common practice: one dedicated raw handler over 150 guests, the only hands on raw meat")
def test_raw_hands_touch_nothing_that_has_been_on_a_fire() -> None:
    raw = Person("n", "N", Role.RAW, skills=("grill",))
    assert people(raw) == ()
    seared = [r for r in plan(harvest()).runs() if r.step in {"sear", "rest", "smoke"}]
    assert not any("nuria" in r.crew for r in seared if r.step == "sear")


def test_a_fire_is_lit_by_its_keeper_on_a_round_five_minutes() -> None:
    lights = [t for t in plan(harvest()).tasks if t.do == "light"]
    assert {t.crew for t in lights if t.id == "light/P2"} == {("iker",)}
    assert all(harvest().event.local(t.start).minute % 5 == 0 for t in lights)


def test_a_sear_fire_is_tied_to_plates_and_a_smoke_fire_is_not() -> None:
    tied = {t.id: t.tied for t in plan(wedding()).tasks if t.do == "light"}
    assert tied["light/grill"] is Tied.PLATES
    assert tied["light/smoker"] is Tied.ELASTIC


def test_a_fire_used_the_day_before_is_lit_the_day_before_too() -> None:
    ids = {t.id for t in plan(harvest()).tasks if t.do == "light" and t.station == "P1"}
    assert ids == {"light/P1", "light/P1/T-1"}


def test_a_fire_is_fed_while_it_burns() -> None:
    made = plan(harvest())
    fed = [t for t in made.tasks if t.id.startswith("feed/P1/") and "T-1" not in t.id]
    gaps = {b.start - a.start for a, b in pairwise(fed)}
    assert gaps == {timedelta(minutes=30)}  # the card's feed_every
    assert max(t.start for t in fed) < run(made, "pork-collar/a2/smoke").end


def test_the_van_the_lanes_and_the_platters_are_tasks() -> None:
    ids = {t.id for t in plan(harvest()).tasks}
    assert {"load-out", "drive", "open/lane-1a", "serve/1"} <= ids
    assert "pack-up" in {t.id for t in plan(wedding()).tasks}


def test_everybody_owed_one_gets_a_break_clear_of_their_work() -> None:
    made = plan(harvest())
    breaks = {t.crew[0]: t for t in made.tasks if t.do == "break"}
    for person, rest in breaks.items():
        for r in made.runs():
            busy = person in r.crew and harvest().dish(r.dish).steps[r.index].hands
            assert not busy or r.end <= rest.start or r.start >= rest.end
    assert "teo" in breaks


def test_prep_days_end_with_half_an_hour_to_clean_down() -> None:
    made = plan(wedding())
    before = [t for t in made.tasks if t.start < wedding().event.instant(Moment(0, 0, 0))]
    hands = [t for t in before if t.step and wedding().dish(t.dish or "").step(t.step)]
    work = [t for t in hands if (wedding().dish(t.dish or "").step(t.step or "") or t).hands]  # type: ignore[union-attr]
    assert max(clock(wedding(), t.end) for t in work) <= "18:30"  # by hand: shifts end at 19:00


@pytest.mark.parametrize("hands", [1, 2])
def test_a_crew_short_of_hands_sears_one_after_the_other(hands: int) -> None:
    smoke, *others = steak().steps
    patient = steak(steps=(replace(smoke, gap_max_min=None), *others))
    made = plan(replace(supper(), crew=crew(grills=hands), dishes=(patient,)))
    sears = sorted((r for r in made.loads[0].runs if r.step == "sear"), key=lambda r: r.start)
    together = sum(a.end > b.start for a, b in pairwise(sears))
    assert (together == 0) == (hands == 1)
