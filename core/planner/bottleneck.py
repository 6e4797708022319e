"""The slowest link: portions an hour each fire can do, against what is eaten in an hour."""

from __future__ import annotations

from dataclasses import dataclass

from core.model import Bottleneck, Clock, Dish, Label, Line, Qty, say
from core.planner.assemble import Result
from core.planner.jobs import Op


@dataclass(frozen=True, slots=True)
class Stage:
    """One dish at one family of fires: portions an hour done and asked."""

    family: str
    dish: Dish
    do: str
    per_hour: float
    asked: float
    loads: int
    count: int
    first: float


def stages(result: Result) -> list[Stage]:
    """Return every dish at every family of fires its loads go through."""
    found = []
    for dish_id in result.kitchen.menu:
        dish = result.kitchen.cards.dish(dish_id)
        ops = [
            op
            for group in result.problem.groups
            if group.served and group.dish == dish_id
            for op in group.ops
        ]
        for index in sorted({op.index for op in ops}):
            on = [op for op in ops if op.index == index]
            if result.kitchen.is_fire(dish.steps[index]):
                found.append(_stage(result, dish, on))
    return found


def _stage(result: Result, dish: Dish, on: list[Op]) -> Stage:
    stations = result.kitchen.stations(dish.steps[on[0].index])
    places = [result.kitchen.places[s.id] for s in stations]
    each = dish.portion.amount if dish.portion and dish.portion.unit == "pieces" else 1.0
    largest = max(op.count for op in on)
    slots = sum(max(p.room // on[0].use, 1) for p in places)
    cycle = max(op.ideal for op in on) + places[0].turn
    return Stage(
        family=places[0].family,
        dish=dish,
        do=on[0].do,
        per_hour=slots * largest / each * 60 / cycle,
        asked=_asked(result, dish, on[0].index, cycle),
        loads=len(on),
        count=largest,
        first=min(result.slot(op).start for op in on),
    )


def _asked(result: Result, dish: Dish, index: int, cycle: float) -> float:
    """Return portions an hour asked of a fire: service's pace, or all within what they may wait."""
    plan = result.kitchen.demand_of(dish)
    if not plan.at_once:
        return plan.per_hour
    later = dish.steps[index:]
    waits = sum(s.max_min or 0.0 for s in later if s.hands == 0 and s is not later[0])
    gaps = sum(s.gap_max_min or 0.0 for s in later)
    window = cycle + waits + gaps + (dish.hold.quality_max_min or 0.0)
    return plan.portions * 60 / max(window, cycle, 1.0)


def bottleneck_of(result: Result) -> Bottleneck | None:
    """Return the family of fires with the most asked of it for what it can do; None without fires.

    Dishes that share a family share its hours.
    """
    rows = stages(result)
    families = {stage.family for stage in rows}
    load: dict[str, float] = {
        f: sum(s.asked / s.per_hour for s in rows if s.family == f and s.per_hour) for f in families
    }
    if not load:
        return None
    family = max(sorted(load), key=lambda name: load[name])
    mine = max((s for s in rows if s.family == family), key=lambda s: s.asked / s.per_hour)
    asked = sum(s.asked for s in rows if s.family == family)
    return Bottleneck(
        station=family,
        text=_text(result, mine, load),
        per_hour=round(asked / load[family], 1) if load[family] else round(mine.per_hour, 1),
        demand_per_hour=round(asked, 1),
    )


def _text(result: Result, stage: Stage, load: dict[str, float]) -> Line:
    first = Clock(result.kitchen.clock.instant(stage.first))
    loads, count = Qty(stage.loads, "", 0), Qty(stage.count, "", 0)
    others = [name for name in load if name != stage.family and load[name] > 0]
    if not others:
        return say(
            "{step}: {loads} loads of {count} on {station}, first on {first}.",
            step=stage.do,
            loads=loads,
            count=count,
            station=Label(stage.family),
            first=first,
        )
    other = max(others, key=lambda name: load[name])
    return say(
        "{step}: {loads} loads of {count} on {station}, first on {first}; "
        "{other} can do {times} times what you need.",
        step=stage.do,
        loads=loads,
        count=count,
        station=Label(stage.family),
        first=first,
        other=Label(other),
        times=Qty(1 / load[other], "", 1),
    )
