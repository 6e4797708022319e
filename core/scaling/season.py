"""Rub, salt, sauce and dressing: how much per kilogram, per head of cabbage, per guest."""

from __future__ import annotations

from dataclasses import dataclass

from core.errors import OutOfRangeError
from core.model import Source
from core.tables.quantities import row, rows, source_of


@dataclass(frozen=True, slots=True)
class Dose:
    """A seasoning for some meat, kg: the usual, its range, and the salt in the usual."""

    key: str
    kg: float
    low_kg: float
    high_kg: float
    g_per_kg: float
    salt_kg: float
    source: Source


def dose(key: str, meat_kg: float, g_per_kg: float | None = None) -> Dose:
    """Seasoning for a weight of raw meat.

    Parameters
    ----------
    key
        A row of the seasoning table: rub, no-salt rub, dry brine, marinade, mop.
    meat_kg
        Raw and trimmed, kg.
    g_per_kg
        The house's own dose, if it has one.

    Notes
    -----
    Common practice: rub 18 to 25 g/kg of which 30 % salt, without salt 10 to 12, dry brine 10 to
    13 g of salt. Marinade and mop are in mL per kg, taken as g.

    Examples
    --------
    >>> ribs = dose("rub", 14)
    >>> round(ribs.kg, 3), round(ribs.salt_kg, 3)
    (0.28, 0.084)
    """
    if not meat_kg >= 0:
        raise OutOfRangeError("meat", f"{meat_kg} kg", "0 or more")
    found = row("rules", "season", key)
    per_kg = g_per_kg if g_per_kg is not None else float(found["usual"])
    if not per_kg >= 0:
        raise OutOfRangeError("dose", f"{per_kg} g/kg", "0 or more")
    low, high = found["range"]
    kg = meat_kg * per_kg / 1000
    return Dose(
        key,
        kg,
        meat_kg * low / 1000,
        meat_kg * high / 1000,
        per_kg,
        kg * found["salt"],
        source_of("rules", found),
    )


@dataclass(frozen=True, slots=True)
class Dressed:
    """Cabbage by the head and its dressing, kg."""

    heads: float
    shredded_kg: float
    creamy_kg: float
    vinaigrette_kg: float
    head_kg: float
    lightest_kg: float
    heaviest_kg: float
    source: Source


def dressing_for_heads(heads: float) -> Dressed:
    """Dressing for so many heads of cabbage.

    Parameters
    ----------
    heads
        Of cabbage; a usual one is 1.2 kg and gives 0.95 kg shredded.

    Notes
    -----
    Common practice: creamy 40 % of the shredded weight, vinaigrette 22 %. Heads vary from 0.9 to
    2.5 kg, so weighing the shredded cabbage is always better.

    References
    ----------
    Armed Forces Recipe Service M 008: 15 lb bought gives 12 lb shredded, dressed with 4 lb.

    Examples
    --------
    >>> round(dressing_for_heads(14).creamy_kg, 2)
    5.32
    """
    if not heads >= 0:
        raise OutOfRangeError("heads of cabbage", heads, "0 or more")
    head = row("rules", "cabbage_head", "cabbage")
    shredded = heads * head["shredded_kg"]
    low, high = head["range"]
    return Dressed(
        heads,
        shredded,
        dressing_kg(shredded, "creamy"),
        dressing_kg(shredded, "vinaigrette"),
        head["weight_kg"],
        low,
        high,
        source_of("rules", head),
    )


def dressing_kg(salad_kg: float, kind: str) -> float:
    """Dressing for an undressed salad, kg.

    Examples
    --------
    >>> round(dressing_kg(0.95, "creamy"), 3), round(dressing_kg(0.95, "vinaigrette"), 3)
    (0.38, 0.209)
    """
    if not salad_kg >= 0:
        raise OutOfRangeError("salad", f"{salad_kg} kg", "0 or more")
    return float(salad_kg * row("rules", "dressing", kind)["usual"])


def per_head_g(total_kg: float, heads: int) -> float:
    """Grams each of something already made.

    Examples
    --------
    >>> round(per_head_g(14, 365), 1)
    38.4
    """
    if heads < 1:
        raise OutOfRangeError("heads", heads, "1 or more")
    if not total_kg >= 0:
        raise OutOfRangeError("amount", f"{total_kg} kg", "0 or more")
    return total_kg * 1000 / heads


def bleach_ml(water_l: float, bleach_fraction: float, ppm: float) -> float:
    """Bleach for a bucket of sanitiser, mL.

    Parameters
    ----------
    water_l
        L of water.
    bleach_fraction
        Chlorine in the bleach, 0.05 for 5 %, taken as grams in 100 mL.
    ppm
        Wanted, mg per L.

    Notes
    -----
    A strip decides, not the sum: bleach weakens with age and dirt uses it up.

    Examples
    --------
    >>> bleach_ml(10, 0.05, 100)
    20.0
    """
    if not water_l > 0:
        raise OutOfRangeError("water", f"{water_l} L", "above 0")
    if not 0 < bleach_fraction <= 0.2:
        raise OutOfRangeError("bleach", f"{bleach_fraction * 100:g} %", "above 0 and at most 20 %")
    if not 0 < ppm <= 5000:
        raise OutOfRangeError("strength", f"{ppm:g} ppm", "above 0 and at most 5000 ppm")
    return water_l * ppm / (bleach_fraction * 1000)


def seasoning_named(text: str) -> str | None:
    """Return the row of the seasoning table whose longest name stands in the folded text.

    Examples
    --------
    >>> seasoning_named("no-salt rub for 14 kg"), seasoning_named("rub 14kg ribs")
    ('no-salt rub', 'rub')
    """
    names = ((name, found["key"]) for found in rows("rules", "season") for name in found["also"])
    present = [(len(name), key) for name, key in names if f" {name} " in f" {text} "]
    return max(present)[1] if present else None
