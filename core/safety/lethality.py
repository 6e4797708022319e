"""Lethality of a core curve: minutes at a reference temperature, and logs of a named germ.

A published model over a published curve; verdicts come from the tables in `hold.py`. Nothing
counts below the floor given, and a come-up slower than the guideline takes the credit away.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from core.errors import OutOfRangeError
from core.model import Finding, Verdict, say
from core.safety.heat_met import CoreLog
from core.safety.words import span
from core.tables import table

COME_UP_MAX_H = 6.0
COME_UP_FROM_C = 10.0
COME_UP_TO_C = 54.4
"""50 to 130 °F within 6 h (FSIS 2017/2021, from memory: it may only take credit away)."""


@dataclass(frozen=True, slots=True)
class DeathModel:
    """A germ in a product: minutes for one log at a reference temperature, °C, and z, K."""

    organism: str
    product: str
    tref_c: float
    z_k: float
    d_min: float


def death_models() -> tuple[DeathModel, ...]:
    """Return the published models."""
    return tuple(
        DeathModel(
            row["organism"],
            row["product"],
            (float(row["tref_f"]) - 32) / 1.8,
            float(row["z_f"]) / 1.8,
            float(row["d_min"]),
        )
        for row in table("food_safety_models")["death"]["rows"]
    )


def cumulative_min(
    times_min: Sequence[float], cores_c: Sequence[float], model: DeathModel, floor_c: float = -40.0
) -> tuple[float, ...]:
    """Return the minutes at the model's reference temperature collected up to each reading.

    Parameters
    ----------
    times_min
        Minutes, rising.
    cores_c
        Core temperatures, °C.
    model
        The germ and product.
    floor_c
        Below this nothing counts: 54.4 for meat by Appendix A.

    Raises
    ------
    OutOfRangeError
        If times fall or do not match the temperatures.

    References
    ----------
    AMI Foundation process-lethality worksheet (2010): L = 10^((T - Tref)/z), F by trapezoid.

    Examples
    --------
    >>> meat = death_models()[0]
    >>> [round(f, 3) for f in cumulative_min([0, 1], [meat.tref_c, meat.tref_c], meat)]
    [0.0, 1.0]
    """
    if len(times_min) != len(cores_c) or any(b < a for a, b in pairwise(times_min)):
        raise OutOfRangeError("readings", len(cores_c), "in order of time, one core each")
    rates = [0.0 if c < floor_c else 10 ** ((c - model.tref_c) / model.z_k) for c in cores_c]
    collected = [0.0] if times_min else []
    for index in range(1, len(rates)):
        step = times_min[index] - times_min[index - 1]
        collected.append(collected[-1] + step * (rates[index] + rates[index - 1]) / 2)
    return tuple(collected)


def logs(times_min: Sequence[float], cores_c: Sequence[float], model: DeathModel) -> float:
    """Return the log10 reduction of the model's germ over a core curve."""
    collected = cumulative_min(times_min, cores_c, model)
    return collected[-1] / model.d_min if collected else 0.0


def come_up_min(log: CoreLog) -> float | None:
    """Return the minutes between the last reading at 10 °C or less and the first at 54.4 °C; None
    where the log does not show both.
    """
    cold = [at for at, read in log.points if read.c <= COME_UP_FROM_C]
    hot = [at for at, read in log.points if read.c >= COME_UP_TO_C]
    if not cold or not hot or hot[0] < cold[-1]:
        return None
    return (hot[0] - cold[-1]).total_seconds() / 60


def come_up_warning(log: CoreLog, about: str = "") -> Finding | None:
    """Return a warning when the way up took over 6 h; it clears nothing and takes credit away."""
    took = come_up_min(log)
    if took is None or took <= COME_UP_MAX_H * 60:
        return None
    text = say(
        "{verdict}. {took} from 10 to 54 °C, guideline 6 h: time at temperature is not enough here."
        " Ask the chef.",
        verdict=Verdict.UNKNOWN,
        took=span(took * 60),
    )
    return Finding(
        "safety",
        text,
        Verdict.UNKNOWN,
        rule="fsis.come_up",
        source="USDA FSIS Cooking Guideline (Revised Appendix A), come-up",
        status="M",
        lift_by=("chef",),
        about=about,
    )
