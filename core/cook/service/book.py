"""The service as its facts made it. `serviced` books one of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import assert_never

from core.facts.service import (
    Came,
    FoodOut,
    LeftCounted,
    Muted,
    PlatesCounted,
    PortionSet,
    QueueSeen,
    ServiceFact,
    ServiceHeld,
    ServiceRestarted,
    TimerSet,
    TimerStopped,
)


@dataclass(frozen=True, slots=True)
class Count:
    """Plates counted at an instant: `total` past a lane, `out` past all of them."""

    at: datetime
    lane: str
    total: int
    out: int


@dataclass(frozen=True, slots=True)
class Left:
    """What was counted as left of a dish, and how many plates were out then."""

    at: datetime
    amount: float
    unit: str
    out: int


@dataclass(frozen=True, slots=True)
class Held:
    """A stretch in which nothing went out; `until` None while it lasts. `by` held it."""

    since: datetime
    reason: str
    by: str
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class Stood:
    """A tub, box or dish: when it was opened, dressed, put on the line; its stretches out.

    A stretch ends when it is put back, and is not forgotten: time out of temperature adds up.
    """

    came: Mapping[Came, datetime]
    spans: tuple[tuple[datetime, datetime | None], ...] = ()
    dish: str = ""

    @property
    def since(self) -> datetime | None:
        """Return since when it stands out now; None while it is back."""
        last = self.spans[-1] if self.spans else None
        return last[0] if last is not None and last[1] is None else None

    @property
    def before_min(self) -> float:
        """Return the minutes of the stretches that are over."""
        ended = ((a, b) for a, b in self.spans if b is not None)
        return sum((b - a).total_seconds() / 60 for a, b in ended)


@dataclass(frozen=True, slots=True)
class Queue:
    """A line of guests as somebody saw it."""

    at: datetime
    deep: int | None
    per_min: float | None
    lane: str


@dataclass(frozen=True, slots=True)
class ServiceBook:
    """Everything known of service and silence. Empty until its first fact."""

    muted: Mapping[str, datetime] = field(default_factory=dict)
    timers: Mapping[str, TimerSet] = field(default_factory=dict)
    counts: tuple[Count, ...] = ()
    each: int | None = None
    left: Mapping[str, Left] = field(default_factory=dict)
    holds: tuple[Held, ...] = ()
    stood: Mapping[str, Stood] = field(default_factory=dict)
    queues: tuple[Queue, ...] = ()
    portions: Mapping[str, PortionSet] = field(default_factory=dict)

    @property
    def out(self) -> int:
        """Return how many plates went out as far as anybody counted."""
        return self.counts[-1].out if self.counts else 0

    @property
    def held(self) -> Held | None:
        """Return the hold that lasts now; None while plates go out."""
        last = self.holds[-1] if self.holds else None
        return last if last is not None and last.until is None else None

    def lane_total(self, lane: str) -> int:
        """Return what was last counted past a lane."""
        return next((c.total for c in reversed(self.counts) if c.lane == lane), 0)

    def held_min(self, start: datetime, end: datetime) -> float:
        """Return the minutes between two instants in which nothing went out."""
        spans = ((max(h.since, start), min(h.until or end, end)) for h in self.holds)
        return sum(max(b - a, timedelta()).total_seconds() / 60 for a, b in spans)


def serviced(book: ServiceBook, fact: ServiceFact, at: datetime, by: str) -> ServiceBook:
    """Return the book after one more fact, which happened at `at`."""
    match fact:
        case Muted(person=person, until=until):
            return replace(book, muted={**book.muted, person: until})
        case TimerSet(timer=timer):
            return replace(book, timers={**book.timers, timer: fact})
        case TimerStopped(timer=timer):
            return replace(book, timers={k: t for k, t in book.timers.items() if k != timer})
        case PlatesCounted(lane=lane, total=total, out=out, each=each):
            count = Count(at, lane, total, out)
            return replace(book, counts=(*book.counts, count), each=each or book.each)
        case LeftCounted(dish=dish, amount=amount, unit=unit):
            left = Left(at, amount, unit, book.out)
            return replace(book, left={**book.left, dish: left})
        case ServiceHeld(reason=reason):
            return replace(book, holds=(*book.holds, Held(at, reason, by)))
        case ServiceRestarted():
            last = replace(book.holds[-1], until=at) if book.held else None
            return replace(book, holds=(*book.holds[:-1], last)) if last else book
        case FoodOut() as out:
            return replace(book, stood=_stood(book.stood, out, at))
        case QueueSeen(deep=deep, per_min=per_min, lane=lane):
            return replace(book, queues=(*book.queues, Queue(at, deep, per_min, lane)))
        case PortionSet(dish=dish):
            return replace(book, portions={**book.portions, dish: fact})
        case _:
            assert_never(fact)


def _stood(stood: Mapping[str, Stood], fact: FoodOut, at: datetime) -> Mapping[str, Stood]:
    was = stood.get(fact.what, Stood({}))
    came = {**was.came, fact.came: at}
    spans = was.spans
    if fact.came is Came.BACK and was.since is not None:
        spans = (*spans[:-1], (was.since, max(at, was.since)))
    elif fact.came is not Came.BACK and was.since is None:
        spans = (*spans, (at, None))
    elif fact.came is not Came.BACK and was.since is not None and at < was.since:
        spans = (*spans[:-1], (at, None))  # told later, but earlier
    return {**stood, fact.what: Stood(came, spans, fact.dish or was.dish)}
