"""Cold litres and places in hot boxes, from the cards."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from core.errors import CannotPlanError
from core.model import Cards, Load, Plan, Station, StationKind, Step, StepRun
from core.planner import check, plan
from tests.core.planner.days import steak, supper


def chilled(litres: float, places: int | None = None) -> Cards:
    """The supper's steaks, chilled 30 to 60 min in a fridge before the smoke; 0.19 kg each."""
    cards = supper()
    chill = Step("air", "air", "fridge", min_min=30, ideal_min=30, max_min=60)
    dish = steak(steps=(chill, *steak().steps))
    fridge = Station("fridge", StationKind.FRIDGE, "fridge", litres=litres, fill_max=0.75)
    rest = tuple(
        replace(s, places=places) if s.kind is StationKind.HOT_BOX else s
        for s in cards.kit.stations
    )
    return replace(cards, dishes=(dish,), kit=replace(cards.kit, stations=(*rest, fridge)))


def runs(made: Plan, step: str) -> list[StepRun]:
    return sorted((r for r in made.runs() if r.step == step), key=lambda r: r.start)


def most_at_once(found: list[StepRun]) -> int:
    return max(sum(o.count for o in found if o.start <= r.start < o.end) for r in found)


def test_no_more_in_the_cold_than_its_litres() -> None:
    # by hand: 20 L x 0.75 = 15 L; a load of 72 x 0.19 kg is 13.7 L, so one at a time
    made = plan(chilled(20))
    assert check(chilled(20), made) == ()
    assert most_at_once(runs(made, "air")) == 72


def test_with_room_enough_loads_share_the_cold() -> None:
    assert most_at_once(runs(plan(chilled(200)), "air")) > 72


def test_a_load_that_alone_is_too_much_is_refused_with_the_numbers() -> None:
    with pytest.raises(CannotPlanError, match="takes 14 litres in fridge, which has 7"):
        plan(chilled(10))


def test_no_more_rests_in_hot_boxes_than_they_have_places() -> None:
    made = plan(chilled(200, places=60))
    assert check(chilled(200, places=60), made) == ()
    assert most_at_once(runs(made, "rest")) <= 60


def test_more_waiting_hot_than_there_is_room_for_is_said() -> None:
    made = plan(chilled(200, places=60))  # 72 of the first load wait for 19:00
    said = [f for f in made.findings if f.about == "hot"]
    assert [f.kind for f in said] == ["quality"]
    assert plan(chilled(200, places=300)).findings == ()


def moved(made: Plan, step: str, minutes: float) -> Plan:
    """Return the plan with one step of every load begun so much earlier, and nothing put right."""
    by = timedelta(minutes=minutes)

    def earlier(run: StepRun) -> StepRun:
        return replace(run, start=run.start - by, end=run.end) if run.step == step else run

    def broken(load: Load) -> Load:
        return replace(load, runs=tuple(earlier(r) for r in load.runs))

    return replace(made, loads=tuple(broken(load) for load in made.loads))


def test_the_judge_finds_a_fridge_that_overflows() -> None:
    broken = moved(plan(chilled(20)), "air", 30)
    assert "litres" in {v.rule for v in check(chilled(20), broken)}


def test_the_judge_finds_a_hot_box_that_overflows() -> None:
    cards = chilled(200, places=30)
    assert "places" in {v.rule for v in check(cards, plan(chilled(200)))}
