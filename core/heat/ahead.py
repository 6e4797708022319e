"""From an ensemble to an answer: when it is there, what it should read, how far it carries."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.heat.course import Course, Leg, course
from core.heat.fit import Posterior, Trial
from core.heat.march import Members, Run, State, core_c, march, picked, probe_c
from core.heat.mesh import Mesh

Array = NDArray[np.float64]

SEED = 20_11  # the same draw every time: an answer must not flicker
SIZE = 80

_PAST_STEPS, _CHUNK_STEPS, _CHUNKS, _REST_STEPS = 90, 30, 5, 40
_GROW = 1.7  # each chunk ahead is this much longer than the one before


@dataclass(frozen=True, slots=True)
class Ensemble:
    """An ensemble's way: time s, the core and what the probe reads (time, member), °C.

    `arrive_s` is when each member's core reaches the target, inf if not within the horizon;
    `there` the state each is in then.
    """

    who: Members
    times_s: Array
    core: Array
    probe: Array
    arrive_s: Array
    there: State


@dataclass(frozen=True, slots=True)
class Rise:
    """How far each member's core carries over, K, and how long after pulling it peaks, s."""

    rise_k: Array
    after_s: Array


def _crossings(times: Array, core: Array, target_c: float) -> tuple[Array, NDArray[np.intp], Array]:
    """Return when each member first reaches the target, in which step, and how far into it."""
    over = core >= target_c
    reached = over.any(axis=0)
    last = np.where(reached, over.argmax(axis=0), core.shape[0] - 1)
    first = np.maximum(last - 1, 0)
    member = np.arange(core.shape[1])
    low, high = core[first, member], core[last, member]
    gap = np.where(high > low, high - low, 1.0)
    share = np.where(last > 0, np.clip((target_c - low) / gap, 0.0, 1.0), 0.0)
    when = times[first] + share * (times[last] - times[first])
    return np.where(reached, when, np.inf), first, share


def onward(
    trial: Trial, known: Posterior, target_c: float, now_s: float, guess_s: float, size: int = SIZE
) -> Ensemble:
    """Return the ensemble's way from going on until (nearly) all have reached the target.

    Parameters
    ----------
    trial, known
        The cook and what is known of it.
    target_c
        Core to reach, °C.
    now_s
        Seconds since it went on; finer steps up to here.
    guess_s
        About how long is left, s; only sets the step.
    size
        Members.
    """
    who = trial.members(known.drawn(size, SEED))
    shape = trial.shape
    runs: list[Run] = []
    chunk = max(guess_s, 60.0) / 1.5
    until, state = 0.0, None
    spans = ([(now_s, now_s / _PAST_STEPS)] if now_s > 0 else []) + [
        (chunk * _GROW**i, chunk * _GROW**i / _CHUNK_STEPS) for i in range(_CHUNKS)
    ]
    for length, step in spans:
        along = course(
            until + length, step, trial.fire, trial.legs, trial.turns_s, until, jumped=state is None
        )
        runs.append(march(shape, who, along, state, trial.boils_c))
        until, state = until + length, runs[-1].last
        if until > now_s and (core_c(shape, runs[-1])[-1] >= target_c).mean() > 0.985:
            break
    return _joined(shape, who, runs, target_c)


def _joined(shape: Mesh, who: Members, runs: list[Run], target_c: float) -> Ensemble:
    """Return the runs as one way, with each member's state as it reaches the target."""
    times = np.concatenate([run.times_s[(1 if i else 0) :] for i, run in enumerate(runs)])
    modes = np.concatenate([run.modes[(1 if i else 0) :] for i, run in enumerate(runs)])
    skins = np.concatenate([run.surface[(1 if i else 0) :] for i, run in enumerate(runs)])
    whole = Run(times, modes, runs[-1].last, skins, runs[-1].heat_j_m2, runs[-1].steam_j_m2)
    core = core_c(shape, whole)
    arrive, step, share = _crossings(times, core, target_c)
    member = np.arange(who.count)
    then = modes[step, member] * (1 - share)[:, None] + modes[step + 1, member] * share[:, None]
    dry = np.zeros((shape.faces, who.count))
    there = State(then, dry, skins[step, :, member].T, dry, np.ones(who.count))
    return Ensemble(who, times, core, probe_c(shape, who, whole), arrive, there)


def rest_course(rest: Leg, half_m: float, alpha: float) -> Course:
    """Return the time steps of a rest: long enough for the core to peak, fine at first."""
    until = 0.9 * half_m**2 / alpha
    return course(until, until / _REST_STEPS, ([0.0], [rest.air_c or 20.0]), (rest,))


def carried(trial: Trial, way: Ensemble, rest: Leg, which: NDArray[np.bool_]) -> Rise:
    """Return the carry-over of the members that reach the target, pulled as they do.

    Parameters
    ----------
    trial, way
        The cook and the ensemble's way through it.
    rest
        Air, film and cover of the rest.
    which
        Members to rest; those that never arrive are left out.
    """
    some = np.flatnonzero(which & np.isfinite(way.arrive_s))
    if not some.size:
        return Rise(np.zeros(0), np.zeros(0))
    who = picked(way.who, some)
    there = way.there
    start = State(
        there.modes[some],
        there.gone[:, some],
        there.surface[:, some],
        there.rate[:, some],
        there.bare[some],
    )
    body = trial.body
    along = rest_course(rest, float(np.median(who.half_m)), body.k / body.rho_c)
    run = march(trial.shape, who, along, start, trial.boils_c)
    core = core_c(trial.shape, run)
    return Rise(core.max(axis=0) - core[0], run.times_s[core.argmax(axis=0)])
