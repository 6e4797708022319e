"""Who does what, the times being fixed: everybody in one place at a time, breaks movable.

Fair first (the busiest does as little as can be), then as few changes of person within a load as
there can be. Heads are counted right already, so with movable breaks there nearly always is a way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from math import inf

from core.planner.engine.horizon import Horizon
from core.planner.engine.solver import Effort, Expr, Model, Stay, Var, solve, total
from core.planner.jobs import Op, Problem, Slot, Touch

Job = tuple[Op, int, Touch]

TRIES = (0.1, 4.0)
"""Deterministic time: enough for most events, and enough for a thousand guests."""


def with_people(
    problem: Problem,
    horizon: Horizon,
    slots: Mapping[str, Slot],
    was: Mapping[str, tuple[str, ...]] | None = None,
) -> tuple[dict[str, Slot], dict[str, float]] | None:
    """Return the slots with people and everybody's break, or None if there is no way.

    `was` are the people of a plan in force: they keep their work where they can.
    """
    desk = _Desk(problem, horizon, slots)
    desk.build(was or {})
    for deterministic in TRIES:
        answer = solve(desk.model, Effort(deterministic=deterministic))
        if answer.status != "unknown":
            break
    if not answer.found:
        return None
    found = {}
    for key, op in problem.ops().items():
        work = tuple(
            (person, *desk.span(op, touch))
            for n, touch in enumerate(op.work(slots[key].end - slots[key].start))
            for person in touch.able
            if (key, n, person) in desk.does and answer.of(desk.does[key, n, person])
        )
        crew = tuple(dict.fromkeys(person for person, _, _ in work))
        found[key] = replace(slots[key], crew=crew or slots[key].crew, work=work)
    breaks = {name: horizon.minute(answer.of(var)) for name, var in desk.breaks.items()}
    return found, breaks


class _Desk:
    """The assignment model."""

    def __init__(self, problem: Problem, horizon: Horizon, slots: Mapping[str, Slot]) -> None:
        self.problem, self.horizon, self.slots = problem, horizon, slots
        self.model = Model()
        self.does: dict[tuple[str, int, str], Var] = {}
        self.breaks: dict[str, Var] = {}

    def span(self, op: Op, touch: Touch) -> tuple[float, float]:
        """Return from when to when a touch is."""
        begins = self.slots[op.key].start + touch.offset
        return begins, begins + touch.minutes

    def build(self, was: Mapping[str, tuple[str, ...]]) -> None:
        """Write everybody's day into the model."""
        jobs = [
            (op, n, touch)
            for _, op in sorted(self.problem.ops().items())
            for n, touch in enumerate(op.work(self.slots[op.key].end - self.slots[op.key].start))
        ]
        stays: dict[str, list[Stay]] = {name: [] for name in sorted(self.problem.hands)}
        loads: dict[str, list[Expr]] = {name: [] for name in stays}
        for op, n, touch in jobs:
            self._job(op, n, touch, stays, loads)
        for name, row in stays.items():
            self._break(name, row)
            self.model.add_no_overlap(row)
        self._aim(jobs, loads, was)

    def _job(
        self,
        op: Op,
        n: int,
        touch: Touch,
        stays: dict[str, list[Stay]],
        loads: dict[str, list[Expr]],
    ) -> None:
        begins, ends = self.span(op, touch)
        start, long = self.horizon.tick(begins), self.horizon.long(ends - begins)
        chosen = []
        for name in touch.able:
            if not self._there(name, begins, ends):
                continue
            does = self.model.new_bool_var(f"{name} does {op.key} {n}")
            self.does[op.key, n, name] = does
            stay = self.model.new_optional_fixed_size_interval_var(
                start, long, does, f"{name} at {op.key} {n}"
            )
            stays[name].append(stay)
            loads[name].append(long * does)
            chosen.append(does)
        if len(chosen) < touch.hands:
            self.model.add_bool_or([])  # nobody there: no way
        else:
            self.model.add(total(chosen) == touch.hands)

    def _there(self, name: str, begins: float, ends: float) -> bool:
        return any(a <= begins and ends <= b for a, b in self.problem.hands[name].shifts)

    def _break(self, name: str, row: list[Stay]) -> None:
        hand = self.problem.hands[name]
        if not hand.break_min or hand.break_window is None:
            return
        low, high = (self.horizon.tick(minute) for minute in hand.break_window)
        start = self.model.new_int_var(low, max(low, high), f"break {name}")
        self.breaks[name] = start
        row.append(
            self.model.new_fixed_size_interval_var(
                start, self.horizon.long(hand.break_min), f"{name} break"
            )
        )

    def _aim(
        self,
        jobs: list[Job],
        loads: dict[str, list[Expr]],
        was: Mapping[str, tuple[str, ...]],
    ) -> None:
        """10 for every tick of the busiest, 30 for every change of person along a load."""
        busiest = self.model.new_int_var(0, self.horizon.long(inf), "busiest")
        for row in loads.values():
            if row:
                self.model.add(total(row) <= busiest)
        costs: list[Expr] = [10 * busiest]
        for (op, n, touch), (then, m, _) in pairwise(jobs):
            if then.key != op.key:
                continue
            costs.extend(self._change(op, n, then, m, name) for name in touch.able)
        for (key, _, name), does in self.does.items():
            if was.get(key) and name not in was[key]:
                costs.append(30 * does)
        self.model.minimize(total(costs))

    def _change(self, op: Op, n: int, then: Op, m: int, name: str) -> Expr:
        first = self.does.get((op.key, n, name))
        second = self.does.get((then.key, m, name))
        if first is None or second is None:
            return 0
        changed = self.model.new_bool_var(f"{name} leaves {op.key} {n}")
        self.model.add(changed >= first - second)
        return 30 * changed
