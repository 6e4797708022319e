"""Hazards of the plan and the day: meat parked between fires, raw beside ready, heat, no card."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise

from core.model import (
    Cards,
    Finding,
    FoodClass,
    Label,
    Plan,
    Qty,
    StationKind,
    StepRun,
    Task,
    Verdict,
    say,
)
from core.safety.clocks import is_hot_weather
from core.safety.degrees import Degrees
from core.safety.food import food_of_dish
from core.safety.lifting import lifters
from core.safety.rules import finding, the
from core.safety.stages import Gap, gap_verdict

_ANIMAL = frozenset(FoodClass) - {FoodClass.PLANT}
_LIMIT = timedelta(minutes=float(the("house", "house.stage_gap").row["max_min"]))
_BENCHES = frozenset({StationKind.TABLE, StationKind.TUB})


def parked_in_plan(cards: Cards, plan: Plan) -> Iterator[Finding]:
    """Yield a finding for every load that waits too long between two fires, half cooked."""
    for load in plan.loads:
        dish = cards.dish(load.dish)
        if dish.piece.food_class not in _ANIMAL:
            continue
        food = food_of_dish(dish)
        fires = [run for run in load.runs if run.on_fire]
        top = max((run.until_core_c or 0.0 for run in fires), default=0.0)
        for first, second in _in_turn(fires):
            if (first.until_core_c or 0.0) >= top > 0 or _kept_hot(load.runs, first, second, cards):
                continue
            if second.start - first.end < _LIMIT:
                continue  # the warning at 8 min is for the day itself
            gap = Gap(first.end, second.start, f"{dish.name} {second.unit}")
            found = gap_verdict(gap, food, second.start)
            if found is not None:
                yield replace(found, about=second.key, lift_by=lifters(found, food))


def _in_turn(fires: list[StepRun]) -> Iterator[tuple[StepRun, StepRun]]:
    """Yield each fire run with the one of the step before it that its pieces came from."""
    for second in fires:
        before = [run for run in fires if run.index < second.index and run.end <= second.start]
        mine = [run for run in before if run.unit == second.unit] or before
        last = max((run.index for run in mine), default=None)
        if last is not None:
            yield max((r for r in mine if r.index == last), key=lambda r: r.end), second


def _kept_hot(runs: tuple[StepRun, ...], first: StepRun, second: StepRun, cards: Cards) -> bool:
    steps = cards.dish(first.dish).steps
    return any(
        steps[run.index].keep_above_c is not None
        for run in runs
        if first.index < run.index < second.index
    )


def raw_beside_ready(cards: Cards, plan: Plan) -> Iterator[Finding]:
    """Yield a finding for every table or tub that raw and ready food use at the same time."""
    uses = defaultdict[str, list[tuple[datetime, datetime, str, bool]]](list)
    items: list[StepRun | Task] = [*plan.runs(), *plan.tasks]
    for item in items:
        if item.station is None or item.dish is None or not _is_bench(cards, item.station):
            continue
        raw = _is_raw(cards, item)
        if raw is not None:
            uses[item.station].append((item.start, item.end, cards.dish(item.dish).name, raw))
    for station, rows in uses.items():
        clash = _first_clash(sorted(rows))
        if clash is not None:
            rule = the("plants", "separation", "hazards")
            text = say(
                "{verdict}. {station}: raw {raw} beside {ready}. Another table, or one after the"
                " other with cleaning between.",
                verdict=Verdict.NOT_YET,
                station=Label(station),
                raw=Label(clash[0]),
                ready=Label(clash[1]),
            )
            yield finding(rule, Verdict.NOT_YET, text, about=station)


def _is_bench(cards: Cards, station_id: str) -> bool:
    station = cards.station(station_id)
    return station is not None and station.kind in _BENCHES


def _is_raw(cards: Cards, item: StepRun | Task) -> bool | None:
    """Say whether what is handled is raw animal food or ready to eat; None for neither."""
    dish = cards.dish(item.dish or "")
    if isinstance(item, Task):
        step = dish.step(item.step or "")
        index = dish.steps.index(step) if step is not None else len(dish.steps)
    else:
        index = item.index
    cooked = any(step.until_core_c for step in dish.steps[:index])
    cooks_later = any(step.until_core_c for step in dish.steps[index:])
    if dish.piece.food_class in _ANIMAL and not cooked and cooks_later:
        return True
    return None if cooks_later else False


def _first_clash(
    rows: list[tuple[datetime, datetime, str, bool]],
) -> tuple[str, str] | None:
    for one, two in pairwise(rows):
        if two[0] < one[1] and one[3] is not two[3]:
            raw, ready = (one, two) if one[3] else (two, one)
            return raw[2], ready[2]
    return None


def hot_weather(cards: Cards) -> Iterator[Finding]:
    """Yield the hot-weather clock where the forecast reaches 32 °C."""
    airs = [w.air_c for w in cards.event.weather if w.air_c is not None]
    if not airs or not is_hot_weather(Degrees(max(airs))):
        return
    rule = the("house", "house.hot_weather")
    text = say(
        "{verdict}. Air to {air}: cold food out 1 h at most. Small bowls, ice, swap them.",
        verdict=Verdict.NOT_YET,
        air=Qty(max(airs), "°C"),
    )
    yield finding(rule, Verdict.NOT_YET, text, about="event")


def no_thermometer(cards: Cards) -> Iterator[Finding]:
    """Yield a finding where animal food is cooked and the kit has no thermometer."""
    if cards.kit.probes or not any(d.piece.food_class in _ANIMAL for d in cards.dishes):
        return
    text = say("{verdict}. No thermometer on the kit list.", verdict=Verdict.UNKNOWN)
    yield finding(the("other", "us.thermometer_c"), Verdict.UNKNOWN, text, about="kit")


def no_emergency_card(cards: Cards) -> Iterator[Finding]:
    """Yield a finding where the event has no emergency card."""
    if cards.event.emergency is None:
        text = say(
            "{verdict}. No emergency card: number, site address, gate, first aider.",
            verdict=Verdict.UNKNOWN,
        )
        yield finding(None, Verdict.UNKNOWN, text, profile=cards.event.profile, about="event")
