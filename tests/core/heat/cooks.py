"""Invented cooks for the tests of heat: two tested cards, a shoulder, readings on a clock."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from core.heat.pit import Pit
from core.heat.prior import Kind
from core.model import Check, Piece, Place, Reading, Size, Step

LAMB = Piece(weight_kg=0.22, thickness_cm=5.5, footprint=Size(12, 9), fat=0.12)
LAMB_SMOKE = Step(
    "smoke",
    "smoke",
    temp_c=115.0,
    start_temp_c=5.0,
    until_core_c=46.0,
    ideal_min=62.0,
    checks=(Check(15, 16.7), Check(31, 27.9), Check(45, 36.6), Check(62, 46.0)),
)

COLLAR = Piece(weight_kg=0.19, thickness_cm=2.5, footprint=Size(15, 11), fat=0.18)
COLLAR_SMOKE = Step(
    "smoke",
    "smoke",
    temp_c=110.0,
    start_temp_c=5.0,
    until_core_c=50.0,
    ideal_min=40.0,
    in_wind_min=45.0,
    checks=(Check(10, 18.7), Check(20, 30.6), Check(30, 41.0), Check(40, 50.0)),
)

BUTT = Piece(weight_kg=3.2, thickness_cm=11.0, fat=0.15)
BUTT_SMOKE = Step("smoke", "smoke", temp_c=118.0, start_temp_c=5.0, until_core_c=93.0)

SMOKER = Pit(Kind.SMOKER, 115.0)


def at(hour: int, minute: int = 0, day: int = 13) -> datetime:
    return datetime(2026, 6, day, hour, minute, tzinfo=UTC)


def core(value: float, when: datetime, instrument: str = "instant") -> Reading:
    return Reading(value, Place.CORE, when, "bo", instrument=instrument)


def minutes(first: datetime, second: datetime | None) -> float:
    assert second is not None
    return (second - first) / timedelta(minutes=1)
