"""Count on: one group at a time, its first step first, each as early as it can be.

Where counting back finds no room, food goes on as early as it may and is served when it is ready:
late, but with a plan. The same walk repairs a plan while the day runs: what has started is fixed,
the rest moves right.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import inf

from core.planner.backward import abuts
from core.planner.board import Board
from core.planner.jobs import GRID_MIN, Group, Op, Slot, up

_EPS = 1e-6
_TRIES = 200


class Forward:
    """One forward pass over a board.

    `wanted` are starts that nothing should come before; in a `hurry` waits take their floor.
    What is on a fire (`running`) stays on rather than be parked longer than its gap allows.
    Nothing begins before `now`; what then is too late for its limit is placed and said.
    """

    def __init__(
        self,
        board: Board,
        wanted: Mapping[str, float] | None = None,
        *,
        hurry: bool = False,
        running: frozenset[str] = frozenset(),
        now: float = -inf,
    ) -> None:
        self.board = board
        self.wanted = wanted or {}
        self.hurry = hurry
        self.running = running
        self.now = now
        self.stuck: Op | None = None
        self.left: dict[str, tuple[str, float, Slot]] = {}
        self.in_vain: set[str] = set()

    def place(self, group: Group, release: float) -> bool:
        """Place what is not placed of a group, none of it before `release`; False if it cannot."""
        todo = [op for op in group.ops if op.key not in self.board.slots]
        free = {op.key for op in todo}
        hold_back: dict[str, float] = {}
        for _ in range(_TRIES):
            late = self._run(todo, free, release, hold_back)
            if late is None:
                return True
            for op in todo:
                self.board.take(op)
            key, minutes = late
            if minutes == inf:
                self.stuck = self.board.ops.get(key)
                return False
            if key not in free:
                continue  # it stays on its fire for longer: everything again from there
            hold_back[key] = hold_back.get(key, 0.0) + max(up(minutes), GRID_MIN)
        return False

    def _run(
        self, todo: list[Op], free: set[str], release: float, hold_back: Mapping[str, float]
    ) -> tuple[str, float] | None:
        """Place the ops in order. Returns which op must wait how much longer, or None."""
        for op in todo:
            if self.opens_later(op):
                continue
            ready, by, pushes = self._bounds(op)
            free_from = release if op.start is None else op.start
            wish = max(free_from, self.wanted.get(op.key, -inf))
            start = max(ready, self.now, min(wish, by, max(op.closes, op.opens)))
            slot = self._slot(op, start + hold_back.get(op.key, 0.0))
            if slot is None:
                return op.key, inf
            if slot.start > by + _EPS:
                if pushes in free:
                    return pushes, slot.start - by
                if self._leave_on(pushes, slot.start - by, op.key):
                    return pushes, 0.0
                if self.now == -inf:
                    return pushes, inf  # before the day a limit is a limit
            self.board.put(op, slot)
            self._stretch(op, slot)
        return None

    def opens_later(self, op: Op) -> bool:
        """Return whether this is a wait that begins with something not yet placed."""
        return op.flexible and any(
            abuts(lag) and lag.key not in self.board.slots for lag in op.after
        )

    def _bounds(self, op: Op) -> tuple[float, float, str]:
        """Return the earliest start, the latest, and which op must move if that is too early."""
        ready, by, pushes = -inf, inf, op.key
        for lag in op.after:
            before = self.board.slots.get(lag.key)
            if before is None:
                continue
            own = self.board.ops[lag.key]
            ready = max(ready, before.end + lag.least)
            if own.flexible and abuts(lag):
                limit = before.start + own.hard + lag.most
            else:
                limit = before.end + lag.most
            if limit < by:
                by, pushes = limit, self._mover(own).key
        return ready, by, pushes

    def _leave_on(self, key: str, minutes: float, follower: str) -> bool:
        """Leave what is on a fire there for longer, as far as its card allows.

        If its follower is as late then as before (its own batches take the next fire one after
        the other), it comes off in its time after all.
        """
        op, slot = self.board.ops[key], self.board.slots[key]
        if key not in self.running or op.flexible or key in self.in_vain:
            return False
        who, missed, was = self.left.get(key, ("", inf, slot))
        if who == follower and minutes > missed - _EPS:
            self.in_vain.add(key)
            self.board.take(op)
            self.board.put(op, was)
            return True
        longest = op.most if op.most < inf else op.ideal
        end = min(slot.end + minutes, max(slot.start + min(longest, op.hard), slot.end))
        if end < slot.end + GRID_MIN - _EPS:
            return False
        self.left[key] = (follower, minutes, slot)
        self.board.take(op)
        self.board.put(op, Slot(slot.start, end, slot.place, slot.crew))
        return True

    def _mover(self, op: Op) -> Op:
        """Return the op that really has to move: the work before a wait, not the wait."""
        before = next((lag.key for lag in op.after if abuts(lag)), None) if op.flexible else None
        return op if before is None else self._mover(self.board.ops[before])

    def _slot(self, op: Op, start: float) -> Slot | None:
        minutes = op.least if self.hurry and op.flexible else op.ideal
        if op.flexible and any(abuts(lag) for lag in op.after):
            return self.board.fit(op, start, start + minutes)
        return self.board.earliest(op, minutes, start)

    def _stretch(self, op: Op, slot: Slot) -> None:
        """Let the waits before this op end when it starts."""
        for lag in op.after:
            before = self.board.slots.get(lag.key)
            own = self.board.ops[lag.key]
            if before is None or not (own.flexible and abuts(lag)):
                continue
            end = slot.start - lag.least
            if abs(end - before.end) > _EPS:
                self.board.take(own)
                self.board.put(own, Slot(before.start, end, before.place, before.crew))
