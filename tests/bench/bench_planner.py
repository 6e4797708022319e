"""Plans and re-plans: the exact engine against the list scheduler on the same kitchens, in one run.

python -m tests.bench.bench_planner          all of it, a table on the screen; some four minutes

Seconds are of the processor: everything is one worker in this process, so that a machine that is
busy with other things tells the same.
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from typing import TypeVar

from core.errors import CannotPlanError
from core.model import Cards, Plan, Progress
from core.planner import check, plan, replan
from core.planner.engine.run import best, for_guests, in_stations, shortest
from core.planner.engine.solver import Effort
from core.planner.jobs import Appetite, Group, Problem
from core.planner.listing import list_schedule
from core.planner.scoring import worth
from tests.bench.row import Row
from tests.core.planner.days import crew, harvest, kit, supper
from tests.core.planner.shops import evening, job_shop, job_shop_optimum, longest

BEGINS, ENDS = 0.0, 840.0
EVENINGS, SLIPS, SEED = 40, 60, 2026

T = TypeVar("T")


def _timed(work: Callable[[], T]) -> tuple[float, T]:
    start = time.process_time()
    found = work()
    return time.process_time() - start, found


def _p95(values: list[float]) -> float:
    return statistics.quantiles(values, n=20)[-1]


def _evening_320() -> Iterator[Row]:
    problem = evening()
    list_s, listed = _timed(lambda: list_schedule(problem))
    best_s, found = _timed(lambda: best(problem, BEGINS, ENDS))
    assert found is not None
    ours, base = worth(problem, found[0].slots), worth(problem, listed.slots)
    yield Row("320 guests, first plan", f"{list_s:.3f} s", "-", "under 1 s", list_s < 1)
    yield Row(
        "320 guests, proved with people",
        f"{best_s:.2f} s, {found[0].status}",
        f"list {list_s:.3f} s",
        "proved in 3 s",
        best_s < 3 and found[0].status == "proved",
    )
    yield Row(
        "320 guests, score",
        f"{ours.one_number:,.0f}",
        f"list {base.one_number:,.0f}",
        "at most 340,000",
        ours.one_number <= 340_000,
    )


def _evening_1000() -> Iterator[Row]:
    problem = evening(3)
    seconds, found = _timed(lambda: for_guests(problem, BEGINS, ENDS, Effort(20)))
    yield Row(
        "960 guests, late, held and changes",
        f"{found.score} {found.status}, {seconds:.1f} s",
        f"list {worth(problem, list_schedule(problem).slots)}",
        "within 2 % of the bound in 15 s",
        found.status == "proved" and seconds < 15,
    )


def _evening_3000() -> Iterator[Row]:
    problem = evening(9)
    seconds, found = _timed(lambda: in_stations(problem, BEGINS, ENDS, Effort(20)))
    assert found is not None
    seen = worth(problem, found[0].slots)
    yield Row(
        "2880 guests in stations",
        f"{seen.late:.0f} late, {seconds:.0f} s",
        f"list {worth(problem, list_schedule(problem).slots).late:.0f} late",
        "nobody waits, 90 s",
        seen.late == 0 and seconds < 90,
    )


def random_evening(dice: random.Random) -> Problem:
    """Some of the loads of one or two kitchens, and fewer or more guests than they feed."""
    problem = evening(dice.choice([1, 1, 1, 2]))
    groups: list[Group] = []
    appetites: dict[str, Appetite] = {}
    for dish, appetite in problem.appetites.items():
        mine = [g for g in problem.groups if g.dish == dish]
        kept = sorted(
            dice.sample(mine, dice.randint(max(len(mine) // 2, 1), len(mine))),
            key=lambda g: g.number,
        )
        part = sum(g.count for g in kept) / appetite.total * dice.uniform(0.8, 1.0)
        shift = 5.0 * dice.randint(-3, 3)
        lumps = tuple((m + shift, max(round(n * part), 0)) for m, n in appetite.lumps)
        appetites[dish] = replace(appetite, lumps=tuple(x for x in lumps if x[1]))
        groups.extend(_served(kept, appetites[dish]))
    return replace(problem, groups=tuple(groups), appetites=appetites)


def _served(kept: list[Group], appetite: Appetite) -> Iterator[Group]:
    eaten = 0
    for group in kept:
        needed = _when(appetite, eaten + 1)
        eaten += group.count
        last = _when(appetite, eaten)
        floor = min(last - appetite.limit, needed)
        yield replace(group, needed_by=needed, last_by=last, floor=floor, target=needed)


def _when(appetite: Appetite, portion: int) -> float:
    so_far = 0
    for minute, portions in appetite.lumps:
        so_far += portions
        if so_far >= portion:
            return minute
    return appetite.lumps[-1][0]


def _random_evenings() -> Iterator[Row]:
    dice = random.Random(SEED)
    proved, worse, ratios, times = 0, 0, [], []
    for _ in range(EVENINGS):
        problem = random_evening(dice)
        try:
            listed = list_schedule(problem).slots
        except CannotPlanError:
            listed = {}
        seconds, found = _timed(partial(best, problem, BEGINS, ENDS, first=listed))
        times.append(seconds)
        proved += found is not None and found[0].status == "proved" and seconds < 5
        if found is None or not listed:
            worse += found is None
            continue
        base, ours = worth(problem, listed), worth(problem, found[0].slots)
        worse += ours.key() > base.key()
        ratios.append((base.one_number + 1) / (ours.one_number + 1))
    yield Row(
        "40 random evenings, proved in 5 s",
        f"{proved / EVENINGS:.0%}, median {statistics.median(times):.2f} s",
        "-",
        "at least 95 %",
        proved / EVENINGS >= 0.95,
    )
    yield Row(
        "40 random evenings, list score over ours",
        f"median {statistics.median(ratios):.1f}, worse {worse}",
        "list = 1",
        "never worse, median at least 2",
        worse == 0 and statistics.median(ratios) >= 2,
    )


def _slip(first: Plan, dice: random.Random) -> Progress:
    """One load late, or one fire out for a while, at some moment of the cook."""
    runs = sorted((r for r in first.runs() if r.on_fire), key=lambda r: (r.start, r.key))
    run = dice.choice(runs)
    now = run.start + (run.end - run.start) * dice.random()
    started = {r.key: r.start for r in first.runs() if r.start <= now}
    ended = {r.key: r.end for r in first.runs() if r.end <= now}
    if dice.random() < 0.5:
        late = {run.key: run.end + timedelta(minutes=dice.randint(4, 15))}
        return Progress(now, started, ended, late)
    other = dice.choice(sorted({r.station for r in runs if r.station}))
    back = now + timedelta(minutes=dice.randint(10, 20))
    return Progress(now, started, ended, down={other: (now, back)})


def _near_moved(first: Plan, made: Plan, now: datetime) -> int:
    """How many starts that were due within half an hour are at another time now."""
    soon = now + timedelta(minutes=30)
    was = {r.key: r.start for r in first.runs() if now < r.start <= soon}
    times = {r.key: r.start for r in made.runs()}
    return sum(abs(times[k] - at) > timedelta(minutes=1) for k, at in was.items() if k in times)


def _replans(name: str, cards: Cards, wanted_s: float) -> Iterator[Row]:
    dice = random.Random(SEED)
    first = plan(cards)
    repairs, whole, moved, broken = [], [], [], 0
    for _ in range(SLIPS):
        day = _slip(first, dice)
        seconds, _ = _timed(partial(replan, cards, first, day, letter="B", reason=""))
        repairs.append(seconds)
        sharp = partial(replan, cards, first, day, letter="B", reason="", engine="cp")
        seconds, made = _timed(sharp)
        whole.append(seconds)
        moved.append(_near_moved(first, made, day.now))
        rules = {v.rule for v in check(cards, made, day.now + timedelta(minutes=1))}
        broken += bool(rules - {"gap"})
    yield Row(
        f"re-plan {name}, something valid",
        f"p95 {_p95(repairs) * 1000:.0f} ms",
        "-",
        "50 ms",
        _p95(repairs) < 0.05,
    )
    yield Row(
        f"re-plan {name}, with the engine and people",
        f"p95 {_p95(whole) * 1000:.0f} ms, {broken} unsound",
        f"repair p95 {_p95(repairs) * 1000:.0f} ms",
        f"p95 {wanted_s * 1000:.0f} ms, none unsound",
        _p95(whole) < wanted_s and not broken,
    )
    yield Row(
        f"re-plan {name}, announced calls moved",
        f"median {statistics.median(moved):.0f}",
        "-",
        "at most 1",
        statistics.median(moved) <= 1,
    )


def _thousand() -> Cards:
    """A thousand steaks in an hour from seven pits and six grills."""
    return replace(supper(heads=1000, per_min=18), kit=kit(7, 6), crew=crew(6))


def _long_job_shop() -> Iterator[Row]:
    problem = job_shop("la19")
    seconds, found = _timed(lambda: shortest(problem, longest(problem), Effort(60)))
    yield Row(
        "job shop la19",
        f"{found.score[0]:.0f} {found.status}, {seconds:.1f} s",
        f"published {job_shop_optimum('la19')}",
        "proved at the published optimum",
        found.status == "proved" and found.score[0] == job_shop_optimum("la19"),
    )


def rows() -> Iterator[Row]:
    """Yield one line per measurement."""
    yield from _evening_320()
    yield from _evening_1000()
    yield from _evening_3000()
    yield from _random_evenings()
    yield from _replans("320", harvest(), 0.6)
    yield from _replans("1000", _thousand(), 1.2)
    yield from _long_job_shop()


if __name__ == "__main__":
    for row in rows():
        print(
            "ok  " if row.kept else "MISS", row.what, row.ours, row.baseline, row.wanted, sep=" | "
        )
