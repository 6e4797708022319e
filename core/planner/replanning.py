"""`replan`: cards, the plan in force and the day so far in, the next plan out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from math import inf

from core.errors import CannotPlanError
from core.model import Cards, Load, Plan, Progress, StepRun, Task
from core.planner.assemble import Result
from core.planner.build import problem_of
from core.planner.check import check
from core.planner.jobs import Op, Place, Problem, Schedule, up
from core.planner.kitchen import Kitchen
from core.planner.planning import kitchen_of, plan_from
from core.planner.repair import bounded, repaired, score, without_pins
from core.planner.sharpen import Wish, sharpened
from core.planner.staging import most_in_gap
from core.planner.truth import GRACE_MIN, Reader, Truth, old_items
from core.planner.turns import in_turn
from core.planner.validate import validate, validate_day


def replan(
    cards: Cards,
    old: Plan,
    progress: Progress,
    *,
    heads: int | None = None,
    plates_at: datetime | None = None,
    letter: str,
    reason: str,
    engine: str = "list",
    ways: Mapping[str, str] | None = None,
    same_loads: bool = False,
) -> Plan:
    """Return the plan from here on.

    Started and ended work keeps its true times. Elastic time is eaten first; what is tied to
    plates moves with them; what is tied to the world stays.

    Parameters
    ----------
    cards
        As taken.
    old
        The plan in force.
    progress
        The day so far.
    heads, plates_at
        None keeps those of the plan in force: plates do not move by themselves, what cannot make
        them is late and says so.
    letter, reason
        What the plan is called and why it replaced the last.
    engine
        "list" repairs at once; "cp" lets the exact engine try to do better for half a second,
        with a price on moving what people were told.
    ways
        Loads that take another way from their card, by load id: the step that does instead. Those
        of the plan in force stand.
    same_loads
        Keep what goes on together as in the plan in force: times move, nothing is shared out again.

    Raises
    ------
    CannotPlanError
        If what is left cannot be done at all.
    """
    people = old.heads if heads is None else heads
    plates = old.plates_at if plates_at is None else plates_at
    kitchen = kitchen_of(unpinned(cards, progress), people, plates)
    validate(kitchen)
    taken = {**ways_of(cards, old), **(ways or {})}
    begun = counts_of(old.loads) if same_loads else begun_counts(old, progress)
    kitchen = replace(kitchen, fixed=begun, ways=taken)
    held = plates > old.plates_at
    fresh = people != old.heads or plates != old.plates_at
    sizings = (kitchen,) if same_loads else tuple(_sizings(kitchen, old, progress))
    result, truth = _best(sizings, old, progress, held=held, fresh=fresh)
    made = _told(plan_from(result, letter, reason), old, progress)
    if engine != "cp":
        return made
    better = _better(result, truth)
    if better is None:
        return made
    sharp = _told(plan_from(better, letter, reason), old, progress)
    worse = check(cards, sharp, progress.now)
    return made if len(worse) > len(check(cards, made, progress.now)) else sharp


def _best(
    sizings: tuple[Kitchen, ...], old: Plan, progress: Progress, *, held: bool, fresh: bool
) -> tuple[Result, Truth]:
    """Return the better re-plan of loads as big as ever and as the fires left take them.

    Raises
    ------
    CannotPlanError
        If neither finds a place for everything.
    """
    found: list[tuple[Result, Truth]] = []
    failed: CannotPlanError | None = None
    for sized in sizings:
        problem = _with_day(sized, without_pins(problem_of(sized)), old, progress)
        truth = Reader(problem, old, progress, sized.clock, held).truth()
        try:
            validate_day(problem, truth.frozen)
            result = _repaired(Result(sized, problem, Schedule({})), truth, fresh=fresh)
        except CannotPlanError as error:
            failed = failed or error
            continue
        found.append((result, truth))
    if not found and failed is not None:
        raise failed
    return min(found, key=lambda f: score(f[0].problem, f[1], f[0].schedule).key())


def _sizings(kitchen: Kitchen, old: Plan, progress: Progress) -> Iterator[Kitchen]:
    """Yield the kitchen, then with what is not on a fire yet in loads for the fires left: without
    those that are out for good, and without those that come back.

    Raw pieces can still be shared out otherwise; a load that is on its fire stays as it is.
    """
    begun = begun_counts(old, progress, on_fire=True)
    fires = [(d, f) for d in kitchen.dishes if (f := kitchen.first_fire(d)) is not None]
    for_good = frozenset(name for name, (_, back) in progress.down.items() if back is None)
    tried = {tuple(most_in_gap(kitchen, d, f) for d, f in fires)}
    smaller: list[Kitchen] = []
    for out in (for_good, frozenset(progress.down)):
        less = replace(kitchen, out=out, fixed=begun)
        most = tuple(most_in_gap(less, d, f) for d, f in fires)
        if most not in tried:
            tried.add(most)
            smaller.append(less)
    yield kitchen
    yield from smaller


def _repaired(start: Result, truth: Truth, *, fresh: bool) -> Result:
    """Return the repair for the guests whose turn it is: where loads have overtaken each other,
    repaired again for those they then feed, if that is better.
    """
    result = replace(start, schedule=repaired(start.problem, truth, fresh=fresh))
    turned = in_turn(result)
    if turned is result:
        return result
    again = in_turn(replace(turned, schedule=repaired(turned.problem, truth, fresh=fresh)))
    worth = [score(r.problem, truth, r.schedule).key() for r in (turned, again)]
    return again if worth[1] < worth[0] else turned


def unpinned(cards: Cards, progress: Progress) -> Cards:
    """Return the cards without pins to stations where one is down: the day decides now.

    What a load had is still asked first.
    """
    if not progress.down:
        return cards
    pins = tuple(replace(pin, station=None) for pin in cards.event.pins)
    return replace(cards, event=replace(cards.event, pins=pins))


BURNS = timedelta(hours=12)
"""A fire lit for one day's work is out the next; common practice."""

REPLAN_EFFORT = 0.25
"""Deterministic time for each aim of a re-plan: some half a second in all."""


def _better(result: Result, truth: Truth) -> Result | None:
    """Return the engine's re-plan, if it costs guests less than the repair."""
    ops = result.problem.ops()
    running = {key for key in truth.running if ops[key].flexible}

    def now_on(op: Op) -> Op:
        if op.key in running:
            return _begun(op, truth)
        return op if op.key in truth.frozen else bounded(op, ops, truth)

    groups = tuple(replace(g, ops=tuple(now_on(op) for op in g.ops)) for g in result.problem.groups)
    problem = replace(result.problem, groups=groups)
    fixed = {key: slot for key, slot in result.schedule.slots.items() if key in truth.frozen}
    fixed = {key: slot for key, slot in fixed.items() if key not in running}
    wish = Wish(fixed, truth.wanted, truth.now, REPLAN_EFFORT, presolve=False)
    found = sharpened(problem, result.schedule, wish)
    if found is None:
        return None
    better = in_turn(replace(result, schedule=found))
    was, now = (score(r.problem, truth, r.schedule).key() for r in (result, better))
    return better if now < was else None


def _begun(op: Op, truth: Truth) -> Op:
    """Return a wait that runs: its start stands, its end is open."""
    start = truth.frozen[op.key].start
    return replace(op, opens=start, closes=start, attended=False)


def ways_of(cards: Cards, plan: Plan) -> dict[str, str]:
    """Return the loads of a plan that take another way, and the step that does."""
    return {
        load.id: run.step
        for load in plan.loads
        for run in load.runs
        if cards.dish(run.dish).steps[run.index].instead_of is not None
    }


def begun_counts(
    old: Plan, progress: Progress, *, on_fire: bool = False
) -> dict[tuple[str, int], int]:
    """Return the pieces of every load that has begun: they are not shared out again.

    With `on_fire`, only of those whose pieces are on a fire, or have been, as far as is known.
    """
    begun = set(progress.started) | set(progress.ended)
    grace_min = GRACE_MIN if on_fire else inf
    return counts_of(
        load
        for load in old.loads
        if _due(load, progress.now, grace_min)
        or any(run.key in begun and (run.on_fire or not on_fire) for run in load.runs)
    )


def counts_of(loads: Iterable[Load]) -> dict[tuple[str, int], int]:
    """Return the pieces of loads, by dish and number."""
    return {(load.dish, int(load.number[1:])): load.count for load in loads}


def _due(load: Load, now: datetime, grace_min: float) -> bool:
    """Return whether a load should be on its fire by now, and silence still means that it is."""
    return load.on <= now and (now - load.on).total_seconds() / 60 <= grace_min


def _with_day(kitchen: Kitchen, problem: Problem, old: Plan, progress: Progress) -> Problem:
    """Return the problem with stations that are down, moved to, or not hot yet."""
    clock = kitchen.clock
    places: dict[str, Place] = dict(problem.places)
    for name, (off, back) in progress.down.items():
        if name in places:
            until = inf if back is None else clock.minute_at(back)
            span = (clock.minute_at(off), until)
            places[name] = replace(places[name], down=(*places[name].down, span))
    for name, opens in _hot_from(kitchen, problem.places, old, progress).items():
        places[name] = replace(places[name], opens=max(places[name].opens, opens))
    was = old_items(old)
    now = clock.minute_at(progress.now)
    gone = {k for k, op in problem.ops().items() if op.closes < now and k not in was}
    groups = tuple(
        replace(
            g,
            ops=tuple(
                _in_time(_as_before(op, was.get(op.key), progress, places), gone, now)
                for op in g.ops
                if op.key not in gone
            ),
        )
        for g in problem.groups
    )
    return replace(problem, places=places, groups=tuple(g for g in groups if g.ops))


def _in_time(op: Op, gone: set[str], now: float) -> Op:
    """Return an op that waits for no prep whose day is over, and whose own day may be over."""
    after = tuple(lag for lag in op.after if lag.key not in gone)
    return replace(op, after=after, closes=inf if op.closes < now else op.closes)


def _as_before(
    op: Op, was: StepRun | Task | None, progress: Progress, places: Mapping[str, Place]
) -> Op:
    """Return an op that asks first for the station and the people it had, and goes where told."""
    moved = progress.moved.get(op.key)
    if moved is not None and moved in places:
        return replace(op, places=(moved,))
    if was is None:
        return op
    return replace(
        op,
        places=tuple(sorted(op.places, key=lambda name: name != was.station)),
        able=tuple(sorted(op.able, key=lambda name: name not in was.crew)),
    )


def _hot_from(
    kitchen: Kitchen, places: Mapping[str, Place], old: Plan, progress: Progress
) -> dict[str, float]:
    """Return when fires that were lit late, or will be, or are cold, can take food."""
    now = kitchen.clock.minute_at(progress.now)
    found: dict[str, float] = {}
    for name, place in places.items():
        lights = [t for t in old.tasks if t.do == "light" and t.station == name]
        ahead = min((t for t in lights if t.end > progress.now), key=lambda t: t.end, default=None)
        if ahead is not None:
            found[name] = _hot_by(kitchen, ahead, progress, place.heat_up)
        elif place.fire and not any(t.end > progress.now - BURNS for t in lights):
            found[name] = up(now + place.heat_up)
    return {name: opens for name, opens in found.items() if opens > now}


def _hot_by(kitchen: Kitchen, light: Task, progress: Progress, heat_up: float) -> float:
    """Return when a fire can take food: lit as told, else as planned, never lit in the past."""
    minute = kitchen.clock.minute_at
    lit = progress.started.get(light.id) or progress.ended.get(light.id)
    told = progress.not_before.get(light.id)
    if lit is not None:
        return up(minute(lit) + heat_up)
    if told is not None:
        return up(max(minute(told), minute(light.start)) + heat_up)
    return up(minute(progress.now) + heat_up) if light.start > progress.now else -inf


def _told(made: Plan, old: Plan, progress: Progress) -> Plan:
    """Put true times on tasks that are no step of a dish, and keep breaks that still suit."""
    was = {key: item for key, item in old_items(old).items() if isinstance(item, Task)}
    tasks = tuple(_task_told(task, was.get(task.id), progress) for task in made.tasks)
    kept = [
        task
        for key, task in was.items()
        if key not in {t.id for t in tasks} and (key in progress.started or key in progress.ended)
    ]
    ordered = sorted([*tasks, *kept], key=lambda task: (task.start, task.id))
    return replace(made, tasks=tuple(ordered), loads=tuple(_less(x, progress) for x in made.loads))


def _task_told(task: Task, was: Task | None, progress: Progress) -> Task:
    start = progress.started.get(task.id)
    end = progress.ended.get(task.id)
    told = progress.not_before.get(task.id)
    if start is None and end is None:
        if told is not None and told > task.start:
            return replace(task, start=told, end=max(task.end, told))
        return task
    start = start or (was.start if was else task.start)
    finish = end or progress.expected_end.get(task.id) or max(task.end, start)
    return replace(task, start=min(start, finish), end=finish)


def _less(load: Load, progress: Progress) -> Load:
    """Take binned pieces off a load and its runs."""
    gone = {run.key: progress.gone.get(run.key, 0) for run in load.runs}
    total = sum(gone.values())
    if not total:
        return load
    runs = tuple(_run_less(run, gone[run.key]) for run in load.runs)
    return replace(load, count=max(load.count - total, 0), runs=runs)


def _run_less(run: StepRun, gone: int) -> StepRun:
    return replace(run, count=max(run.count - gone, 0)) if gone else run
