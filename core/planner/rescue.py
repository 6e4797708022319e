"""On the day, where there is no plan: what breaks first and when, and what would make one.

Every remedy is solved again from where the day stands before it is said. Fires that are out may
come back by a time, a fire may be borrowed and lit, plates may go out later, a dish may be left
out, or fewer be fed. A limit of food safety is never on offer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import partial
from itertools import islice
from math import inf

from core.errors import CannotPlanError
from core.model import Cards, Clock, Label, Line, Plan, Progress, Qty, say
from core.planner.build import problem_of
from core.planner.explaining import reason_of
from core.planner.judge import IN_TIME
from core.planner.levers import LATER_MIN, with_station
from core.planner.planning import kitchen_of
from core.planner.replanning import replan, unpinned

ENOUGH = 2
BACK_STEP_MIN = 10.0
"""When a fire has to be back is told to ten minutes."""


@dataclass(frozen=True, slots=True)
class Rescue:
    """Why there is no plan, since when plates are missing, and up to two things that would help.

    `feeds` is how many guests are fed in time from here, where fewer is the remedy.
    """

    why: Line
    at: datetime | None
    remedies: tuple[Line, ...]
    feeds: int | None = None


@dataclass(frozen=True)
class Stand:
    """Where the day stands: what is tried again with one thing changed, and how late it may be."""

    cards: Cards
    old: Plan
    progress: Progress
    heads: int
    plates_at: datetime
    late_min: float = -IN_TIME

    def spare(self) -> float | None:
        """Return the minutes the tightest load has in hand; None where there is no plan."""
        try:
            made = replan(
                self.cards, self.old, self.progress, heads=self.heads,
                plates_at=self.plates_at, letter="?", reason="",
            )  # fmt: skip
        except CannotPlanError:
            return None
        return min((load.slack_min for load in made.loads), default=0.0)

    def good(self) -> bool:
        """Return whether everybody is served, as late as may be."""
        spare = self.spare()
        return spare is not None and spare >= -self.late_min

    def said(self, what: Line) -> Line:
        """Return what was changed, with the minutes somebody then is late."""
        spare = self.spare()
        if spare is None or spare >= IN_TIME:
            return what
        return say("{what}: {late} late", what=what, late=Qty(-spare, "min", 0))


def rescue(
    cards: Cards,
    old: Plan,
    progress: Progress,
    error: CannotPlanError,
    *,
    heads: int | None = None,
    plates_at: datetime | None = None,
) -> Rescue:
    """Return what breaks first, and what would help.

    Parameters
    ----------
    cards, old, progress
        As given to the re-plan that failed.
    error
        What it said.
    heads, plates_at
        None means those of the plan in force.

    Returns
    -------
    Rescue
        Up to two remedies, each re-planned as true from this moment, cheapest first.
    """
    stand = Stand(
        cards,
        old,
        progress,
        old.heads if heads is None else heads,
        old.plates_at if plates_at is None else plates_at,
    )
    at = _missing_from(stand, error)
    feeds = _feeds(stand) if stand.heads > old.heads else None
    fewer = [] if feeds is None else [say("{heads} guests at most", heads=Qty(feeds, "", 0))]
    found = [*fewer, *islice(_remedies(stand, error), ENOUGH - len(fewer))]
    if not found:  # nothing holds plates: what gives a plan at all, however late
        found = list(islice(_remedies(replace(stand, late_min=inf), error), ENOUGH))
    return Rescue(_why(cards, error, at), at, tuple(found), feeds)


def _why(cards: Cards, error: CannotPlanError, at: datetime | None) -> Line:
    """Return why, with the dish by its name and when its plates are missing."""
    names = {dish.id: dish.name for dish in cards.dishes}
    said = error.values.get("dish")
    values = {**error.values, "dish": Label(names[said])} if said in names else error.values
    why = reason_of(CannotPlanError(error.why, **values))
    return why if at is None else say("{why}, needed {at}", why=why, at=Clock(at))


def _missing_from(stand: Stand, error: CannotPlanError) -> datetime | None:
    """Return when the first portion of what finds no place is eaten."""
    load = str(error.values.get("load", "")).split(".", maxsplit=1)[0]
    kitchen = kitchen_of(unpinned(stand.cards, stand.progress), stand.heads, stand.plates_at)
    try:
        groups = problem_of(kitchen).groups
    except CannotPlanError:
        return None
    dish = error.values.get("dish")
    mine = [g for g in groups if g.served and g.dish == dish and g.name == load]
    return kitchen.clock.instant(mine[0].needed_by) if mine else None


def _remedies(stand: Stand, error: CannotPlanError) -> Iterator[Line]:
    """Yield what makes a plan, cheapest first."""
    yield from _back(stand)
    yield from _borrowed(stand)
    if not stand.progress.down:
        yield from _later(stand)
    yield from _without(stand, str(error.values.get("dish", "")))


def _back(stand: Stand) -> Iterator[Line]:
    """A fire that is out, the first of its kind, back by the latest time at which plates hold."""
    families: set[str] = set()
    left_min = (stand.plates_at - stand.progress.now).total_seconds() / 60
    for station, (_, until) in sorted(stand.progress.down.items()):
        family = next(s.family or s.id for s in stand.cards.kit.stations if s.id == station)
        if until is None and family not in families:
            families.add(family)
            good = partial(_good_by, stand, station)
            steps = _most(int(left_min // BACK_STEP_MIN), good)
            then = _by(stand, station, steps)
            at = then.progress.down[station][1]
            if steps and at is not None:
                yield then.said(
                    say("{station} hot again by {at}", station=Label(station), at=Clock(at))
                )


def _good_by(stand: Stand, station: str, steps: int) -> bool:
    return _by(stand, station, steps).good()


def _by(stand: Stand, station: str, steps: int) -> Stand:
    """Return the day with a fire back so many ten minutes from now."""
    at = stand.progress.now + timedelta(minutes=steps * BACK_STEP_MIN)
    down = {**stand.progress.down, station: (stand.progress.down[station][0], at)}
    return replace(stand, progress=replace(stand.progress, down=down))


def _borrowed(stand: Stand) -> Iterator[Line]:
    """One more of a fire that is out, lit now."""
    families: dict[str, None] = {}
    for station in stand.cards.kit.stations:
        family = station.family or station.id
        if station.id not in stand.progress.down or family in families:
            continue
        families[family] = None
        more = replace(stand, cards=with_station(stand.cards, station))
        if more.good():
            yield more.said(say("one more {station}, lit now", station=Label(family)))


def _later(stand: Stand) -> Iterator[Line]:
    """Plates later, by the least that gives everybody theirs."""

    def moved(level: int) -> Stand:
        return replace(stand, plates_at=stand.plates_at + timedelta(minutes=LATER_MIN[level]))

    if not moved(len(LATER_MIN) - 1).good():
        return
    low, high = -1, len(LATER_MIN) - 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if moved(middle).good() else (middle, high)
    minutes = LATER_MIN[high]
    yield say("first plates {minutes} later, at {at}", minutes=Qty(minutes, "min", 0),
              at=Clock(moved(high).plates_at))  # fmt: skip


def _without(stand: Stand, dish: str) -> Iterator[Line]:
    """The rest of the menu, if what finds no place is left out or made another dish."""
    event = stand.cards.event
    menu = tuple(item for item in event.menu if item.dish != dish)
    if not menu or len(menu) == len(event.menu):
        return
    rows = tuple(
        replace(row, dishes=tuple(d for d in row.dishes if d != dish))
        for row in event.serve
        if not row.dishes or any(d != dish for d in row.dishes)
    )
    pins = tuple(pin for pin in event.pins if pin.dish != dish)
    rest = replace(event, menu=menu, serve=rows, pins=pins)
    tried = replace(stand, cards=replace(stand.cards, event=rest))
    name = next(d.name for d in stand.cards.dishes if d.id == dish)
    if tried.good():
        yield tried.said(
            say("another dish for {dish}, the rest at {at}", dish=Label(name),
                at=Clock(stand.plates_at))
        )  # fmt: skip


def _feeds(stand: Stand) -> int | None:
    """Return the most guests, up to those asked for, that are fed in time; None if none more."""
    least = stand.old.heads
    span = stand.heads - least
    more = _most(span, lambda n: replace(stand, heads=least + n).good())
    return least + more if more or replace(stand, heads=least).good() else None


def _most(top: int, good: Callable[[int], bool]) -> int:
    """Return the most, up to `top`, that is good, taking less to be no harder; 0 if nothing is."""
    low, high = 0, top + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if good(middle) else (low, middle)
    return low
