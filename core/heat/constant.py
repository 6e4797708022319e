"""A piece in surroundings that do not change: exact in time, by the modes of the whole."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from core.errors import OutOfRangeError
from core.heat.mesh import CELLS, mesh

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Decay:
    """How what is left of the difference fades: sum of `weights` x exp(-`rates` x Fourier)."""

    rates: Array
    core: Array
    surface: Array
    mean: Array

    def left(self, fourier: Array, where: str = "core") -> Array:
        """Return the fraction of the first difference left at core, surface or mean."""
        weights = {"core": self.core, "surface": self.surface, "mean": self.mean}[where]
        return np.asarray(np.exp(-np.outer(fourier, self.rates)) @ weights)


@lru_cache(maxsize=512)
def decay(beta: float, biot: float, cells: int = CELLS) -> Decay:
    """Return how a piece of this shape takes the temperature of its surroundings.

    Parameters
    ----------
    beta
        Shape exponent: 0 slab, 1 long cylinder, 2 sphere.
    biot
        Film coefficient x half thickness / conductivity, above 0; up to 1e6 (surface held).
    cells
        Over the half thickness.

    Examples
    --------
    >>> round(float(decay(0.0, 2.0).left(np.array([0.3]))[0]), 3)
    0.828
    """
    if not 0 < biot <= 1e6:
        raise OutOfRangeError("Biot number", biot, "above 0, up to 1e6")
    shape = mesh(beta, 1, cells)
    matrix = shape.conduction.copy()
    half = shape.width / 2
    matrix[-1, -1] += 1.0 / (1.0 / biot + half)
    root = np.sqrt(shape.volumes)
    rates, vectors = np.linalg.eigh(matrix / np.outer(root, root))
    start = vectors.T @ root
    cell = (vectors / root[:, None]) * start
    surface = cell[-1] * (1.0 / half) / (1.0 / half + biot)
    core = 1.125 * cell[0] - 0.125 * cell[1]
    mean = (shape.volumes @ cell) / shape.volumes.sum()
    return Decay(rates=rates, core=core, surface=surface, mean=mean)


def fourier_to(fading: Decay, left: float, where: str = "core") -> float:
    """Return the Fourier number at which only this fraction of the difference is left.

    Parameters
    ----------
    fading
        From `decay`.
    left
        Fraction, above 0 and below 1.

    Examples
    --------
    >>> round(fourier_to(decay(0.0, 2.0), 0.82778), 2)
    0.3
    """
    if not 0 < left < 1:
        raise OutOfRangeError("difference left", f"{left:.3g}", "above 0 and below 1")
    weights = {"core": fading.core, "surface": fading.surface, "mean": fading.mean}[where]
    low, high = 0.0, 1.0 / float(fading.rates[0])
    while float(np.exp(-high * fading.rates) @ weights) > left:
        low, high = high, high * 2
    for _ in range(60):
        middle = (low + high) / 2
        above = float(np.exp(-middle * fading.rates) @ weights) > left
        low, high = (middle, high) if above else (low, middle)
    return (low + high) / 2


def seconds_to(
    target_c: float,
    start_c: float,
    around_c: float,
    half_m: float,
    k: float,
    alpha: float,
    film_w_m2k: float,
    beta: float = 0.0,
    where: str = "core",
    cells: int = CELLS,
) -> float:
    """Return the time to a temperature in constant surroundings, without evaporation.

    Parameters
    ----------
    target_c, start_c, around_c
        °C; the target lies between start and surroundings.
    half_m
        Half the smallest dimension, m; the radius of a cylinder or sphere.
    k, alpha
        Conductivity W/(m K) and diffusivity m²/s.
    film_w_m2k
        Film coefficient, W/(m² K).
    beta
        Shape exponent.
    where
        core, surface or mean.

    Returns
    -------
    float
        Seconds.

    References
    ----------
    Series solutions of transient conduction (Çengel & Ghajar, Heat and Mass Transfer, ch. 4).

    Examples
    --------
    >>> round(seconds_to(57, 5, 130, 0.05, 0.45, 0.45 / 3.675e6, 20, beta=1.0), -2)
    6300.0
    """
    if start_c == around_c:
        raise OutOfRangeError("temperature", f"{around_c:g} °C", "different from the start")
    left = (target_c - around_c) / (start_c - around_c)
    if not 0 < left < 1:
        allowed = f"between {start_c:g} and {around_c:g} °C"
        raise OutOfRangeError("target", f"{target_c:g} °C", allowed)
    fading = decay(beta, film_w_m2k * half_m / k, cells)
    return fourier_to(fading, left, where) * half_m**2 / alpha
