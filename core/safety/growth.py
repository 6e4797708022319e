"""Predicted growth of C. perfringens while food cools. It may warn, never clear or condemn."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from core.model import Finding, Qty, Verdict, say
from core.tables import table

STEP_H = 1 / 60


@dataclass(frozen=True, slots=True)
class GrowthModel:
    """Cardinal temperatures, °C, and the fastest rate, natural logs an hour."""

    product: str
    tmin_c: float
    topt_c: float
    tmax_c: float
    mu_opt: float

    def rate(self, temp_c: float) -> float:
        """Return the growth rate at a temperature, natural logs an hour.

        References
        ----------
        Rosso et al. 1993, J Theor Biol 162:447, cardinal temperature model.

        Examples
        --------
        >>> round(growth_models()[0].rate(30.0), 2)
        2.43
        """
        if not self.tmin_c < temp_c < self.tmax_c:
            return 0.0
        top = (temp_c - self.tmax_c) * (temp_c - self.tmin_c) ** 2
        a = self.topt_c - self.tmin_c
        bottom = a * (
            a * (temp_c - self.topt_c)
            - (self.topt_c - self.tmax_c) * (self.topt_c + self.tmin_c - 2 * temp_c)
        )
        return self.mu_opt * top / bottom


def growth_models() -> tuple[GrowthModel, ...]:
    """Return the published models."""
    return tuple(
        GrowthModel(
            row["product"],
            float(row["tmin_c"]),
            float(row["topt_c"]),
            float(row["tmax_c"]),
            float(row["mu_opt_ln_per_h"]),
        )
        for row in table("food_safety_models")["growth"]["rows"]
    )


def growth_log10(times_h: Sequence[float], temps_c: Sequence[float], model: GrowthModel) -> float:
    """Return the predicted growth over a cooling curve, log10; straight between readings.

    A lag as Baranyi writes it, with the cautious initial state of the table.
    """
    h0 = float(table("food_safety_models")["growth"]["h0"])
    collected = sum(
        _collected(start, end, model) for start, end in pairwise(zip(times_h, temps_c, strict=True))
    )
    q0 = 1 / (math.exp(h0) - 1)
    return math.log10((1 + q0 * math.exp(collected)) / (1 + q0))


def _collected(start: tuple[float, float], end: tuple[float, float], model: GrowthModel) -> float:
    hours = end[0] - start[0]
    steps = max(1, math.ceil(hours / STEP_H))
    total = 0.0
    for index in range(steps):
        middle = (index + 0.5) / steps
        total += model.rate(start[1] + (end[1] - start[1]) * middle) * hours / steps
    return total


def growth_warning(
    times_h: Sequence[float], temps_c: Sequence[float], about: str = ""
) -> Finding | None:
    """Return a warning where a model predicts over one log of growth, else None."""
    if len(times_h) < 2:
        return None
    most = max(growth_log10(times_h, temps_c, model) for model in growth_models())
    if most <= float(table("food_safety_models")["growth"]["accept_log10"]):
        return None
    text = say(
        "{verdict}. Spores may grow {factor}-fold at this rate (a cautious model): cool faster.",
        verdict=Verdict.UNKNOWN,
        factor=Qty(10**most, "", 0),
    )
    return Finding(
        "safety",
        text,
        Verdict.UNKNOWN,
        rule="model.perfringens",
        source=str(table("food_safety_models")["growth"]["source"]),
        status="M",
        about=about,
    )
