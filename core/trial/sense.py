"""What cannot be: after heavier than before, a core above its fire, a steak two metres thick."""

from __future__ import annotations

from collections.abc import Mapping

from core.model import FoodClass, Line, Qty, say
from core.trial.fields import NONE, UNKNOWN
from core.trial.series import series_of

WEIGHTS = ("bought", "trimmed", "brined", "off", "rested", "served")
"""In the order they are taken; each is of all pieces together."""

LEAST_LEFT = 0.2  # of one change; less is a slip of the thumb (common practice)
BRINE_GAIN = 1.35  # nothing takes up more brine than a third of its weight (common practice)
PLANT_GAIN = 6.0  # as in `core.scaling.yields`: dry pulses and grains
RANGES: Mapping[str, tuple[float, float, str]] = {
    "pieces": (1, 500, ""),
    "thickness": (0.2, 40, "cm"),
    "pit": (40, 500, "°C"),
    "start": (-30, 40, "°C"),
    "brine_time": (5, 10 * 24 * 60, "min"),
    "hold": (1, 24 * 60, "min"),
    "price": (0.01, 10_000, ""),
}
MASS_KG = (0.005, 500.0)
CORE_C = (-30.0, 110.0)
MOST_MIN = 48 * 60.0


def number_of(value: str) -> float | None:
    """Return the number of a kept value: 0.76 of '0.76 kg'; None where there is none.

    Examples
    --------
    >>> number_of("0.76 kg"), number_of("none"), number_of("")
    (0.76, None, None)
    """
    if not value or value in {NONE, UNKNOWN, "same"}:
        return None
    return float(value.split(maxsplit=1)[0])


def weight_of(values: Mapping[str, str], field: str) -> float | None:
    """Return a weight, kg; one that is the same as the one before it is that one."""
    value = values.get(field, "")
    if value == "same":
        before = WEIGHTS[: WEIGHTS.index(field)]
        return next((w for f in reversed(before) if (w := weight_of(values, f))), None)
    return number_of(value)


def senseless(values: Mapping[str, str]) -> tuple[str, Line] | None:
    """Return the field that cannot be, and why; None if all of it can.

    Examples
    --------
    >>> senseless({"trimmed": "0.76 kg", "rested": "0.8 kg"})[0]
    'rested'
    >>> senseless({"trimmed": "0.76 kg", "rested": "0.592 kg"})
    """
    for field, (low, high, unit) in RANGES.items():
        value = number_of(values.get(field, ""))
        if value is not None and not low <= value <= high:
            shown = Qty(round(value, 2), unit)
            return field, say("{value} cannot be: {low} to {high}.", value=shown,
                              low=Qty(low, unit), high=Qty(high, unit))  # fmt: skip
    return _weights(values) or _cores(values) or _peak(values)


def _weights(values: Mapping[str, str]) -> tuple[str, Line] | None:
    """Return the first weight that does not fit the one before it."""
    plant = values.get("class") == FoodClass.PLANT.value
    before: float | None = None
    for field in WEIGHTS:
        weight = weight_of(values, field)
        if weight is None:
            continue
        if not MASS_KG[0] <= weight <= MASS_KG[1]:
            return field, say("{value} cannot be: {low} to {high}.", value=Qty(weight, "kg"),
                              low=Qty(MASS_KG[0], "kg"), high=Qty(MASS_KG[1], "kg"))  # fmt: skip
        if before is not None:
            gain = BRINE_GAIN if field == "brined" else PLANT_GAIN if plant else 1.0
            if weight > before * gain + 1e-9:
                return field, say("{after} is more than {before} before it. Which is wrong?",
                                  after=_weighed(weight), before=_weighed(before))  # fmt: skip
            if weight < before * LEAST_LEFT:
                return field, say("{after} of {before} is under {least}. Which is wrong?",
                                  after=_weighed(weight), before=_weighed(before),
                                  least=Qty(round(100 * LEAST_LEFT), "%"))  # fmt: skip
        before = weight
    return None


def _weighed(weight_kg: float) -> Qty:
    return Qty(round(weight_kg * 1000), "g") if weight_kg < 10 else Qty(round(weight_kg, 2), "kg")


def _cores(values: Mapping[str, str]) -> tuple[str, Line] | None:
    pairs, _ = series_of(values.get("cores", ""))
    pit, start = number_of(values.get("pit", "")), number_of(values.get("start", ""))
    last = start
    for minutes, core in pairs:
        if not 0 <= minutes <= MOST_MIN:
            return "cores", say("{value} cannot be: {low} to {high}.", value=Qty(minutes, "min"),
                                low=Qty(0, "min"), high=Qty(MOST_MIN, "min"))  # fmt: skip
        if not CORE_C[0] <= core <= CORE_C[1] or (pit is not None and core >= pit):
            return "cores", say("A core of {core} cannot be in a fire of {pit}.",
                                core=Qty(core, "°C"), pit=_pit(pit))  # fmt: skip
        if last is not None and core < last - 3:  # a probe moved a little is not a slip
            return "cores", say("{core} after {before}: a core on the fire does not fall.",
                                core=Qty(core, "°C"), before=Qty(last, "°C"))  # fmt: skip
        last = core
    return None


def _pit(pit: float | None) -> Qty:
    return Qty(pit if pit is not None else CORE_C[1], "°C")


def _peak(values: Mapping[str, str]) -> tuple[str, Line] | None:
    peak = values.get("peak", "")
    if not peak or peak in {NONE, UNKNOWN}:
        return None
    core, minutes = (float(x) for x in peak.split(":"))
    pairs, _ = series_of(values.get("cores", ""))
    if not CORE_C[0] <= core <= CORE_C[1]:
        return "peak", say("A core of {core} cannot be.", core=Qty(core, "°C"))
    if pairs and core < pairs[-1][1] - 3:
        return "peak", say("{core} at rest, but {before} off the fire. Which is wrong?",
                           core=Qty(core, "°C"), before=Qty(pairs[-1][1], "°C"))  # fmt: skip
    if not 0 <= minutes <= 12 * 60:
        return "peak", say("{value} cannot be: {low} to {high}.", value=Qty(minutes, "min"),
                           low=Qty(0, "min"), high=Qty(720, "min"))  # fmt: skip
    return None
