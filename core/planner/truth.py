"""The day so far against a plan: what is over, what runs and until when, what still waits.

Silence means it went as planned: nobody reports a rest or a trimming. But a load's own work that
should be going on, and of which nobody has said a word for ten minutes, has not begun, unless what
follows it has.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property

from core.model import Plan, Progress, StepRun, Task, Tied
from core.planner.backward import abuts
from core.planner.jobs import Op, Problem, Slot, up
from core.planner.origin import Origin

GRACE_MIN = 10.0
"""So long after its time a step is still taken to have begun as planned; common practice."""


@dataclass(frozen=True, slots=True)
class Truth:
    """`frozen` ops with their true or expected times, those `running`, and what others wish for.

    `wanted` are the starts of what still waits: as planned, never before now. `known` is what the
    plan in force holds, `told` what was put off until when, `expected` whose end
    somebody gave.
    """

    now: float
    frozen: Mapping[str, Slot]
    running: frozenset[str]
    wanted: Mapping[str, float]
    known: frozenset[str] = frozenset()
    told: Mapping[str, float] = field(default_factory=dict)
    expected: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Reader:
    """Reads a plan and its progress in minutes.

    Where plates moved later (`held`), nothing tied to them is taken to have begun unsaid.
    """

    problem: Problem
    old: Plan
    progress: Progress
    clock: Origin
    held: bool = False

    def truth(self) -> Truth:
        """Return what stands and what may still move."""
        ops = in_order(self.problem)
        items = old_items(self.old)
        followed = self._followed(ops)
        frozen: dict[str, Slot] = {}
        running: set[str] = set()
        wanted: dict[str, float] = {}
        now = up(self._minute(self.progress.now))
        for op in ops:
            slot, runs = self._slot(op, items.get(op.key), frozen, op.key in followed, now)
            if slot is not None:
                frozen[op.key] = slot
                if runs:
                    running.add(op.key)
            else:
                wanted[op.key] = self._wish(op, items.get(op.key), now)
        told = {key: self._minute(when) for key, when in self.progress.not_before.items()}
        expected = frozenset(self.progress.expected_end)
        return Truth(now, frozen, frozenset(running), wanted, frozenset(items), told, expected)

    @cached_property
    def _kept_waiting(self) -> frozenset[str]:
        """Return the waits that last until the work after them begins."""
        ops = self.problem.ops()
        return frozenset(
            lag.key
            for op in ops.values()
            for lag in op.after
            if not op.flexible and abuts(lag) and lag.key in ops and ops[lag.key].flexible
        )

    def _minute(self, at: datetime) -> float:
        return self.clock.minute_at(at)

    def _followed(self, ops: list[Op]) -> set[str]:
        """Return what must be over, because something after it has begun."""
        begun = set(self.progress.started) | set(self.progress.ended)
        found: set[str] = set()
        for op in reversed(ops):
            if op.key in begun or op.key in found:
                found.update(lag.key for lag in op.after)
        return found

    def _slot(
        self,
        op: Op,
        item: StepRun | Task | None,
        frozen: Mapping[str, Slot],
        followed: bool,
        now: float,
    ) -> tuple[Slot | None, bool]:
        """Return an op's fixed slot and whether it still runs; None if it is free to move."""
        place = self.progress.moved.get(op.key) or (item.station if item else None)
        place = place if place in self.problem.places else (op.places[0] if op.places else None)
        crew = item.crew if item else ()
        start, planned_end = self._times(op, item, frozen)
        if op.key in self.progress.ended:
            end = self._minute(self.progress.ended[op.key])
            return Slot(min(start, end), end, place, crew), False
        if followed:
            end = min(planned_end, now)
            return Slot(min(start, end), end, place, crew), False
        if op.key in self.progress.started:
            return Slot(start, self._runs_until(op, start, now), place, crew), True
        if op.key in self.progress.not_before or start > now:
            return None, False
        if item is None and not _waits_already(op, frozen):
            return None, False
        over = planned_end <= now and op.key not in self._kept_waiting
        if over and op.key not in self.progress.expected_end:
            return Slot(start, planned_end, place, crew), False
        if not self._went_as_planned(op, start, frozen, now):
            return None, False
        return Slot(start, self._runs_until(op, start, now), place, crew), True

    def _times(
        self, op: Op, item: StepRun | Task | None, frozen: Mapping[str, Slot]
    ) -> tuple[float, float]:
        """Return an op's true or planned start, and its planned end.

        A wait began when what was before it ended, whatever the plan said.
        """
        planned = self._minute(item.start) if item else 0.0
        ended = self._minute(item.end) if item else planned + op.ideal
        told = self.progress.started.get(op.key)
        if told is not None:
            return self._minute(told), ended
        before = [frozen[lag.key].end + lag.least for lag in op.after if lag.key in frozen]
        if op.flexible and before and any(abuts(lag) for lag in op.after):
            return max(before), max(ended, *before)
        return planned, ended

    def _runs_until(self, op: Op, start: float, now: float) -> float:
        """Return when a running op ends: as somebody expects, else as long as planned."""
        told = self.progress.expected_end.get(op.key)
        return max(start + op.ideal if told is None else self._minute(told), now)

    def _went_as_planned(
        self, op: Op, start: float, frozen: Mapping[str, Slot], now: float
    ) -> bool:
        """Return whether silence about a step that was due means that it happened."""
        if self.held and op.tied is Tied.PLATES:
            return False
        if not op.load:
            return True
        if any(lag.key not in frozen for lag in op.after):
            return False
        if op.flexible and any(abuts(lag) for lag in op.after):
            return all(frozen[lag.key].end <= now for lag in op.after)
        return op.flexible or now - start <= GRACE_MIN

    def _wish(self, op: Op, item: StepRun | Task | None, now: float) -> float:
        wish = now if item is None else max(self._minute(item.start), now)
        told = self.progress.not_before.get(op.key)
        return wish if told is None else max(wish, self._minute(told))


def _waits_already(op: Op, frozen: Mapping[str, Slot]) -> bool:
    """Return whether a wait nobody planned (its load is new) has begun: what is before it is over.

    Raw pieces that are shared out otherwise have been where they are all along.
    """
    before = [lag.key in frozen for lag in op.after]
    return op.flexible and bool(before) and all(before) and any(abuts(lag) for lag in op.after)


def in_order(problem: Problem) -> list[Op]:
    """Return every op after all it waits for."""
    ops = problem.ops()
    done: dict[str, Op] = {}

    def visit(op: Op) -> None:
        if op.key in done:
            return
        for lag in op.after:
            if lag.key in ops:
                visit(ops[lag.key])
        done[op.key] = op

    for key in sorted(ops):
        visit(ops[key])
    return list(done.values())


def old_items(plan: Plan) -> dict[str, StepRun | Task]:
    """Return a plan's runs and tasks by key."""
    found: dict[str, StepRun | Task] = {run.key: run for run in plan.runs()}
    found.update({task.id: task for task in plan.tasks})
    return found
