"""Exact series of transient conduction by scipy, for slab, cylinder, sphere and between.

The section grows with the distance to the power `beta`; the modes are x**nu J_-nu(lambda x) with
nu = (1 - beta) / 2 (Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed.).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import gamma, jv

Array = NDArray[np.float64]


def roots(beta: float, biot: float, count: int = 60) -> Array:
    """Return the first eigenvalues: lambda J_m+1(lambda) = Bi J_m(lambda), m = (beta - 1) / 2."""
    order = (beta - 1) / 2

    def gap(x: float) -> float:
        return float(x * jv(order + 1, x) - biot * jv(order, x))

    grid = np.linspace(1e-6, (count + 2) * np.pi, 40 * count)
    values = np.array([gap(x) for x in grid])
    found = [
        brentq(gap, grid[i], grid[i + 1], xtol=1e-13)
        for i in range(grid.size - 1)
        if values[i] * values[i + 1] < 0
    ]
    return np.array(found[:count])


def theta(beta: float, biot: float, fourier: float, x: float = 0.0, count: int = 60) -> float:
    """Return the fraction of the first difference left at x (0 middle, 1 surface)."""
    order = (beta - 1) / 2
    total = 0.0
    for root in roots(beta, biot, count):
        edge, inside = jv(order, root), jv(order + 1, root)
        norm = 0.5 * (edge**2 + inside**2 - 2 * order / root * edge * inside)
        weight = inside / root / norm
        if x == 0.0:
            shape = (root / 2) ** order / gamma(order + 1)
        else:
            shape = x**-order * jv(order, root * x)
        total += weight * shape * np.exp(-(root**2) * fourier)
    return float(total)


def seconds_to(
    beta: float,
    half_m: float,
    film: float,
    start: float,
    around: float,
    to: float,
    k: float,
    a: float,
) -> float:
    """Return the exact time to a core temperature, s."""
    biot = film * half_m / k
    left = (to - around) / (start - around)
    fourier = brentq(lambda f: theta(beta, biot, f) - left, 1e-3, 60.0, xtol=1e-10)
    return float(fourier * half_m**2 / a)
