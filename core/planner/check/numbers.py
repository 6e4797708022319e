"""Pieces, times and the verdict of a plan are what the cards make them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from core.model import Load, Service, Tied
from core.planner.check.day import SLACK_MIN, Day, Violation
from core.scaling.heads import eaters

_LATE_MIN = 1.0  # a finding is owed from here on


def number_violations(day: Day) -> Iterator[Violation]:
    """Yield what does not add up."""
    for dish_id in sorted({load.dish for load in day.plan.loads}):
        loads = sorted(
            (x for x in day.plan.loads if x.dish == dish_id),
            key=lambda x: _turn(day, x),
        )
        yield from _enough(day, dish_id, loads)
        yield from _needed(day, dish_id, loads)
    for load in day.plan.loads:
        yield from _says_true(day, load)


def _turn(day: Day, load: Load) -> tuple[datetime, int]:
    """First ready, first eaten; where plates time the last work, loads keep their guests."""
    tied = any(step.tied is Tied.PLATES for step in day.dish(load.dish).steps)
    return (day.plan.plates_at if tied else load.ready), int(load.number[1:])


def _each(day: Day, dish_id: str) -> float:
    portion = day.dish(dish_id).portion
    return portion.amount if portion is not None and portion.unit == "pieces" else 1.0


def _enough(day: Day, dish_id: str, loads: list[Load]) -> Iterator[Violation]:
    """As many portions as are eaten, or the plan says how many are short."""
    eaten = eaters(day.cards.event, day.plan.heads).get(dish_id, 0)
    dish = day.dish(dish_id)
    made = sum(x.count for x in loads) / _each(day, dish_id)
    stretch = made * dish.cuts / (dish.cuts - 1) if dish.cuts and dish.cuts > 3 else made
    said = any(f.kind == "short" and f.about == dish_id for f in day.plan.findings)
    if stretch < eaten - 1e-6 and not said:
        yield Violation("short", dish_id, f"{made:.0f} made, {eaten} eat it")


def _needed(day: Day, dish_id: str, loads: list[Load]) -> Iterator[Violation]:
    """First in, first out: a load is needed when all before it are eaten."""
    service = _service(day, dish_id)
    if service is None:
        return
    eaten = eaters(day.cards.event, day.plan.heads).get(dish_id, 0)
    before = 0.0
    for load in loads:
        wanted = _eaten_at(day, service, min(before, eaten), eaten)
        off = day.minute(load.needed_by) - wanted
        if abs(off) > SLACK_MIN:
            yield Violation("needed", load.id, f"{off:+.1f} min off")
        before += load.count / _each(day, dish_id)


def _service(day: Day, dish_id: str) -> Service | None:
    for row in day.cards.event.serve:
        if not row.leftovers and (not row.dishes or dish_id in row.dishes):
            return row
    return None


def _eaten_at(day: Day, service: Service, portions: float, eaten: int) -> float:
    """Return when so many portions have been eaten, minutes after first plates."""
    event = day.cards.event
    start = day.minute(event.instant(service.start)) + day.shift
    if service.at_once or portions <= 0 or not eaten:
        return min(start, _first_arrival(day, service, start))
    if service.curve:
        return _on_curve(day, service, portions / eaten)
    if service.per_min:
        return start + portions / eaten * day.plan.heads / service.per_min
    if service.until is None:
        return start
    until = day.minute(event.instant(service.until)) + day.shift
    return start + portions / eaten * (until - start)


def _first_arrival(day: Day, service: Service, start: float) -> float:
    if not service.curve:
        return start
    first = min(moment for moment, _ in service.curve)
    return min(start, day.minute(day.cards.event.instant(first)) + day.shift)


def _on_curve(day: Day, service: Service, part: float) -> float:
    event = day.cards.event
    most = max(guests for _, guests in service.curve)
    points = sorted(
        (day.minute(event.instant(moment)) + day.shift, guests / most)
        for moment, guests in service.curve
    )
    start = day.minute(event.instant(service.start)) + day.shift
    if start < points[0][0]:
        points = [(start, 0.0), *points]
    last = points[0]
    for point in points:
        if point[1] >= part - 1e-9:
            if point[1] <= last[1]:
                return point[0]
            return last[0] + (part - last[1]) / (point[1] - last[1]) * (point[0] - last[0])
        last = point
    return points[-1][0]


def _says_true(day: Day, load: Load) -> Iterator[Violation]:
    """Ready, slack, late and held are what the runs and the card make them."""
    ready = max(day.minute(run.end) for run in load.runs)
    if abs(day.minute(load.ready) - ready) > SLACK_MIN:
        yield Violation("ready", load.id, f"says {day.minute(load.ready):.1f}, is {ready:.1f}")
    slack = day.minute(load.needed_by) - ready
    if abs(load.slack_min - slack) > SLACK_MIN:
        yield Violation("slack", load.id, f"says {load.slack_min}, is {slack:.1f}")
    said = {(f.kind, f.about) for f in day.plan.findings}
    if slack < -_LATE_MIN and ("late", load.id) not in said:
        yield Violation("late unsaid", load.id, f"{-slack:.1f} min")
    if slack < -_LATE_MIN and day.plan.fits != "no":
        yield Violation("fits", load.id, f"fits says {day.plan.fits}")
    most = day.dish(load.dish).hold.quality_max_min
    over = most is not None and load.hold_min > most + _LATE_MIN
    if over and ("quality", load.id) not in said:
        yield Violation("held unsaid", load.id, f"{load.hold_min} of {most} min")
    for run in load.runs:
        step = day.dish(run.dish).steps[run.index]
        long = day.minute(run.end) - day.minute(run.start)
        waits = day.waits(step) and step.max_min is not None
        if waits and long > (step.max_min or 0) + _LATE_MIN and ("quality", run.key) not in said:
            yield Violation("wait unsaid", run.key, f"{long:.1f} of {step.max_min} min")
