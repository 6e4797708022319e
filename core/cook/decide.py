"""A wish and the state of the cook to facts, an answer, and the word to whom it concerns."""

from __future__ import annotations

from datetime import datetime
from typing import assert_never

from core.cook.change import applied, heads_asked, late_asked, plates_asked
from core.cook.decision import Dated, Decision, Notice, booked, checked_time
from core.cook.learning import kept
from core.cook.lids import around_reported
from core.cook.load_out import loaded
from core.cook.people import person_added
from core.cook.plans import planned, retimed_line, used_cards
from core.cook.readings import reading_given
from core.cook.reports import snoozed, step_reported
from core.cook.safety.after import with_safety
from core.cook.safety.alarms import alarm_raised
from core.cook.safety.decided import safety_decided
from core.cook.safety.watch import SORTS, tapped
from core.cook.service.closing import closed
from core.cook.service.decided import decided
from core.cook.service.holds import held_by_alarm
from core.cook.service.once import tapped_twice
from core.cook.service.review import after_close, is_review, then_next
from core.cook.slips.decided import slip_decided
from core.cook.slips.late import asked_if_late
from core.cook.state import Cook, Made
from core.cook.taps import (
    call_taken,
    choice_meant,
    chosen,
    in_hand,
    live_calls,
    meaning_of,
    newest_call,
    tap_meant,
    undone,
)
from core.errors import CannotPlanError
from core.facts import (
    AddPerson,
    AnswerCall,
    Apply,
    CallAnswered,
    CardsTaken,
    ChangeHeads,
    Choose,
    CloseCook,
    CookStarted,
    GiveReading,
    HeatWish,
    HouseTaken,
    HouseWish,
    KeepMeasured,
    MovePlates,
    PlanAdopted,
    RaiseAlarm,
    Report,
    ReportStep,
    RunLate,
    SafetyWish,
    ServiceWish,
    SlipWish,
    StartCook,
    TickLoaded,
    Undo,
    Wish,
)
from core.model import Answer, Clock, Label, Qty, say

__all__ = ["Decision", "Notice", "decide"]


def decide(cook: Cook, wish: Wish, *, by: str, at: datetime, now: datetime) -> Decision:
    """Return what a wish makes of a cook.

    Parameters
    ----------
    cook
        The state to decide on; a `Decision` is only good for this very state.
    wish
        What is wanted. Rights are checked before, in `core.rights`.
    by
        The person's id.
    at, now
        When it happened as told, and when it was heard; aware, UTC.

    Raises
    ------
    KitchenError
        If it cannot be: out of sequence, an unknown name, an absurd number or time.
    """
    if isinstance(wish, StartCook):
        return _started(cook, wish, at)
    if isinstance(wish, RaiseAlarm):
        rung = alarm_raised(cook, wish, by, at, now)  # before, during and after any cook
        return held_by_alarm(cook, wish, rung, min(at, now))
    if cook.cards is None:
        raise CannotPlanError("nothing is cooking yet")
    if isinstance(wish, HouseWish):
        return kept(cook, wish, at)  # what is measured the day after still counts
    if cook.closed and not after_close(cook, wish, by):
        raise CannotPlanError("this cook is closed")
    at = checked_time(at, now)
    return asked_if_late(cook, _on_the_day(cook, wish, by, at, now), by, at, now)


def _on_the_day(cook: Cook, wish: Wish, by: str, at: datetime, now: datetime) -> Decision:
    if isinstance(wish, HeatWish):
        return around_reported(cook, wish, by, at, now)
    if isinstance(wish, SafetyWish):
        return safety_decided(cook, wish, by, at, now)
    if isinstance(wish, SlipWish):
        return slip_decided(cook, wish, by, at, now)
    if isinstance(wish, ServiceWish):
        return decided(cook, wish, by, at, now)
    match wish:
        case ReportStep():
            return with_safety(cook, step_reported(cook, wish, by, at, now), by, at, now)
        case GiveReading():
            return with_safety(cook, reading_given(cook, wish, by, at, now), by, at, now)
        case ChangeHeads():
            return heads_asked(cook, wish, by, at, now)
        case MovePlates():
            return plates_asked(cook, wish, by, at, now)
        case RunLate():
            return late_asked(cook, wish, by, at, now)
        case Apply():
            return applied(cook, wish, by, at, now)
        case AnswerCall():
            return tapped_twice(cook, wish, by, at) or _tapped(cook, wish, by, at, now)
        case Choose():
            return tapped_twice(cook, wish, by, at) or _chose(cook, wish, by, at, now)
        case TickLoaded():
            return loaded(cook, wish, at)
        case AddPerson():
            return person_added(cook, wish, by, at)
        case Undo():
            return undone(cook, by, now)
        case CloseCook():
            return closed(cook, at, now)
        case StartCook():
            return _started(cook, wish, at)
        case KeepMeasured():
            return kept(cook, wish, at)
        case _:
            assert_never(wish)


def _started(cook: Cook, wish: StartCook, at: datetime) -> Decision:
    if cook.seq:
        raise CannotPlanError("this cook has started already")
    cards, retimed = used_cards(wish.cards, wish.house)
    first = planned(cards)
    known = (Dated(at, wish.house),) if wish.house != HouseTaken() else ()
    facts = (
        Dated(at, CookStarted(wish.cook)),
        Dated(at, CardsTaken(wish.texts, cards)),
        Dated(at, PlanAdopted(first, 2, say("first plan"))),
        *known,
    )
    line = say(
        "{event}: plates {clock}, {heads}, {loads}.",
        event=Label(wish.cards.event.name),
        clock=Clock(first.plates_at),
        heads=Qty(first.heads, "heads", 0),
        loads=Qty(len(first.loads), "loads", 0),
    )
    neck = (first.bottleneck.text,) if first.bottleneck else ()
    house = tuple(retimed_line(cards, each) for each in retimed)
    return Decision(facts, Answer((line, *neck, *house)[:4]))


def _tapped(cook: Cook, wish: AnswerCall, by: str, at: datetime, now: datetime) -> Decision:
    own = in_hand(cook, by) if wish.key is None and not live_calls(cook, by, now) else None
    if own is not None and not cook.open_questions(by):
        return step_reported(cook, ReportStep(own, "", Report.DONE), by, at, now)
    meant = tap_meant(cook, wish, by, now)
    if isinstance(meant, Decision):
        return meant
    return _call_answered(cook, meant, by, at, now)


def _call_answered(cook: Cook, made: Made, by: str, at: datetime, now: datetime) -> Decision:
    taken = call_taken(made, at)
    report = meaning_of(cook, made)
    if report is None:
        return taken
    done = with_safety(cook, step_reported(cook, report, by, at, now), by, at, now)
    key = made.call.key
    said = any(isinstance(d.fact, CallAnswered) and d.fact.key == key for d in done.facts)
    facts = done.facts if said else (*taken.facts, *done.facts)
    echo = taken.answer.lines if taken.answer else ()
    after = done.answer.lines[1:] if done.answer else ()
    return Decision(facts, Answer((*echo, *after)), done.notices)


def _chose(cook: Cook, wish: Choose, by: str, at: datetime, now: datetime) -> Decision:
    made = newest_call(cook, by, now)
    if wish.question is not None:
        made = cook.calls.get(wish.question) if wish.question not in cook.questions else None
    if made is not None and made.answered_by is not None:
        return _tapped(cook, AnswerCall(made.call.key), by, at, now)
    if made is not None and made.call.kind == "silent":  # a question handed on: the tap is for it
        handed = _chose(cook, Choose(wish.number, made.call.about), by, at, now)
        return handed.also(Dated(at, CallAnswered(made.call.key)))
    if made is not None and 1 <= wish.number <= len(made.call.choices):
        if made.call.kind in SORTS:
            return tapped(cook, made, wish.number, at)
        if wish.number == 1:
            return _call_answered(cook, made, by, at, now)
        return snoozed(cook, made, by, at, now)
    open_, behind = choice_meant(cook, wish, by)
    first = chosen(open_, wish, at)
    if behind is None:
        done = Decision((first,), Answer((say("Left as it is."),)))
    else:
        after = booked(cook, (first,), by, now)
        then = decide(after, behind, by=by, at=at, now=now)
        done = Decision((first, *then.facts), then.answer, then.notices)
    return then_next(cook, done, by, now) if is_review(open_) else done
