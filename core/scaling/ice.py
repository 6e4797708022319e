"""Ice and water: by energy balance where food is cooled, by rule of thumb where people drink."""

from __future__ import annotations

from math import ceil

from core.errors import OutOfRangeError
from core.tables.quantities import row, rows

WATER_KJ_PER_KG_K = 4.186
"""Specific heat of water; meltwater warms up to the food and takes heat doing so."""


def _ice(fact: str) -> float:
    return float(next(r["value"] for r in rows("fuel", "ice") if r["fact"] == fact))


def ice_to_cool_kg(
    food_kg: float,
    from_c: float,
    to_c: float,
    heat_kj_per_kg_k: float | None = None,
    losses: float = 0.0,
) -> float:
    """Ice that melts to cool food, kg, the meltwater left at 0 °C.

    Parameters
    ----------
    food_kg
        kg.
    from_c, to_c
        °C, from above to.
    heat_kj_per_kg_k
        Specific heat; None takes the planning value 3.5.
    losses
        Melted by anything but the food, as a fraction; 0.5 in the open.

    References
    ----------
    Heat of fusion of ice 333.55 kJ/kg.

    Examples
    --------
    >>> round(ice_to_cool_kg(20, 20, 4), 2)
    3.36
    """
    if not food_kg >= 0:
        raise OutOfRangeError("food", f"{food_kg} kg", "0 or more")
    if not 0 <= to_c <= from_c:
        raise OutOfRangeError("temperature", f"{from_c:g} to {to_c:g} °C", "falling, not below 0")
    heat = heat_kj_per_kg_k if heat_kj_per_kg_k is not None else _ice("specific heat of food")
    return food_kg * heat * (from_c - to_c) / _ice("heat of fusion") * (1 + losses)


def ice_per_box_kg(boxes_l: float, hours: float, spare: bool = True) -> float:
    """Ice for cold boxes whose food is already cold, kg.

    Notes
    -----
    Common practice: 5 kg for 50 L over 8 h at 33 °C, and 30 % spare.

    Examples
    --------
    >>> ice_per_box_kg(200, 8)
    26.0
    """
    if not (boxes_l >= 0 and hours >= 0):
        raise OutOfRangeError("box", f"{boxes_l} L, {hours} h", "0 or more")
    kg = boxes_l / 50 * hours / 8 * row("rules", "ice", "cold box")["value"]
    more = row("rules", "ice", "cold box spare")["value"] if spare else 0.0
    return float(kg * (1 + more))


def drinks_ice_kg(guests: int, hot: bool = False) -> tuple[float, float]:
    """Ice in and around drinks, low and high, kg; twice that outdoors in heat.

    Examples
    --------
    >>> drinks_ice_kg(100)
    (100.0, 150.0)
    """
    if guests < 0:
        raise OutOfRangeError("guests", guests, "0 or more")
    low, high = row("rules", "ice", "drinks")["range"]
    chilling = row("rules", "ice", "chilling drinks")["value"]
    times = row("rules", "ice", "outdoors in heat")["value"] if hot else 1.0
    return guests * (low + chilling) * times, guests * (high + chilling) * times


def drinking_water_l(crew: int, guests: int, hours: float, hot: bool = False) -> float:
    """Water to drink, L.

    References
    ----------
    Cal/OSHA heat rule: a quart per worker and hour. Guests: common practice.

    Examples
    --------
    >>> drinking_water_l(17, 320, 4)
    708.0
    """
    if crew < 0 or guests < 0 or not hours >= 0:
        raise OutOfRangeError("people", f"{crew}, {guests}", "0 or more")
    each = row("rules", "water", "guests in heat" if hot else "guests")["value"]
    return float((crew * row("rules", "water", "crew")["value"] + guests * each) * hours)


def washing_water_l(guests: int, china: bool = False) -> tuple[float, float]:
    """Water for hands and washing-up, low and high, L.

    Examples
    --------
    >>> washing_water_l(320)
    (480.0, 640.0)
    """
    if guests < 0:
        raise OutOfRangeError("guests", guests, "0 or more")
    low, high = row("rules", "water", "wash china" if china else "wash disposable")["range"]
    return guests * low, guests * high


def handwash_l(stations: int) -> tuple[float, float]:
    """Clean water and room for waste water at handwash stations, L.

    Examples
    --------
    >>> handwash_l(3)
    (60.0, 60.0)
    """
    if stations < 0:
        raise OutOfRangeError("stations", stations, "0 or more")
    each = float(row("rules", "water", "handwash station")["value"])
    return stations * each, stations * each


def serviceware(guests: int, hours: float) -> dict[str, int]:
    """Plates, cutlery, napkins and cups for so many guests over so many hours.

    Notes
    -----
    Common practice: one in ten plates spare; two drinks in the first hour, one in each after.

    Examples
    --------
    >>> serviceware(320, 4)
    {'plates': 352, 'cutlery sets': 352, 'napkins': 640, 'cups': 1600}
    """
    if guests < 0 or not hours >= 0:
        raise OutOfRangeError("guests", guests, "0 or more")

    def per(key: str) -> float:
        return float(row("rules", "service", key)["per_guest"])

    cups = per("cups first hour") + per("cups each further hour") * max(hours - 1, 0.0)
    return {
        name: ceil(guests * each - 1e-9)
        for name, each in (
            ("plates", per("plates")),
            ("cutlery sets", per("cutlery sets")),
            ("napkins", per("napkins")),
            ("cups", cups),
        )
    }
