"""Fuel: what a fire burns, what is left in a bottle, what wind and cold cost on top."""

from __future__ import annotations

from dataclasses import dataclass

from core.errors import OutOfRangeError
from core.tables.quantities import row, rows


def _rule(key: str) -> float:
    return float(row("rules", "fire", key)["value"])


def _rule_range(key: str) -> tuple[float, float]:
    low, high = row("rules", "fire", key)["range"]
    return float(low), float(high)


@dataclass(frozen=True, slots=True)
class Charcoal:
    """Charcoal for an open grill, kg: to start, each further hour, with spare, and in wind."""

    start_kg: float
    each_hour_kg: float
    bare_kg: float
    kg: float
    windy_low_kg: float
    windy_high_kg: float


def charcoal_for(grate_m2: float, hours: float) -> Charcoal:
    """Charcoal for cooking over an open bed.

    Parameters
    ----------
    grate_m2
        Area of the grate, m².
    hours
        From lit to the last piece, h.

    Returns
    -------
    Charcoal
        kg; `kg` has the usual 20 % spare, the windy range comes on top of that.

    Notes
    -----
    Common practice: 8 kg/m² to start and 4 kg/m² for each hour after the first; 30 to 45 % more
    in 20 to 30 km/h of wind.

    Examples
    --------
    >>> fire = charcoal_for(0.72, 3)
    >>> round(fire.kg, 1), round(fire.windy_low_kg), round(fire.windy_high_kg)
    (13.8, 18, 20)
    """
    if not grate_m2 > 0:
        raise OutOfRangeError("grate", f"{grate_m2} m²", "above 0")
    if not 0 < hours <= 48:
        raise OutOfRangeError("hours", hours, "above 0 and at most 48")
    start = grate_m2 * _rule("charcoal start")
    hourly = grate_m2 * _rule("charcoal per further hour")
    bare = start + hourly * max(hours - 1, 0.0)
    kg = bare * (1 + _rule("spare"))
    low, high = _rule_range("wind, more fuel")
    return Charcoal(start, hourly, bare, kg, kg * (1 + low), kg * (1 + high))


def weather_factor(wind_kmh: float, air_c: float) -> float:
    """How many times the calm, mild-day fuel a thin steel fire takes.

    Notes
    -----
    Common practice: from 20 km/h half as much again at most (the middle of 30 to 45 % is taken),
    below 10 °C a quarter more. Both multiply.

    Examples
    --------
    >>> weather_factor(25, 8), weather_factor(5, 20)
    (1.71875, 1.0)
    """
    low, high = _rule_range("wind, more fuel")
    windy = 1 + (low + high) / 2 if wind_kmh >= 20 else 1.0
    return windy * (1 + _rule("cold, more fuel") if air_c < 10 else 1.0)


def pellets_kg(hours: float, flat_out_hours: float = 0.0) -> tuple[float, float]:
    """Pellets for so many hours of smoking and of full heat, low and high, kg.

    Examples
    --------
    >>> pellets_kg(4)
    (1.0, 2.0)
    """
    if not (hours >= 0 and flat_out_hours >= 0):
        raise OutOfRangeError("hours", hours, "0 or more")
    low, high = _rule_range("pellets smoking")
    flat = flat_out_hours * _rule("pellets flat out")
    return hours * low + flat, hours * high + flat


def splits_kg(hours: float, trailer: bool = False) -> tuple[float, float]:
    """Split wood for a stick burner, low and high, kg.

    Examples
    --------
    >>> splits_kg(5), splits_kg(5, trailer=True)
    ((10.0, 10.0), (20.0, 30.0))
    """
    if not hours >= 0:
        raise OutOfRangeError("hours", hours, "0 or more")
    small = _rule("splits small")
    low, high = _rule_range("splits trailer") if trailer else (small, small)
    return hours * low, hours * high


@dataclass(frozen=True, slots=True)
class Bottle:
    """Hours left in a gas bottle: on paper, and to plan with."""

    kg_per_h: float
    paper_h: float
    plan_h: float


def bottle_hours(gas_kg: float, power_kw: float) -> Bottle:
    """Hours that a propane bottle lasts.

    Parameters
    ----------
    gas_kg
        Gas left, kg: weigh the bottle and take off the tare.
    power_kw
        Of all burners at the setting used, kW.

    Notes
    -----
    0.073 kg/kWh by the gross heating value; four fifths of the hours are planned with, because a
    cold half-empty bottle starves a big burner.

    Examples
    --------
    >>> nine = bottle_hours(9, 12)
    >>> round(nine.kg_per_h, 2), round(nine.paper_h, 1), round(nine.plan_h, 1)
    (0.88, 10.3, 8.2)
    """
    if not gas_kg >= 0:
        raise OutOfRangeError("gas", f"{gas_kg} kg", "0 or more")
    if not power_kw > 0:
        raise OutOfRangeError("power", f"{power_kw} kW", "above 0")
    per_hour = power_kw * _rule("propane use")
    paper = gas_kg / per_hour
    return Bottle(per_hour, paper, paper * _rule("propane usable"))


def fuel_for_heat_kg(heat_kwh: float, fuel: str, efficiency: float) -> float:
    """Fuel whose heat, at an efficiency, gives so much to the food, kg.

    Parameters
    ----------
    heat_kwh
        Into the food, kWh.
    fuel
        A name of the fuel table that has a net heating value.
    efficiency
        Heat into the food over heat of the fuel, 0 < e <= 1; an open fire is below 0.2.

    Examples
    --------
    >>> round(fuel_for_heat_kg(5.0, "propane, LHV", 0.25), 2)
    1.56
    """
    if not 0 < efficiency <= 1:
        raise OutOfRangeError("efficiency", efficiency, "above 0 and at most 1")
    return heat_kwh * 3.6 / (net_mj_per_kg(fuel) * efficiency)


def net_mj_per_kg(fuel: str) -> float:
    """Net heating value of a fuel of the table, MJ/kg.

    Examples
    --------
    >>> net_mj_per_kg("wood pellets, ENplus A1")
    16.56
    """
    for found in rows("fuel", "fuels"):
        if found["fuel"] == fuel:
            value = found.get("net_mj_per_kg", found.get("net_mj_per_kg_min"))
            if value is not None:
                return float(value)
    raise OutOfRangeError("fuel", fuel, "a fuel of the table with a net heating value")
