"""Who may wish what: one table, rows as the crew's rule sheet has them.

Safety is apart: anybody may bin or stop, nobody lifts a stop but the chef, with a reason, and
poultry, cooling and allergens cannot be lifted at all.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import assert_never

from core.cook import Cook
from core.errors import NotAllowedError
from core.facts import (
    AddPerson,
    AgreeLabel,
    AgreeLift,
    AnswerCall,
    Apply,
    ApprovePink,
    BinFood,
    ChangeHeads,
    Choose,
    CloseCook,
    CountLeft,
    CountPlates,
    GiveNumber,
    GiveReading,
    HoldService,
    KeepMeasured,
    LiftStop,
    MovePlates,
    Mute,
    RaiseAlarm,
    ReadLabel,
    Report,
    ReportBack,
    ReportLid,
    ReportStep,
    ReportSurface,
    RestartService,
    RunLate,
    SafetyWish,
    SeeQueue,
    ServiceWish,
    SetOut,
    SetPortion,
    SetTimer,
    ShareTimer,
    SlipWish,
    StartCook,
    StopTimer,
    TickLoaded,
    Undo,
    Wish,
)
from core.facts.slips import AskCure, DropPieces, Part, SpeechFirst, TakeOption
from core.model import Cards, Lead, Person, Role


class Column(StrEnum):
    """Whose column of the table a person stands in."""

    CHEF = "chef"
    PIT = "pit lead"
    COLD = "cold lead"
    FRONT = "front lead"
    CREW = "crew"
    CLIENT = "client"


class Action(StrEnum):
    """What the table has rows for."""

    PROMISE = "head count, plate time, menu or portion"
    FIRE = "load order, pull, sear or fire"
    SALADS = "dressing, holding or replacing salads"
    PACE = "pace, lanes or tables"
    REPORT = "temperatures, ticks, served or binned"
    STOP = "binning something or stopping service"
    LIFT = "a safety stop"
    ALLERGENS = "the allergen sheet"


class Right(StrEnum):
    """What a cell says."""

    YES = "yes"
    ASK = "ask"
    REPORT = "report"
    PHOTO = "photo only"
    NO = "no"


C, P, K, F, W, X = Column
Y, A, R, H, N = Right.YES, Right.ASK, Right.REPORT, Right.PHOTO, Right.NO

RIGHTS: Mapping[Action, Mapping[Column, Right]] = {  # common practice
    Action.PROMISE: {C: Y, P: A, K: A, F: A, W: N, X: A},
    Action.FIRE: {C: Y, P: Y, K: N, F: N, W: R, X: N},
    Action.SALADS: {C: Y, P: N, K: Y, F: A, W: R, X: N},
    Action.PACE: {C: Y, P: N, K: N, F: Y, W: R, X: N},
    Action.REPORT: {C: Y, P: Y, K: Y, F: Y, W: Y, X: N},
    Action.STOP: {C: Y, P: Y, K: Y, F: Y, W: Y, X: N},
    Action.LIFT: {C: Y, P: N, K: N, F: N, W: N, X: N},
    Action.ALLERGENS: {C: Y, P: N, K: N, F: N, W: H, X: N},
}

CLIENT = "client"
LEADS: Mapping[Lead, Column] = {
    Lead.PIT: Column.PIT,
    Lead.COLD: Column.COLD,
    Lead.FRONT: Column.FRONT,
}


def column_of(person: Person | None) -> Column:
    """Return whose column a person stands in; None is the client or a stranger."""
    if person is None:
        return Column.CLIENT
    if person.role is Role.CHEF:
        return Column.CHEF
    return next((LEADS[lead] for lead in person.leads if lead in LEADS), Column.CREW)


def action_of(wish: Wish) -> Action | None:
    """Return the row a wish falls under; None for what everybody may do."""
    if isinstance(wish, SafetyWish):
        return safety_action(wish)
    if isinstance(wish, SlipWish):
        return slip_action(wish)
    if isinstance(wish, ServiceWish):
        return service_action(wish)
    match wish:
        case ChangeHeads() | MovePlates() | Apply() | StartCook() | CloseCook():
            return Action.PROMISE
        case KeepMeasured():
            return Action.PROMISE
        case ReportSurface() | ReportLid():
            return Action.REPORT
        case ReportStep(report=Report.DISCARD):
            return Action.STOP
        case ReportStep() | GiveReading() | RunLate() | TickLoaded():
            return Action.REPORT
        case AnswerCall() | Choose() | Undo() | AddPerson():
            return None
        case _:
            assert_never(wish)


PARTS: Mapping[Part, Action] = {
    Part.PROMISE: Action.PROMISE,
    Part.FIRE: Action.FIRE,
    Part.SALADS: Action.SALADS,
    Part.PACE: Action.PACE,
}


def slip_action(wish: SlipWish) -> Action | None:
    """Return the row a slip falls under: anybody reports one, the tap is of whose part it is."""
    match wish:
        case TakeOption(part=part):
            return PARTS[part]
        case SpeechFirst():
            return Action.PROMISE
        case DropPieces():
            return Action.STOP
        case AskCure():
            return None
        case _:
            return Action.REPORT


def safety_action(wish: SafetyWish) -> Action | None:
    """Return the row a safety wish falls under; an alarm asks for no right."""
    match wish:
        case RaiseAlarm() | AgreeLift() | AgreeLabel():
            return None  # who may agree is in the question that was put to them
        case LiftStop() | ReportBack() | ApprovePink():
            return Action.LIFT
        case ReadLabel():
            return Action.ALLERGENS
        case BinFood():
            return Action.STOP
        case _:
            return Action.REPORT


def service_action(wish: ServiceWish) -> Action | None:
    """Return the row a wish of service falls under; anybody may ask for silence or a timer."""
    match wish:
        case Mute() | SetTimer() | StopTimer() | ShareTimer() | GiveNumber():
            return None
        case HoldService():
            return Action.STOP
        case RestartService():
            return Action.PACE
        case SetPortion():
            return Action.PROMISE
        case CountPlates() | CountLeft() | SetOut() | SeeQueue():
            return Action.REPORT
        case _:
            assert_never(wish)


def check_right(cook: Cook, wish: Wish, by: str) -> None:
    """Refuse a wish the person may not have, naming whom to ask.

    'ask' lets a change of the promise through: it becomes a question to the chef, applied only
    by the chef's own tap.

    Raises
    ------
    NotAllowedError
        One line that names who may.
    """
    action = action_of(wish)
    cards = cook.cards
    if action is None or cards is None:
        return
    person = cards.person(by)
    right = RIGHTS[action][column_of(person)]
    if action is Action.ALLERGENS and person is not None and Lead.ALLERGY in person.leads:
        return  # the chef's sheet is the allergy person's too
    asks = right is Right.ASK and isinstance(wish, ChangeHeads | MovePlates | SpeechFirst)
    # a report is not enough to let plates go again, or to choose what is done
    decides = isinstance(wish, RestartService | TakeOption)
    if right is Right.YES or (right is Right.REPORT and not decides) or asks:
        return
    raise NotAllowedError(action.value, whom_to_ask(cards, action))


def whom_to_ask(cards: Cards, action: Action) -> str:
    """Return the names of those whose cell says yes, chef first."""
    lead = {Action.FIRE: Lead.PIT, Action.SALADS: Lead.COLD, Action.PACE: Lead.FRONT}.get(action)
    people = [cards.chef, cards.leading(lead) if lead else None]
    names = dict.fromkeys(p.name for p in people if p is not None)
    return " / ".join(names) or "the chef"
