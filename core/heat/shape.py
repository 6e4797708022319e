"""How round a piece is, as one number, and what of it the card tells."""

from __future__ import annotations

from functools import cache
from math import log, sqrt

import numpy as np
from numpy.typing import NDArray

from core.errors import OutOfRangeError
from core.model import Piece
from core.tables.heat import heat_table

Array = NDArray[np.float64]

_ASPECT = 1.3
"""Length over width of a piece of which only weight and thickness are known; common practice."""

THICKNESS_CM = (0.3, 60.0)
"""What a cook can mean by the thickness of one piece."""


@cache
def _table(form: str) -> Array:
    return np.array(heat_table("shapes")["exponent"][form])


def _weights(axis: Array, value: float) -> tuple[int, float]:
    """Return where a value lies on an axis: the cell below and the share of the one above."""
    at = float(np.interp(value, axis, np.arange(axis.size)))
    low = min(int(at), axis.size - 2)
    return low, at - low


def brick_beta(ratio_a: float, ratio_b: float, biot: float) -> float:
    """Return the shape exponent of a brick.

    Parameters
    ----------
    ratio_a, ratio_b
        Smallest dimension over each of the other two, 0 to 1.
    biot
        Over half the smallest dimension; outside 0.1 to 30 the nearest is taken.

    References
    ----------
    Product solutions, Carslaw & Jaeger, Conduction of Heat in Solids.

    Examples
    --------
    >>> round(brick_beta(1.0, 1.0, 8.0), 2)
    1.25
    """
    block, up = _weights(np.log(_table("biot")), log(biot))
    table = _table("brick")
    i, share_i = _weights(_table("ratio"), ratio_a)
    j, share_j = _weights(_table("ratio"), ratio_b)
    corner = table[block] * (1 - up) + table[block + 1] * up
    first = corner[i] * (1 - share_i) + corner[i + 1] * share_i
    return float(first[j] * (1 - share_j) + first[j + 1] * share_j)


def round_beta(form: str, ratio: float, biot: float) -> float:
    """Return the shape exponent of a `rod` (diameter/length) or `disc` (thickness/diameter).

    Examples
    --------
    >>> round(round_beta("disc", 0.5, 2.0), 2)
    0.4
    """
    block, up = _weights(np.log(_table("biot")), log(biot))
    i, share = _weights(_table("ratio"), ratio)
    rows = _table(form)[block] * (1 - up) + _table(form)[block + 1] * up
    return float(rows[i] * (1 - share) + rows[i + 1] * share)


def checked_thickness_cm(thickness_cm: float | None) -> float:
    """Return the thickness, or say why it cannot be."""
    low, high = THICKNESS_CM
    if thickness_cm is None:
        raise OutOfRangeError("thickness", "(none)", "on the card: time goes with it")
    if not low <= thickness_cm <= high:
        raise OutOfRangeError("thickness", f"{thickness_cm:g} cm", f"{low:g} to {high:g} cm")
    return thickness_cm


def ratios(piece: Piece, rho: float) -> tuple[float, float]:
    """Return thickness over length and over width, each at most 1.

    Parameters
    ----------
    piece
        Of the card. Weight and thickness give the area, the footprint only how oblong it is: a
        footprint is the rectangle around a piece and always larger.
    rho
        Density, kg/m³.

    Examples
    --------
    >>> ratios(Piece(weight_kg=0.19, thickness_cm=2.5), 1060.0)[0] < 0.3
    True
    """
    thick = checked_thickness_cm(piece.thickness_cm)
    foot = piece.footprint
    long, wide = (
        (max(foot.width_cm, foot.depth_cm), min(foot.width_cm, foot.depth_cm))
        if foot
        else (_ASPECT, 1.0)
    )
    if piece.weight_kg:
        area_cm2 = piece.weight_kg / (rho * thick * 1e-2) * 1e4
        stretch = sqrt(area_cm2 / (long * wide))
        long, wide = long * stretch, wide * stretch
    elif foot is None:
        return 0.0, 0.5  # only a thickness is known: long, and twice as wide as thick
    return min(thick / long, 1.0), min(thick / wide, 1.0)


def piece_beta(piece: Piece, rho: float, biot: float) -> float:
    """Return the shape exponent of a piece on a card.

    Examples
    --------
    >>> piece_beta(Piece(weight_kg=0.19, thickness_cm=2.5), 1060.0, 1.0) < 0.2
    True
    """
    first, second = ratios(piece, rho)
    return brick_beta(first, second, max(biot, 0.05))
