"""What a kitchen can ask for when it does not fit, each in levels from a little to a lot."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from core.model import (
    FIRES,
    Cards,
    Clock,
    Label,
    Line,
    Person,
    Qty,
    Role,
    Station,
    StationKind,
    say,
)
from core.planner.crewing import has_skill
from core.planner.kitchen import Kitchen

LATER_MIN = tuple(range(5, 95, 5))
"""Plates are not offered later than an hour and a half: no host waits longer."""

PACES = (0.9, 0.8, 0.7, 0.6, 0.5)
MORE = 2
"""More than two borrowed fires of a kind, or two extra people of a skill, are another kitchen."""


@dataclass(frozen=True, slots=True)
class Party:
    """What is planned: the cards, the guests, and the minutes that plates have moved."""

    cards: Cards
    heads: int
    shift: float = 0.0


@dataclass(frozen=True, slots=True)
class Lever:
    """One thing to ask for: what it is, what it costs (for order only), and its levels."""

    kind: str
    cost: int
    levels: int
    pulled: Callable[[Party, int], Party]
    words: Callable[[int], Line]


def levers(kitchen: Kitchen) -> tuple[Lever, ...]:
    """Return everything that can be asked for, cheapest first."""
    return (
        *_later(kitchen),
        *_slower(kitchen),
        *_kit(kitchen),
        *_people(kitchen),
    )


def at_most(heads: int) -> Line:
    """Return the words for so many guests and no more."""
    return say("{heads} guests at most", heads=Qty(heads, "", 0))


def _later(kitchen: Kitchen) -> Iterator[Lever]:
    """First plates so many minutes later."""
    at: datetime = kitchen.clock.instant(kitchen.plates)

    def pulled(party: Party, level: int) -> Party:
        return replace(party, shift=party.shift + LATER_MIN[level])

    def words(level: int) -> Line:
        minutes = LATER_MIN[level]
        return say(
            "first plates {minutes} later, at {at}",
            minutes=Qty(minutes, "min", 0),
            at=Clock(at + timedelta(minutes=minutes)),
        )

    yield Lever("later", 1, len(LATER_MIN), pulled, words)


def _slower(kitchen: Kitchen) -> Iterator[Lever]:
    """Guests let go more slowly; half a guest a minute is as fine as a lane can be held."""
    fastest = max((row.per_min for row in kitchen.cards.event.serve if row.per_min), default=0.0)
    steps = dict.fromkeys(round(fastest * part * 2) / 2 for part in PACES)
    paces = [pace for pace in steps if 0 < pace < fastest]

    def pulled(party: Party, level: int) -> Party:
        event = party.cards.event
        rows = tuple(
            replace(s, per_min=min(s.per_min, paces[level])) if s.per_min else s
            for s in event.serve
        )
        return replace(party, cards=replace(party.cards, event=replace(event, serve=rows)))

    def words(level: int) -> Line:
        return say("{pace} guests a minute", pace=Qty(paces[level], "", None))

    if paces:
        yield Lever("slower", 2, len(paces), pulled, words)


def _kit(kitchen: Kitchen) -> Iterator[Lever]:
    """One or two more of a fire or a tub that is there already and that food needs."""
    used = {s.id for d in kitchen.dishes for step in d.steps for s in kitchen.stations(step)}
    stations = [s for s in kitchen.cards.kit.stations if s.id in used and s.kind in _BORROWED]
    for family in dict.fromkeys(s.family or s.id for s in stations):
        like = next(s for s in stations if (s.family or s.id) == family)
        yield Lever("kit", _kit_cost(like), MORE, _with_more(like), _more_words(family))


_BORROWED = FIRES | {StationKind.TUB}


def _kit_cost(like: Station) -> int:
    return 3 if like.kind is StationKind.TUB else 5


def _with_more(like: Station) -> Callable[[Party, int], Party]:
    def pulled(party: Party, level: int) -> Party:
        cards = party.cards
        for _ in range(level + 1):
            cards = with_station(cards, like)
        return replace(party, cards=cards)

    return pulled


def _more_words(family: str) -> Callable[[int], Line]:
    def words(level: int) -> Line:
        if not level:
            return say("one more {station}", station=Label(family))
        return say("{n} more {station}", n=Qty(level + 1, "", 0), station=Label(family))

    return words


def with_station(cards: Cards, like: Station) -> Cards:
    """Return the cards with one more station like this one, to be had wherever it is."""
    family = like.family or like.id
    taken = {s.id for s in cards.kit.stations}
    name = next(f"{family}{'+' * n}" for n in range(1, 99) if f"{family}{'+' * n}" not in taken)
    only = f"{family}1" if like.id == family else like.id  # else its own name would mean it alone
    same = tuple(
        replace(s, id=only, family=family) if s.id == like.id else s for s in cards.kit.stations
    )
    more = replace(like, id=name, family=family)
    return replace(cards, kit=replace(cards.kit, stations=(*same, more)))


def _people(kitchen: Kitchen) -> Iterator[Lever]:
    """One or two more people with a skill that steps ask for."""
    skills = dict.fromkeys(s.skill for d in kitchen.dishes for s in d.steps if s.skill)
    for skill in skills:
        able = [p for p in kitchen.cards.crew if has_skill(p, skill)]
        if able:
            yield Lever("person", 6, MORE, _with_person(skill, able), _person_words(skill))


def _with_person(skill: str, able: list[Person]) -> Callable[[Party, int], Party]:
    role = Role.RAW if all(p.role is Role.RAW for p in able) else Role.CREW

    def pulled(party: Party, level: int) -> Party:
        more = tuple(
            Person(f"{skill}+{n}", skill, role, skills=(skill,), shifts=able[0].shifts)
            for n in range(level + 1)
        )
        return replace(party, cards=replace(party.cards, crew=(*party.cards.crew, *more)))

    return pulled


def _person_words(skill: str) -> Callable[[int], Line]:
    def words(level: int) -> Line:
        if not level:
            return say("one more person who can {skill}", skill=Label(skill))
        return say("{n} more people who can {skill}", n=Qty(level + 1, "", 0), skill=Label(skill))

    return words
