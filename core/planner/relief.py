"""What would help when a plan does not fit: one thing changed at a time, and solved to be true.

Cheapest first: asking the host for minutes, then slower lanes, then a borrowed fire or pair of
hands, then fewer guests. A limit of food safety is never on offer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from core.errors import CannotPlanError
from core.model import FIRES, Cards, Clock, Label, Line, Person, Qty, Role, Station, say
from core.planner.assemble import Result
from core.planner.build import problem_of
from core.planner.judge import fit_of
from core.planner.kitchen import Kitchen
from core.planner.listing import list_schedule
from core.planner.validate import validate, validate_gaps

ENOUGH = 3
LATEST_MIN = 90
"""Plates are not offered later than this; no host waits longer."""

_PACES = (0.9, 0.8, 0.7, 0.6, 0.5)
_FEWER_STEP = 0.02


@dataclass(frozen=True, slots=True)
class Remedy:
    """One thing that makes it fit: in words, and the cards or numbers that were solved."""

    kind: str
    text: Line
    cards: Cards
    heads: int
    shift: float = 0.0


def solved(cards: Cards, heads: int, shift: float = 0.0) -> Result:
    """Return the solved problem for these cards.

    Raises
    ------
    CannotPlanError
        If there is no plan.
    """
    kitchen = Kitchen(cards, heads, shift)
    validate(kitchen)
    problem = problem_of(kitchen)
    validate_gaps(problem)
    return Result(kitchen, problem, list_schedule(problem))


def fits(cards: Cards, heads: int, shift: float = 0.0) -> str:
    """Return 'yes', 'tight' or 'no', as a plan would say."""
    try:
        return fit_of(solved(cards, heads, shift))
    except CannotPlanError:
        return "no"


def remedies(result: Result, most: int = ENOUGH) -> tuple[Remedy, ...]:
    """Return up to `most` remedies for a plan that does not fit, cheapest first."""
    found: list[Remedy] = []
    for offer in (_later, _slower, _one_more_fire, _one_more_person, _fewer):
        remedy = next(offer(result.kitchen), None)
        if remedy is not None:
            found.append(remedy)
        if len(found) == most:
            break
    return tuple(found)


def _least(low: int, high: int, good: Callable[[int], bool]) -> int | None:
    """Return the least whole number in (low, high] that is good, if `high` is."""
    if not good(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if good(middle) else (middle, high)
    return high


def _later(kitchen: Kitchen) -> Iterator[Remedy]:
    """First plates so many minutes later."""
    cards, heads = kitchen.cards, kitchen.heads

    def good(minutes: int) -> bool:
        return fits(cards, heads, kitchen.shift + minutes) != "no"

    minutes = _least(0, LATEST_MIN, good)
    if minutes is not None:
        at: datetime = kitchen.clock.instant(kitchen.plates) + timedelta(minutes=minutes)
        text = say(
            "first plates {minutes} later, at {at}", minutes=Qty(minutes, "min", 0), at=Clock(at)
        )
        yield Remedy("later", text, cards, heads, kitchen.shift + minutes)


def _slower(kitchen: Kitchen) -> Iterator[Remedy]:
    """Guests let go more slowly."""
    event = kitchen.cards.event
    paces = [row.per_min for row in event.serve if row.per_min]
    if not paces:
        return
    for part in _PACES:
        pace = round(max(paces) * part * 2) / 2
        rows = tuple(
            replace(s, per_min=min(s.per_min, pace)) if s.per_min else s for s in event.serve
        )
        cards = replace(kitchen.cards, event=replace(event, serve=rows))
        if pace > 0 and fits(cards, kitchen.heads, kitchen.shift) != "no":
            text = say("{pace} guests a minute", pace=Qty(pace, "", None))
            yield Remedy("slower", text, cards, kitchen.heads, kitchen.shift)
            return


def _one_more_fire(kitchen: Kitchen) -> Iterator[Remedy]:
    """One more of a fire that is there already."""
    stations = kitchen.cards.kit.stations
    families = dict.fromkeys(s.family or s.id for s in stations if s.kind in FIRES)
    for family in families:
        like = next(s for s in stations if (s.family or s.id) == family)
        cards = with_station(kitchen.cards, like)
        if fits(cards, kitchen.heads, kitchen.shift) != "no":
            text = say("one more {station}", station=Label(family))
            yield Remedy("fire", text, cards, kitchen.heads, kitchen.shift)


def with_station(cards: Cards, like: Station) -> Cards:
    """Return the cards with one more station like this one."""
    family = like.family or like.id
    more = replace(like, id=f"{family}+", family=family)
    same = tuple(replace(s, family=family) if s.id == like.id else s for s in cards.kit.stations)
    return replace(cards, kit=replace(cards.kit, stations=(*same, more)))


def _one_more_person(kitchen: Kitchen) -> Iterator[Remedy]:
    """One more pair of hands with a skill that steps ask for."""
    cards = kitchen.cards
    skills = dict.fromkeys(s.skill for d in kitchen.dishes for s in d.steps if s.skill)
    for skill in skills:
        able = [p for p in cards.crew if skill in p.skills]
        if not able:
            continue
        more = Person(f"{skill}+", skill, Role.CREW, skills=(skill,), shifts=able[0].shifts)
        richer = replace(cards, crew=(*cards.crew, more))
        if fits(richer, kitchen.heads, kitchen.shift) != "no":
            text = say("one more person who can {skill}", skill=Label(skill))
            yield Remedy("person", text, richer, kitchen.heads, kitchen.shift)


def _fewer(kitchen: Kitchen) -> Iterator[Remedy]:
    """Fewer guests."""
    cards, heads = kitchen.cards, kitchen.heads
    step = max(int(heads * _FEWER_STEP), 1)

    def good(steps: int) -> bool:
        return heads - steps * step >= 1 and fits(cards, heads - steps * step) != "no"

    steps = _least(0, (heads - 1) // step, good) if heads > step else None
    if steps is not None:
        fed = heads - steps * step
        text = say("{heads} guests at most", heads=Qty(fed, "", 0))
        yield Remedy("fewer", text, cards, fed, kitchen.shift)
