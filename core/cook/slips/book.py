"""What the facts of slips amount to. Booked only: every judgement was made before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TypeVar, assert_never

from core.facts.slips import (
    GoodsShort,
    LoadMoving,
    LotsMissed,
    PersonArrived,
    PersonAway,
    ServedApart,
    SlipFact,
    StationBack,
    StationDown,
    StationLent,
    Supply,
    SupplyFailed,
    SupplyRestored,
    WeatherSet,
    Why,
)

V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Outage:
    """Something out of use since then; `until` None where nobody knows."""

    since: datetime
    why: Why
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class SlipsBook:
    """What is out of use, away, lent or short now.

    `settled` are the stations and people a plan adopted since has taken into account; what is not
    in it waits for somebody's tap. `split` says who eats what, where the count came with it.
    """

    down: Mapping[str, Outage] = field(default_factory=dict)
    away: Mapping[str, tuple[datetime, datetime | None]] = field(default_factory=dict)
    lent: Mapping[str, StationLent] = field(default_factory=dict)
    moving: Mapping[str, LoadMoving] = field(default_factory=dict)
    weather: WeatherSet | None = None
    weather_since: datetime | None = None
    failed: Mapping[Supply, datetime] = field(default_factory=dict)
    missed: tuple[LotsMissed, ...] = ()
    short: tuple[GoodsShort, ...] = ()
    apart: Mapping[str, float] = field(default_factory=dict)
    split: Mapping[str, int] | None = None
    settled: frozenset[str] = frozenset()

    def decided(self) -> SlipsBook:
        """Return the book without what nobody has decided on yet."""
        return replace(
            self,
            down={k: v for k, v in self.down.items() if k in self.settled},
            away={k: v for k, v in self.away.items() if k in self.settled},
        )

    @property
    def open(self) -> frozenset[str]:
        """Return the stations and people no plan has taken into account yet."""
        return frozenset({*self.down, *self.away}) - self.settled


def booked_slip(book: SlipsBook, fact: SlipFact, at: datetime) -> SlipsBook:
    """Return the book after one more fact."""
    match fact:
        case StationDown(station=name, why=why, until=until):
            down = {**book.down, name: Outage(at, why, until)}
            return replace(book, down=down, settled=book.settled - {name})
        case StationBack(station=name):
            return replace(book, down=_without(book.down, name))
        case StationLent(station=name):
            return replace(book, lent={**book.lent, name: fact})
        case LoadMoving(run=run):
            return replace(book, moving={**book.moving, run: fact})
        case WeatherSet():
            bare = fact == WeatherSet()
            return replace(book, weather=None if bare else fact, weather_since=fact.start or at)
        case SupplyFailed(what=what):
            return replace(book, failed={**book.failed, what: at})
        case SupplyRestored(what=what):
            return replace(book, failed={k: v for k, v in book.failed.items() if k != what})
        case PersonAway(person=person, start=start, until=until):
            away = {**book.away, person: (start, until)}
            return replace(book, away=away, settled=book.settled - {person})
        case PersonArrived(person=person):
            return replace(book, away=_without(book.away, person))
        case LotsMissed():
            return replace(book, missed=(*book.missed, fact))
        case GoodsShort():
            return replace(book, short=(*book.short, fact))
        case ServedApart(minutes=minutes):
            return replace(book, apart={**book.apart, **minutes})
        case _:
            assert_never(fact)


def settled(book: SlipsBook) -> SlipsBook:
    """Return the book once a plan was adopted: it was made with all that was known."""
    return replace(book, settled=frozenset({*book.down, *book.away}))


def _without(known: Mapping[str, V], name: str) -> dict[str, V]:
    return {key: value for key, value in known.items() if key != name}
