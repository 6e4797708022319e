"""Meat between two fires: warned of at 8 min, stopped at 10; beef and lamb that are whole may wait.

The rule itself is the engine's (`core.safety.stages`); here is when and about what it speaks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from core.cook.names import dish_name
from core.cook.state import Cook, Phase, items
from core.model import Finding, FoodClass, Line, Load, StepRun, Verdict
from core.safety.food import Food, food_of_dish
from core.safety.lifting import lifters
from core.safety.stages import Gap, gap_choices, gap_verdict, may_wait

TURN = timedelta(seconds=30)
"""How late a second fire may start by plan before its wait is no longer part of the plan."""

WARN = timedelta(minutes=8)
STOP = timedelta(minutes=10)
ANIMAL = frozenset(FoodClass) - {FoodClass.PLANT}


@dataclass(frozen=True, slots=True)
class Watch:
    """What is to be said at an instant: the finding, or None for a question that only warns.

    `sort` is gap, box, out or pink; `loud` where somebody must act now; `to` is who measured or
    works on it, '' for who leads there.
    """

    key: str
    sort: str
    at: datetime
    about: str
    line: Line
    finding: Finding | None = None
    loud: bool = False
    to: tuple[str, ...] = ()
    choices: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True)
class Parked:
    """Pieces off their first fire and not on the next: since when, what waits, what food."""

    off: datetime
    run: StepRun
    food: Food


def parked(cook: Cook) -> Iterator[Parked]:
    """Yield what waits half cooked between two fires now."""
    cards = cook.cards
    if cards is None or cook.plan is None:
        return
    for load in cook.plan.loads:
        dish = cards.dish(load.dish)
        food = food_of_dish(dish)
        if food is None or dish.piece.food_class not in ANIMAL:
            continue
        for off, run in between_fires(cook, load):
            if cook.phase(run.key) is Phase.WAITING and not _went_on(cook, load, run):
                yield Parked(off, run, food)


def _went_on(cook: Cook, load: Load, run: StepRun) -> bool:
    """Say whether a step after a fire nobody ticked was ticked for the same pieces: it was on.

    A tick of the whole load speaks for each of its batches; another batch's never does.
    """
    return any(
        cook.job(later.key).started is not None or cook.job(later.key).ended is not None
        for later in load.runs
        if later.index > run.index and later.unit in {run.unit, load.name}
    )


def between_fires(cook: Cook, load: Load) -> Iterator[tuple[datetime, StepRun]]:
    """Yield each run on a later fire with the instant its pieces came off the one before.

    A first fire that cooks to the end leaves nothing half cooked.
    """
    fires = [run for run in load.runs if run.on_fire]
    top = max((run.until_core_c or 0.0 for run in fires), default=0.0)
    for run in fires:
        earlier = [r for r in fires if r.index < run.index and r.unit in {run.unit, load.name}]
        if not earlier:
            continue
        last = max(earlier, key=lambda r: r.index)
        off = cook.job(last.key).ended
        half = (last.until_core_c or 0.0) < top or top == 0.0
        if off is not None and half and cook.phase(last.key) is Phase.OVER:
            yield off, run


def waiting_with(cook: Cook, key: str) -> tuple[StepRun, ...]:
    """Return what waits half cooked together with a run: its load, off at the same moment."""
    found = tuple(parked(cook))
    off = next((p.off for p in found if p.run.key == key), None)
    load = key.split("/")[:2]
    return tuple(p.run for p in found if p.off == off and p.run.key.split("/")[:2] == load)


def gap_watches(cook: Cook) -> Iterator[Watch]:
    """Yield the warning at 8 min and, for what may not wait, the stop at 10: one a load."""
    seen: set[tuple[str, datetime]] = set()
    for each in sorted(parked(cook), key=lambda p: p.run.start):
        load = f"{each.run.dish}/{each.run.load}"
        if (load, each.off) not in seen:
            seen.add((load, each.off))
            yield from _gaps(cook, each, load)


def _gaps(cook: Cook, each: Parked, load: str) -> Iterator[Watch]:
    run, off = each.run, each.off
    together = waiting_with(cook, run.key)
    whole = len({r.unit for r in together}) > 1
    name = f"{dish_name(run.dish, cook.cards)} {run.load if whole else run.unit}"
    gap = Gap(off, None, name)
    warn_at = off + WARN
    if may_wait(each.food) and off + WARN <= run.start <= off + STOP:
        warn_at = run.start + TURN  # its turn comes then anyway
    for at, sort in ((warn_at, "warn"), (off + STOP, "stop")):
        found = gap_verdict(gap, each.food, at)
        if found is None or (sort == "stop" and found.verdict is not Verdict.STOP):
            continue
        stop = found.verdict is Verdict.STOP
        found = replace(found, about=run.key, lift_by=lifters(found, each.food))
        crew = tuple(dict.fromkeys(p for r in together for p in r.crew))
        yield Watch(f"{load}/gap/{sort}/{off:%dT%H%M}", "gap", at, run.key, found.text,
                    found if stop else None, stop, crew,
                    () if may_wait(each.food) else gap_choices())  # fmt: skip


def gap_closed(cook: Cook, key: str) -> Finding | None:
    """Return the stop that was due when a second fire was started too late; None if in time."""
    item = items(cook.plan).get(key) if cook.plan else None
    started = cook.job(key).started
    if not isinstance(item, StepRun) or started is None or cook.cards is None or cook.plan is None:
        return None
    load = next(x for x in cook.plan.loads if any(r.key == key for r in x.runs))
    food = food_of_dish(cook.cards.dish(load.dish))
    off = next((at for at, run in between_fires(cook, load) if run.key == key), None)
    if off is None or cook.cards.dish(load.dish).piece.food_class not in ANIMAL:
        return None
    name = f"{dish_name(item.dish, cook.cards)} {item.unit}"
    found = gap_verdict(Gap(off, started, name), food, started)
    if found is None or found.verdict is not Verdict.STOP:
        return None
    return replace(found, about=key, lift_by=lifters(found, food))
