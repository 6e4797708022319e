"""A new plan from where the day stands: what has started is fixed, the rest is placed again.

Two ways are tried. The repair keeps the order and moves right only what must; the re-count counts
back afresh for everything that has not started. The one that is less late wins; then the one with
less food held too long; then the one that moves fewer things people were told.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf

from core.errors import CannotPlanError
from core.planner.backward import abuts
from core.planner.board import Board
from core.planner.forward import Forward
from core.planner.jobs import Group, Op, Problem, Schedule, Slot
from core.planner.listing import list_schedule
from core.planner.truth import Truth, in_order

_EPS = 1e-6
STEADY_MIN = 1.0
"""A start that moves less than this was not moved."""


@dataclass(frozen=True, slots=True)
class Score:
    """What a re-plan costs, worst first: portion-minutes late, held too long, and starts moved."""

    late: float
    held: float
    moved: int

    def key(self) -> tuple[float, float, int]:
        """Return it for comparing."""
        return round(self.late, 1), round(self.held, 1), self.moved


def repaired(problem: Problem, truth: Truth, *, fresh: bool) -> Schedule:
    """Return the better of repair and re-count (the latter only where asked, or where late).

    Raises
    ------
    CannotPlanError
        If neither finds a place for everything.
    """
    stuck: list[Op] = []
    tries = [_shifted(problem, truth, stuck, hurry=False)]
    if _is_late(problem, tries[0]):
        tries.append(_shifted(problem, truth, stuck, hurry=True))
    if fresh or all(_is_late(problem, t) for t in tries):
        tries.append(_recounted(problem, truth))
    found = [t for t in tries if t is not None]
    if not found:
        raise no_place(problem, stuck)
    return min(found, key=lambda schedule: score(problem, truth, schedule).key())


def no_place(problem: Problem, stuck: list[Op]) -> CannotPlanError:
    """Return what finds no place, and whether it is for want of people."""
    if not stuck:
        return CannotPlanError("what is left finds no fire and hands")
    op = stuck[0]
    there = [name for name in op.able if problem.hands[name].shifts]
    fields = {"step": op.do, "dish": op.dish, "load": op.unit}
    if op.hands > len(there):
        return CannotPlanError(
            "{step} of {dish} {load} needs {hands} who can, and {have} are there",
            **fields,
            hands=op.hands,
            have=len(there),
        )
    return CannotPlanError("{step} of {dish} {load} finds no fire and hands any more", **fields)


def _is_late(problem: Problem, schedule: Schedule | None) -> bool:
    return schedule is None or any(
        ready_of(g, problem, schedule.slots) > g.needed_by + _EPS
        for g in problem.groups
        if g.served
    )


def ready_of(group: Group, problem: Problem, slots: Mapping[str, Slot]) -> float:
    """Return when all of a load is done, its plates-tied work too."""
    keys = [op.key for op in group.ops]
    for other in problem.groups:
        if other.finish and other.dish == group.dish:
            keys.extend(op.key for op in other.ops if op.load == group.name)
    return max((slots[key].end for key in keys), default=-inf)


def score(problem: Problem, truth: Truth, schedule: Schedule) -> Score:
    """Return what a schedule costs."""
    late = held = 0.0
    for group in problem.groups:
        if not group.served:
            continue
        ready = ready_of(group, problem, schedule.slots)
        late += group.count * max(ready - group.needed_by, 0.0)
        held += group.count * max(group.floor - ready, 0.0) if group.floor > -inf else 0.0
        for op in group.ops:
            slot = schedule.slots[op.key]
            over = slot.end - slot.start - op.most if op.flexible and op.most < inf else 0.0
            held += op.count * max(over, 0.0)
    moved = sum(
        abs(schedule.slots[key].start - wish) > STEADY_MIN for key, wish in truth.wanted.items()
    )
    return Score(late, held, moved)


def _shifted(problem: Problem, truth: Truth, stuck: list[Op], *, hurry: bool) -> Schedule | None:
    """Keep the order, move right what must; None, and what is `stuck`, if there is no place."""
    board = Board(problem)
    ops = problem.ops()
    for key, slot in truth.frozen.items():
        short = hurry and ops[key].flexible and key in truth.running - truth.expected
        end = max(slot.start + ops[key].least, truth.now) if short else slot.end
        board.put(ops[key], replace(slot, end=min(end, slot.end)))
    walk = Forward(board, truth.wanted, hurry=hurry, running=truth.running, now=truth.now)
    everything = Group("", "", 0, "", 0, waiting_ops(problem, truth))
    if not walk.place(everything, truth.now):
        stuck.extend([walk.stuck] if walk.stuck else [])
        return None
    for key in truth.frozen:
        _settle_running(board, truth, ops[key])
    return Schedule(dict(board.slots), engine="list")


def _settle_running(board: Board, truth: Truth, op: Op) -> None:
    """A wait that runs ends when what it waits for begins."""
    if not op.flexible or op.key not in truth.running:
        return
    starts = [
        board.slots[other.key].start - lag.least
        for other in board.ops.values()
        for lag in other.after
        if lag.key == op.key and abuts(lag) and other.key in board.slots
    ]
    slot = board.slots[op.key]
    if starts and min(starts) >= slot.start:
        board.take(op)
        board.put(op, replace(slot, end=min(starts)))


def waiting_ops(problem: Problem, truth: Truth) -> tuple[Op, ...]:
    """Return what still waits, each after what it waits for, in the order of the plan in force.

    What the plan in force does not know comes where it is needed.
    """
    due = {op.key: (g.needed_by, g.number) for g in problem.groups for op in g.ops}
    ops = [op for op in in_order(problem) if op.key not in truth.frozen]

    def turn(op: Op) -> tuple[float, int, str]:
        known = op.key in truth.known
        return (truth.wanted[op.key], 0, op.key) if known else (*due[op.key], op.key)

    left = {op.key: {lag.key for lag in op.after if lag.key in truth.wanted} for op in ops}
    by_key = {op.key: op for op in ops}
    ordered: list[Op] = []
    while left:
        free = [by_key[key] for key, before in left.items() if not before]
        if not free:
            raise CannotPlanError("the steps of {dish} wait for each other", dish=ops[0].dish)
        chosen = min(free, key=turn)
        ordered.append(chosen)
        del left[chosen.key]
        for before in left.values():
            before.discard(chosen.key)
    return tuple(ordered)


def without_pins(problem: Problem) -> Problem:
    """Return the problem with pinned starts let go: the day decides now."""
    groups = tuple(
        replace(
            g, ops=tuple(replace(o, start=None, pinned=False) if o.pinned else o for o in g.ops)
        )
        for g in problem.groups
    )
    return replace(problem, groups=groups)


def _recounted(problem: Problem, truth: Truth) -> Schedule | None:
    """Count back afresh all that has not started, around what has."""
    ops = problem.ops()
    frozen = {key: (ops[key], slot) for key, slot in truth.frozen.items()}
    groups = tuple(
        replace(g, ops=tuple(bounded(op, ops, truth) for op in g.ops if op.key not in frozen))
        for g in problem.groups
    )
    rest = replace(problem, groups=tuple(g for g in groups if g.ops))
    try:
        made = list_schedule(rest, frozen)
    except CannotPlanError:
        return None
    board = Board(problem)
    for key, slot in made.slots.items():
        board.put(ops[key], slot)
    for key in truth.frozen:
        _settle_running(board, truth, ops[key])
    return replace(made, slots=dict(board.slots))


def bounded(op: Op, ops: Mapping[str, Op], truth: Truth) -> Op:
    """Return an op that starts neither before now nor before or too long after what is fixed."""
    opens, closes = max(op.opens, truth.now, truth.told.get(op.key, -inf)), op.closes
    for lag in op.after:
        before = truth.frozen.get(lag.key)
        if before is not None:
            opens = max(opens, before.end + lag.least)
            waits = ops[lag.key].flexible and lag.key in truth.running and not op.flexible
            last = before.start + ops[lag.key].hard if waits else before.end
            closes = min(closes, last + lag.most)
    return replace(op, opens=opens, closes=max(closes, opens))
