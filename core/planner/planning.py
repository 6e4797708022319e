"""`plan`: cards in, a whole schedule out."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from core.model import Cards, Plan, Task
from core.planner.around import tasks_around
from core.planner.assemble import Result
from core.planner.bottleneck import bottleneck_of
from core.planner.build import problem_of
from core.planner.check import check
from core.planner.jobs import Schedule
from core.planner.judge import IN_TIME, comfort_of, findings_of, fit_of
from core.planner.kitchen import Kitchen
from core.planner.listing import list_schedule
from core.planner.relief import remedies
from core.planner.sharpen import sharpened
from core.planner.turns import in_turn
from core.planner.validate import validate, validate_problem
from core.scaling.lists import buy_list, make_list


def plan(
    cards: Cards,
    *,
    heads: int | None = None,
    plates_at: datetime | None = None,
    letter: str = "A",
    reason: str = "",
    engine: str = "list",
) -> Plan:
    """Return the schedule that counts back from plates to every load.

    Parameters
    ----------
    cards
        The event as the cards say it.
    heads
        People to feed; None means as on the card.
    plates_at
        First plates, aware; None means as on the card. All that is tied to plates moves along.
    letter, reason
        What the plan is called and why it replaced the last.
    engine
        "list" for the list scheduler alone, at once; "cp" to have the exact engine better it, or
        prove that it cannot be bettered.

    Returns
    -------
    Plan
        Always a plan where one can exist: one that is late says so in its findings.

    Raises
    ------
    CannotPlanError
        If no plan can exist, with the reason.
    """
    kitchen = kitchen_of(cards, heads, plates_at)
    validate(kitchen)
    problem = problem_of(kitchen)
    validate_problem(problem)
    result = in_turn(Result(kitchen, problem, list_schedule(problem)))
    made = plan_from(result, letter, reason)
    if engine == "cp":
        made = _sharper(result, made)
    if made.fits == "yes":
        return made
    goal = IN_TIME if made.fits == "no" else comfort_of(result)
    return replace(made, fixes=tuple(remedy.text for remedy in remedies(kitchen, spare=goal)))


def _sharper(result: Result, made: Plan) -> Plan:
    """Return the engine's plan where it has one and the judge finds nothing in it."""
    better = sharpened(result.problem, result.schedule)
    if better is None:
        return made
    plan = plan_from(replace(result, schedule=better), made.letter, made.reason)
    return made if check(result.kitchen.cards, plan) else plan


def kitchen_of(cards: Cards, heads: int | None, plates_at: datetime | None) -> Kitchen:
    """Return the cards for so many heads with plates at this instant."""
    people = cards.event.heads if heads is None else heads
    kitchen = Kitchen(cards, people)
    if plates_at is None or not cards.event.serve:
        return kitchen
    return Kitchen(cards, people, kitchen.clock.minute_at(plates_at) - kitchen.plates)


def plan_from(result: Result, letter: str, reason: str) -> Plan:
    """Return a solved problem as a plan."""
    result = in_turn(result)
    kitchen = result.kitchen
    return Plan(
        letter=letter,
        heads=kitchen.heads,
        plates_at=kitchen.clock.instant(kitchen.plates),
        loads=result.loads(),
        tasks=tasks_of(result),
        bottleneck=bottleneck_of(result),
        make=make_list(kitchen.cards, kitchen.heads),
        buy=buy_list(kitchen.cards, kitchen.heads),
        fits=fit_of(result),
        findings=findings_of(result),
        reason=reason,
        engine=made_by(result.schedule),
    )


def made_by(schedule: Schedule) -> str:
    """Return what made a schedule, list or cp, and whether it is proved that nothing is better."""
    return f"{schedule.engine} proved" if schedule.status == "proved" else schedule.engine


def tasks_of(result: Result) -> tuple[Task, ...]:
    """Return everything that is no step of a load, in order of starting."""
    steps = [result.task(op) for g in result.problem.groups for op in g.ops if not op.load]
    return tuple(sorted([*steps, *tasks_around(result)], key=lambda task: (task.start, task.id)))
