"""The judge of plans, tested by breaking a good plan once for each rule."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from functools import cache
from typing import Any

import pytest

from core.model import Cards, Load, Moment, Plan, StepRun, Task
from core.planner import plan
from core.planner.check import check
from tests.core.planner.days import harvest, supper, wedding


@cache
def wedding_plan() -> Plan:
    return plan(wedding())


@cache
def harvest_plan() -> Plan:
    return plan(harvest())


@pytest.mark.parametrize("cards", [wedding(), harvest(), supper()])
def test_our_own_plans_break_nothing(cards: Cards) -> None:
    assert check(cards, plan(cards)) == ()


@pytest.mark.parametrize(
    ("cards", "heads"),
    [
        *((wedding(), heads) for heads in (1, 40, 68, 80)),
        *((harvest(), heads) for heads in (1, 40, 200, 365, 400, 500)),
        *((supper(heads=heads), heads) for heads in (72, 350, 420)),
    ],
)
def test_plans_for_other_counts_break_nothing(cards: Cards, heads: int) -> None:
    assert check(cards, plan(cards, heads=heads)) == ()


def with_run(made: Plan, key: str, **changes: Any) -> Plan:
    """Return the plan with one run changed and nothing else put right."""

    def broken(load: Load) -> Load:
        runs = tuple(replace(r, **changes) if r.key == key else r for r in load.runs)
        return replace(load, runs=runs)

    return replace(made, loads=tuple(broken(load) for load in made.loads))


def with_task(made: Plan, task_id: str, **changes: Any) -> Plan:
    tasks = tuple(replace(t, **changes) if t.id == task_id else t for t in made.tasks)
    return replace(made, tasks=tasks)


def run_of(made: Plan, key: str) -> StepRun:
    return next(r for r in made.runs() if r.key == key)


def task_of(made: Plan, task_id: str) -> Task:
    return next(t for t in made.tasks if t.id == task_id)


def moved(made: Plan, key: str, minutes: float) -> Plan:
    run, by = run_of(made, key), timedelta(minutes=minutes)
    return with_run(made, key, start=run.start + by, end=run.end + by)


def task_moved(made: Plan, task_id: str, minutes: float) -> Plan:
    task, by = task_of(made, task_id), timedelta(minutes=minutes)
    return with_task(made, task_id, start=task.start + by, end=task.end + by)


def lasting(made: Plan, key: str, minutes: float) -> Plan:
    return with_run(made, key, end=run_of(made, key).start + timedelta(minutes=minutes))


def without_run(made: Plan, key: str) -> Plan:
    loads = tuple(replace(x, runs=tuple(r for r in x.runs if r.key != key)) for x in made.loads)
    return replace(made, loads=loads)


def on_load(made: Plan, load_id: str, **changes: Any) -> Plan:
    return replace(
        made, loads=tuple(replace(x, **changes) if x.id == load_id else x for x in made.loads)
    )


WEDDING_BREAKS: list[tuple[str, Callable[[Plan], Plan]]] = [
    ("order", lambda p: moved(p, "lamb-rump/A/sear/1", -5)),
    ("order", lambda p: task_moved(p, "lamb-rump/dilute", 30)),
    ("order", lambda p: task_moved(p, "lamb-rump/dry/1", 300)),
    ("gap", lambda p: moved(p, "lamb-rump/B/smoke", -8)),
    ("gap", lambda p: moved(p, "lamb-rump/B/rest/2", 6)),
    ("step missing", lambda p: without_run(p, "lamb-rump/A/carve")),
    ("pieces", lambda p: with_run(p, "lamb-rump/A/sear/2", count=10)),
    ("too short", lambda p: lasting(p, "lamb-rump/B/rest/2", 4)),
    ("too short", lambda p: lasting(p, "lamb-rump/A/sear/1", 3)),
    ("too short", lambda p: lasting(p, "lamb-rump/A/carve", 3)),
    ("too long", lambda p: lasting(p, "lamb-rump/A/smoke", 120)),
    (
        "never over",
        lambda p: with_task(
            p,
            "lamb-rump/brine/1",
            start=task_of(p, "lamb-rump/brine/1").end - timedelta(minutes=301),
        ),
    ),
    ("plates", lambda p: lasting(p, "lamb-rump/B/carve", 12)),
    ("before plates", lambda p: task_moved(p, "leek-potato-salad/dress", 10)),
    ("day", lambda p: task_moved(p, "hazelnut-crumb/toast", -24 * 60)),
    ("pin", lambda p: moved(p, "celeriac/L1/smoke", -15)),
    ("card", lambda p: task_moved(p, "buttermilk-dressing/chill", 20 * 60)),
    ("station", lambda p: with_run(p, "lamb-rump/A/smoke", station="grill")),
    ("fits", lambda p: with_run(p, "lamb-rump/A/sear/1", count=20)),
    ("room", lambda p: moved(p, "lamb-rump/A/sear/2", -4)),
    (
        "temperature",
        lambda p: with_run(
            p, "lamb-rump/A/sear/1", station="smoker", start=run_of(p, "lamb-rump/B/smoke").start
        ),
    ),
    ("recovery", lambda p: moved(p, "lamb-rump/A/smoke", 8)),
    ("lit", lambda p: task_moved(p, "light/grill", 10)),
    ("hands", lambda p: with_run(p, "lamb-rump/B/sear/2", crew=())),
    ("hands", lambda p: with_run(p, "lamb-rump/A/carve", crew=("ana", "dev", "bo"))),
    ("who", lambda p: with_run(p, "lamb-rump/B/sear/2", crew=("zoe",))),
    ("skill", lambda p: with_run(p, "lamb-rump/B/sear/2", crew=("eli",))),
    (
        "shift",
        lambda p: with_task(
            p,
            "leek-potato-salad/boil",
            crew=("carmen",),
            start=task_of(p, "leek-potato-salad/boil").start - timedelta(hours=5),
        ),
    ),
    ("twice", lambda p: moved(p, "lamb-rump/B/sear/1", -3)),
    ("short", lambda p: replace(p, loads=tuple(x for x in p.loads if x.name != "B"))),
    ("needed", lambda p: on_load(p, "lamb-rump/A", needed_by=p.plates_at + timedelta(minutes=5))),
    ("ready", lambda p: on_load(p, "lamb-rump/A", ready=p.plates_at - timedelta(minutes=20))),
    ("slack", lambda p: on_load(p, "lamb-rump/A", slack_min=25.0)),
    ("late unsaid", lambda p: lasting(p, "lamb-rump/B/carve", 12)),
    ("fits", lambda p: lasting(p, "lamb-rump/B/carve", 12)),
    ("wait unsaid", lambda p: replace(p, findings=())),
]


@pytest.mark.parametrize(("rule", "broken"), WEDDING_BREAKS)
def test_each_rule_broken_once_is_caught(rule: str, broken: Callable[[Plan], Plan]) -> None:
    assert rule in {v.rule for v in check(wedding(), broken(wedding_plan()))}


HARVEST_BREAKS: list[tuple[str, Callable[[Plan], Plan]]] = [
    ("room", lambda p: with_run(p, "pork-collar/b1/smoke", station="P1")),
    (
        "needed",
        lambda p: on_load(p, "pork-collar/b1", needed_by=p.plates_at + timedelta(minutes=20)),
    ),
    ("raw hands", lambda p: with_run(p, "pork-collar/a1/sear/1", crew=("nuria",))),
    ("held unsaid", lambda p: on_load(p, "pork-collar/a1", hold_min=90.0)),
    ("room", lambda p: with_task(p, "pork-collar/brine/1", station="tub1")),
    ("pin", lambda p: with_run(p, "pork-collar/a1/smoke", station="P2")),
]


@pytest.mark.parametrize(("rule", "broken"), HARVEST_BREAKS)
def test_each_rule_of_a_flow_broken_once_is_caught(
    rule: str, broken: Callable[[Plan], Plan]
) -> None:
    assert rule in {v.rule for v in check(harvest(), broken(harvest_plan()))}


def test_a_swap_that_is_skipped_is_caught() -> None:
    cards = supper()  # seven minutes between two loads in a pit
    made = plan(cards)
    key = made.loads[2].runs[0].key
    assert "room" in {v.rule for v in check(cards, moved(made, key, -4))}


def test_a_station_that_is_not_there_yet_is_caught() -> None:
    cards = supper()
    stations = tuple(
        replace(s, start=Moment(0, 17, 30)) if s.id == "P1" else s for s in cards.kit.stations
    )
    later = replace(cards, kit=replace(cards.kit, stations=stations))
    assert "opens" in {v.rule for v in check(later, plan(cards))}


def test_what_is_past_is_not_judged() -> None:
    broken = moved(wedding_plan(), "lamb-rump/A/smoke", 8)
    since = run_of(broken, "lamb-rump/B/sear/1").start
    assert check(wedding(), broken, since) == ()
