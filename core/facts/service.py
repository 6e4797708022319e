"""Service and silence: plates counted, holds, what stands out, timers, who wants to hear nothing.

A count is always stored with the running total it makes, so that nobody has to know later whether
'80' was eighty more or eighty in all. Food that was opened, dressed or put on the line keeps the
instant; the verdict on it is made when it is asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Came(StrEnum):
    """What happened to a tub, box or dish that starts or ends its time out of temperature."""

    OPENED = "opened"
    DRESSED = "dressed"
    LINE = "line"
    BACK = "back"


# ------------------------------------------------------------------ wishes


@dataclass(frozen=True, slots=True)
class Mute:
    """Say nothing to the person until then but safety and what only they can do; None: speak."""

    until: datetime | None


@dataclass(frozen=True, slots=True)
class SetTimer:
    """Ring the person once in so many minutes, with this name."""

    name: str
    minutes: float


@dataclass(frozen=True, slots=True)
class StopTimer:
    """Stop the person's timer of this name; '' means the only one they have."""

    name: str = ""


@dataclass(frozen=True, slots=True)
class ShareTimer:
    """A timer rings for this person as well."""

    timer: str
    person: str


@dataclass(frozen=True, slots=True)
class CountPlates:
    """So many plates are out: in all, or `more`; past one lane, or '' for the whole service.

    `trays` of `each` portions where trays were counted; `each` None means the last size said.
    `sure` when fewer than before are meant: a count that was too high is put right.
    """

    plates: int
    lane: str = ""
    more: bool = False
    trays: int | None = None
    each: int | None = None
    sure: bool = False


@dataclass(frozen=True, slots=True)
class CountLeft:
    """So much is left: plates, pieces, slices, kg or L; of a dish, or '' for all plates.

    `of` is the load or batch it is from, where that was said.
    """

    amount: float
    unit: str
    dish: str = ""
    of: str = ""


@dataclass(frozen=True, slots=True)
class HoldService:
    """Nothing goes out until somebody says so: 'lightning', 'speech'."""

    reason: str = ""


@dataclass(frozen=True, slots=True)
class RestartService:
    """Plates go out again."""


@dataclass(frozen=True, slots=True)
class SetOut:
    """A tub, box or dish was opened, dressed, put on the line or put back."""

    what: str
    came: Came


@dataclass(frozen=True, slots=True)
class SeeQueue:
    """So many stand in line; at so many a minute, where that was said."""

    deep: int | None
    per_min: float | None = None
    lane: str = ""


@dataclass(frozen=True, slots=True)
class SetPortion:
    """From now on a portion of this dish is so much: slices, pieces or grams."""

    dish: str
    amount: float
    unit: str


@dataclass(frozen=True, slots=True)
class GiveNumber:
    """A number, for the question of the review that waits for one."""

    value: float
    unit: str = ""


ServiceWish = (
    Mute
    | SetTimer
    | StopTimer
    | ShareTimer
    | CountPlates
    | CountLeft
    | HoldService
    | RestartService
    | SetOut
    | SeeQueue
    | SetPortion
    | GiveNumber
)


# ------------------------------------------------------------------ facts


@dataclass(frozen=True, slots=True)
class Muted:
    """The person hears nothing but safety and their own must-dos until then."""

    person: str
    until: datetime


@dataclass(frozen=True, slots=True)
class TimerSet:
    """A named timer beside the plan: rings these people at this instant."""

    timer: str
    name: str
    rings: datetime
    to: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TimerStopped:
    """This timer rings no more."""

    timer: str


@dataclass(frozen=True, slots=True)
class PlatesCounted:
    """Past this lane ('' none named) `total` plates so far; `out` past all lanes together.

    `each` is how many portions a tray holds, where trays were counted.
    """

    lane: str
    total: int
    out: int
    each: int | None = None


@dataclass(frozen=True, slots=True)
class LeftCounted:
    """So much is left of a dish; '' means plates of everything."""

    dish: str
    amount: float
    unit: str


@dataclass(frozen=True, slots=True)
class ServiceHeld:
    """Nothing goes out from the entry's `at` on."""

    reason: str = ""


@dataclass(frozen=True, slots=True)
class ServiceRestarted:
    """Plates go out again."""


@dataclass(frozen=True, slots=True)
class FoodOut:
    """A tub, box or dish was opened, dressed, put on the line or put back, at the entry's `at`."""

    what: str
    came: Came
    dish: str = ""


@dataclass(frozen=True, slots=True)
class QueueSeen:
    """So many stood in line, served at so many a minute."""

    deep: int | None
    per_min: float | None = None
    lane: str = ""


@dataclass(frozen=True, slots=True)
class PortionSet:
    """A portion of this dish is so much now; `was` before."""

    dish: str
    amount: float
    unit: str
    was: float


ServiceFact = (
    Muted
    | TimerSet
    | TimerStopped
    | PlatesCounted
    | LeftCounted
    | ServiceHeld
    | ServiceRestarted
    | FoodOut
    | QueueSeen
    | PortionSet
)
