"""The list scheduler: there is always a plan.

Groups are counted back in order of when they are due. Where one cannot be counted back without
being held too long, all food is counted on from the earliest that is still good, late if it must
be, and then moved right again as far as its guests allow.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import permutations, product
from math import factorial, inf
from random import Random

from core.errors import CannotPlanError
from core.planner.backward import Back, BlockedError, Tier, followers
from core.planner.board import Board
from core.planner.forward import Forward
from core.planner.jobs import Group, Op, Problem, Schedule, Slot, down, up
from core.planner.prepfirst import NoTimeError, after_prep
from core.planner.scoring import worth

_EPS = 1e-6
TRIES = 200


def backward_order(groups: tuple[Group, ...], rank: Mapping[str, int] | None = None) -> list[Group]:
    """Return the groups so that each comes after all that follow it; pinned and latest first.

    `rank` by group id goes before anything else, lowest first.
    """
    where = {op.key: group.id for group in groups for op in group.ops}
    needs: dict[str, set[str]] = {group.id: set() for group in groups}
    for group in groups:
        for op in group.ops:
            for lag in op.after:
                if where.get(lag.key, group.id) != group.id:
                    needs[where[lag.key]].add(group.id)
    ordered: list[Group] = []
    done: set[str] = set()
    waiting = sorted(groups, key=lambda g: ((rank or {}).get(g.id, 0), _urgency(g)))
    while waiting:
        chosen = next((g for g in waiting if needs[g.id] <= done), None)
        if chosen is None:
            raise CannotPlanError("the steps of {dish} wait for each other", dish=waiting[0].dish)
        waiting.remove(chosen)
        ordered.append(chosen)
        done.add(chosen.id)
    return ordered


def _urgency(group: Group) -> tuple[bool, float, float, int, str]:
    fire = sum(op.ideal for op in group.ops if op.places)
    return (not _pinned(group), -group.target, -fire, -group.number, group.id)


def ready_of(board: Board, group: Group) -> float:
    """Return when the last step of a group ends."""
    return max((board.slots[op.key].end for op in group.ops if op.key in board.slots), default=inf)


def list_schedule(
    problem: Problem,
    frozen: Mapping[str, tuple[Op, Slot]] | None = None,
    rank: Mapping[str, int] | None = None,
) -> Schedule:
    """Return a schedule: counted back if every load can be, else counted on.

    `frozen` ops are no part of any group any more; their stations and people are taken. Where the
    work before the loads finds no time, it goes first and the loads wait for it.

    Raises
    ------
    CannotPlanError
        If the work before the fires finds no time at all.
    """

    def counted(rest: Problem, fixed: Mapping[str, tuple[Op, Slot]]) -> Schedule:
        return _counted(rest, fixed, rank)

    try:
        return counted(problem, frozen or {})
    except NoTimeError as none:
        made = after_prep(problem, frozen or {}, counted, none.group)
        if made is None:
            raise no_time(none.op) from None
        return made


def _counted(
    problem: Problem, frozen: Mapping[str, tuple[Op, Slot]], rank: Mapping[str, int] | None
) -> Schedule:
    order = backward_order(problem.groups, rank)
    follow = followers(problem.groups)
    board = _board(problem, frozen)
    back = Back(board, follow)
    if not all(_back(back, g) for g in order if g.served or g.finish):
        board, back = _counted_on(problem, frozen, [g for g in order if g.served or g.finish])
    for group in order:
        if not (group.served or group.finish) and not _any_tier(back, group):
            raise NoTimeError(group, back.stuck or group.ops[-1])
    return Schedule(dict(board.slots))


def no_time(op: Op) -> CannotPlanError:
    """Return that the work before the loads finds no time."""
    return CannotPlanError(
        "{what} of {dish} finds no free hands or station in time", what=op.do, dish=op.dish
    )


def searched(problem: Problem, tries: int = TRIES, seed: int = 1) -> Schedule:
    """Return the best list schedule over other orders of the loads; every order if they are few.

    What the exact engine is not there for, or too slow for. `score` is (late, held, changes).
    """
    loads = [g.id for g in backward_order(problem.groups) if g.served]
    orders: Iterable[Sequence[str]] = permutations(loads)
    if factorial(len(loads)) > tries:
        dice = Random(seed)
        orders = (dice.sample(loads, len(loads)) for _ in range(tries))
    found = [list_schedule(problem)]
    for order in orders:
        try:
            found.append(list_schedule(problem, rank={g: n for n, g in enumerate(order)}))
        except CannotPlanError:
            continue
    chosen = min(found, key=lambda schedule: worth(problem, schedule.slots).key())
    value = worth(problem, chosen.slots)
    return replace(chosen, score=(value.late, value.held, float(value.changes)))


def _board(problem: Problem, frozen: Mapping[str, tuple[Op, Slot]]) -> Board:
    board = Board(problem)
    for key, (op, slot) in frozen.items():
        board.ops[key] = op
        board.put(op, slot)
    return board


def _any_tier(back: Back, group: Group) -> bool:
    return any(back.place(group, tier) for tier in Tier)


def _back(back: Back, group: Group) -> bool:
    """Count one load back; False if it would have to wait longer than it stays good.

    Where its own time is taken, it is ready as little later as can be, by when it is needed; else
    it counts on by itself.
    """
    for goal in _goals(group):
        if _any_tier(back, goal):
            if _pinned(group) or ready_of(back.board, group) >= group.floor - _EPS:
                return True
            back.clear(group)
    return _ahead(back, group) and ready_of(back.board, group) <= group.needed_by + _EPS


def _goals(group: Group) -> Iterator[Group]:
    """Yield the group with its own target, then with later ones up to when it is needed."""
    yield group
    late = down(group.needed_by) - group.target
    if late > _EPS:
        for n in range(1, LATER_STEPS + 1):
            yield replace(group, target=down(group.target + late * n / LATER_STEPS))


LATER_STEPS = 4
"""A load that cannot keep all its slack gives it up by quarters."""


def _pinned(group: Group) -> bool:
    return any(op.pinned for op in group.ops)


def _ahead(back: Back, group: Group) -> bool:
    """Count one load on from its earliest, or from what the chef insists on."""
    if not Forward(back.board).place(group, _release(group)):
        return False
    try:
        back.open_waits(group)
    except BlockedError:  # its fire came free before the work that leads to it could be over
        back.clear(group)
        return False
    return True


def _counted_on(
    problem: Problem, frozen: Mapping[str, tuple[Op, Slot]], groups: list[Group]
) -> tuple[Board, Back]:
    """Count all food on, in the order in which it is needed or has to begin, waits as planned or
    at their floor, each step no sooner than its load is good for, or any time; the first that is
    not late and keeps its pins wins, else the least late.

    Raises
    ------
    CannotPlanError
        If neither order finds fires and hands for everything.
    """
    needed = sorted(groups, key=lambda g: (not _pinned(g), g.needed_by, g.finish, g.number, g.id))
    begin = sorted(groups, key=lambda g: (not _pinned(g), g.finish, _begins(g), g.number, g.id))
    most = sorted(needed, key=lambda g: (not _pinned(g), g.finish, -_work(g)))
    found: list[tuple[float, float, int, Board, Back]] = []
    failed: CannotPlanError | None = None
    ways = product((True, False), (needed, begin, most), (False, True))
    for place, (paced, order, hurry) in enumerate(ways):
        board = _board(problem, frozen)
        back = Back(board, followers(problem.groups))
        try:
            _forward(board, back, order, _paced(order) if paced else {}, hurry=hurry)
        except CannotPlanError as error:
            failed = failed or error
            continue
        late = sum(g.count * max(ready_of(board, g) - g.needed_by, 0.0) for g in order if g.served)
        off = _off_pins(board, order)
        if not late and not off:
            return board, back
        found.append((late, off, place, board, back))
    if not found and failed is not None:
        raise failed
    *_, board, back = min(found, key=lambda f: f[:3])
    return board, back


def _off_pins(board: Board, groups: list[Group]) -> float:
    """Return the minutes by which pinned starts are missed."""
    pins = [op for g in groups for op in g.ops if op.pinned and op.key in board.slots]
    return sum(abs(board.slots[op.key].start - op.start) for op in pins if op.start is not None)


def _work(group: Group) -> float:
    """Return the minutes of fire a load takes: what takes most is hardest to place."""
    return sum(op.ideal for op in group.ops if op.places)


def _begins(group: Group) -> float:
    """Return when a load has to begin for its guests."""
    return group.needed_by - _length(group)


def _paced(groups: list[Group]) -> dict[str, float]:
    """Return when each step of a load may begin at the earliest, for the load to be good at all.

    A wait before the fire may be long over; it does not let the fire begin sooner.
    """
    found: dict[str, float] = {}
    for group in groups:
        for op in reversed(group.ops):
            after = [found[o.key] - x.least for o in group.ops for x in o.after if x.key == op.key]
            found[op.key] = min(after, default=_earliest_ready(group)) - op.ideal
    return {key: up(start) for key, start in found.items()}


def _forward(
    board: Board, back: Back, ordered: list[Group], wanted: Mapping[str, float], *, hurry: bool
) -> None:
    """Count every load on from the earliest it may be, then move it right again."""
    ahead = Forward(board, wanted, hurry=hurry)
    for group in ordered:
        if not ahead.place(group, _release(group)):
            raise CannotPlanError(
                "{dish} {load} finds no fire and hands within its limits before all are home",
                dish=group.dish,
                load=group.name,
            )
    for group in sorted(ordered, key=lambda g: -ready_of(board, g)):
        if group.served:
            _move_right(board, back, group)
    for group in ordered:
        try:
            back.open_waits(group)
        except BlockedError as blocked:
            raise no_time(board.ops[blocked.key]) from None


def _release(group: Group) -> float:
    """Return the earliest minute anything of a load should begin."""
    return up(_earliest_ready(group) - _length(group))


def _earliest_ready(group: Group) -> float:
    """Return when a load may be ready at the earliest, and still be good for its last guest."""
    return group.floor if group.floor > -inf else min(group.target, group.needed_by)


def _length(group: Group) -> float:
    """Return the minutes of a load's longest chain."""
    longest: dict[str, float] = {}
    for op in group.ops:
        before = max((longest.get(x.key, 0.0) + x.least for x in op.after), default=0.0)
        longest[op.key] = before + op.ideal
    return max(longest.values())


def _move_right(board: Board, back: Back, group: Group) -> None:
    """Let a load that is early go on later, if it then still is in time."""
    ready = ready_of(board, group)
    if ready >= group.target - _EPS or _pinned(group):
        return
    before = {op.key: board.slots[op.key] for op in group.ops if op.key in board.slots}
    for op in group.ops:
        board.take(op)
    later = back.place(replace(group, target=max(ready, group.target)), Tier.IDEAL)
    for op in group.ops:
        back.waits.pop(op.key, None)
    if later and ready_of(board, group) >= ready - _EPS:
        return
    for op in group.ops:
        board.take(op)
    for op in group.ops:
        if op.key in before:
            board.put(op, before[op.key])
