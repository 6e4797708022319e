"""Safety and allergens: lifts, labels, batches as made, thermometers, the sick, alarms."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

# ------------------------------------------------------------------ wishes


@dataclass(frozen=True, slots=True)
class LiftStop:
    """Serve or keep something in spite of a verdict about `about` ('': the newest), and why."""

    about: str
    reason: str


@dataclass(frozen=True, slots=True)
class AgreeLift:
    """The second person agrees that the verdict with this sequence number is lifted."""

    verdict: int
    chef: str
    reason: str


@dataclass(frozen=True, slots=True)
class SwapBrand:
    """Another brand of an ingredient is in use; `photo` is the sha256 of its label's picture."""

    ingredient: str
    photo: str | None = None


@dataclass(frozen=True, slots=True)
class ShowLabel:
    """A picture of a label, by its sha256: kept with the ingredient, it confirms nothing."""

    ingredient: str
    photo: str


@dataclass(frozen=True, slots=True)
class ReadLabel:
    """Somebody read a label out: these allergens, and these perhaps; () is none at all."""

    ingredient: str
    allergens: tuple[str, ...]
    may_contain: tuple[str, ...] = ()
    photo: str | None = None


@dataclass(frozen=True, slots=True)
class AgreeLabel:
    """The other of chef and allergy person agrees with what `first` read on a label."""

    label: ReadLabel
    first: str


@dataclass(frozen=True, slots=True)
class MakeBatch:
    """A batch of a dish was made; `uses` is what went in beside or instead of the card's."""

    dish: str
    number: int | None = None
    uses: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DoubtProbe:
    """A thermometer was dropped, or is not believed; `why` is dropped, wet or disagrees."""

    probe: str
    why: str


@dataclass(frozen=True, slots=True)
class CheckIce:
    """A thermometer was read in stirred ice slush, in the unit it shows."""

    probe: str
    reading: float
    fahrenheit: bool = False


@dataclass(frozen=True, slots=True)
class ReportSick:
    """Somebody of the crew vomits or has diarrhoea."""

    person: str


@dataclass(frozen=True, slots=True)
class ReportBack:
    """Somebody who was sick wants to touch food again."""

    person: str


@dataclass(frozen=True, slots=True)
class BinFood:
    """These batches, boxes or dishes are binned, by the id of the rule."""

    abouts: tuple[str, ...]
    rule: str = ""


@dataclass(frozen=True, slots=True)
class ApprovePink:
    """The chef answers for serving a dish pink."""

    dish: str


@dataclass(frozen=True, slots=True)
class RaiseAlarm:
    """Something is wrong on the site: an id of `core.safety.site.Alarm`, '' for the card."""

    alarm: str


SafetyWish = (
    LiftStop
    | AgreeLift
    | SwapBrand
    | ShowLabel
    | ReadLabel
    | AgreeLabel
    | MakeBatch
    | DoubtProbe
    | CheckIce
    | ReportSick
    | ReportBack
    | BinFood
    | ApprovePink
    | RaiseAlarm
)


# ------------------------------------------------------------------ facts


@dataclass(frozen=True, slots=True)
class StopLifted:
    """A verdict was lifted by the chef and a second person; it stays in the log as it was."""

    verdict: int
    about: str
    rule: str
    reason: str
    chef: str
    second: str


@dataclass(frozen=True, slots=True)
class BrandSwapped:
    """From now on, and perhaps before, another brand is in the food."""

    ingredient: str
    photo: str | None = None


@dataclass(frozen=True, slots=True)
class LabelShown:
    """A label was photographed."""

    ingredient: str
    photo: str


@dataclass(frozen=True, slots=True)
class LabelConfirmed:
    """A label was read by one person and confirmed by another, or by the one who is both."""

    ingredient: str
    allergens: tuple[str, ...]
    may_contain: tuple[str, ...]
    read_by: str
    confirmed_by: str
    photo: str | None = None


@dataclass(frozen=True, slots=True)
class BatchMade:
    """A batch was made, at the entry's `at`."""

    dish: str
    number: int
    uses: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ProbeDoubted:
    """Readings of a thermometer since its last good check (None: all) are not believed.

    `reader` is whose readings without a thermometer's name count as its own.
    """

    probe: str
    why: str
    since: datetime | None = None
    reader: str = ""


@dataclass(frozen=True, slots=True)
class IceChecked:
    """A thermometer in ice slush, °C, and whether that is within its tolerance."""

    probe: str
    celsius: float
    good: bool


@dataclass(frozen=True, slots=True)
class CrewOff:
    """Somebody is off food for so many hours after the last symptom."""

    person: str
    hours: float


@dataclass(frozen=True, slots=True)
class CrewBack:
    """Somebody may touch food again."""

    person: str


@dataclass(frozen=True, slots=True)
class FoodBinned:
    """A batch, box or dish went into the bin for safety."""

    about: str
    rule: str = ""


@dataclass(frozen=True, slots=True)
class PinkApproved:
    """A named person answers for serving a dish pink."""

    dish: str
    by: str


@dataclass(frozen=True, slots=True)
class AlarmRaised:
    """Every phone that must know was told what to do at once."""

    alarm: str


SafetyFact = (
    StopLifted
    | BrandSwapped
    | LabelShown
    | LabelConfirmed
    | BatchMade
    | ProbeDoubted
    | IceChecked
    | CrewOff
    | CrewBack
    | FoodBinned
    | PinkApproved
    | AlarmRaised
)
