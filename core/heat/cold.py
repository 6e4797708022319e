"""Frozen, cold and warming: thawing, tempering, cold boxes with and without ice."""

from __future__ import annotations

from dataclasses import dataclass
from math import log

from core.errors import OutOfRangeError
from core.heat.composition import meat, mixed
from core.heat.constant import seconds_to
from core.heat.shape import brick_beta, checked_thickness_cm, ratios
from core.model import Piece, Source, Span
from core.tables.heat import heat_row, heat_source

_LATENT_J_KG = 235e3  # of lean meat: 70 % water, most of it frozen; 333.55 kJ/kg of water
_THAWED_K = 0.46
_FREEZES_C = -1.5
_AIR_FILM = 8.0  # still air, convection and radiation


@dataclass(frozen=True, slots=True)
class Thaw:
    """Minutes to thaw, low and high, how often to change the water, and the source."""

    span_min: Span
    change_min: float | None
    source: Source


def thaw_in_water(pack_kg: float, single_layer: bool) -> Thaw:
    """Return how long a sealed pack takes to thaw in cold water.

    Parameters
    ----------
    pack_kg
        One pack or block, kg, 0.05 to 15; several at once take no longer in enough water.
    single_layer
        Steaks in one layer; else a block.

    References
    ----------
    USDA-derived advice: 30 min a pound, water changed every 30 min, cooked at once.

    Examples
    --------
    >>> thaw_in_water(2.3, single_layer=False).span_min.high
    150.0
    """
    if not 0.05 <= pack_kg <= 15:
        raise OutOfRangeError("pack", f"{pack_kg:g} kg", "0.05 to 15 kg")
    water = heat_row("rules", "rules", "thaw water")
    row = heat_row("rules", "rules", "thaw single layer") if single_layer else water
    likely = float(water["min_per_kg"]) * pack_kg
    ends = tuple(row["min"]) if single_layer else (round(likely * 0.8, -1), round(likely, -1))
    span = Span(float(ends[0]), float(ends[1]), "min", 0)
    return Thaw(span, float(water["change_min"]), heat_source("rules", row))


def thaw_in_fridge(piece_kg: float) -> Thaw:
    """Return how long one piece takes to thaw in the refrigerator.

    Examples
    --------
    >>> thaw_in_fridge(5.0).span_min
    Span(low=2880.0, high=3600.0, unit='min', digits=0)
    """
    if not 0.05 <= piece_kg <= 40:
        raise OutOfRangeError("piece", f"{piece_kg:g} kg", "0.05 to 40 kg")
    row = heat_row("rules", "rules", "thaw fridge")
    low, high = (60 * hours * piece_kg for hours in row["hours_per_kg"])
    return Thaw(Span(low, high, "min", 0), None, heat_source("rules", row))


def plank_min(thickness_cm: float, around_c: float, film_w_m2k: float, beta: float = 0.0) -> float:
    """Return the thawing time of a piece by Plank's equation, minutes.

    Parameters
    ----------
    thickness_cm
        Smallest dimension, cm.
    around_c
        Water or air around, °C, above the freezing point.
    film_w_m2k
        Film coefficient: still air 8, a bag in still water about 100 to 200.
    beta
        Shape exponent; 0 slab, 1 cylinder, 2 sphere divide the time by 1, 2, 3.

    References
    ----------
    Plank's equation, ASHRAE Handbook - Refrigeration, cooling and freezing times of foods.

    Examples
    --------
    >>> 45 < plank_min(2.5, 12.0, 150.0) < 90
    True
    """
    depth = checked_thickness_cm(thickness_cm) / 100
    if not around_c > _FREEZES_C:
        raise OutOfRangeError("water", f"{around_c:g} °C", "above the freezing point")
    resist = 0.5 * depth / film_w_m2k + 0.125 * depth**2 / _THAWED_K
    return 1050.0 * _LATENT_J_KG / (around_c - _FREEZES_C) * resist / (1 + beta) / 60


def temper_min(piece: Piece, from_c: float, to_c: float, room_c: float) -> float:
    """Return how long a piece out of the fridge takes to warm at its core, minutes.

    Parameters
    ----------
    piece
        Of the card.
    from_c, to_c, room_c
        °C; the aim lies between start and room.

    Notes
    -----
    The time out of the cold counts for the safety clocks. A degree at the core is slow to come:
    a thick piece warms by little in an hour.

    Examples
    --------
    >>> temper_min(Piece(weight_kg=0.19, thickness_cm=2.5), 5.0, 12.0, 22.0) > 30
    True
    """
    made = mixed(meat(piece.fat if piece.fat is not None else 0.12), 15.0)
    half = checked_thickness_cm(piece.thickness_cm) / 200
    long, wide = ratios(piece, made.rho)
    beta = brick_beta(long, wide, max(_AIR_FILM * half / made.k, 0.1))
    seconds = seconds_to(to_c, from_c, room_c, half, made.k, made.alpha, _AIR_FILM, beta)
    return seconds / 60


def box_stays_cold_h(ice_on_food: bool, sun: bool = False) -> Span:
    """Return how long a 50 L cold box keeps food at 5 °C or below with ice, hours.

    Notes
    -----
    Common practice at 30 °C, lid opened every 10 min; halved in the sun.

    Examples
    --------
    >>> box_stays_cold_h(ice_on_food=True)
    Span(low=8.0, high=10.0, unit='h', digits=0)
    """
    key = "box with ice on food" if ice_on_food else "box with pads on top"
    low, high = heat_row("rules", "rules", key)["hours"]
    share = 0.5 if sun else 1.0
    return Span(low * share, high * share, "h", 0)


def box_warms_min(from_c: float, to_c: float, outside_c: float = 30.0, sun: bool = False) -> Span:
    """Return how long food in a full cold box without ice takes to warm, minutes; top layer first.

    Parameters
    ----------
    from_c, to_c
        °C, rising, both below the air outside.
    outside_c
        °C.

    Notes
    -----
    Common practice: 5 to 8 °C in 60 to 90 min at 30 °C; other spans by Newton's law from there.
    The bot's clocks run on readings, not on this.

    Examples
    --------
    >>> box_warms_min(5.0, 8.0)
    Span(low=60.0, high=90.0, unit='min', digits=0)
    """
    if not from_c < to_c < outside_c:
        raise OutOfRangeError("temperature", f"{to_c:g} °C", f"{from_c:g} to {outside_c:g} °C")
    row = heat_row("rules", "rules", "box without ice")
    share = log((outside_c - from_c) / (outside_c - to_c)) / log((30.0 - 5.0) / (30.0 - 8.0))
    share *= row["in_sun"] if sun else 1.0
    low, high = row["min_from_5_to_8"]
    return Span(round(low * share, 6), round(high * share, 6), "min", 0)
