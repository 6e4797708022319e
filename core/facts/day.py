"""The plan, the steps of its loads, the calls and what is taken back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from core.facts.house import HouseTaken
from core.model import Call, Cards, Finding, Line, Plan, Reading


class Report(StrEnum):
    """What the crew can say of a step."""

    START = "start"
    DONE = "done"
    MOVE = "move"
    READING = "reading"
    DISCARD = "discard"


# ------------------------------------------------------------------ wishes


@dataclass(frozen=True, slots=True)
class StartCook:
    """Start a cook from these cards; `texts` are the files as they stand, by path, `house` what is
    known of them from earlier cooks.
    """

    cook: str
    cards: Cards
    texts: Mapping[str, str]
    house: HouseTaken = field(default_factory=HouseTaken)


@dataclass(frozen=True, slots=True)
class ChangeHeads:
    """Feed this many; `split` by what they eat ('vegetarian': 2), `more` where it is on top."""

    heads: int
    split: Mapping[str, int] | None = None
    more: bool = False


@dataclass(frozen=True, slots=True)
class MovePlates:
    """First plates at this instant."""

    at: datetime


@dataclass(frozen=True, slots=True)
class ReportStep:
    """A step of a load was started, done, moved or (some of it) discarded.

    `subject` is what was named: a load, a batch, a station or a task; '' means 'the one that is
    due'. `verb` is what was said: 'on', 'off', 'flip', 'sear'; '' means 'done'.
    """

    subject: str
    verb: str
    report: Report
    count: int | None = None
    station: str | None = None
    core_c: float | None = None


@dataclass(frozen=True, slots=True)
class GiveReading:
    """A thermometer or scale was read."""

    reading: Reading


@dataclass(frozen=True, slots=True)
class RunLate:
    """Something is this many minutes behind; '' means everything."""

    minutes: float
    subject: str = ""


@dataclass(frozen=True, slots=True)
class Apply:
    """Adopt a new plan for these heads and plates; what a tap on 'apply' stands for.

    The plan itself is made at the tap, from the state of that moment, so it is never stale;
    `shown` is the outcome the person was shown, and a different one is asked again. `split` is who
    eats what by dish, where it was told. A `plan` that was shown whole stands as it is while
    nothing has been booked since `made_from`; else it, too, is made again.
    """

    heads: int
    plates_at: datetime
    reason: Line
    shown: str = ""
    split: Mapping[str, int] | None = None
    plan: Plan | None = None
    made_from: int = 0


@dataclass(frozen=True, slots=True)
class AnswerCall:
    """The person acknowledges a call; None means the newest open one to them."""

    key: str | None = None


@dataclass(frozen=True, slots=True)
class Choose:
    """The person taps choice `number` (1-based) of a question; None means their newest."""

    number: int
    question: str | None = None


@dataclass(frozen=True, slots=True)
class TickLoaded:
    """Something of the load-out list is in the van; `named` as it was said."""

    named: str


@dataclass(frozen=True, slots=True)
class Undo:
    """Take back the person's last report or change of the past 15 min."""


@dataclass(frozen=True, slots=True)
class CloseCook:
    """The day is over."""


DayWish = (
    StartCook
    | ChangeHeads
    | MovePlates
    | ReportStep
    | GiveReading
    | RunLate
    | Apply
    | AnswerCall
    | Choose
    | TickLoaded
    | Undo
    | CloseCook
)


# ------------------------------------------------------------------ facts


@dataclass(frozen=True, slots=True)
class CookStarted:
    """The cook has an id and a clock."""

    cook: str


@dataclass(frozen=True, slots=True)
class CardsTaken:
    """The cards as they stood: their text for the record, their values for the state."""

    texts: Mapping[str, str]
    cards: Cards


@dataclass(frozen=True, slots=True)
class PlanAdopted:
    """This schedule is now the plan; `made_from` is the sequence number it was computed from."""

    plan: Plan
    made_from: int
    reason: Line


@dataclass(frozen=True, slots=True)
class HeadsChanged:
    """So many are fed now; `split` by dish, where it was told who eats what."""

    heads: int
    was: int
    split: Mapping[str, int] | None = None


@dataclass(frozen=True, slots=True)
class PlatesMoved:
    """First plates go out then now."""

    at: datetime
    was: datetime


@dataclass(frozen=True, slots=True)
class StepReported:
    """A run or task of the plan was started, done, moved or discarded, at the entry's `at`."""

    run: str
    report: Report
    count: int | None = None
    station: str | None = None


@dataclass(frozen=True, slots=True)
class Retimed:
    """What a report moved: new start and end of runs and tasks not yet over, by key."""

    times: Mapping[str, tuple[datetime, datetime]]


@dataclass(frozen=True, slots=True)
class ReadingTaken:
    """A reading, true as far as anybody knows."""

    reading: Reading


@dataclass(frozen=True, slots=True)
class LateReported:
    """Somebody said a waiting thing cannot start, or a running one end, before this instant."""

    item: str
    until: datetime
    minutes: float


@dataclass(frozen=True, slots=True)
class EndExpected:
    """A thermometer's better guess of a running step's end, and the next look with its core, °C."""

    item: str
    end: datetime
    check_at: datetime | None = None
    expect_c: float | None = None


@dataclass(frozen=True, slots=True)
class CallMade:
    """A call fell due and was handed to the outbox."""

    call: Call


@dataclass(frozen=True, slots=True)
class CallAnswered:
    """A call was answered by somebody."""

    key: str


@dataclass(frozen=True, slots=True)
class Loaded:
    """These things of the load-out list are in the van."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class VerdictGiven:
    """A verdict was spoken, with the rule row and the version of the tables it rests on."""

    finding: Finding
    tables: str


@dataclass(frozen=True, slots=True)
class Undone:
    """The facts with these sequence numbers no longer count."""

    seqs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class CookClosed:
    """The day is over."""


DayFact = (
    CookStarted
    | CardsTaken
    | PlanAdopted
    | HeadsChanged
    | PlatesMoved
    | StepReported
    | Retimed
    | ReadingTaken
    | LateReported
    | EndExpected
    | CallMade
    | CallAnswered
    | Loaded
    | VerdictGiven
    | Undone
    | CookClosed
)
