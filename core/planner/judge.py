"""What is wrong with a plan, said plainly: late, held too long, too few; and whether it fits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from math import inf

from core.model import Cards, Clock, Finding, Label, Line, Plan, Qty, Value, say
from core.planner.assemble import Result
from core.planner.jobs import Group, Lag, Op
from core.planner.loading import EARLY_MIN

_SLIGHT_MIN = 0.75  # below this nobody notices, and halves are rounding


def findings_of(result: Result) -> tuple[Finding, ...]:
    """Return everything worth a word about a schedule, worst first."""
    groups = [g for g in result.problem.groups if g.served]
    return tuple(
        [f for g in groups for f in _late(result, g)]
        + list(_short(result))
        + [f for g in groups for f in _held(result, g)]
        + list(_waits(result))
        + list(_parked(result))
        + list(_boxes(result))
        + list(_pins(result))
        + list(_pressed(result))
    )


def _ready(result: Result, group: Group) -> float:
    return max(result.slot(op).end for op in result.ops_of(group))


def _name(result: Result, group: Group) -> Label:
    dish = result.kitchen.cards.dish(group.dish).name
    return Label(f"{dish} {group.name}")


def _late(result: Result, group: Group) -> Iterator[Finding]:
    ready = _ready(result, group)
    late = ready - group.needed_by
    if late <= _SLIGHT_MIN:
        return
    clock = result.kitchen.clock
    yield Finding(
        kind="late",
        text=say(
            "{late} late: {load} is ready {ready}, needed {needed}.",
            late=Qty(late, "min", 0),
            load=_name(result, group),
            ready=Clock(clock.instant(ready)),
            needed=Clock(clock.instant(group.needed_by)),
        ),
        deadline=clock.instant(group.needed_by),
        about=group.id,
    )


def _held(result: Result, group: Group) -> Iterator[Finding]:
    """What waits ready for longer than it eats well."""
    dish = result.kitchen.cards.dish(group.dish)
    held = group.last_by - _ready(result, group)
    most = dish.hold.quality_max_min
    if most is None or held <= most + _SLIGHT_MIN:
        return
    yield Finding(
        kind="quality",
        text=say(
            "{load} holds {held}, the card likes {most} at most.",
            load=_name(result, group),
            held=Qty(held, "min", 0),
            most=Qty(most, "min", 0),
        ),
        about=group.id,
        source="card",
    )


def _waits(result: Result) -> Iterator[Finding]:
    """Waits in the middle of a chain that run past their card."""
    for group in result.problem.groups:
        for op in group.ops:
            slot = result.slot(op)
            long = slot.end - slot.start
            if not op.flexible or op.most == inf or long <= op.most + _SLIGHT_MIN:
                continue
            dish = result.kitchen.cards.dish(op.dish).name
            yield Finding(
                kind="quality",
                text=say(
                    "{load} {step} takes {long}, the card likes {most} at most.",
                    load=Label(f"{dish} {op.unit}".strip()),
                    step=op.do,
                    long=Qty(long, "min", 0),
                    most=Qty(op.most, "min", 0),
                ),
                about=op.key,
                source="card",
            )


def _parked(result: Result) -> Iterator[Finding]:
    """What is on its fire and cannot go on the next within its gap: it stays on, or it waits."""
    ops = result.problem.ops()
    for op in (op for group in result.problem.groups for op in group.ops):
        for lag in op.after:
            before = ops.get(lag.key)
            if before is None or before.flexible or op.flexible or not before.places:
                continue
            off, start = result.slot(before), result.slot(op).start
            if start - off.end > lag.most + _SLIGHT_MIN:
                yield _parked_words(result, before, op, lag)


def _parked_words(result: Result, before: Op, op: Op, lag: Lag) -> Finding:
    """Return how long a batch stays on its fire, or waits where that is too long for it."""
    off, then = result.slot(before), result.slot(op)
    leave = max(off.end, then.start - lag.most)
    at = result.kitchen.clock.instant
    name = Label(f"{result.kitchen.cards.dish(op.dish).name} {op.unit}".strip())
    if leave <= off.start + min(before.most, before.hard) + _SLIGHT_MIN:
        text = say("{load}: leave it on {station} until {at}, {fire} takes it {start}.",
                   load=name, station=Label(off.place or ""), at=Clock(at(leave)),
                   fire=Label(then.place or ""), start=Clock(at(then.start)))  # fmt: skip
    else:
        text = say("{load} waits {long} before its {step}, the card likes {most} at most.",
                   load=name, long=Qty(then.start - off.end, "min", 0), step=op.do,
                   most=Qty(lag.most, "min", 0))  # fmt: skip
    return Finding(kind="quality", text=text, about=op.key, source="card")


def _boxes(result: Result) -> Iterator[Finding]:
    """More food waiting hot than the hot boxes have places for."""
    for pool, room in sorted(result.problem.pools.items()):
        unit, family = pool.split("/", 1)
        if unit != "places":
            continue
        waiting = [(at, hot_at(result, family, at)) for at in _ready_times(result)]
        at, most = max(waiting, key=lambda w: (w[1], -w[0]), default=(0.0, 0))
        if most > room:
            yield Finding(
                kind="quality",
                text=say(
                    "{n} wait hot at {at}, {station} has room for {room}.",
                    n=Qty(most, "pcs", 0),
                    at=Clock(result.kitchen.clock.instant(at)),
                    station=Label(family),
                    room=Qty(room, "", 0),
                ),
                about=family,
                source="card",
            )


def _ready_times(result: Result) -> list[float]:
    return sorted({_ready(result, g) for g in result.problem.groups if g.served})


def hot_at(result: Result, family: str, minute: float) -> int:
    """Return the pieces that are ready and not yet eaten at a minute, of dishes kept in a box."""
    found = 0.0
    groups = [g for g in result.problem.groups if g.served]
    for dish_id in dict.fromkeys(g.dish for g in groups):
        dish = result.kitchen.cards.dish(dish_id)
        if not any(f"places/{family}" in dict(op.uses) for g in groups for op in g.ops
                   if g.dish == dish_id):  # fmt: skip
            continue
        each = dish.portion.amount if dish.portion and dish.portion.unit == "pieces" else 1.0
        ready = sum(g.count for g in groups if g.dish == dish_id and _ready(result, g) <= minute)
        eaten = result.kitchen.demand_of(dish).eaten_by(minute) * each
        found += max(ready - eaten, 0.0)
    return round(found)


def _short(result: Result) -> Iterator[Finding]:
    """Dishes of which fewer are made than are eaten as firsts."""
    kitchen = result.kitchen
    for dish_id, item in kitchen.menu.items():
        dish = kitchen.cards.dish(dish_id)
        if item.make is not None and item.heads is None and item.share is None:
            continue  # the chef counted who takes it
        each = dish.portion.amount if dish.portion and dish.portion.unit == "pieces" else 1.0
        made = kitchen.pieces(dish) / each
        slices = (dish.cuts or 1) * made
        missing = kitchen.eaten(dish_id) - made
        if missing <= 0 or (dish.cuts and slices >= kitchen.eaten(dish_id) * (dish.cuts - 1)):
            continue
        yield Finding(
            kind="short",
            text=say(
                "{missing} short of {dish}: {made} made, {eaten} eat it.",
                missing=Qty(missing, "portions", 0),
                dish=Label(dish.name),
                made=Qty(made, "portions", 0),
                eaten=Qty(kitchen.eaten(dish_id), "heads", 0),
            ),
            about=dish_id,
        )


def _pins(result: Result) -> Iterator[Finding]:
    """What the chef insisted on and could not be kept."""
    for group in result.problem.groups:
        for op in group.ops:
            start = result.slot(op).start
            if not op.pinned or op.start is None or abs(start - op.start) <= _SLIGHT_MIN:
                continue
            clock = result.kitchen.clock
            dish = result.kitchen.cards.dish(op.dish).name
            yield Finding(
                kind="quality",
                text=say(
                    "{load} {step} is at {start}: {wish} on the card cannot be kept.",
                    load=Label(f"{dish} {op.unit}".strip()),
                    step=op.do,
                    start=Clock(clock.instant(start)),
                    wish=Clock(clock.instant(op.start)),
                ),
                about=op.key,
                source="card",
            )


def _pressed(result: Result) -> Iterator[Finding]:
    """Work before plates that begins with less time than its card wants."""
    for group in result.problem.groups:
        for op in group.ops:
            slot = result.slot(op)
            pressed = op.start is not None and not op.pinned and slot.start > op.start
            if not pressed or op.start is None or slot.start - op.start <= _SLIGHT_MIN:
                continue
            clock = result.kitchen.clock
            dish = result.kitchen.cards.dish(op.dish).name
            yield Finding(
                kind="quality",
                text=say(
                    "{load} {step} starts {start}, {late} after its time.",
                    load=Label(f"{dish} {op.unit}".strip()),
                    step=op.do,
                    start=Clock(clock.instant(slot.start)),
                    late=Qty(slot.start - op.start, "min", 0),
                ),
                about=op.key,
                source="card",
            )


def fit_of(result: Result) -> str:
    """Return 'yes', 'tight' if a load has under ten minutes to spare, 'no' if one is late."""
    spare = spare_of(result)
    if spare < IN_TIME:
        return "no"
    return "tight" if spare < usual_spare(result) - _SLIGHT_MIN else "yes"


def usual_spare(result: Result) -> float:
    """Return the minutes a load should have in hand: ten, where slack is wanted at all."""
    return min(EARLY_MIN, result.problem.slack)


def spare_of(result: Result) -> float:
    """Return the minutes the tightest load has in hand; -inf where too few are made."""
    if any(True for _ in _short(result)):
        return -inf
    spare = [g.needed_by - _ready(result, g) for g in result.problem.groups if g.served]
    return min(spare, default=inf)


def comfort_of(result: Result) -> float:
    """Return what a remedy for a tight plan has to give: five minutes more, or the usual ten."""
    return min(usual_spare(result), spare_of(result) + COMFORT_MIN)


COMFORT_MIN = 5.0
IN_TIME = -_SLIGHT_MIN


@dataclass(frozen=True, slots=True)
class Spare:
    """What one load has in hand: minutes before `needed`, less than nothing where it is late."""

    load: Label
    minutes: float
    needed: datetime


def breaks_at(result: Result) -> Line | None:
    """Return where a schedule breaks first, or is tightest; None where every load has its time."""
    at = result.kitchen.clock.instant
    rows = [
        Spare(_name(result, g), g.needed_by - _ready(result, g), at(g.needed_by))
        for g in result.problem.groups
        if g.served
    ]
    return _weakest(rows, usual_spare(result))


def where(plan: Plan, cards: Cards) -> Line | None:
    """Return where a plan breaks first, or is tightest; None where it fits."""
    if plan.fits == "yes":
        return None
    rows = [
        Spare(Label(f"{cards.dish(x.dish).name} {x.name}"), x.slack_min, x.needed_by)
        for x in plan.loads
    ]
    short = [f.text for f in plan.findings if f.kind == "short"]
    weakest = _weakest(rows, EARLY_MIN)
    return next(iter(short), None) if weakest is None else say("{what}.", what=weakest)


def _weakest(rows: list[Spare], usual: float) -> Line | None:
    late = [row for row in rows if row.minutes < IN_TIME]
    tight = [row for row in rows if row.minutes < usual - _SLIGHT_MIN]
    if not late and not tight:
        return None
    first = min(late, key=lambda r: r.needed) if late else min(tight, key=lambda r: r.minutes)
    fields: dict[str, Value] = {
        "at": Clock(first.needed),
        "load": first.load,
        "minutes": Qty(abs(first.minutes), "min", 0),
    }
    if late:
        return say("fails at {at}: {load} is {minutes} late", **fields)
    return say("{load} has {minutes} in hand at {at}", **fields)
