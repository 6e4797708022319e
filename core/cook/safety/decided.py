"""A safety wish to facts, an answer, and the word to who must know."""

from __future__ import annotations

from datetime import datetime
from typing import assert_never

from core.cook.decision import Dated, Decision
from core.cook.names import listed, thing_of
from core.cook.safety.alarms import alarm_raised
from core.cook.safety.crew import back_reported, sick_reported
from core.cook.safety.labels import brand_swapped, label_agreed, label_read, label_shown
from core.cook.safety.lifts import lift_agreed, lift_asked
from core.cook.safety.made import batch_made
from core.cook.safety.probes import ice_checked, probe_doubted
from core.cook.state import NEXT, Cook, items
from core.facts import (
    AgreeLabel,
    AgreeLift,
    BinFood,
    CheckIce,
    DoubtProbe,
    FoodBinned,
    LiftStop,
    MakeBatch,
    RaiseAlarm,
    ReadLabel,
    Report,
    ReportBack,
    ReportSick,
    SafetyWish,
    ShowLabel,
    StepReported,
    SwapBrand,
)
from core.model import Answer, Clock, Label, Line, say


def safety_decided(cook: Cook, wish: SafetyWish, by: str, at: datetime, now: datetime) -> Decision:
    """Return what a safety wish makes of a cook."""
    match wish:
        case LiftStop():
            return lift_asked(cook, wish, by, at)
        case AgreeLift():
            return lift_agreed(cook, wish, by, at)
        case SwapBrand():
            return brand_swapped(cook, wish, by, at)
        case ShowLabel():
            return label_shown(cook, wish, at)
        case ReadLabel():
            return label_read(cook, wish, by, at)
        case AgreeLabel():
            return label_agreed(cook, wish, by, at)
        case MakeBatch():
            return batch_made(cook, wish, at)
        case DoubtProbe():
            return probe_doubted(cook, wish, by, at)
        case CheckIce():
            return ice_checked(cook, wish, by, at)
        case ReportSick():
            return sick_reported(cook, wish, at)
        case ReportBack():
            return back_reported(cook, wish, by, at)
        case BinFood():
            return food_binned(cook, wish, at)
        case RaiseAlarm():
            return alarm_raised(cook, wish, by, at, now)
        case _:
            assert_never(wish)


def food_binned(cook: Cook, wish: BinFood, at: datetime) -> Decision:
    """Book food as binned for safety; a run or task of the plan goes with it where it may."""
    known = items(cook.plan) if cook.plan else {}
    facts: list[Dated] = []
    names: list[Line | Label] = []
    for about in wish.abouts:
        item = known.get(about)
        names.append(thing_of(item, cook.cards) if item else Label(about))
        facts.append(Dated(at, FoodBinned(about, wish.rule)))
        if item is not None and (cook.phase(about), Report.DISCARD) in NEXT:
            facts.append(Dated(at, StepReported(about, Report.DISCARD)))
    line = say("BIN noted {clock}: {what}.", clock=Clock(at), what=listed(names))
    return Decision(tuple(facts), Answer((line,)))
