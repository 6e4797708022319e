"""Solve a problem: shortest over all, or for guests, one aim after the other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import inf

from core.planner.engine.fifo import Fifo
from core.planner.engine.horizon import Horizon
from core.planner.engine.people import with_people
from core.planner.engine.shop import Shop
from core.planner.engine.solver import Answer, Effort, Expr, Var, hint, solve, total
from core.planner.engine.stations import stations
from core.planner.engine.supply import Supply
from core.planner.engine.targets import Targets
from core.planner.jobs import GRID_MIN, Problem, Schedule, Slot, down, up
from core.planner.scoring import costs, worth

PLAN_EFFORT = 0.3
"""Deterministic time for each aim of a plan: a second or two in all where much is wrong."""

SPARE_MIN = 120.0
"""How far a plan may begin before, or end after, the one it starts from."""


def horizon_of(problem: Problem, begins: float, ends: float) -> Horizon:
    """Return the horizon, in minutes where every length is whole, else in half minutes."""
    ops = problem.ops().values()
    lengths = [op.ideal for op in ops] + [lag.least for op in ops for lag in op.after]
    lengths += [lag.most for op in ops for lag in op.after if lag.most < inf]
    lengths += [place.turn for place in problem.places.values()]
    lengths += [touch.minutes for op in ops for touch in op.touches]
    whole = all(float(length).is_integer() for length in lengths)
    return Horizon(begins, ends, 1 if whole else 2)


def shortest(problem: Problem, ends: float, effort: Effort | None = None) -> Schedule:
    """Return the schedule that is over soonest; `score` is when, `bound` what is proved.

    Parameters
    ----------
    problem
        Ops with lags, places and pools; appetites are not looked at.
    ends
        A minute by which it can certainly be over.
    """
    shop = Shop(problem, horizon_of(problem, 0.0, ends)).build()
    over = shop.model.new_int_var(0, shop.last, "over")
    shop.model.add_max_equality(over, [shop.end[key] for key in sorted(shop.end)])
    shop.model.minimize(over)
    answer = solve(shop.model, effort or Effort())
    if not answer.found:
        return Schedule({}, engine="cp", status=answer.status)
    value = answer.of(over) / shop.horizon.ticks
    bound = (answer.bound or 0.0) / shop.horizon.ticks
    return Schedule(
        shop.slots(dict(answer.values)), "cp", answer.status, score=(value,), bound=bound
    )


def for_guests(
    problem: Problem,
    begins: float,
    ends: float,
    effort: Effort | None = None,
    first: Mapping[str, Slot] | None = None,
) -> Schedule:
    """Return the schedule with the least late, then the least held, then the fewest changes.

    Parameters
    ----------
    problem
        With appetites.
    begins, ends
        From when to when, min.
    effort
        For each of the three aims.
    first
        A schedule to start from.

    Returns
    -------
    Schedule
        `score` is (late, held, changes); `status` is 'proved' where all three aims are, on marks
        of five minutes.
    """
    shop = Shop(problem, horizon_of(problem, begins, ends)).build()
    supply = Supply(shop).build()
    aims = (supply.late_sum(), supply.held_sum(), total(shop.changes))
    return _one_after_the_other(shop, aims, effort or Effort(), shop.hints(first or {}), 1)


def polished(
    problem: Problem, schedule: Schedule, begins: float, ends: float, effort: Effort | None = None
) -> Schedule:
    """Return a schedule to the tick, its loads eaten in the order they have now."""
    horizon = horizon_of(problem, begins, ends)
    shop = Shop(problem, horizon).build()
    fifo = Fifo(shop, schedule.slots).build()
    aims = (fifo.late_sum(), fifo.held_sum(), total(shop.changes))
    hints = shop.hints(schedule.slots)
    return _one_after_the_other(shop, aims, effort or Effort(), hints, horizon.ticks)


def _one_after_the_other(
    shop: Shop,
    aims: Sequence[Expr],
    effort: Effort,
    hints: dict[int, int],
    ticks: int,
    known: Sequence[float] = (),
) -> Schedule:
    """Make each aim as small as it can be, keeping those before it; stop where nothing is found.

    No aim is ever below nothing, so one that is 0 needs no solve: by the last answer, or (`known`)
    by the schedule hinted at.
    """
    sums = [_named(shop, aim, f"aim {n}") for n, aim in enumerate(aims)]
    answer: Answer | None = None
    scores: list[float] = []
    proved = True
    for place, aim in enumerate(sums):
        last = place == len(sums) - 1
        nothing = place < len(known) and not known[place] if answer is None else not answer.of(aim)
        if nothing and not (last and answer is None):
            value = 0
        else:
            shop.model.minimize(aim)
            hint(shop.model, hints if answer is None else dict(answer.values))
            found = solve(shop.model, effort)
            if not found.found:
                if answer is None:
                    return Schedule({}, "cp", found.status)
                proved = False
                break
            answer = found
            proved = proved and found.status == "proved"
            value = round(found.value or 0.0)
        scores.append(value if last else value / ticks)
        shop.model.add(aim <= value)
    assert answer is not None
    status = "proved" if proved else "best_found"
    return Schedule(shop.slots(dict(answer.values)), "cp", status, score=tuple(scores))


def _named(shop: Shop, aim: Expr, name: str) -> Var:
    """Return a variable that is an aim, so that its value can be read."""
    named = shop.model.new_int_var(0, MOST_SUM, name)
    shop.model.add(named == aim)
    return named


MOST_SUM = 10**12
"""Above any sum of piece-ticks, and far below where the solver's numbers end."""


def best(
    problem: Problem,
    begins: float,
    ends: float,
    effort: Effort | None = None,
    first: Mapping[str, Slot] | None = None,
) -> tuple[Schedule, dict[str, float]] | None:
    """Return the whole pipeline's schedule with people and breaks; None if it finds nothing.

    Free order on a grid first, then the polish; the best of the two and of `first`, portion by
    portion, gets its people.
    """
    rough = for_guests(problem, begins, ends, effort, first)
    if not rough.slots:
        return None
    fine = polished(problem, rough, begins, ends, effort)
    tries = [s for s in (fine, rough, Schedule(dict(first or {}))) if s.slots]
    horizon = horizon_of(problem, begins, ends)
    for schedule in sorted(tries, key=lambda s: worth(problem, s.slots).key()):
        staffed = with_people(problem, horizon, schedule.slots)
        if staffed is not None:
            slots, breaks = staffed
            both = rough.status == fine.status == "proved"
            status = "proved" if both else "best_found"
            return replace(schedule, slots=slots, status=status), breaks
    return None


def in_stations(
    problem: Problem, begins: float, ends: float, effort: Effort | None = None
) -> tuple[Schedule, dict[str, float]] | None:
    """Return the schedule of very many guests, kitchen by kitchen; None if one finds nothing."""
    slots: dict[str, Slot] = {}
    breaks: dict[str, float] = {}
    proved = True
    for kitchen in stations(problem):
        found = best(kitchen, begins, ends, effort)
        if found is None:
            return None
        schedule, own = found
        slots |= schedule.slots
        breaks |= own
        proved = proved and schedule.status == "proved"
    value = worth(problem, slots)
    status = "proved" if proved else "best_found"
    score = (value.late, value.held, float(value.changes))
    return Schedule(slots, "cp", status, score=score), breaks


def on_target(
    problem: Problem,
    first: Mapping[str, Slot],
    effort: Effort | None = None,
    fixed: Mapping[str, Slot] | None = None,
    wanted: Mapping[str, float] | None = None,
    now: float = inf,
) -> Schedule:
    """Return an event's schedule: least late, then least badly held, slack kept, least early.

    Parameters
    ----------
    problem
        Loads with targets.
    first
        A whole schedule to start from; its span and two hours are the horizon.
    fixed
        What has begun: its slots stand.
    wanted, now
        Starts that people were told, and when it is: moving them costs. None: those of `first`,
        so that nothing moves for nothing.

    Returns
    -------
    Schedule
        With people; `status` is 'impossible' or 'unknown', without slots, where nothing is found.
    """
    begins = min(slot.start for slot in first.values()) - SPARE_MIN
    ends = max(slot.end for slot in first.values()) + SPARE_MIN
    horizon = Horizon(down(begins), up(ends), round(1 / GRID_MIN))
    shop = Shop(problem, horizon, fixed or {}, strict=fixed is None).build()
    targets = Targets(shop).build()
    targets.keep(wanted or {key: slot.start for key, slot in first.items()}, now)
    known = costs(problem, first) if fixed is None else ()
    effort = effort or Effort(deterministic=PLAN_EFFORT)
    hints = shop.hints(first)
    found = _one_after_the_other(shop, targets.aims(), effort, hints, horizon.ticks, known)
    if not found.slots:
        return found
    was = {key: slot.crew for key, slot in first.items() if slot.crew}
    staffed = with_people(problem, horizon, found.slots, was=was)
    if staffed is None:
        return replace(found, slots={}, status="unknown")
    return replace(found, slots=staffed[0])
