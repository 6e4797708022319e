"""Readings of boxes and fridges: cold enough, hot enough, or a clock that has been running.

The clock runs from the last reading of that box's food that was good, not from when somebody
noticed; without one it is unknown.
"""

from __future__ import annotations

from datetime import datetime

from core.cook.state import Cook
from core.model import Finding, Place, Reading, Station, StationKind
from core.safety.clocks import Out, Side
from core.safety.degrees import Degrees
from core.safety.holding import found_at, held_to, hold_rule

COLD = frozenset({StationKind.COLD_BOX, StationKind.FRIDGE})
HOT = frozenset({StationKind.HOT_BOX})
FOOD = frozenset({Place.CORE, Place.TUB, Place.SURFACE})


def box_finding(cook: Cook, reading: Reading) -> Finding | None:
    """Return what a reading of a box means; None if it is no box."""
    station = cook.cards.station(reading.about) if cook.cards else None
    side = side_of(station)
    if side is None or cook.cards is None:
        return None
    event = cook.cards.event
    since = last_good(cook, reading, side)
    out = Out(side, since, reading.at, about=reading.about)
    return found_at(Degrees(reading.value), reading.place, out, event.profile, event.house)


def air_is_fine(cook: Cook, reading: Reading) -> bool:
    """Say whether a box's air is within the limit: a tick, though no word on the food."""
    station = cook.cards.station(reading.about) if cook.cards else None
    side = side_of(station)
    if side is None or cook.cards is None or reading.place in FOOD:
        return False
    event = cook.cards.event
    if event.profile is None:
        return False
    limit = held_to(hold_rule(side, event.profile), side, event.house)
    if limit is None:
        return False
    read = Degrees(reading.value)
    return limit.kept(read) if side is Side.COLD else limit.reached(read)


def side_of(station: Station | None) -> Side | None:
    """Return whether a station keeps food cold or hot."""
    if station is None:
        return None
    if station.kind in COLD:
        return Side.COLD
    return Side.HOT if station.kind in HOT else None


def last_good(cook: Cook, reading: Reading, side: Side) -> datetime | None:
    """Return when food in this box was last read within the limit, before this reading."""
    assert cook.cards is not None
    event = cook.cards.event
    if event.profile is None:
        return None  # no one limit to have been good by
    limit = held_to(hold_rule(side, event.profile), side, event.house)
    if limit is None:
        return None
    good = [
        r.at
        for r in cook.readings
        if r.about == reading.about and r.place in FOOD and r.at < reading.at
        and (limit.kept(Degrees(r.value)) if side is Side.COLD else limit.reached(Degrees(r.value)))
    ]  # fmt: skip
    return max(good, default=None)
