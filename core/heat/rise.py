"""How far a core carries over, and how far a first pull is set back for sear and rest.

Practice and model are averaged (their geometric mean): the model knows cover, wind, fire and how
far the cook has got, practice knows what crust and juices do to a piece off the fire.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.errors import OutOfRangeError
from core.heat.shape import checked_thickness_cm
from core.model import Source
from core.tables.heat import heat_row, heat_rows, heat_table

Array = NDArray[np.float64]

_PINK_C = 54.0  # the pulls the table was made from
_RANGE_K = (0.0, 14.0)  # published: 3 for small to 14 for the very large


@dataclass(frozen=True, slots=True)
class CarryOver:
    """Rise of the core after pulling, K, and when it peaks, minutes after."""

    low_k: float
    high_k: float
    peak_min: float

    @property
    def middle_k(self) -> float:
        """Return the rise in the middle of the band."""
        return (self.low_k + self.high_k) / 2


def carry_over_source() -> Source:
    """Return what an answer about carry-over cites."""
    table = heat_table("rules")
    row = table["carry_over"]
    return Source("carry-over", table["sources"][row["source"]], "", row["status"])


def usual_rise(thickness_cm: float, fire_c: float, pull_c: float = _PINK_C) -> CarryOver:
    """Return the carry-over that practice expects.

    Parameters
    ----------
    thickness_cm
        Smallest dimension, cm.
    fire_c
        °C; between the columns of the table a straight line.
    pull_c
        Core when pulled, °C. The nearer it is to the fire, the less is left to flow in.

    References
    ----------
    Common practice by thickness and fire; a professional cooking text gives 3 to 14 °C in all.

    Examples
    --------
    >>> usual_rise(5.5, 180.0)
    CarryOver(low_k=5.0, high_k=7.0, peak_min=10.0)
    """
    thick = checked_thickness_cm(thickness_cm)
    rows = heat_table("rules")["carry_over"]["rows"]
    fires = heat_table("rules")["carry_over"]["fire_c"]
    sizes = [row["thickness_cm"] for row in rows]
    ends = []
    for end in (0, 1):
        by_size = [float(np.interp(fire_c, fires, [p[end] for p in row["rise"]])) for row in rows]
        ends.append(float(np.interp(thick, sizes, by_size)))
    peak = float(np.interp(thick, sizes, [sum(row["peak_min"]) / 2 for row in rows]))
    share = min(max((fire_c - pull_c) / max(fire_c - _PINK_C, 1.0), 0.0), 1.0)
    return CarryOver(ends[0] * share, ends[1] * share, peak)


def blended(usual: CarryOver, model_k: Array, model_s: Array) -> CarryOver:
    """Return practice and model together.

    Parameters
    ----------
    usual
        What practice expects.
    model_k, model_s
        Rise and time to the peak of each member of the ensemble; may be empty.
    """
    if not model_k.size:
        return usual
    low, middle, high = np.quantile(model_k, [0.1, 0.5, 0.9])
    both = float(np.sqrt(max(middle, 0.05) * max(usual.middle_k, 0.05)))
    down = min(float(low / middle) if middle > 0.05 else 1.0, _ratio(usual.low_k, usual.middle_k))
    up = max(float(high / middle) if middle > 0.05 else 1.0, _ratio(usual.high_k, usual.middle_k))
    least, most = _RANGE_K
    return CarryOver(
        low_k=float(np.clip(both * min(down, 0.75), least, most)),
        high_k=float(np.clip(both * max(up, 1.3), least, most)),
        peak_min=float((usual.peak_min * max(np.median(model_s) / 60, 1.0)) ** 0.5),
    )


def _ratio(end: float, middle: float) -> float:
    return end / middle if middle > 0.05 else 1.0


@dataclass(frozen=True, slots=True)
class SetBack:
    """What a sear and the rest after it add to the core, K, each as low and high."""

    sear_k: tuple[float, float]
    rest_k: tuple[float, float]

    @property
    def in_all_k(self) -> float:
        """Return the middle of what both add."""
        return (sum(self.sear_k) + sum(self.rest_k)) / 2


def set_back(thickness_cm: float, sear_min: float, sear_c: float) -> SetBack:
    """Return how far below its final core a piece must leave the first fire.

    Parameters
    ----------
    thickness_cm
        Smallest dimension, cm.
    sear_min
        Minutes on the sear fire, all sides together; without moving on and off.
    sear_c
        The sear fire, °C.

    References
    ----------
    Common practice: the sear adds 1 °C for each 15 to 20 s on 2.5 cm, each 40 to 60 s on 5 cm,
    then the rise of the rest comes on top.

    Examples
    --------
    >>> back = set_back(5.5, sear_min=5.0, sear_c=300.0)
    >>> [round(k, 1) for k in back.sear_k]
    [4.3, 6.6]
    """
    if not 0 <= sear_min <= 60:
        raise OutOfRangeError("sear", f"{sear_min:g} min", "0 to 60 min")
    thick = checked_thickness_cm(thickness_cm)
    rows = heat_rows("rules", "sear")
    sizes = np.array([row["thickness_cm"] for row in rows])
    slow, fast = (
        # along a power of the thickness, also beyond the two rows
        _power(thick, sizes, [row["seconds_per_k"][end] for row in rows])
        for end in (1, 0)
    )
    rest = usual_rise(thick, sear_c)
    return SetBack((sear_min * 60 / slow, sear_min * 60 / fast), (rest.low_k, rest.high_k))


def _power(x: float, xs: Array, ys: list[float]) -> float:
    slope = np.log(ys[1] / ys[0]) / np.log(xs[1] / xs[0])
    return float(ys[0] * (x / xs[0]) ** slope)


def times_thicker(ratio: float) -> tuple[float, float, float]:
    """Return how much longer a core takes when a piece is so much thicker: low, usual, high.

    Parameters
    ----------
    ratio
        New thickness over old, 0.2 to 5. The pieces' number and, by itself, weight do not matter.

    Notes
    -----
    Common practice: power 1.6. Conduction alone gives between 1 (the film rules: thin, gentle
    air) and 2 (the meat rules: thick, fierce heat).

    Examples
    --------
    >>> [round(x, 1) for x in times_thicker(2.0)]
    [2.6, 3.0, 3.7]
    """
    if not 0.2 <= ratio <= 5:
        raise OutOfRangeError("thickness ratio", f"{ratio:g}", "0.2 to 5")
    power = float(heat_row("rules", "rules", "scaling")["power"])
    ends = sorted((ratio ** (power - 0.2), ratio ** (power + 0.3)))
    return ends[0], ratio**power, ends[1]
