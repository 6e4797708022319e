"""'No', explained: which fires are short of how many loads and when, and what would help.

The windows need no solver: fire-minutes that must fall between two moments against fire-minutes
there are (an energy check). They prove a shortage; not every shortage shows in them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from math import inf

from core.errors import CannotPlanError
from core.model import Cards, Clock, Finding, Label, Line, Plan, Qty, Value, say
from core.planner.assemble import Result
from core.planner.jobs import Group, Op
from core.planner.judge import IN_TIME, breaks_at, comfort_of, fit_of
from core.planner.kitchen import Kitchen
from core.planner.planning import kitchen_of
from core.planner.relief import Remedy, remedies, solved

_EPS = 1e-6


@dataclass(frozen=True, slots=True)
class Shortage:
    """A family of fires that cannot do what must be done on it between two moments."""

    family: str
    loads: float
    begins: datetime
    ends: datetime
    text: Line


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """Why a plan does not fit: in a line, by fires and windows, and what would make it fit."""

    fits: str
    why: Line | None
    shortages: tuple[Shortage, ...]
    remedies: tuple[Remedy, ...]


@dataclass(frozen=True, slots=True)
class Must:
    """A use of a fire: not before, over by, minutes, and how much of a fire it takes."""

    opens: float
    closes: float
    minutes: float


def explain(
    cards: Cards, *, heads: int | None = None, plates_at: datetime | None = None
) -> Diagnosis:
    """Return why these heads and plates do not fit, and up to three things that would help.

    Parameters
    ----------
    cards
        The event.
    heads, plates_at
        None means as on the card.

    Returns
    -------
    Diagnosis
        Where it breaks first, and remedies each solved again as true, cheapest first: one thing
        alone where that is enough, else the cheapest mix, and how many could be fed as it is.

    Raises
    ------
    CannotPlanError
        If no number of guests could be fed at all; its words are the explanation.
    """
    kitchen = kitchen_of(cards, heads, plates_at)
    try:
        result = solved(kitchen.cards, kitchen.heads, kitchen.shift)
    except CannotPlanError as error:
        found = remedies(kitchen)
        if not found:
            raise
        return Diagnosis("no", reason_of(error), (), found)
    verdict = fit_of(result)
    if verdict == "yes":
        return Diagnosis(verdict, None, (), ())
    short = shortages(result) if verdict == "no" else ()
    goal = IN_TIME if verdict == "no" else comfort_of(result)
    return Diagnosis(verdict, breaks_at(result), short, remedies(kitchen, spare=goal))


def impossible(cards: Cards, heads: int, error: CannotPlanError) -> Plan:
    """Return the answer where there is no plan at all: why, and what would make one."""
    found = remedies(Kitchen(cards, heads))
    why = Finding("short", say("{why}.", why=reason_of(error)))
    plates = min(cards.event.instant(s.start) for s in cards.event.serve)
    fixes = tuple(remedy.text for remedy in found)
    return Plan("A", heads, plates, (), (), fits="no", fixes=fixes, findings=(why,))


def reason_of(error: CannotPlanError) -> Line:
    """Return why there is no plan, as a line."""
    return Line(error.why, {name: _value(value) for name, value in error.values.items()})


def _value(value: object) -> Value:
    if isinstance(value, Label | Clock | Qty | Line):
        return value
    return Qty(float(value), "") if isinstance(value, int | float) else Line(str(value))


def shortages(result: Result) -> tuple[Shortage, ...]:
    """Return the worst window of every family of fires that is short, worst family first."""
    found = [s for family in _families(result) if (s := _worst(result, family)) is not None]
    return tuple(sorted(found, key=lambda s: (-s.loads, s.family)))


def _families(result: Result) -> list[str]:
    return sorted({p.family for p in result.problem.places.values() if p.fire})


def _musts(result: Result, family: str) -> Iterator[Must]:
    places = result.problem.places
    for group in result.problem.groups:
        if not group.served:
            continue
        for op in group.ops:
            if op.places and places[op.places[0]].family == family and not op.flexible:
                opens, closes = _window(result, group, op)
                yield Must(opens, closes, op.ideal * op.use)


def _window(result: Result, group: Group, op: Op) -> tuple[float, float]:
    """Return the earliest start and latest end of a fire step, as its hold and its guests allow."""
    shortest = _tail(result, op, longest=False)
    longest = _tail(result, op, longest=True)
    opens = group.floor - longest - op.ideal if group.floor > -inf else -inf
    if op.start is not None and op.pinned:
        opens = max(opens, op.start)
    return opens, group.needed_by - shortest


def _tail(result: Result, op: Op, *, longest: bool) -> float:
    """Return the minutes from the end of an op to ready, shortest or longest."""
    best = 0.0
    for group in result.problem.groups:
        for after in group.ops:
            for lag in after.after:
                if lag.key != op.key:
                    continue
                rest = _tail(result, after, longest=longest)
                own = _length(after, longest=longest)
                gap = lag.most if longest and lag.most < inf else lag.least
                best = max(best, gap + own + rest)
    return best


def _length(op: Op, *, longest: bool) -> float:
    """Return the shortest or longest a step takes; a wait without a most is as planned."""
    if not op.flexible:
        return op.ideal
    if not longest:
        return op.least
    return op.most if op.most < inf else op.ideal


def _worst(result: Result, family: str) -> Shortage | None:
    musts = list(_musts(result, family))
    room = sum(p.room for p in result.problem.places.values() if p.family == family)
    worst: tuple[float, float, float] | None = None
    for begins in sorted({m.opens for m in musts if m.opens > -inf}):
        for ends in sorted({m.closes for m in musts if m.closes > begins}):
            inside = [m for m in musts if m.opens >= begins - _EPS and m.closes <= ends + _EPS]
            short = sum(m.minutes for m in inside) - room * (ends - begins)
            loads = short / max((m.minutes for m in inside), default=1.0)
            if loads > _EPS and (worst is None or loads > worst[0]):
                worst = (loads, begins, ends)
    return None if worst is None else _shortage(result, family, *worst)


def _shortage(result: Result, family: str, loads: float, begins: float, ends: float) -> Shortage:
    clock = result.kitchen.clock
    return Shortage(
        family=family,
        loads=loads,
        begins=clock.instant(begins),
        ends=clock.instant(ends),
        text=say(
            "{station} is short by {loads} loads between {begins} and {ends}.",
            station=Label(family),
            loads=Qty(loads, "", 1),
            begins=Clock(clock.instant(begins)),
            ends=Clock(clock.instant(ends)),
        ),
    )
