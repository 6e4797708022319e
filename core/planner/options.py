"""What can be done about a slip: carry on, another way for a load, plates later; whole plans."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from math import ceil

from core.errors import CannotPlanError
from core.model import Cards, Clock, Dish, Label, Line, Load, Plan, Progress, Qty, say
from core.planner.replanning import replan

MOST = 4
_NEVER_MIN = 0.75


@dataclass(frozen=True, slots=True)
class Option:
    """One thing to do: in words, its plan, and the minutes its worst load is late."""

    kind: str
    text: Line
    plan: Plan
    late_min: float


def options(
    cards: Cards, old: Plan, progress: Progress, *, letter: str, reason: str = ""
) -> tuple[Option, ...]:
    """Return up to four things that can be done now, the least late first.

    The first steps nobody has taken can still be done another way, if the card knows one; plates
    can go out later. What helps nothing is left out; with nothing late there is one option only.
    """
    base = replan(cards, old, progress, letter=letter, reason=reason)
    found = [Option("keep", say("carry on"), base, lateness(base))]
    if found[0].late_min <= _NEVER_MIN:
        return tuple(found)
    for load in base.loads:
        found.extend(_another_way(cards, old, progress, letter, load, found[0].late_min))
    found.extend(_later(cards, old, progress, letter, found[0].late_min))
    ranked = sorted(found, key=lambda o: (o.late_min, o.plan.plates_at, o.kind))
    return tuple(ranked[:MOST])


def lateness(plan: Plan) -> float:
    """Return the minutes the worst load is late; 0 if none is."""
    return max((-load.slack_min for load in plan.loads), default=0.0) if plan.loads else 0.0


def _another_way(
    cards: Cards, old: Plan, progress: Progress, letter: str, load: Load, late: float
) -> list[Option]:
    """Return the load done another way, for each its card knows, if that is less late."""
    begun = {*progress.started, *progress.ended}
    if load.on <= progress.now or any(run.key in begun and run.on_fire for run in load.runs):
        return []
    dish = cards.dish(load.dish)
    mine = {run.step for run in load.runs}
    found = []
    for step in dish.steps:
        if step.instead_of is None or step.instead_of not in mine:
            continue
        try:
            made = replan(cards, old, progress, letter=letter, reason="", ways={load.id: step.id})
        except CannotPlanError:
            continue
        if lateness(made) < late - _NEVER_MIN:
            text = say(
                "{load}: {step} instead of {usual}",
                load=Label(f"{dish.name} {load.name}"),
                step=step.do,
                usual=(dish.step(step.instead_of) or step).do,
            )
            found.append(Option("way", text, made, lateness(made)))
    return found


def rerouted(cards: Cards, old: Plan, progress: Progress, *, letter: str) -> Option | None:
    """Return every load whose fire is out done another way, as its card knows; None if no plan."""
    ways = _ways_left(cards, old, progress)
    if not ways:
        return None
    try:
        made = replan(cards, old, progress, letter=letter, reason="", ways=ways)
    except CannotPlanError:
        return None
    loads = [load for load in old.loads if load.id in ways]
    names = ", ".join(load.name for load in loads)
    dish = cards.dish(loads[0].dish)
    other = next(step for step in dish.steps if step.id == ways[loads[0].id])
    text = say(
        "{load}: {step} instead of {usual}",
        load=Label(f"{dish.name} {names}"),
        step=other.do,
        usual=(dish.step(other.instead_of or "") or other).do,
    )
    return Option("ways", text, made, lateness(made))


def _ways_left(cards: Cards, old: Plan, progress: Progress) -> dict[str, str]:
    """Return the step that does instead, for loads not on a fire yet that have none to go on."""
    begun = {*progress.started, *progress.ended}
    found: dict[str, str] = {}
    for load in old.loads:
        dish = cards.dish(load.dish)
        if any(run.key in begun and run.on_fire for run in load.runs):
            continue
        lost = {r.step for r in load.runs if r.on_fire and _all_out(cards, dish, r.step, progress)}
        for step in dish.steps:
            if step.instead_of in lost and not _all_out(cards, dish, step.id, progress):
                found.setdefault(load.id, step.id)
    return found


def _all_out(cards: Cards, dish: Dish, step_id: str, progress: Progress) -> bool:
    """Return whether every fire a step could go on is out."""
    step = dish.step(step_id)
    fires = cards.kit.matching(step.station) if step and step.station else ()
    return bool(fires) and all(fire.id in progress.down for fire in fires)


def _later(cards: Cards, old: Plan, progress: Progress, letter: str, late: float) -> list[Option]:
    """Return plates so much later that nobody waits, if later plates help at all."""
    minutes = ceil(late)
    at = old.plates_at + timedelta(minutes=minutes)
    made = replan(cards, old, progress, plates_at=at, letter=letter, reason="")
    if lateness(made) > late - _NEVER_MIN:
        return []
    text = say("plates {minutes} later, at {at}", minutes=Qty(minutes, "min", 0), at=Clock(at))
    return [Option("later", text, made, lateness(made))]
