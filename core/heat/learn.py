"""What the house learns: each pulled load says something of its fire and cut, and it adds up.

Readings tell combinations of the unknowns (a thick piece on a hard fire reads like a thinner one
on a soft), so what a load says is kept as a whole: how much it is worth in every direction, free
of what was assumed before. Loads of one cook add up to that cook; cooks add up to the house, never
surer than cooks differ among themselves. Count and date of the last go along.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

import numpy as np
from numpy.typing import NDArray

from core.facts import HeatKnown, HeatLearned
from core.heat.card import House, house
from core.heat.fit import NOISE_K, Trial, fitted
from core.heat.pit import Pit
from core.heat.prior import NAMES, Kind, Prior, table_prior
from core.heat.readings import believable, sort_readings
from core.model import Piece, Reading, Source, Step

Array = NDArray[np.float64]

_OF_THE_DAY = ("depth", "start")
"""The probe's place and the start are new each time; the rest belongs to fire and cut."""

_BETWEEN = 0.5
"""Share of the first variance that is between cooks of one fire and cut, and so never learned away:
smaller shares made bands too narrow on synthetic cooks."""

_MISFIT_SDS = 3.5


@dataclass(frozen=True, slots=True)
class Lesson:
    """What one load or cook says of the unknowns: worth (inverse covariance) and worth x mean."""

    told: tuple[float, ...]
    worth: tuple[tuple[float, ...], ...]


def lesson_of(
    step: Step,
    piece: Piece,
    pit: Pit,
    readings: Sequence[Reading],
    start: datetime,
    end: datetime,
) -> Lesson | None:
    """Return what a pulled load says of its fire and cut.

    Parameters
    ----------
    step, piece, pit, readings
        As for the estimate.
    start, end
        On and off.

    Returns
    -------
    Lesson | None
        None without a usable reading, and where no cook of the model reads like that: a probe in
        the wrong place teaches nothing.
    """
    known = house(piece, step, pit.kind, 0.0, pit.set_c)
    hottest = max(pit.set_c, *pit.fire(start)[1])
    turns = tuple(60 * t for t in step.turns_min)
    body = known.body
    sorted_ = sort_readings(readings, start, end, hottest)
    usable = believable(sorted_, hottest, body, pit.kind).usable
    if not usable:
        return None
    trial = Trial(body, known.prior, pit.fire(start), pit.legs(start), turns, boils_c=pit.boils_c)
    times = [(r.at - start).total_seconds() for r in usable]
    cores = known.meant(np.array([r.value for r in usable], float))
    return lesson_of_trial(trial, times, cores.tolist())


def lesson_of_trial(
    trial: Trial, times_s: Sequence[float], core_c: Sequence[float]
) -> Lesson | None:
    """Return what a cook says, from its times and cores; None where nothing reads like that."""
    found = fitted(trial, times_s, core_c)
    if float(np.abs(np.array(core_c) - found.read_c).max()) > _MISFIT_SDS * NOISE_K:
        return None
    size = len(NAMES)
    back = np.linalg.inv(np.array(trial.prior.root))
    after = np.linalg.inv(found.root @ found.root.T)
    worth = back.T @ (after - np.eye(size)) @ back
    told = back.T @ (after @ found.mean) + worth @ np.array(trial.prior.mean)
    return _lesson(told, (worth + worth.T) / 2)


def _lesson(told: Array, worth: Array) -> Lesson:
    return Lesson(tuple(told.tolist()), tuple(tuple(line) for line in worth.tolist()))


def of_one_cook(lesson: Lesson, kind: Kind) -> Lesson:
    """Return what a cook says of the house: less sure by what cooks differ among themselves."""
    table = np.array(table_prior(kind).root)
    share = np.array([1.0 if name in _OF_THE_DAY else _BETWEEN for name in NAMES])
    between = np.sqrt(np.outer(share, share)) * (table @ table.T)
    worth = np.array(lesson.worth)
    damp = np.linalg.inv(np.eye(len(NAMES)) + worth @ between)
    return _lesson(damp @ np.array(lesson.told), damp @ worth)


def summed(lessons: Sequence[Lesson]) -> Lesson:
    """Return what several loads or cooks say together."""
    told = np.sum([np.array(one.told) for one in lessons], axis=0)
    worth = np.sum([np.array(one.worth) for one in lessons], axis=0)
    return _lesson(told, worth)


def known_of(facts: Sequence[HeatLearned]) -> HeatKnown:
    """Return what all these loads of one fire, cut and step taught, with how many cooks they were.

    Parameters
    ----------
    facts
        At least one; loads of one cook are one cook.
    """
    kind = Kind(facts[0].kind)
    cooks: dict[str, list[Lesson]] = {}
    for fact in facts:
        cooks.setdefault(fact.cook, []).append(Lesson(fact.told, fact.worth))
    whole = summed([of_one_cook(summed(loads), kind) for loads in cooks.values()])
    first = facts[0]
    return HeatKnown(
        fire=first.fire,
        cut=first.cut,
        step=first.step,
        kind=first.kind,
        told=whole.told,
        worth=whole.worth,
        cooks=len(cooks),
        day=max(fact.on for fact in facts).date(),
    )


def learned(base: Prior, known: HeatKnown | None) -> Prior:
    """Return what is assumed of the next cook: the base, moved by what the house has learned.

    Parameters
    ----------
    base
        The card's calibration, or the table's.
    known
        What this fire and cut taught; None leaves the base.

    Returns
    -------
    Prior
        Its source names how many cooks and the day of the last.

    Notes
    -----
    A cook that says nothing about an unknown moves it by nothing; many cooks leave half of the
    first uncertainty, which is the next day's own.

    Examples
    --------
    >>> base = table_prior(Kind.SMOKER)
    >>> learned(base, None) is base
    True
    """
    if known is None or known.kind != base.kind:
        return base
    root = np.array(base.root)
    spread = root @ root.T
    first = np.linalg.inv((1 - _BETWEEN) * spread)
    worth = first + np.array(known.worth)
    mean = np.linalg.solve(worth, first @ np.array(base.mean) + np.array(known.told))
    after = np.linalg.inv(worth) + _BETWEEN * spread
    lower = np.linalg.cholesky((after + after.T) / 2)
    return replace(
        base,
        mean=tuple(mean.tolist()),
        root=tuple(tuple(line) for line in lower.tolist()),
        source=learned_source(known.cooks, known.day),
        count=known.cooks,
        day=known.day,
    )


def learned_source(cooks: int, day: date) -> Source:
    """Return what an answer cites for numbers the house learned: how many cooks, the last when.

    Examples
    --------
    >>> learned_source(3, date(2026, 5, 3)).title
    'house, 3 cooks, last 2026-05-03'
    """
    count = f"{cooks} cooks" if cooks != 1 else "1 cook"
    return Source("house", f"house, {count}, last {day.isoformat()}", "", "house")


def taught(known: House, heat: HeatKnown | None) -> House:
    """Return a tested step with what the house has learned of its fire since."""
    if heat is None:
        return known
    return replace(known, prior=learned(known.prior, heat))


def counted(known: House, heat: HeatKnown | None) -> House:
    """Return a step whose card already holds what these cooks taught: only its source says so."""
    if heat is None:
        return known
    source = learned_source(heat.cooks, heat.day)
    prior = replace(known.prior, source=source, count=heat.cooks, day=heat.day)
    return replace(known, prior=prior)
