"""What the house learns: measured yields and times, and what each cook taught about a fire.

Two streams hold these. A number that a person approves (`KeepMeasured`) is a `MeasurementTaken`
in the log of the cook where it was approved; the same fact is then booked in the stream `house`,
with whatever the cook's readings taught (`HeatLearned`). What the house knew when a cook started
is one fact of that cook (`HouseTaken`): learning that comes later changes the next cook, never one
that is under way.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum


class Measure(StrEnum):
    """What was measured; the subject says of what.

    YIELD and TRIM are fractions left, of an ingredient by its name: cooked over trimmed, trimmed
    over bought. MINUTES are of a step: 'dish/step'. PORTION is kg a head eaten, of a dish; LOAD
    pieces a fire held: 'dish/station'; PACE portions a minute of a lane.
    """

    YIELD = "yield"
    TRIM = "trim"
    MINUTES = "minutes"
    PORTION = "portion"
    LOAD = "load"
    PACE = "pace"


# ------------------------------------------------------------------ facts


@dataclass(frozen=True, slots=True)
class MeasurementTaken:
    """The house measured this and keeps it: `n` loads or weighings of one cook make the mean.

    A cook has one measurement of a kind and subject; a newer one replaces it.
    """

    kind: Measure
    subject: str
    value: float
    unit: str
    at: datetime
    cook: str
    n: int = 1


@dataclass(frozen=True, slots=True)
class HeatLearned:
    """What the readings of one pulled load say about its fire and cut.

    `fire` is the station's family, `cut` the dish, `kind` the class of cook. `on`, `off` and
    `cores` (°C) are what it rests on. `worth` is the inverse covariance of the heat model's eight
    unknowns by these readings alone, `told` that times their mean.
    """

    cook: str
    run: str
    fire: str
    cut: str
    step: str
    kind: str
    on: datetime
    off: datetime
    cores: tuple[tuple[datetime, float], ...]
    told: tuple[float, ...]
    worth: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class HouseForgot:
    """A cook's log no longer bears this out: a report was taken back. `what` is a run's key, or
    'kind/subject' of a measurement.
    """

    cook: str
    what: str


@dataclass(frozen=True, slots=True)
class CookLearned:
    """A cook is closed and all it taught is above."""

    cook: str


@dataclass(frozen=True, slots=True)
class Known:
    """A measured mean: over so many cooks, `n` loads or weighings in all, the last on `day`."""

    kind: Measure
    subject: str
    value: float
    unit: str
    cooks: int
    n: int
    day: date


@dataclass(frozen=True, slots=True)
class HeatKnown:
    """What all cooks of one fire and cut taught, `told` and `worth` as above, for the next one."""

    fire: str
    cut: str
    step: str
    kind: str
    told: tuple[float, ...]
    worth: tuple[tuple[float, ...], ...]
    cooks: int
    day: date


@dataclass(frozen=True, slots=True)
class HouseTaken:
    """What the house knew of these cards when the cook started: all that the cook will use."""

    measured: tuple[Known, ...] = ()
    heat: tuple[HeatKnown, ...] = ()


HouseFact = MeasurementTaken | HeatLearned | HouseForgot | CookLearned | HouseTaken


# ------------------------------------------------------------------ wishes


@dataclass(frozen=True, slots=True)
class KeepMeasured:
    """Keep this for the house: what an approval of the chef stands for.

    `value` is a fraction, minutes, kg or a count, as the kind says.
    """

    kind: Measure
    subject: str
    value: float
    n: int = 1


HouseWish = KeepMeasured
