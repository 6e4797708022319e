"""What a new plan changes against the old: elastic, tied to plates, tied to the world, for whom."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from core.model import Load, Plan, StepRun, Task, Tied
from core.planner.truth import old_items

SAME_MIN = 0.75
"""A move smaller than this is none."""


@dataclass(frozen=True, slots=True)
class Moved:
    """One run or task that starts at another time, on another station or by other people."""

    key: str
    do: str
    minutes: float
    start: datetime
    station: str | None
    crew: tuple[str, ...]
    tied: Tied


@dataclass(frozen=True, slots=True)
class Changes:
    """All of it. `slack_eaten_min` is the most any load lost, `rest_eaten_min` the most any wait.

    `loads_added` and `loads_dropped` are load ids; `concerned` the people whose work moved, is new
    or fell away; everybody else need not hear of it.
    """

    plates_min: float
    heads: int
    elastic: tuple[Moved, ...]
    plates: tuple[Moved, ...]
    world: tuple[Moved, ...]
    slack_eaten_min: float
    rest_eaten_min: float
    loads_added: tuple[str, ...]
    loads_dropped: tuple[str, ...]
    concerned: tuple[str, ...]

    @property
    def nothing(self) -> bool:
        """Return whether the two plans are the same to the crew."""
        return not (
            self.elastic
            or self.plates
            or self.world
            or self.loads_added
            or self.loads_dropped
            or self.heads
            or abs(self.plates_min) > SAME_MIN
        )


def changes(old: Plan, new: Plan) -> Changes:
    """Return what `new` changes for those who know `old`."""
    was, now = old_items(old), old_items(new)
    both = [key for key in now if key in was]
    moved = [m for key in both if (m := _moved(key, was[key], now[key])) is not None]
    people = {p for m in moved for p in (*m.crew, *was[m.key].crew)}
    for key in set(was) ^ set(now):
        people.update((now.get(key) or was[key]).crew)
    return Changes(
        plates_min=_minutes(new.plates_at, old.plates_at),
        heads=new.heads - old.heads,
        elastic=_tied(moved, Tied.ELASTIC),
        plates=_tied(moved, Tied.PLATES),
        world=_tied(moved, Tied.WORLD),
        slack_eaten_min=_slack_eaten(old.loads, new.loads),
        rest_eaten_min=max((_shorter(was[k], now[k]) for k in both), default=0.0),
        loads_added=tuple(x.id for x in new.loads if old.load(x.id) is None),
        loads_dropped=tuple(x.id for x in old.loads if new.load(x.id) is None),
        concerned=tuple(sorted(people)),
    )


def _minutes(later: datetime, earlier: datetime) -> float:
    return round((later - earlier).total_seconds() / 60, 2)


def _moved(key: str, was: StepRun | Task, now: StepRun | Task) -> Moved | None:
    minutes = _minutes(now.start, was.start)
    if abs(minutes) <= SAME_MIN and now.station == was.station and now.crew == was.crew:
        return None
    return Moved(key, now.do, minutes, now.start, now.station, now.crew, now.tied)


def _tied(moved: Iterable[Moved], tied: Tied) -> tuple[Moved, ...]:
    return tuple(sorted((m for m in moved if m.tied is tied), key=lambda m: (m.start, m.key)))


def _slack_eaten(old: tuple[Load, ...], new: tuple[Load, ...]) -> float:
    was = {load.id: load.slack_min for load in old}
    return max((was[x.id] - x.slack_min for x in new if x.id in was), default=0.0)


def _shorter(was: StepRun | Task, now: StepRun | Task) -> float:
    """Return the minutes a wait lost; 0 for work, which takes what it takes."""
    if isinstance(now, StepRun) and now.on_fire:
        return 0.0
    return max(_minutes(was.end, was.start) - _minutes(now.end, now.start), 0.0)
