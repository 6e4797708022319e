"""Readings of boxes and fridges: cold enough, hot enough, or a clock that has been running.

The clock runs from the last reading of that box's food that was good, not from when somebody
noticed, and adds up over the day; without one it is unknown. A reading in doubt is no reading.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from core.cook.safety.air import air_at
from core.cook.safety.probes import FOOD, trusted
from core.cook.state import Cook
from core.model import Finding, Reading, Station, StationKind
from core.safety.clocks import Out, Side
from core.safety.degrees import Degrees, Limit
from core.safety.holding import found_at, held_to, hold_rule

__all__ = ["FOOD", "air_is_fine", "box_finding", "box_limit", "box_out", "food_readings", "side_of"]

COLD = frozenset({StationKind.COLD_BOX, StationKind.FRIDGE})
HOT = frozenset({StationKind.HOT_BOX})
REHEATED = Limit(74.0, 165)
"""Hot food read at this was reheated, and its time below the limit is over (FDA 3-403.11)."""


def box_finding(cook: Cook, reading: Reading) -> Finding | None:
    """Return what a reading of a box means; None if it is no box."""
    station = cook.cards.station(reading.about) if cook.cards else None
    side = side_of(station)
    if side is None or cook.cards is None:
        return None
    event = cook.cards.event
    out = box_out(cook, reading, side, reading.at)
    return found_at(Degrees(reading.value), reading.place, out, event.profile, event.house)


def air_is_fine(cook: Cook, reading: Reading) -> bool:
    """Say whether a box's air is within the limit: a tick, though no word on the food."""
    station = cook.cards.station(reading.about) if cook.cards else None
    side = side_of(station)
    if side is None or cook.cards is None or reading.place in FOOD:
        return False
    limit = box_limit(cook, side)
    return limit is not None and _keeps(limit, side, reading.value)


def side_of(station: Station | None) -> Side | None:
    """Return whether a station keeps food cold or hot."""
    if station is None:
        return None
    if station.kind in COLD:
        return Side.COLD
    return Side.HOT if station.kind in HOT else None


def box_limit(cook: Cook, side: Side) -> Limit | None:
    """Return the limit in force; None where no one rule book is set to be good by."""
    event = cook.cards.event if cook.cards else None
    if event is None or event.profile is None:
        return None
    return held_to(hold_rule(side, event.profile), side, event.house)


def _keeps(limit: Limit, side: Side, value: float) -> bool:
    read = Degrees(value)
    return limit.kept(read) if side is Side.COLD else limit.reached(read)


def food_readings(cook: Cook, about: str, before: datetime) -> tuple[Reading, ...]:
    """Return what was read of the food in a box since it was last emptied, oldest first."""
    binned = cook.safety.binned.get(about)
    return tuple(
        r
        for r in trusted(cook, about)
        if r.place in FOOD and r.unit == "°C" and r.at < before
        and (binned is None or r.at > binned)
    )  # fmt: skip


def box_out(cook: Cook, reading: Reading, side: Side, now: datetime) -> Out:
    """Return how long a box's food has been out as far as its readings tell, added up."""
    limit = box_limit(cook, side)
    air = air_at(cook, now) if side is Side.COLD else None
    if limit is None:
        return Out(side, None, now, air=air, about=reading.about)
    since, before_min, periods = _spent(food_readings(cook, reading.about, reading.at), side, limit)
    return Out(side, since, now, before_min, periods, air, about=reading.about)


def _spent(
    readings: Sequence[Reading], side: Side, limit: Limit
) -> tuple[datetime | None, float, int]:
    """Return since when food is out now, and the minutes and number of the times before.

    A stretch runs from the last good reading before it to the first good one after it.
    """
    good_at: datetime | None = None
    begun: datetime | None = None
    before, periods = 0.0, 0
    for reading in readings:
        if _keeps(limit, side, reading.value):
            if begun is not None:
                before += (reading.at - begun).total_seconds() / 60
                periods += 1
            begun, good_at = None, reading.at
            if side is Side.HOT and REHEATED.reached(Degrees(reading.value)):
                before, periods = 0.0, 0
        elif begun is None:
            begun = good_at or reading.at
    in_doubt = begun is not None and good_at is None
    return (None if in_doubt else begun or good_at), before, periods
