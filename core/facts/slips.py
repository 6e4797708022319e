"""What goes wrong on the day: fires, weather, people, supplies, food lost or late.

The wish is what somebody said; the fact is what is true from then on. What to do about it is one
tap, `TakeOption`: its plan is made again at that tap, from the state of that moment.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from core.model import Rain


class Part(StrEnum):
    """Whose part of the kitchen a choice changes; each is a row of the rights table."""

    PROMISE = "promise"
    FIRE = "fire"
    SALADS = "salads"
    PACE = "pace"


class Supply(StrEnum):
    """What the site gives, or does not."""

    POWER = "power"
    WATER = "water"


class Why(StrEnum):
    """Why a fire, lane or box is out of use."""

    BROKEN = "broken"
    GAS = "gas"
    POWER = "power"


# ------------------------------------------------------------------ wishes


@dataclass(frozen=True, slots=True)
class FireDown:
    """A fire, lane or box is out of use; `back_min` when somebody said how long."""

    station: str
    why: Why = Why.BROKEN
    back_min: float | None = None


@dataclass(frozen=True, slots=True)
class FireBack:
    """It works again; '' means the one that is down."""

    station: str = ""


@dataclass(frozen=True, slots=True)
class FireSlow:
    """A fire does not hold its heat, and nobody has read how much."""

    station: str


@dataclass(frozen=True, slots=True)
class SwitchWeather:
    """Wind (km/h), rain or cold (air, °C) from now on, or from `start`; `on` False takes it off."""

    wind_kmh: float | None = None
    rain: Rain | None = None
    air_c: float | None = None
    on: bool = True
    start: datetime | None = None


@dataclass(frozen=True, slots=True)
class GasOut:
    """The gas is out; `left_kg` what the last bottle holds, where that was said."""

    station: str = ""
    left_kg: float | None = None


@dataclass(frozen=True, slots=True)
class SupplyOut:
    """Power or water is gone, or back."""

    what: Supply
    back: bool = False


@dataclass(frozen=True, slots=True)
class PersonOut:
    """Somebody is not here, or leaves at `start`; `until` when they come after all."""

    person: str
    start: datetime | None = None
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class PersonIn:
    """Somebody who was away is here."""

    person: str


@dataclass(frozen=True, slots=True)
class DropPieces:
    """So many pieces are lost; `named` a load or a dish, '' when only the number was said."""

    count: int
    named: str = ""


@dataclass(frozen=True, slots=True)
class LotMissed:
    """So many lots of a step were never done: a tub that was not brined."""

    step: str
    lots: int = 1


@dataclass(frozen=True, slots=True)
class GoodsOff:
    """A delivery is warm, or so many kilograms short; `named` is the food."""

    named: str
    short_kg: float | None = None
    core_c: float | None = None


@dataclass(frozen=True, slots=True)
class FoundFrozen:
    """Meat that should be on its way is still frozen; `on_at` when it was to go on."""

    named: str = ""
    on_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class AskCure:
    """A trouble with a known cure and nothing to re-plan: 'smoke' on the guests, a split sauce."""

    trouble: str
    station: str = ""


@dataclass(frozen=True, slots=True)
class SpeechFirst:
    """Plates wait for so many minutes of speeches."""

    minutes: float


@dataclass(frozen=True, slots=True)
class TakeOption:
    """Do this about what went wrong; what a tap on a choice stands for.

    `shown` is the outcome the person was shown: if it has become another, it is asked again.
    """

    option: str
    part: Part
    shown: str = ""


SlipWish = (
    FireDown
    | FireBack
    | FireSlow
    | SwitchWeather
    | GasOut
    | SupplyOut
    | PersonOut
    | PersonIn
    | DropPieces
    | LotMissed
    | GoodsOff
    | FoundFrozen
    | AskCure
    | SpeechFirst
    | TakeOption
)


# ------------------------------------------------------------------ facts


@dataclass(frozen=True, slots=True)
class StationDown:
    """Out of use from the entry's time; `until` None: nobody knows how long."""

    station: str
    why: Why
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class StationBack:
    """In use again."""

    station: str


@dataclass(frozen=True, slots=True)
class StationLent:
    """A fire does the work of another kind: a pit at full heat sears, from `start` on."""

    station: str
    family: str
    start: datetime


@dataclass(frozen=True, slots=True)
class LoadMoving:
    """A load on its fire goes to another at `at`, and is then off about `end`."""

    run: str
    station: str
    at: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class WeatherSet:
    """The weather as seen on site, in place of the forecast; all None: the forecast again.

    From `start` on where it is to come, else from the entry's time.
    """

    wind_kmh: float | None = None
    rain: Rain | None = None
    air_c: float | None = None
    start: datetime | None = None


@dataclass(frozen=True, slots=True)
class SupplyFailed:
    """Power or water is gone."""

    what: Supply


@dataclass(frozen=True, slots=True)
class SupplyRestored:
    """Power or water is back."""

    what: Supply


@dataclass(frozen=True, slots=True)
class PersonAway:
    """Not here from `start` until `until`; None: for the day."""

    person: str
    start: datetime
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class PersonArrived:
    """Here after all."""

    person: str


@dataclass(frozen=True, slots=True)
class LotsMissed:
    """These lots were never done; so many pieces go another way."""

    runs: tuple[str, ...]
    pieces: int


@dataclass(frozen=True, slots=True)
class GoodsShort:
    """So much less of a food than was bought; `refused` because it came warm."""

    named: str
    kg: float | None = None
    refused: bool = False


@dataclass(frozen=True, slots=True)
class ServedApart:
    """These dishes go out so many minutes after the others."""

    minutes: Mapping[str, float] = field(default_factory=dict)


SlipFact = (
    StationDown
    | StationBack
    | StationLent
    | LoadMoving
    | WeatherSet
    | SupplyFailed
    | SupplyRestored
    | PersonAway
    | PersonArrived
    | LotsMissed
    | GoodsShort
    | ServedApart
)
