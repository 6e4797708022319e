"""A safety wish to facts, an answer, and the word to who must know."""

from __future__ import annotations

from datetime import datetime
from typing import assert_never

from core.cook.decision import Dated, Decision
from core.cook.names import dish_name, listed, thing_of
from core.cook.safety.alarms import alarm_raised
from core.cook.safety.crew import back_reported, sick_reported
from core.cook.safety.labels import (
    brand_swapped,
    cards_of,
    label_agreed,
    label_read,
    label_shown,
)
from core.cook.safety.lifts import lift_agreed, lift_asked
from core.cook.safety.made import batch_made
from core.cook.safety.probes import ice_checked, probe_doubted
from core.cook.state import NEXT, Cook, items
from core.errors import UnknownNameError
from core.facts import (
    AgreeLabel,
    AgreeLift,
    ApprovePink,
    BinFood,
    CheckIce,
    DoubtProbe,
    FoodBinned,
    LiftStop,
    MakeBatch,
    PinkApproved,
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
from core.model import Answer, Clock, Label, Line, Verdict, say
from core.safety.food import Kind, State, food_of_dish


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
        case ApprovePink():
            return pink_approved(cook, wish, by, at)
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


def pink_approved(cook: Cook, wish: ApprovePink, by: str, at: datetime) -> Decision:
    """Book who answers for serving a dish pink; poultry, pork and what is opened never are."""
    cards = cards_of(cook)
    dish = next((d for d in cards.dishes if d.id == wish.dish), None)
    if dish is None:
        raise UnknownNameError("dish", wish.dish, ", ".join(d.id for d in cards.dishes))
    food = food_of_dish(dish)
    name = Label(dish_name(dish.id, cards))
    if food is None or not food.kinds <= {Kind.BEEF, Kind.LAMB} or food.states != {State.INTACT}:
        line = say("{verdict}. {dish} is never served pink: whole beef and lamb only.",
                   verdict=Verdict.STOP, dish=name)  # fmt: skip
        return Decision(answer=Answer((line,), Verdict.STOP))
    someone = cards.person(by)
    lines = (
        say("{dish} may be served pink: {who} answers for it.", dish=name,
            who=Label(someone.name if someone else by)),
        say("Say so in writing to the guests. Not for very young, old, pregnant or ill people."),
    )  # fmt: skip
    return Decision((Dated(at, PinkApproved(dish.id, by)),), Answer(lines))
