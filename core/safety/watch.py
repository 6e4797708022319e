"""Everything unsafe in a cook at an instant: from the cards, the plan and every reading so far.

Pure and from nothing but its arguments, so that a replayed log gives the same findings again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from core.model import (
    Cards,
    Clock,
    Finding,
    FoodClass,
    Label,
    Load,
    Place,
    Plan,
    Reading,
    StationKind,
    StepRun,
    Verdict,
    say,
)
from core.safety.card_steps import CHILLS
from core.safety.clocks import Out, Side
from core.safety.cooking import cook_verdict
from core.safety.cooling import Cooling, cooling_verdict
from core.safety.degrees import Degrees, Limit
from core.safety.food import Food, food_of_dish
from core.safety.hazards import hazards
from core.safety.hazards_cook import guests_at
from core.safety.heat_met import CoreLog
from core.safety.holding import found_at, held_to, hold_rule
from core.safety.lethality import come_up_warning
from core.safety.lifting import lifters
from core.safety.pink import Guests
from core.safety.probes import believed, disagreement, doubts, in_doubt, same_moment
from core.safety.rules import finding
from core.safety.stages import Gap, gap_verdict

SIDES: Mapping[StationKind, Side] = {
    StationKind.FRIDGE: Side.COLD,
    StationKind.COLD_BOX: Side.COLD,
    StationKind.HOT_BOX: Side.HOT,
}
"""Stations that hold food, and how."""

STRICTEST: Mapping[Side, Limit] = {Side.COLD: Limit(4.0), Side.HOT: Limit(63.0)}
"""The strictest limits of all rule books, for an event without one."""

_ANIMAL = frozenset(FoodClass) - {FoodClass.PLANT}


@dataclass(frozen=True, slots=True)
class Day:
    """A cook at an instant. `started` and `ended` are true times by run key.

    `doubted` are thermometers in doubt with their last good check; `approver` who has approved
    serving pink meat.
    """

    cards: Cards
    plan: Plan | None
    now: datetime
    readings: Sequence[Reading] = ()
    started: Mapping[str, datetime] = field(default_factory=dict)
    ended: Mapping[str, datetime] = field(default_factory=dict)
    doubted: Mapping[str, datetime | None] = field(default_factory=dict)
    approver: str | None = None


def day_findings(day: Day) -> tuple[Finding, ...]:
    """Return what is unsafe now: cards and plan, thermometers, cooks, coolings, boxes, parked meat.

    Parameters
    ----------
    day
        The cook at an instant; readings in any order.

    Returns
    -------
    tuple of Finding
        Verdicts other than OK, each about a run, a station or a dish; the log keeps them.
    """
    good = believed(day.readings, day.now, day.doubted)
    by_about = _by_about(good)
    found = [
        *hazards(day.cards, day.plan),
        *_thermometers(day, good),
        *_boxes(day, by_about),
        *(_on_plan(day, by_about) if day.plan else ()),
    ]
    return tuple(each for each in found if each.verdict is not Verdict.OK)


def _by_about(readings: Sequence[Reading]) -> Mapping[str, Sequence[Reading]]:
    found: dict[str, list[Reading]] = defaultdict(list)
    for reading in readings:
        found[reading.about].append(reading)
    return found


def cooked_findings(day: Day, load: Load) -> tuple[Finding, ...]:
    """Return whether what came off the last fire of a load is cooked: OK too, for the record."""
    dish = day.cards.dish(load.dish)
    food = food_of_dish(dish)
    if food is None or dish.piece.food_class not in _ANIMAL:
        return ()
    guests = replace(guests_at(day.cards), approver=day.approver)
    good = believed(day.readings, day.now, day.doubted)
    return tuple(_cooked(day, load, food, guests, _by_about(good)))


# ------------------------------------------------------------------ thermometers


def _thermometers(day: Day, good: Sequence[Reading]) -> Iterator[Finding]:
    bad = doubts(day.readings, day.now)
    if bad:
        text = say(
            "{verdict}. {count} readings cannot be (range or clock): check probe and unit.",
            verdict=Verdict.UNKNOWN,
            count=len(bad),
        )
        yield finding(None, Verdict.UNKNOWN, text, about="readings")
    for instrument, since in day.doubted.items():
        count = len(in_doubt(day.readings, instrument, since))
        if count:
            text = say(
                "{verdict}. {count} readings of {probe} are in doubt: read those foods again.",
                verdict=Verdict.UNKNOWN,
                count=count,
                probe=Label(instrument),
            )
            yield finding(None, Verdict.UNKNOWN, text, about=instrument)
    told = [r for r in good if r.instrument and r.unit == "°C" and r.place is not Place.PIT]
    for group in same_moment(told):
        if len(group) > 1:
            side = Side.COLD if max(r.value for r in group) < 15 else Side.HOT
            found = disagreement([Degrees(r.value) for r in group], side, group[0].about)
            if found is not None:
                yield found


# ------------------------------------------------------------------ boxes


def _boxes(day: Day, by_about: Mapping[str, Sequence[Reading]]) -> Iterator[Finding]:
    for station in day.cards.kit.stations:
        side = SIDES.get(station.kind)
        readings = [r for r in by_about.get(station.id, ()) if r.unit == "°C"]
        if side is None or not readings:
            continue
        last = readings[-1]
        out = Out(side, last_good(day, readings, side), day.now, about=station.id)
        yield found_at(
            Degrees(last.value), last.place, out, day.cards.event.profile, day.cards.event.house
        )


def last_good(day: Day, readings: Sequence[Reading], side: Side) -> datetime | None:
    """Return when one thing last kept the limit of its side; None if it never did."""
    profile = day.cards.event.profile
    rule = hold_rule(side, profile) if profile else None
    limit = held_to(rule, side, day.cards.event.house) or STRICTEST[side]
    keeps = limit.kept if side is Side.COLD else limit.reached
    return next((r.at for r in reversed(readings) if keeps(Degrees(r.value))), None)


# ------------------------------------------------------------------ loads and pots


def _on_plan(day: Day, by_about: Mapping[str, Sequence[Reading]]) -> Iterator[Finding]:
    if day.plan is None:
        return
    guests = replace(guests_at(day.cards), approver=day.approver)
    for load in day.plan.loads:
        dish = day.cards.dish(load.dish)
        food = food_of_dish(dish)
        if food is not None and dish.piece.food_class in _ANIMAL:
            yield from _parked(day, load, food)
            yield from _cooked(day, load, food, guests, by_about)
        yield from _cooled(day, load, by_about)


def _parked(day: Day, load: Load, food: Food) -> Iterator[Finding]:
    fires = [run for run in load.runs if run.on_fire]
    top = max((run.until_core_c or 0.0 for run in fires), default=0.0)
    for first in fires:
        later = [run for run in fires if run.index > first.index]
        off = day.ended.get(first.key)
        if off is None or not later or (first.until_core_c or 0.0) >= top > 0:
            continue
        waiting = [run for run in later if not _is_past(day, load, run)]
        if waiting:
            gap = Gap(off, None, f"{day.cards.dish(load.dish).name} {waiting[0].unit}")
            found = gap_verdict(gap, food, day.now)
            if found is not None:
                yield replace(found, about=waiting[0].key, lift_by=lifters(found, food))


def _is_past(day: Day, load: Load, run: StepRun) -> bool:
    """Say whether a run was ticked, or a later step of the same pieces."""
    ticked = {*day.started, *day.ended}
    return any(
        r.key in ticked
        for r in load.runs
        if r.key == run.key or (r.index > run.index and r.unit in {run.unit, load.name})
    )


def _cooked(
    day: Day,
    load: Load,
    food: Food,
    guests: Guests,
    by_about: Mapping[str, Sequence[Reading]],
) -> Iterator[Finding]:
    fires = [run for run in load.runs if run.on_fire and run.until_core_c is not None]
    if not fires:
        return
    last_step = max(run.index for run in fires)
    for run in fires:
        if run.index != last_step or run.key not in day.ended:
            continue
        log = _core_log(run, by_about)
        if not log.points:
            text = say(
                "{verdict}. {load} {unit} came off at {at} and nobody probed it.",
                verdict=Verdict.UNKNOWN,
                load=Label(day.cards.dish(load.dish).name),
                unit=Label(run.unit),
                at=Clock(day.ended[run.key]),
            )
            yield finding(None, Verdict.UNKNOWN, text, profile=day.cards.event.profile,
                          about=run.key)  # fmt: skip
            continue
        found = cook_verdict(food, log, day.cards.event.profile, guests, about=run.key)
        yield replace(found, lift_by=lifters(found, food))
        slow = come_up_warning(log, run.key)
        if slow is not None:
            yield slow


def _core_log(run: StepRun, by_about: Mapping[str, Sequence[Reading]]) -> CoreLog:
    points = tuple(
        (r.at, Degrees(r.value))
        for r in by_about.get(run.key, ())
        if r.place is Place.CORE and r.unit == "°C"
    )
    return CoreLog(points, seared=True if run.do == "sear" else None)


def _cooled(day: Day, load: Load, by_about: Mapping[str, Sequence[Reading]]) -> Iterator[Finding]:
    for run in load.runs:
        if run.do not in CHILLS or run.key not in day.started:
            continue
        points = tuple((r.at, Degrees(r.value)) for r in by_about.get(run.key, ()))
        hot = bool(points) and points[0][1].c >= 30.0
        if not hot:
            continue
        cooling = Cooling(points, about=run.key)
        yield cooling_verdict(cooling, day.cards.event.profile, day.now)
