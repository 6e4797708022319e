"""Every Wish and every Fact.

A wish is what somebody wants; `cook.decide` turns it into facts or refuses it. A fact is what
happened; it is stored for ever and never rewritten. Undo and corrections are facts too. Facts
carry person ids only: names and message texts live outside the log and can be erased.

    day.py      the plan, the steps of its loads, readings, calls, undo
    people.py   who joins the crew late
    wishes.py   the union of all wishes
    asked.py    questions, whose choices are wishes
    heat.py     wrapped, covered, the lid opened
    service.py  plates counted, holds, food standing out, timers, silence
    safety.py   lifts, labels, batches, thermometers, the sick, alarms
    slips.py    what goes wrong: fires, weather, people, supplies, food
    house.py    what is measured and learned, and what a cook took of it
    kitchen.py  the test kitchen: drafts and saved cards, in the house's stream
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from core.facts.asked import AskedFact, Choice, QuestionAnswered, QuestionAsked
from core.facts.day import (
    AnswerCall,
    Apply,
    CallAnswered,
    CallMade,
    CardsTaken,
    ChangeHeads,
    Choose,
    CloseCook,
    CookClosed,
    CookStarted,
    DayFact,
    DayWish,
    EndExpected,
    GiveReading,
    HeadsChanged,
    LateReported,
    Loaded,
    MovePlates,
    PlanAdopted,
    PlatesMoved,
    ReadingTaken,
    Report,
    ReportStep,
    Retimed,
    RunLate,
    StartCook,
    StepReported,
    TickLoaded,
    Undo,
    Undone,
    VerdictGiven,
)
from core.facts.heat import (
    HeatFact,
    HeatWish,
    LidOpened,
    ReportLid,
    ReportSurface,
    Surface,
    SurfaceReported,
)
from core.facts.house import (
    CookLearned,
    HeatKnown,
    HeatLearned,
    HouseFact,
    HouseForgot,
    HouseTaken,
    HouseWish,
    KeepMeasured,
    Known,
    Measure,
    MeasurementTaken,
)
from core.facts.kitchen import (
    CardKind,
    CardRetired,
    CardSaved,
    DraftOpened,
    DraftResumed,
    DraftSaid,
    DraftShelved,
    KitchenFact,
)
from core.facts.people import AddPerson, PeopleFact, PeopleWish, PersonAdded
from core.facts.safety import (
    AgreeLabel,
    AgreeLift,
    AlarmRaised,
    ApprovePink,
    BatchMade,
    BinFood,
    BrandSwapped,
    CheckIce,
    CrewBack,
    CrewOff,
    DoubtProbe,
    FoodBinned,
    IceChecked,
    LabelConfirmed,
    LabelShown,
    LiftStop,
    MakeBatch,
    PinkApproved,
    ProbeDoubted,
    RaiseAlarm,
    ReadLabel,
    ReportBack,
    ReportSick,
    SafetyFact,
    SafetyWish,
    ShowLabel,
    StopLifted,
    SwapBrand,
)
from core.facts.service import (
    Came,
    CountLeft,
    CountPlates,
    FoodOut,
    GiveNumber,
    HoldService,
    LeftCounted,
    Mute,
    Muted,
    PlatesCounted,
    PortionSet,
    QueueSeen,
    RestartService,
    SeeQueue,
    ServiceFact,
    ServiceHeld,
    ServiceRestarted,
    ServiceWish,
    SetOut,
    SetPortion,
    SetTimer,
    ShareTimer,
    StopTimer,
    TimerSet,
    TimerStopped,
)
from core.facts.slips import SlipFact, SlipWish
from core.facts.wishes import Wish

Fact = (
    DayFact
    | AskedFact
    | PeopleFact
    | HeatFact
    | HouseFact
    | KitchenFact
    | ServiceFact
    | SlipFact
    | SafetyFact
)


@dataclass(frozen=True, slots=True)
class Entry:
    """A fact in the log: `at` when it happened, `heard` when we were told, `by` a person id or
    'bot'; `seq` counts from 1 within its stream.
    """

    seq: int
    at: datetime
    heard: datetime
    by: str
    fact: Fact


__all__ = [
    "AddPerson",
    "AgreeLabel",
    "AgreeLift",
    "AlarmRaised",
    "AnswerCall",
    "Apply",
    "ApprovePink",
    "AskedFact",
    "BatchMade",
    "BinFood",
    "BrandSwapped",
    "CallAnswered",
    "CallMade",
    "Came",
    "CardKind",
    "CardRetired",
    "CardSaved",
    "CardsTaken",
    "ChangeHeads",
    "CheckIce",
    "Choice",
    "Choose",
    "CloseCook",
    "CookClosed",
    "CookLearned",
    "CookStarted",
    "CountLeft",
    "CountPlates",
    "CrewBack",
    "CrewOff",
    "DayFact",
    "DayWish",
    "DoubtProbe",
    "DraftOpened",
    "DraftResumed",
    "DraftSaid",
    "DraftShelved",
    "EndExpected",
    "Entry",
    "Fact",
    "FoodBinned",
    "FoodOut",
    "GiveNumber",
    "GiveReading",
    "HeadsChanged",
    "HeatFact",
    "HeatKnown",
    "HeatLearned",
    "HeatWish",
    "HoldService",
    "HouseFact",
    "HouseForgot",
    "HouseTaken",
    "HouseWish",
    "IceChecked",
    "KeepMeasured",
    "KitchenFact",
    "Known",
    "LabelConfirmed",
    "LabelShown",
    "LateReported",
    "LeftCounted",
    "LidOpened",
    "LiftStop",
    "Loaded",
    "MakeBatch",
    "Measure",
    "MeasurementTaken",
    "MovePlates",
    "Mute",
    "Muted",
    "PeopleFact",
    "PeopleWish",
    "PersonAdded",
    "PinkApproved",
    "PlanAdopted",
    "PlatesCounted",
    "PlatesMoved",
    "PortionSet",
    "ProbeDoubted",
    "QuestionAnswered",
    "QuestionAsked",
    "QueueSeen",
    "RaiseAlarm",
    "ReadLabel",
    "ReadingTaken",
    "Report",
    "ReportBack",
    "ReportLid",
    "ReportSick",
    "ReportStep",
    "ReportSurface",
    "RestartService",
    "Retimed",
    "RunLate",
    "SafetyFact",
    "SafetyWish",
    "SeeQueue",
    "ServiceFact",
    "ServiceHeld",
    "ServiceRestarted",
    "ServiceWish",
    "SetOut",
    "SetPortion",
    "SetTimer",
    "ShareTimer",
    "ShowLabel",
    "SlipFact",
    "SlipWish",
    "StartCook",
    "StepReported",
    "StopLifted",
    "StopTimer",
    "Surface",
    "SurfaceReported",
    "SwapBrand",
    "TickLoaded",
    "TimerSet",
    "TimerStopped",
    "Undo",
    "Undone",
    "VerdictGiven",
    "Wish",
]
