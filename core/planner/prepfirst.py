"""Where tubs or hands are the slowest link: the work before the loads first, loads as it lets them.

Counting back places loads before the work they need. If that work then finds no time, it is
counted on by itself, each lot no sooner than wanted, and the loads are planned again after it:
late if they must be, but with a plan.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from math import inf

from core.errors import CannotPlanError
from core.planner.backward import abuts, followers
from core.planner.board import Board
from core.planner.forward import Forward
from core.planner.jobs import Group, Op, Problem, Schedule, Slot
from core.planner.scoring import costs

Frozen = Mapping[str, tuple[Op, Slot]]
Lister = Callable[[Problem, Frozen], Schedule]

WAYS = ((0.0, False), (90.0, False), (360.0, False), (0.0, True), (360.0, True))
"""How many minutes sooner than wanted the work before may begin, and whether its waits take their
floor: each is tried, the least late is kept.
"""


class NoTimeError(Exception):
    """The work of a group before the loads finds no time; `op` is what stands in the way."""

    def __init__(self, group: Group, op: Op) -> None:
        self.group, self.op = group, op
        super().__init__(op.key)


def after_prep(problem: Problem, frozen: Frozen, lister: Lister, group: Group) -> Schedule | None:
    """Return the schedule whose loads wait for a group's work; None if there is none either.

    Parameters
    ----------
    problem
        With loads and the work before them.
    frozen
        What has its slot already.
    lister
        What plans the rest; raises `NoTimeError`.
    group
        The work that found no time.
    """
    found: list[Schedule] = []
    for ahead, hurry in WAYS:
        fixed = _prepared(problem, frozen, group, ahead, hurry=hurry)
        made = None if fixed is None else _listed(problem, frozen, fixed, lister)
        if made is not None:
            found.append(made)
            if not costs(problem, made.slots)[0]:
                break
    return min(found, key=lambda s: costs(problem, s.slots), default=None)


def _listed(problem: Problem, frozen: Frozen, fixed: Frozen, lister: Lister) -> Schedule | None:
    rest = tuple(
        replace(g, ops=tuple(_bounded(op, fixed) for op in g.ops))
        for g in problem.groups
        if any(op.key not in fixed for op in g.ops)
    )
    try:
        made = lister(replace(problem, groups=rest), {**frozen, **fixed})
    except (CannotPlanError, NoTimeError):
        return None
    return replace(made, slots={**{key: slot for key, (_, slot) in fixed.items()}, **made.slots})


def _prepared(
    problem: Problem, frozen: Frozen, group: Group, ahead: float, *, hurry: bool
) -> dict[str, tuple[Op, Slot]] | None:
    """Return where a group's work goes if it may begin so much sooner than wanted."""
    board = Board(problem)
    for key, (op, slot) in frozen.items():
        board.ops[key] = op
        board.put(op, slot)
    wanted = {key: start - ahead for key, start in latest_starts(problem).items()}
    if not Forward(board, wanted, hurry=hurry).place(group, -inf):
        return None
    return {op.key: (op, board.slots[op.key]) for op in group.ops}


def latest_starts(problem: Problem) -> dict[str, float]:
    """Return when each op has to start for its loads to be ready, were nothing ever full.

    Work whose day is over by then is left out: it may begin as soon as its day does.
    """
    follow = followers(problem.groups)
    ends = {op.key: min(g.target, g.needed_by) for g in problem.groups for op in g.ops}
    ops = problem.ops()

    @cache
    def start(key: str) -> float:
        op = ops[key]
        after = [start(then.key) - lag.least for then, lag in follow.get(key, ())]
        by = min(after, default=ends[key]) - op.ideal
        return by if op.start is None else op.start

    found = {key: start(key) for key in ops}
    return {key: at for key, at in found.items() if abs(at) < inf and at <= ops[key].closes}


def _bounded(op: Op, fixed: Frozen) -> Op:
    """Return an op that starts neither before nor too long after the work that now stands.

    A wait fed by several lots begins with the last of them; the others' pieces wait on the rack.
    """
    lots = [lag for lag in op.after if lag.key in fixed]
    if not lots:
        return op
    ends = [fixed[lag.key][1].end for lag in lots]
    opens = max(op.opens, *(end + lag.least for end, lag in zip(ends, lots, strict=True)))
    if op.flexible and sum(abuts(lag) for lag in lots) > 1:
        after = tuple(lag for lag in op.after if lag.key not in fixed)
        return replace(op, after=after, opens=opens, closes=max(op.closes, opens))
    closes = min(op.closes, *(end + lag.most for end, lag in zip(ends, lots, strict=True)))
    return replace(op, opens=opens, closes=max(closes, opens))
