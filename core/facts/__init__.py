"""Every Wish and every Fact.

A wish is what somebody wants; `cook.decide` turns it into facts or refuses it. A fact is what
happened; it is stored for ever and never rewritten. Undo and corrections are facts too. Facts
carry person ids only: names and message texts live outside the log and can be erased.

    day.py      the plan, the steps of its loads, readings, calls, undo
    wishes.py   the union of all wishes
    asked.py    questions, whose choices are wishes
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
from core.facts.wishes import Wish

Fact = DayFact | AskedFact


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
    "AnswerCall",
    "Apply",
    "AskedFact",
    "CallAnswered",
    "CallMade",
    "CardsTaken",
    "ChangeHeads",
    "Choice",
    "Choose",
    "CloseCook",
    "CookClosed",
    "CookStarted",
    "DayFact",
    "DayWish",
    "EndExpected",
    "Entry",
    "Fact",
    "GiveReading",
    "HeadsChanged",
    "LateReported",
    "Loaded",
    "MovePlates",
    "PlanAdopted",
    "PlatesMoved",
    "QuestionAnswered",
    "QuestionAsked",
    "ReadingTaken",
    "Report",
    "ReportStep",
    "Retimed",
    "RunLate",
    "StartCook",
    "StepReported",
    "TickLoaded",
    "Undo",
    "Undone",
    "VerdictGiven",
    "Wish",
]
