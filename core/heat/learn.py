"""What the house learns: each cook's fit, kept, makes the next prior of this fire and this cut.

A fit is what one cook said about the unknowns, with how surely. Fits are averaged by their worth,
never faster than the cooks differ among themselves; the prior says how many cooks it rests on
and when the last one was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

import numpy as np
from numpy.typing import NDArray

from core.heat.fit import Trial, fitted
from core.heat.pit import Pit
from core.heat.prior import NAMES, Kind, Prior, body_of, table_prior
from core.heat.readings import sort_readings
from core.model import Piece, Reading, Source, Step

Array = NDArray[np.float64]

_LEARNED = ("half", "film", "film_low", "wet", "dry", "bias")
"""What belongs to fire and cut; the start and the probe's place are new each time."""

_BETWEEN = 0.5
"""Cooks of one fire and cut differ among themselves by about half of what fires do."""


@dataclass(frozen=True, slots=True)
class CookFit:
    """One cook's fit: the day, the fire and cut it was of, mean and sd of the eight unknowns."""

    day: date
    fire: str
    cut: str
    kind: Kind
    mean: tuple[float, ...]
    sd: tuple[float, ...]


def fit_of(
    step: Step,
    piece: Piece,
    pit: Pit,
    readings: Sequence[Reading],
    start: datetime,
    end: datetime,
    fire: str,
    cut: str,
) -> CookFit | None:
    """Return what a finished cook says, judged against the table's assumptions.

    Parameters
    ----------
    step, piece, pit, readings
        As for the estimate.
    start, end
        On and off.
    fire, cut
        The station's family and the dish, under which it is kept.

    Returns
    -------
    CookFit | None
        None without a usable reading.
    """
    prior = table_prior(pit.kind)
    body = body_of(piece, prior, 5.0 if step.start_temp_c is None else step.start_temp_c)
    usable = sort_readings(readings, start, end, max(pit.set_c, *pit.fire(start)[1])).usable
    if not usable:
        return None
    turns = tuple(60 * t for t in step.turns_min)
    trial = Trial(body, prior, pit.fire(start), pit.legs(start), turns, pit.boils_c)
    times = [(r.at - start).total_seconds() for r in usable]
    return fit_of_trial(trial, times, [r.value for r in usable], start.date(), fire, cut)


def fit_of_trial(
    trial: Trial, times_s: Sequence[float], core_c: Sequence[float], day: date, fire: str, cut: str
) -> CookFit:
    """Return what a cook says, from its times and cores."""
    found = fitted(trial, times_s, core_c)
    root = np.array(trial.prior.root) @ found.root
    sd = np.sqrt((root**2).sum(axis=1))
    mean = trial.prior.values(found.mean[None])[0]
    return CookFit(day, fire, cut, trial.prior.kind, tuple(mean.tolist()), tuple(sd.tolist()))


def learned(kind: Kind, fits: Sequence[CookFit]) -> Prior:
    """Return the prior that these cooks of one fire and cut make.

    Parameters
    ----------
    kind
        Class of cook; fits of another are passed over.
    fits
        In any order; none gives the table's assumptions.

    Returns
    -------
    Prior
        Its source names how many cooks and the day of the last.

    Notes
    -----
    Each fit already holds the table's prior; that is taken out again first, so that a cook which
    says nothing about an unknown moves it by nothing.

    Examples
    --------
    >>> learned(Kind.SMOKER, ()).count
    0
    """
    table = table_prior(kind)
    used = [fit for fit in fits if fit.kind is kind]
    if not used:
        return table
    first = np.array(table.mean)
    spread = np.sqrt((np.array(table.root) ** 2).sum(axis=1))
    mean, sd = first.copy(), spread.copy()
    for i, name in enumerate(NAMES):
        if name in _LEARNED:
            mean[i], sd[i] = _learned_one(first[i], spread[i], used, i)
    last = max(fit.day for fit in used)
    return replace(
        table,
        mean=tuple(mean.tolist()),
        root=tuple(tuple(line) for line in np.diag(sd).tolist()),
        source=Source("house", f"house, {len(used)} cooks, last {last.isoformat()}", "", "house"),
        count=len(used),
        day=last,
    )


def _learned_one(
    first: float, spread: float, fits: Sequence[CookFit], which: int
) -> tuple[float, float]:
    """Return mean and sd of one unknown for the next cook."""
    between = (_BETWEEN * spread) ** 2
    weight, total = 1.0 / spread**2, first / spread**2
    for fit in fits:
        told = 1.0 - min((fit.sd[which] / spread) ** 2, 0.999)
        if told < 0.02:
            continue
        said = first + (fit.mean[which] - first) / told
        worth = 1.0 / (fit.sd[which] ** 2 / told + between)
        weight, total = weight + worth, total + worth * said
    return total / weight, float(np.sqrt(1.0 / weight + between))
