"""What is assumed before anybody has measured, and what has been learned since.

A prior is a bell in eight numbers: its mean and a lower triangular root of its covariance. Film
coefficients, wetness, drying and probe depth are logarithms, half the thickness is the logarithm
of true over said, start and bias are K.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from math import log

import numpy as np
from numpy.typing import NDArray

from core.heat.composition import meat, mixed
from core.heat.march import Members
from core.heat.shape import brick_beta, checked_thickness_cm, ratios
from core.model import Piece, Source, StationKind
from core.tables.heat import heat_row, heat_source

Array = NDArray[np.float64]

NAMES = ("half", "film", "film_low", "wet", "dry", "depth", "start", "bias")
"""The eight unknowns, in order."""

USUAL_FAT = 0.12
_MEAN_C = 45.0  # where properties are taken for a whole cook; their change is within the fit


class Kind(StrEnum):
    """Classes of cook: low smoke, oven-like heat, direct heat with flips."""

    SMOKER = "smoker"
    OVEN = "oven"
    DIRECT = "direct"


@dataclass(frozen=True, slots=True)
class Prior:
    """A bell over the eight unknowns, how it was come by, and how wide its intervals must be.

    `widen` multiplies an interval, `drift` is the model's own error over the time so far (sd).
    `count` cooks were learned from, the last on `day`; 0 means the table's.
    """

    kind: Kind
    mean: tuple[float, ...]
    root: tuple[tuple[float, ...], ...]
    power: float
    widen: float
    drift: float
    source: Source
    count: int = 0
    day: date | None = None

    def values(self, whitened: Array) -> Array:
        """Return the eight unknowns for whitened numbers (member, 8)."""
        return np.asarray(np.array(self.mean) + whitened @ np.array(self.root).T)


@dataclass(frozen=True, slots=True)
class Body:
    """A piece for the model: half the thickness m, shape exponent, heat properties, start °C.

    `edges` is the true surface over that of the one-dimensional stand-in: corners and edges cool
    a resting piece that much faster.
    """

    half_m: float
    beta: float
    k: float
    rho_c: float
    start_c: float
    edges: float = 1.0


def kind_of(station: StationKind | None, fire_c: float | None, turns: int = 0) -> Kind:
    """Return the class of a cook from its station, the fire and whether the piece is turned.

    Examples
    --------
    >>> kind_of(StationKind.GRILL, 280.0, turns=1)
    <Kind.DIRECT: 'direct'>
    >>> kind_of(StationKind.SMOKER, 110.0)
    <Kind.SMOKER: 'smoker'>
    """
    if station is StationKind.GRIDDLE or (station is StationKind.GRILL and turns):
        return Kind.DIRECT
    hot = fire_c is not None and fire_c > 150
    if station is StationKind.SMOKER or (station is not StationKind.OVEN and not hot):
        return Kind.OVEN if hot else Kind.SMOKER
    return Kind.DIRECT if station is StationKind.GRILL and fire_c and fire_c > 200 else Kind.OVEN


def table_prior(kind: Kind, half_sd: float | None = None, start_sd: float | None = None) -> Prior:
    """Return the published and fitted assumptions for a class of cook.

    Parameters
    ----------
    kind
        Class of cook.
    half_sd
        How sure the thickness is, as the sd of its logarithm; None takes the table's.
    start_sd
        How sure the start temperature is, K; None takes the table's.

    Examples
    --------
    >>> round(table_prior(Kind.SMOKER).mean[1], 2)
    2.89
    """
    row = heat_row("priors", "kind", kind)
    logs = [
        (log(row[name][0]), row[name][1]) for name in ("film", "film_low", "wet", "dry", "depth")
    ]
    pairs = [(0.0, half_sd or row["half"]), *logs, (0.0, start_sd or row["start"]), row["bias"]]
    spread = np.diag([sd for _, sd in pairs])
    return Prior(
        kind=kind,
        mean=tuple(mean for mean, _ in pairs),
        root=tuple(tuple(line) for line in spread.tolist()),
        power=row["power"],
        widen=row["widen"],
        drift=row["drift"],
        source=heat_source("priors", row),
    )


def body_of(piece: Piece, prior: Prior, start_c: float) -> Body:
    """Return a piece for the model, its shape exponent at the film the prior expects.

    Raises
    ------
    OutOfRangeError
        If the thickness is missing or cannot be.

    Examples
    --------
    >>> body_of(Piece(thickness_cm=5.0), table_prior(Kind.SMOKER), 5.0).half_m
    0.025
    """
    made = mixed(meat(min(piece.fat if piece.fat is not None else USUAL_FAT, 0.6)), _MEAN_C)
    half_m = checked_thickness_cm(piece.thickness_cm) / 200
    long, wide = ratios(piece, made.rho)
    beta = 0.0
    if prior.kind is not Kind.DIRECT:
        biot = float(np.exp(prior.mean[1])) * half_m / made.k
        beta = round(brick_beta(long, wide, max(biot, 0.05)), 2)
    return Body(half_m, beta, made.k, made.rho_c, start_c, (1 + long + wide) / (1 + beta))


def members(prior: Prior, body: Body, whitened: Array, wrap_c: float = np.inf) -> Members:
    """Return the ensemble that these whitened numbers (member, 8) stand for.

    `wrap_c` is the core at which the piece will be wrapped, °C.
    """
    half, film, low, wet, dry, depth, start, bias = prior.values(whitened).T
    ones = np.ones_like(half)
    return Members(
        half_m=body.half_m * np.exp(half),
        k=body.k * ones,
        rho_c=body.rho_c * ones,
        film=np.exp(film),
        film_low=np.exp(low),
        wet=np.minimum(np.exp(wet), 1.0),
        dry_kg_m2=np.exp(dry),
        dry_power=prior.power * ones,
        bias_k=bias,
        start_c=body.start_c + start,
        rest=body.edges * ones,
        depth=np.minimum(np.exp(depth), 0.9),
        wrap_c=wrap_c * ones,
    )
