"""The most likely cook behind a few sparse readings, and how sure that is.

Gauss-Newton on the batched model: each round runs the present guess and one nudge of each unknown
side by side. What is known afterwards is a bell (Laplace), drawn as an ensemble.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.heat.course import Leg, course
from core.heat.march import Members, Run, march, probe_c
from core.heat.mesh import Mesh, mesh
from core.heat.prior import NAMES, Body, Kind, Prior, members

Array = NDArray[np.float64]

NOISE_K = 1.3
"""One typed reading against the model, sd; probes, places and the model's own errors together."""

_NUDGE = 0.05
_STEPS = 90
_ROUNDS = 8


@dataclass(frozen=True, slots=True)
class Trial:
    """One cook for the model: piece, prior, and what happens around it, in s since it went on.

    `wrap_c` is the core at which it is to be wrapped; a wrapping that has happened is a leg.
    """

    body: Body
    prior: Prior
    fire: tuple[tuple[float, ...], tuple[float, ...]]
    legs: tuple[Leg, ...] = (Leg(0.0),)
    turns_s: tuple[float, ...] = ()
    boils_c: float = 100.0
    wrap_c: float = np.inf

    @property
    def shape(self) -> Mesh:
        """Return the mesh: two faces for direct heat, else half the piece."""
        return mesh(self.body.beta, 2 if self.prior.kind is Kind.DIRECT else 1)

    def members(self, whitened: Array) -> Members:
        """Return the ensemble that these whitened numbers stand for."""
        return members(self.prior, self.body, whitened, self.wrap_c)

    def run(self, whitened: Array, until_s: float, steps: int = _STEPS) -> Run:
        """Return the ensemble's way from going on until then."""
        along = course(until_s, until_s / steps, self.fire, self.legs, self.turns_s)
        return march(
            self.shape, members(self.prior, self.body, whitened), along, None, self.boils_c
        )

    def read(self, whitened: Array, times_s: Array) -> Array:
        """Return what each member's probe reads at these times (member, time), °C."""
        until = float(times_s.max())
        if until <= 0:
            return np.repeat(self.members(whitened).start_c[:, None], times_s.size, axis=1)
        run = self.run(whitened, until)
        read = probe_c(self.shape, self.members(whitened), run)
        return np.stack([np.interp(times_s, run.times_s, line) for line in read.T])


@dataclass(frozen=True, slots=True)
class Posterior:
    """A bell over the whitened unknowns; `root` is a triangular root of its covariance.

    `read_c` is what the most likely cook reads at the readings' times.
    """

    mean: Array
    root: Array
    read_c: Array

    def drawn(self, count: int, seed: int) -> Array:
        """Return an ensemble: the mean first, then pairs on both sides of it."""
        bell = np.random.default_rng(seed).standard_normal((count // 2, self.mean.size))
        both = np.concatenate((np.zeros((1, self.mean.size)), bell, -bell))
        return np.clip(self.mean + both @ self.root.T, -4.0, 4.0)


def before(trial: Trial) -> Posterior:
    """Return what is known without a reading: the prior."""
    size = len(trial.prior.mean)
    return Posterior(np.zeros(size), np.eye(size), np.zeros(0))


def fitted(
    trial: Trial, times_s: Sequence[float], core_c: Sequence[float], noise_k: float = NOISE_K
) -> Posterior:
    """Return the most likely cook behind the readings, and how sure that is.

    Parameters
    ----------
    trial
        Piece, prior, fire.
    times_s, core_c
        Readings of the core: seconds since the food went on, °C. At least one.
    noise_k
        One reading against the model, sd, K.

    Returns
    -------
    Posterior
        Maximum a posteriori by damped Gauss-Newton; covariance from the last Jacobian. Many
        readings of one probe share their errors, so the noise grows once there are more than 8.
    """
    times, core = np.array(times_s, float), np.array(core_c, float)
    noise = noise_k * max(1.0, times.size / 8) ** 0.5
    size = len(NAMES)
    nudges = np.concatenate((np.zeros((1, size)), _NUDGE * np.eye(size)))
    best, best_cost, step = np.zeros(size), np.inf, np.zeros(size)
    slope, left, read = np.zeros((times.size, size)), core, core
    for _ in range(_ROUNDS):
        point = np.clip(best + step, -4.0, 4.0)
        table = trial.read(point + nudges, times)
        miss = (core - table[0]) / noise
        cost = float(miss @ miss + point @ point)
        if cost > best_cost * (1 + 1e-6):
            step = step / 3
        else:
            small = best_cost - cost < 1e-2
            best, best_cost, left, read = point, cost, miss, table[0]
            slope = ((table[1:] - table[0]) / _NUDGE / noise).T
            if small:
                break
            step = np.linalg.solve(slope.T @ slope + np.eye(size), slope.T @ left - best)
            step *= min(1.0, 2.0 / max(float(np.abs(step).max()), 1e-9))
        if float(np.abs(step).max()) < 0.03:
            break
    spread = np.linalg.inv(slope.T @ slope + np.eye(size))
    return Posterior(best, np.linalg.cholesky(spread), read)
