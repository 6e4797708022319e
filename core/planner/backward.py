"""Count back: one group at a time, its last step first, each as late as what follows allows.

A wait has no start of its own: it begins when the step before it ends, so it stays open until
that one is placed. A step that finds no room pushes the group's spare time (`lump`) up, and the
group is tried again, a little earlier.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import IntEnum
from math import inf

from core.model import Tied
from core.planner.board import Board
from core.planner.jobs import GRID_MIN, Group, Lag, Op, Slot, down, up

_EPS = 1e-6
_TRIES = 600
_ABUT = 1e-3
_NEAR_MIN = 60.0
_FAR_MIN = 48 * 60.0


class Tier(IntEnum):
    """How far waits may be bent: as planned, down to their floor, past how they eat best."""

    IDEAL = 0
    SQUEEZED = 1
    OVER = 2


@dataclass(frozen=True, slots=True)
class Wait:
    """A wait whose end is known and whose start hangs on the step before it.

    A loose one (cooling: done is done) need not last until its follower starts.
    """

    op: Op
    end: float
    low: float
    wish: float
    high: float
    loose: bool = False

    def end_from(self, start: float) -> float:
        """Return when it ends if it begins then; a loose one ends when its time is up."""
        return min(self.end, start + self.op.ideal) if self.loose else self.end


class BlockedError(Exception):
    """The group does not fit; `shift` minutes earlier might, None means it never will.

    `low` is the earliest end its followers let the op have: if that did not move with the group,
    moving the group does not help.
    """

    def __init__(self, key: str, shift: float | None, low: float = -inf) -> None:
        self.key, self.shift, self.low = key, shift, low
        super().__init__(key)


def abuts(lag: Lag) -> bool:
    """Return whether one step must follow the other at once."""
    return lag.most - lag.least < _ABUT


@dataclass(slots=True)
class Back:
    """One backward pass over a board: open waits, and who follows whom."""

    board: Board
    followers: dict[str, list[tuple[Op, Lag]]]
    waits: dict[str, Wait] = field(default_factory=dict)
    stuck: Op | None = None
    """What found no place at all when a group was last tried."""

    def place(self, group: Group, tier: Tier) -> bool:
        """Place a whole group, moving it earlier until it fits; False if it cannot."""
        lump, stuck = 0.0, ("", 0.0)
        most = group.target - group.floor if group.floor > -inf else _FAR_MIN
        for _ in range(_TRIES):
            waits = dict(self.waits)
            try:
                for op in reversed(group.ops):
                    self._place_op(group, op, lump, tier)
            except BlockedError as blocked:
                self._clear(group, waits)
                if blocked.shift is None or stuck == (blocked.key, blocked.low):
                    self.stuck = self.board.ops.get(blocked.key)
                    return False
                stuck = (blocked.key, blocked.low)
                lump += max(up(blocked.shift), GRID_MIN)
                if lump > most + _EPS:
                    return False
                continue
            return True
        return False

    def open_waits(self, group: Group) -> None:
        """Open the waits of a group whose forerunners are still to be placed."""
        for op in reversed(group.ops):
            if op.key not in self.board.slots:
                self._place_op(group, op, 0.0, Tier.OVER)

    def clear(self, group: Group) -> None:
        """Take a group off again."""
        mine = {op.key for op in group.ops}
        self._clear(group, {key: wait for key, wait in self.waits.items() if key not in mine})

    def _clear(self, group: Group, waits: dict[str, Wait]) -> None:
        for op in group.ops:
            self.board.take(op)
        for wait in waits.values():
            self.board.take(wait.op)
        self.waits = waits

    def _place_op(self, group: Group, op: Op, lump: float, tier: Tier) -> None:
        low, high = self._end_bounds(group, op, lump, tier)
        if op.flexible:
            self._place_wait(group, op, low, high, lump, tier)
        else:
            self._place_work(op, low, high)

    def _end_bounds(self, group: Group, op: Op, lump: float, tier: Tier) -> tuple[float, float]:
        """Return the earliest and latest end that those who follow allow."""
        low, high = -inf, inf
        follow = self.followers.get(op.key, ())
        for after, lag in follow:
            if after.key in self.waits:
                wait = self.waits[after.key]
                wish = wait.wish if tier is Tier.IDEAL else wait.high
                low, high = max(low, wait.low - lag.most), min(high, wish - lag.least)
            elif after.key in self.board.slots:
                start = self.board.slots[after.key].start
                spare = 0.0 if op.flexible and abuts(lag) else self._spare(group, op, after, lump)
                low, high = max(low, start - lag.most), min(high, start - lag.least - spare)
        if not follow:
            high = down(group.needed_by) if op.tied is Tied.PLATES else group.target - lump
        return low, high

    @staticmethod
    def _spare(group: Group, op: Op, after: Op, lump: float) -> float:
        """Return the group's spare time, if it lies between these two: before plates-tied work,
        or before another group's.
        """
        if op.tied is Tied.PLATES:
            return 0.0
        if after.tied is Tied.PLATES:
            return lump + group.needed_by - group.target if group.served else lump
        return 0.0 if any(after.key == o.key for o in group.ops) else lump

    def _place_work(self, op: Op, low: float, high: float) -> None:
        minutes = op.ideal
        if op.start is not None:
            self._place_fixed(op, op.start, low, high)
            return
        slot = self.board.latest(op, minutes, low - minutes, high - minutes)
        if slot is None:
            self._give_up(op, minutes, low, high)
        else:
            self._book(op, slot)

    def _place_fixed(self, op: Op, start: float, low: float, high: float) -> None:
        end = start + op.ideal
        if end < low - _EPS:
            raise BlockedError(op.key, low - end, low)
        if end > high + _EPS:
            raise BlockedError(op.key, None)
        slot = self.board.fit(op, start, end)
        if slot is None and not op.pinned:
            slot = self.board.latest(op, op.ideal, start - _NEAR_MIN, start)
        if slot is None:
            raise BlockedError(op.key, None)
        self._book(op, slot)

    def _give_up(self, op: Op, minutes: float, low: float, high: float) -> None:
        earlier = self.board.latest(op, minutes, -inf, min(low, high) - minutes)
        shift = None if earlier is None else low - (earlier.start + minutes)
        raise BlockedError(op.key, shift, low)

    def _place_wait(
        self, group: Group, op: Op, low: float, high: float, lump: float, tier: Tier
    ) -> None:
        """A wait ends when its follower starts; its start is open until its forerunner ends."""
        if high < low - _EPS:
            raise BlockedError(op.key, low - high, low)
        if op.start is None and self._scarce(op):
            self._place_work(op, low, high)
            return
        most = op.hard if tier is Tier.OVER else min(op.most, op.hard)
        stays = [
            after
            for after, lag in self.followers.get(op.key, ())
            if abuts(lag) and not (after.key in self.waits and self.waits[after.key].loose)
        ]
        spare = max((self._spare(group, op, after, lump) for after in stays), default=0.0)
        earliest = max(high - most if stays else -inf, op.opens)
        latest = min(high - op.least, op.closes)
        wish = min(max(high - op.ideal - spare, earliest), latest)
        wait = Wait(op, high, earliest, wish, latest, loose=not stays)
        if op.start is not None:
            self._fix_wait(wait, op.start, low, most)
        elif any(abuts(lag) and lag.key not in self.board.slots for lag in op.after):
            self.waits[op.key] = wait
        else:
            self._settle(wait)

    def _scarce(self, op: Op) -> bool:
        """Return whether a wait fills a tub, so that the next lot has to take its turn."""
        places = [self.board.problem.places[name] for name in op.places]
        return bool(places) and all(p.room == 1 and not p.fire for p in places)

    def _fix_wait(self, wait: Wait, start: float, low: float, most: float) -> None:
        """A wait whose start is pinned: as long as planned, within what follows."""
        op = wait.op
        follow = self.followers.get(op.key, ())
        stays = any(abuts(lag) and after.key in self.board.slots for after, lag in follow)
        end = wait.end if stays else min(max(start + op.ideal, low), wait.end)
        if not op.least - _EPS <= end - start <= most + _EPS:
            raise BlockedError(op.key, None)
        slot = self.board.fit(op, start, end)
        if slot is None:
            raise BlockedError(op.key, None)
        self._book(op, slot)

    def _settle(self, wait: Wait) -> None:
        """Give a wait its own start: as planned if somebody is there, else the nearest that is."""
        op = wait.op
        around = sorted(
            {wait.wish, wait.low, wait.high}
            | {edge for hours in self.board.problem.hours for edge in hours}
            | {edge for edge in (op.opens, op.closes) if abs(edge) < inf},
            key=lambda start: (abs(start - wait.wish), start),
        )
        for start in around:
            if wait.low - _EPS <= start <= wait.high + _EPS and abs(start) < inf:
                slot = self.board.fit(op, start, wait.end_from(start))
                if slot is not None:
                    self._book(op, slot)
                    return
        slot = self.board.latest(op, op.ideal, wait.low, wait.wish)
        if slot is None or not wait.loose:
            earlier = self.board.latest(op, op.ideal, -inf, wait.low)
            raise BlockedError(op.key, wait.low - earlier.start if earlier else None, wait.low)
        self._book(op, slot)

    def _book(self, op: Op, slot: Slot) -> None:
        """Book it, and close every wait that was open on it, and those open on that."""
        self.board.put(op, slot)
        for after, _ in self.followers.get(op.key, ()):
            wait = self.waits.get(after.key)
            if wait is not None and all(lag.key in self.board.slots for lag in after.after):
                del self.waits[after.key]
                self._close(wait)

    def _close(self, wait: Wait) -> None:
        op = wait.op
        start = max(self.board.slots[lag.key].end + lag.least for lag in op.after)
        slot = self.board.fit(op, start, wait.end_from(start))
        if slot is None:
            raise BlockedError(op.key, GRID_MIN, start)
        self._book(op, slot)


def followers(groups: tuple[Group, ...]) -> dict[str, list[tuple[Op, Lag]]]:
    """Return who follows whom, over all groups."""
    found: dict[str, list[tuple[Op, Lag]]] = {}
    for group in groups:
        for op in group.ops:
            for lag in op.after:
                found.setdefault(lag.key, []).append((op, lag))
    return found
