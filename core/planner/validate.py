"""What cannot be planned, said in clear words before anything is scheduled."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from math import inf

from core.errors import CannotPlanError
from core.model import Cards, Dish, Step, Tied
from core.planner.jobs import Lag, Op, Place, Problem
from core.planner.kitchen import Kitchen

MOST_HEADS = 5000
"""One kitchen's planner stops here; the trade's own notes go to 3,000."""


def validate(kitchen: Kitchen) -> None:
    """Raise the first thing that makes any plan impossible.

    Raises
    ------
    CannotPlanError
        With what is impossible and what would help, where that can be said.
    """
    cards = kitchen.cards
    _heads(kitchen.heads)
    if not cards.event.menu:
        raise CannotPlanError("the menu is empty")
    if not any(not row.leftovers for row in cards.event.serve):
        raise CannotPlanError("nothing says when plates go out")
    for dish in kitchen.dishes:
        for step in dish.steps:
            if step.instead_of is None:
                _lengths(dish, step)
                _station(cards, dish, step)
                _shift(kitchen, dish, step)


def _heads(heads: int) -> None:
    if heads < 1:
        raise CannotPlanError("{heads} guests need no cooking", heads=heads)
    if heads > MOST_HEADS:
        raise CannotPlanError(
            "{heads} guests are more than one kitchen feeds: {most} at most, so plan them apart",
            heads=heads,
            most=MOST_HEADS,
        )


def _lengths(dish: Dish, step: Step) -> None:
    """Refuse waits that end before they may and gaps that close before they open."""
    pairs = (
        (step.min_min, step.max_min, "max"),
        (step.min_min, step.never_over_min, "never_over"),
        (step.gap_min, step.gap_max_min, "gap_max"),
    )
    for least, most, word in pairs:
        if least is not None and most is not None and most < least:
            raise CannotPlanError(
                "'{step}' of {dish} takes {least} min at least, but its {word} is {most} min",
                step=step.id,
                dish=dish.name,
                least=_number(least),
                word=word,
                most=_number(most),
            )
    if step.never_over_min is not None and (step.ideal_min or 0) > step.never_over_min:
        raise CannotPlanError(
            "'{step}' of {dish} is planned at {least} min and never over {most} min",
            step=step.id,
            dish=dish.name,
            least=_number(step.ideal_min or 0),
            most=_number(step.never_over_min),
        )


def _station(cards: Cards, dish: Dish, step: Step) -> None:
    if step.station is not None and not cards.kit.matching(step.station):
        raise CannotPlanError(
            "'{step}' of {dish} needs a {station} and the kit has none",
            step=step.id,
            dish=dish.name,
            station=step.station,
        )


def _shift(kitchen: Kitchen, dish: Dish, step: Step) -> None:
    """Refuse hands-on work that is longer than anybody is there in one go."""
    if step.hands == 0 or step.per == "piece" or step.tied is Tied.WORLD:
        return
    minutes = step.min_min or step.ideal_min or 0.0
    longest = max((b - a for hand in kitchen.hands.values() for a, b in hand.shifts), default=0.0)
    if minutes > longest:
        raise CannotPlanError(
            "'{step}' of {dish} takes {minutes} min of hands and the longest shift is {shift} min",
            step=step.id,
            dish=dish.name,
            minutes=_number(minutes),
            shift=_number(longest),
        )


def validate_problem(problem: Problem) -> None:
    """Raise what the sizes of this event make impossible, before anything is scheduled.

    A job that is more than anybody's day, or a load with more batches than its fires and hands
    can take within its gap.

    Raises
    ------
    CannotPlanError
        Naming the wait, or the work, there would be and what there may be.
    """
    validate_hands(problem)
    validate_pools(problem)
    _gaps_in_time(problem, problem.ops())


def validate_day(problem: Problem, frozen: Collection[str]) -> None:
    """Raise what the fires that are left make impossible for what is still to come.

    What has begun is `frozen`, and is finished somehow.

    Raises
    ------
    CannotPlanError
        Naming the step that has no fire left, or the wait there would be.
    """
    ops = {key: op for key, op in problem.ops().items() if key not in frozen}
    left: dict[str, Op] = {}
    for key, op in ops.items():
        here = tuple(p for p in op.places if not _gone(problem.places[p]))
        if op.places and not here:
            raise CannotPlanError(
                "{step} of {dish} {load} has no {station} left",
                step=op.do,
                dish=op.dish,
                load=op.unit,
                station=op.station or "",
            )
        left[key] = replace(op, places=here)
    _gaps_in_time(problem, left)


def _gone(place: Place) -> bool:
    """Return whether a station is out, and nobody knows until when."""
    return any(until == inf for _, until in place.down)


def _gaps_in_time(problem: Problem, ops: Mapping[str, Op]) -> None:
    """Raise where a load that is not on its first fire has more batches than the gap has time."""
    follow: dict[str, list[tuple[Op, Lag]]] = {}
    for op in ops.values():
        for lag in op.after:
            if lag.key in ops and lag.most < inf and op.places and not op.flexible:
                follow.setdefault(lag.key, []).append((op, lag))
    for key in sorted(follow):
        _batches_in_time(problem, follow[key])


def validate_hands(problem: Problem) -> None:
    """Raise where one job is more than anybody's day has for it: 800 steaks to trim by one.

    Raises
    ------
    CannotPlanError
        Naming the work and the minutes there are.
    """
    for _, op in sorted(problem.ops().items()):
        if not op.hands or op.touches:
            continue
        spans = [span for name in op.able for span in problem.hands[name].shifts]
        longest = max((min(b, op.closes) - max(a, op.opens) for a, b in spans), default=0.0)
        if 0 < longest < op.ideal:
            raise CannotPlanError(
                "{step} of {dish} takes {minutes} min for {count} pieces, "
                "and whoever can do it has {shift} min for it",
                step=op.do,
                dish=op.dish,
                minutes=_number(op.ideal),
                count=op.count,
                shift=_number(longest),
            )


def validate_pools(problem: Problem) -> None:
    """Raise where one load or lot alone is more than a fridge or a hot box holds.

    Raises
    ------
    CannotPlanError
        Naming what it takes and what there is.
    """
    for _, op in sorted(problem.ops().items()):
        for pool, amount in op.uses:
            if amount > problem.pools[pool]:
                unit, station = pool.split("/", 1)
                raise CannotPlanError(
                    "{step} of {dish} takes {amount} {unit} in {station}, which has {room}",
                    step=op.do,
                    dish=op.dish,
                    amount=amount,
                    unit=unit,
                    station=station,
                    room=problem.pools[pool],
                )


def _batches_in_time(problem: Problem, row: list[tuple[Op, Lag]]) -> None:
    op, lag = row[0]
    places = [problem.places[name] for name in op.places]
    room = sum(max(p.room // op.use, 1) for p in places)
    if op.hands:
        room = min(room, max(len(op.able) // op.hands, 1))
    rounds = -(-len(row) // room)
    wait = lag.least + (rounds - 1) * (op.ideal + min(p.turn for p in places))
    if wait > lag.most + 1e-6:
        raise CannotPlanError(
            "{dish} {load}: {count} batches to {step} keep the last one waiting {wait} min, "
            "{most} min at most: more fires or hands for it, or smaller loads",
            dish=op.dish,
            load=op.load,
            count=len(row),
            step=op.do,
            wait=_number(wait),
            most=_number(lag.most),
        )


def _number(minutes: float) -> str:
    return f"{minutes:g}"
