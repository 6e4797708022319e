"""Everything unsafe in a day for 1,200 guests, against sorting its readings, in one run.

python -m tests.bench.bench_safety
"""

from __future__ import annotations

import gc
import random
import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta

from core.allergens import NOTHING_MADE, contains
from core.allergens.words import NAMES
from core.model import Cards, Load, Place, Plan, Reading, StepRun
from core.planner import plan
from core.safety.watch import Day, day_findings
from tests.bench.row import Row
from tests.core.planner.days import harvest

GUESTS = 1200
READINGS = 5000


def _p95(samples: list[float]) -> float:
    return statistics.quantiles(samples, n=20)[-1]


def _timed(work: Callable[[], object], times: int) -> list[float]:
    """Return the seconds of each run, after a warm-up, the collector out of the way."""
    work()
    gc.collect()
    gc.disable()
    try:
        found = []
        for _ in range(times):
            start = time.perf_counter()
            work()
            found.append(time.perf_counter() - start)
        return found
    finally:
        gc.enable()


def big_plan(cards: Cards) -> Plan:
    """Return the example evening's plan with its loads as often as 1,200 guests need them."""
    small = plan(cards)
    times = -(-GUESTS // small.heads)
    loads = tuple(_again(load, n) for n in range(times) for load in small.loads)
    return replace(small, heads=GUESTS, loads=loads)


def _again(load: Load, number: int) -> Load:
    def renamed(run: StepRun) -> StepRun:
        return replace(run, key=f"{run.key}#{number}", unit=f"{run.unit}#{number}")

    return replace(load, id=f"{load.id}#{number}", runs=tuple(renamed(r) for r in load.runs))


def big_day() -> Day:
    """Return the end of that evening: every run over, 5,000 readings in the order they came."""
    cards = harvest()
    made = big_plan(cards)
    rng = random.Random(7)
    runs = [run for run in made.runs() if run.until_core_c is not None or run.do == "chill"]
    boxes = [s.id for s in cards.kit.stations if s.kind in {"hot_box", "cold_box", "fridge"}]
    start = min(run.start for run in runs)
    readings = [_reading(rng, rng.choice(runs)) for _ in range(READINGS * 7 // 10)]
    readings += [
        Reading(
            rng.uniform(1, 75), Place.TUB, start + timedelta(minutes=rng.uniform(0, 600)), "teo",
            rng.choice(boxes), instrument=rng.choice(["P1", "P2", "P3"]),
        )
        for _ in range(READINGS - len(readings))
    ]  # fmt: skip
    rng.shuffle(readings)
    end = max(run.end for run in made.runs())
    return Day(
        cards,
        made,
        end + timedelta(hours=1),
        tuple(readings),
        started={run.key: run.start for run in made.runs()},
        ended={run.key: run.end for run in made.runs()},
        doubted={"P3": start},
    )


def _reading(rng: random.Random, run: StepRun) -> Reading:
    share = rng.random()
    at = run.start + (run.end - run.start) * share
    probe = rng.choice(["P1", "P2", "P3"])
    return Reading(5 + 65 * share, Place.CORE, at, "teo", run.key, instrument=probe)


def _findings() -> Row:
    day = big_day()

    def sorted_only() -> object:
        return sorted(day.readings, key=lambda r: (r.about, r.at))

    mine = _p95(_timed(lambda: day_findings(day), 30)) * 1000
    theirs = _p95(_timed(sorted_only, 30)) * 1000
    return Row(
        f"all findings, {GUESTS} guests, {READINGS} readings ({len(day_findings(day))} found), p95",
        f"{mine:.1f} ms",
        f"sorting the readings {theirs:.1f} ms ({mine / theirs:.1f} x)",
        "under 50 ms",
        mine < 50,
    )


def _allergens() -> Row:
    cards = harvest()

    def every() -> None:
        for dish in cards.dishes:
            for token in NAMES:
                contains(cards, dish, token, NOTHING_MADE)

    def counted() -> int:
        return sum(len(dish.ingredients) for dish in cards.dishes for _ in NAMES)

    mine = _p95(_timed(every, 30)) * 1000
    theirs = _p95(_timed(counted, 30)) * 1000
    return Row(
        "every allergen of every dish, p95",
        f"{mine:.1f} ms",
        f"counting the ingredients {theirs:.2f} ms ({mine / theirs:.0f} x)",
        "under 50 ms",
        mine < 50,
    )


def rows() -> Iterator[Row]:
    """Yield one line per measurement."""
    yield _findings()
    yield _allergens()


if __name__ == "__main__":
    for row in rows():
        print(
            "ok  " if row.kept else "MISS", row.what, row.ours, row.baseline, row.wanted, sep=" | "
        )
