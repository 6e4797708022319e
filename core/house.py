"""What the house knows: measured means and what fires and cuts taught, replayed from its stream.

Three logged cooks make a mean worth showing in place of the card's number; the heat model uses
what one cook taught, weighed by how sure it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import reduce
from typing import assert_never

from core.facts import (
    CookLearned,
    Entry,
    HeatKnown,
    HeatLearned,
    HouseFact,
    HouseForgot,
    HouseTaken,
    Known,
    Measure,
    MeasurementTaken,
)
from core.model import Cards
from core.scaling.yields import Measured, State

STREAM = "house"
"""The name of the house's stream of facts."""

ENOUGH_COOKS = 3
"""From so many logged cooks on the house's mean stands in place of the card's or a table's."""

_STATES = {Measure.YIELD: State.COOKED, Measure.TRIM: State.TRIMMED}


@dataclass(frozen=True, slots=True)
class House:
    """The house as its facts made it, by (cook, what): a cook counts once in every mean."""

    seq: int = 0
    measured: Mapping[tuple[str, str], MeasurementTaken] = field(default_factory=dict)
    heat: Mapping[tuple[str, str], HeatLearned] = field(default_factory=dict)
    done: frozenset[str] = frozenset()

    def of_cook(self, cook: str) -> dict[str, HouseFact]:
        """Return what was learned from one cook, by what it is of."""
        found: dict[str, HouseFact] = {w: f for (c, w), f in self.measured.items() if c == cook}
        return found | {w: f for (c, w), f in self.heat.items() if c == cook}

    def known(self, kind: Measure, subject: str) -> Known | None:
        """Return the mean of one measure over all cooks; None if nobody measured it."""
        what = what_of(kind, subject)
        return _mean([fact for (_, w), fact in self.measured.items() if w == what])

    def all_known(self) -> tuple[Known, ...]:
        """Return every measured mean, by kind and subject."""
        pairs = sorted({(f.kind, f.subject) for f in self.measured.values()})
        means = [self.known(kind, subject) for kind, subject in pairs]
        return tuple(mean for mean in means if mean is not None)

    def taken(self, cards: Cards) -> HouseTaken:
        """Return what the house knows of these cards: what a cook that starts now will use."""
        names = {d.id for d in cards.dishes} | {i.name for d in cards.dishes for i in d.ingredients}
        fires = {s.family or s.id for s in cards.kit.stations}
        measured = [k for k in self.all_known() if _head(k) in {n.casefold() for n in names}]
        return HouseTaken(tuple(measured), self._heat_known(names, fires))

    def _heat_known(self, cuts: set[str], fires: set[str]) -> tuple[HeatKnown, ...]:
        groups: dict[tuple[str, str, str, str], list[HeatLearned]] = {}
        for fact in self.heat.values():
            if fact.cut in cuts and fact.fire in fires:
                groups.setdefault((fact.fire, fact.cut, fact.step, fact.kind), []).append(fact)
        if not groups:
            return ()
        from core.heat.learn import known_of

        return tuple(known_of(groups[key]) for key in sorted(groups))


def what_of(kind: Measure, subject: str) -> str:
    """Return under what a measurement is kept: one of a kind and subject a cook."""
    return f"{kind.value}/{subject.casefold()}"


def _head(known: Known) -> str:
    """Return the good or dish a measure is of: 'lamb' of 'lamb/smoke'."""
    return known.subject.split("/")[0].casefold()


def _mean(facts: Sequence[MeasurementTaken]) -> Known | None:
    """Return the mean over cooks, each weighed once: ten loads of one day are one day."""
    if not facts:
        return None
    last = max(facts, key=lambda f: f.at)
    value = sum(f.value for f in facts) / len(facts)
    loads = sum(f.n for f in facts)
    return Known(last.kind, last.subject, value, last.unit, len(facts), loads, last.at.date())


def evolve_house(house: House, entry: Entry) -> House:
    """Return the house after one more entry of its stream."""
    booked = replace(house, seq=entry.seq)
    fact = entry.fact
    if not isinstance(fact, HouseFact):
        return booked
    match fact:
        case MeasurementTaken():
            key = (fact.cook, what_of(fact.kind, fact.subject))
            return replace(booked, measured={**house.measured, key: fact})
        case HeatLearned():
            return replace(booked, heat={**house.heat, (fact.cook, fact.run): fact})
        case HouseForgot(cook=cook, what=what):
            gone = (cook, what)
            measured = {k: v for k, v in house.measured.items() if k != gone}
            heat = {k: v for k, v in house.heat.items() if k != gone}
            return replace(booked, measured=measured, heat=heat)
        case CookLearned(cook=cook):
            return replace(booked, done=house.done | {cook})
        case HouseTaken():
            return booked  # a cook's own fact; the house's stream has none
        case _:
            assert_never(fact)


def replay_house(entries: Iterable[Entry]) -> House:
    """Return the house that a stream describes."""
    return reduce(evolve_house, entries, House())


def yields_of(taken: HouseTaken) -> tuple[Measured, ...]:
    """Return the measured yields that stand in place of a card's: of three cooks or more.

    Examples
    --------
    >>> from datetime import date
    >>> known = Known(Measure.YIELD, "pork collar", 0.77, "", 3, 9, date(2026, 5, 3))
    >>> yields_of(HouseTaken((known,)))[0].fraction
    0.77
    """
    return tuple(
        Measured(known.subject, _STATES[known.kind], known.value, known.cooks)
        for known in taken.measured
        if known.kind in _STATES and known.cooks >= ENOUGH_COOKS
    )
