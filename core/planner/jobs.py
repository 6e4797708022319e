"""The planner's own nouns: what must be done, on what, by whom, in minutes from the event's day.

Minute 0 is midnight, site time, at the start of the event's day; the day before is negative. All
lengths are multiples of half a minute, rounded up, so that a plan speaks in times a cook can use.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import ceil, floor, inf

from core.model import Tied

GRID_MIN = 0.5
_EXACT = 1e-6


def up(minutes: float) -> float:
    """Round up to the grid.

    Examples
    --------
    >>> up(11.66), up(4.5)
    (12.0, 4.5)
    """
    return ceil(minutes / GRID_MIN - _EXACT) * GRID_MIN


def down(minutes: float) -> float:
    """Round down to the grid.

    Examples
    --------
    >>> down(13.617)
    13.5
    """
    return floor(minutes / GRID_MIN + _EXACT) * GRID_MIN


@dataclass(frozen=True, slots=True)
class Lag:
    """So long from the end of `key` to the start of what follows: at least, at most."""

    key: str
    least: float = 0.0
    most: float = inf


@dataclass(frozen=True, slots=True)
class Touch:
    """Hands on a step for part of it: from `offset` minutes after its start, by people `able`."""

    offset: float
    minutes: float
    hands: int
    able: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Op:
    """One step of one load, lot or batch: the smallest thing that gets a time.

    `places` are the stations it may take, best first; empty means it takes none that can be full.
    `use` is how much of one it takes. A fire has `temp_c` or None for 'whatever it burns at'.
    `ideal` minutes are planned; a wait (`flexible`) may be anything from `least` to `most`, and in
    need to `hard`. `able` are people, best first; `owner` hears of it where no hands are busy.
    `start` is fixed, by a pin or by plates; `opens, closes` bound the start. `uses` are litres or
    places of a pool. `touches` are the moments hands are needed, where not all along.
    """

    key: str
    dish: str
    load: str
    unit: str
    index: int
    step: str
    do: str
    count: int
    ideal: float
    least: float
    most: float
    hard: float
    flexible: bool = False
    station: str | None = None
    places: tuple[str, ...] = ()
    use: int = 1
    temp_c: float | None = None
    hands: int = 0
    able: tuple[str, ...] = ()
    after: tuple[Lag, ...] = ()
    tied: Tied = Tied.ELASTIC
    start: float | None = None
    pinned: bool = False
    opens: float = -inf
    closes: float = inf
    attended: bool = False
    uses: tuple[tuple[str, int], ...] = ()
    touches: tuple[Touch, ...] = ()

    def work(self, minutes: float) -> tuple[Touch, ...]:
        """Return when hands are on it, if it takes so long."""
        if self.touches or not self.hands:
            return self.touches
        return (Touch(0.0, minutes, self.hands, self.able),)


@dataclass(frozen=True, slots=True)
class Group:
    """Ops that move together: a load, or a dish's steps that no load runs through.

    `needed_by` its first portion is eaten, `last_by` its last; `floor` is the earliest it may be
    ready and still be good for the last; `target` when it should be ready. `served` marks a load,
    `finish` the plates-tied work of a dish that goes out all at once.
    """

    id: str
    dish: str
    number: int
    name: str
    count: int
    ops: tuple[Op, ...]
    needed_by: float = inf
    last_by: float = inf
    floor: float = -inf
    target: float = inf
    finish: bool = False
    served: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """A station that can be full: `room` racks, pots or pairs of elbows.

    Two temperatures on one fire need `hotter` or `cooler` minutes between them; the same needs
    `turn`; after food went on, the next goes on at once or after `recovery`.
    """

    id: str
    family: str
    room: int = 1
    fire: bool = False
    turn: float = 0.0
    hotter_min_per_k: float = 0.0
    cooler_min_per_k: float = 0.0
    hotter: float | None = None
    cooler: float | None = None
    heat_up: float = 0.0
    recovery: float = 0.0
    opens: float = -inf
    down: tuple[tuple[float, float], ...] = ()

    def change_over(self, before_c: float | None, after_c: float | None) -> float:
        """Minutes between two uses at these temperatures.

        Examples
        --------
        >>> Place("G1", "G", hotter=10, cooler=15).change_over(200, 260)
        10
        """
        if before_c is None or after_c is None or abs(before_c - after_c) <= SAME_FIRE_K:
            return self.turn
        gap_k = after_c - before_c
        if gap_k > 0:
            fixed, slope = self.hotter, self.hotter_min_per_k
        else:
            fixed, slope = self.cooler, self.cooler_min_per_k
        return max(self.turn, fixed if fixed is not None else up(abs(gap_k) * slope))


SAME_FIRE_K = 5.0
"""Fires this close together count as one temperature; common practice (stable is within 10)."""


@dataclass(frozen=True, slots=True)
class Hand:
    """A person: when on shift, how long a break is owed (begun when), which stations are theirs."""

    id: str
    shifts: tuple[tuple[float, float], ...]
    break_min: float = 0.0
    stands: frozenset[str] = frozenset()
    break_window: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Appetite:
    """What is eaten of a dish: (minute, portions) in order of time.

    Portions may wait `ideal` minutes for free and `limit` at most.
    """

    dish: str
    lumps: tuple[tuple[float, int], ...]
    ideal: float
    limit: float

    @property
    def total(self) -> int:
        """Return all portions."""
        return sum(portions for _, portions in self.lumps)


@dataclass(frozen=True, slots=True)
class Problem:
    """All of it. `hours` are when somebody is there at all; `pools` what there is of litres."""

    groups: tuple[Group, ...]
    places: Mapping[str, Place]
    hands: Mapping[str, Hand]
    plates: float
    slack: float = 0.0
    hours: tuple[tuple[float, float], ...] = ()
    pools: Mapping[str, int] = field(default_factory=dict)
    appetites: Mapping[str, Appetite] = field(default_factory=dict)

    def ops(self) -> dict[str, Op]:
        """Return every op by key."""
        return {op.key: op for group in self.groups for op in group.ops}


@dataclass(frozen=True, slots=True)
class Slot:
    """Where an op has landed; `work` is who is busy with it from when to when."""

    start: float
    end: float
    place: str | None = None
    crew: tuple[str, ...] = ()
    work: tuple[tuple[str, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Schedule:
    """Every op's slot, what made it, and how sure that is."""

    slots: Mapping[str, Slot]
    engine: str = "list"
    status: str = "fallback"
    broken_pins: tuple[str, ...] = ()
    score: tuple[float, ...] = field(default=())
    bound: float | None = None
