"""Closed vocabularies: what a verdict, a role, a station or a sound may be."""

from __future__ import annotations

from enum import IntEnum, StrEnum


class Verdict(StrEnum):
    """The words a verdict may be. Only OK, and NO with every label confirmed, clear anything."""

    OK = "OK"
    NOT_YET = "NOT YET"
    BIN = "BIN"
    STOP = "STOP"
    UNKNOWN = "UNKNOWN"
    NOT_CONFIRMED = "NOT CONFIRMED"
    YES = "YES"
    NO = "NO"


class Profile(StrEnum):
    """A rule book. An event without one is judged by all of them, the worst verdict given."""

    US = "us"
    US_CONSUMER = "us-consumer"
    UK = "uk"
    SCOTLAND = "scotland"
    ES = "es"
    AU = "au"
    NZ = "nz"
    CA = "ca"


class FoodClass(StrEnum):
    """Cook classes of the published safety tables."""

    A1 = "A1"
    A2 = "A2"
    A3 = "A3"
    B = "B"
    C = "C"
    EGG = "EGG"
    FISH = "FISH"
    PLANT = "PLANT"


class StationKind(StrEnum):
    """What a station is; a step names a station by id or by kind."""

    SMOKER = "smoker"
    GRILL = "grill"
    OVEN = "oven"
    GRIDDLE = "griddle"
    RING = "ring"
    HOT_BOX = "hot_box"
    COLD_BOX = "cold_box"
    FRIDGE = "fridge"
    TABLE = "table"
    LANE = "lane"
    TUB = "tub"


FIRES = frozenset(
    {
        StationKind.SMOKER,
        StationKind.GRILL,
        StationKind.OVEN,
        StationKind.GRIDDLE,
        StationKind.RING,
    }
)
"""Stations that are lit, have one temperature at a time and take food in loads."""


class Role(StrEnum):
    """What a person does on the day."""

    CHEF = "chef"
    PIT = "pit"
    COLD = "cold"
    FRONT = "front"
    RAW = "raw"
    RUNNER = "runner"
    WASH = "wash"
    DRIVER = "driver"
    LANE = "lane"
    CREW = "crew"


class Lead(StrEnum):
    """What a person leads; the column of the rights table."""

    PIT = "pit"
    COLD = "cold"
    FRONT = "front"
    ALLERGY = "allergy"
    NIGHT = "night"


class Tied(StrEnum):
    """What holds a step in time: its slack, the plates, or the world."""

    ELASTIC = "elastic"
    PLATES = "plates"
    WORLD = "world"


class Per(StrEnum):
    """What a step's minutes are for: the whole load, one tub or tray, or one piece."""

    LOAD = "load"
    LOT = "lot"
    PIECE = "piece"


class Rain(StrEnum):
    """How hard it rains."""

    NONE = "none"
    LIGHT = "light"
    HEAVY = "heavy"


class Sound(IntEnum):
    """How loud a message is: silent, once, or repeating until answered."""

    SILENT = 0
    ONCE = 1
    ALARM = 2


class Place(StrEnum):
    """Where a thermometer was."""

    CORE = "core"
    PIT = "pit"
    AIR = "air"
    TUB = "tub"
    SURFACE = "surface"
