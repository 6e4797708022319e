"""Taps and ticks: answering calls, choosing, taking back."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import get_args

from core.cook.decision import Dated, Decision, booked
from core.cook.names import thing_of, verb_of
from core.cook.reports import retimed
from core.cook.safety.undoing import reading_undone, stays_binned
from core.cook.service.log import logged
from core.cook.slips.undoing import correction, moves_all, slip_undone, undo_notices
from core.cook.state import Cook, Made, Open, Phase, items
from core.errors import KitchenError
from core.facts import (
    AnswerCall,
    Apply,
    CallAnswered,
    Choice,
    Choose,
    Entry,
    HeadsChanged,
    LateReported,
    LeftCounted,
    LidOpened,
    Loaded,
    MeasurementTaken,
    PlanAdopted,
    PlatesMoved,
    QuestionAnswered,
    QuestionAsked,
    ReadingTaken,
    Report,
    ReportStep,
    SafetyFact,
    ServiceFact,
    ServiceHeld,
    ServiceRestarted,
    SlipFact,
    StepReported,
    SurfaceReported,
    Undone,
    VerdictGiven,
    Wish,
)
from core.model import Answer, Clock, Label, Line, Qty, StepRun, Verdict, say

UNDO_MIN = 15
OLD_MIN = 90  # an older call is not what 'ok' means
TWO_OPEN_MIN = 10  # calls further apart than this are never confused
MEANS = {"start": Report.START, "end": Report.DONE, "tick": Report.DONE, "limit": Report.DONE}


class NothingOpenError(KitchenError):
    """There is nothing to answer, choose or take back."""

    template = "Nothing open for you to {what}."
    hint = "Say 'next' for what is coming, 'status' for where every load is."

    def __init__(self, what: str) -> None:
        super().__init__(what=what)


def tap_meant(cook: Cook, wish: AnswerCall, by: str, now: datetime) -> Made | Decision:
    """Return the call an 'ok' answers: the named, else the newest to them; two open: ask."""
    if wish.key is not None:
        made = cook.calls.get(wish.key)
        if made is None:
            raise NothingOpenError("answer")
        if made.answered_by is not None:
            who = cook.cards.person(made.answered_by) if cook.cards else None
            at = made.answered_at or now
            line = say("Already done by {who} {clock}.", who=Label(who.name if who else ""),
                       clock=Clock(at))  # fmt: skip
            return Decision(answer=Answer((line,)))
        return made
    mine = live_calls(cook, by, now)
    asked = cook.open_questions(by)
    if asked and (not mine or asked[-1].seq > mine[-1].seq):
        return _tap_please(asked[-1])
    if not mine:
        raise NothingOpenError("answer")
    near = [m for m in mine if mine[-1].call.at - m.call.at <= timedelta(minutes=TWO_OPEN_MIN)]
    if len(near) == 1:
        return mine[-1]
    picks = tuple(Choice(m.call.line, AnswerCall(m.call.key)) for m in reversed(near[-4:]))
    ask = QuestionAsked(f"which/{cook.seq}", (by,), (say("Which one?"),), picks)
    answer = Answer((), question=say("Which one?"), choices=tuple(p.line for p in picks))
    return Decision((Dated(now, ask),), answer)


def meaning_of(cook: Cook, made: Made) -> ReportStep | None:
    """Return the report that answering a call stands for; None for a look or a flip."""
    report = MEANS.get(made.call.kind)
    if report is None or not made.call.about:
        return None
    item = items(cook.plan).get(made.call.about) if cook.plan else None
    if item is None:
        return None
    if report is Report.START and not (isinstance(item, StepRun) and item.on_fire):
        report = Report.DONE  # 'done' to a job of hands is its end; to a fire, that it is on
    if item.do == "light":
        report = Report.START  # it is lit, and not hot yet
    return ReportStep(made.call.about, item.do, report)


def call_taken(made: Made, at: datetime) -> Decision:
    """Return the bare answer to a call, echoing what it was taken for."""
    ago = max(0, round((at - made.call.at).total_seconds() / 60))
    line = say("Took that as: {call} ({ago} ago)", call=made.call.line, ago=Qty(ago, "min", 0))
    return Decision((Dated(at, CallAnswered(made.call.key)),), Answer((line,)))


def _tap_please(open_: Open) -> Decision:
    """Return the question again: a bare 'ok' neither applies a change nor ticks an older call."""
    question = open_.question
    lines = question.lines[:3]
    return Decision(
        answer=Answer(
            lines, question=say("Tap one."), choices=tuple(c.line for c in question.choices)
        )
    )


def live_calls(cook: Cook, by: str, now: datetime) -> tuple[Made, ...]:
    """Return the open calls a short word may still mean: not too old, one a job."""
    recent = [m for m in cook.open_calls(by) if now - m.call.at <= timedelta(minutes=OLD_MIN)]
    recent = [m for m in recent if by not in m.call.quiet and m.call.kind != "review"]
    newest = {(m.call.about, m.call.kind): m for m in recent}.values()
    return tuple(sorted(newest, key=lambda m: m.seq))


def in_hand(cook: Cook, by: str) -> str | None:
    """Return the one job a person has begun and not ended, off the fires; None for none or more.

    'done' with no call open is the end of it: the thermometer ends what is on a fire.
    """
    begun = [
        key for key, item in (items(cook.plan).items() if cook.plan else ())
        if by in item.crew and cook.phase(key) is Phase.RUNNING
        and not (isinstance(item, StepRun) and item.on_fire) and item.do not in {"light", "rest"}
    ]  # fmt: skip
    return begun[0] if len(begun) == 1 else None


def newest_call(cook: Cook, by: str, now: datetime) -> Made | None:
    """Return the newest open call to a person if it is newer than every question to them."""
    calls, questions = live_calls(cook, by, now), cook.open_questions(by)
    if not calls or (questions and questions[-1].seq > calls[-1].seq):
        return None
    return calls[-1]


def choice_meant(cook: Cook, wish: Choose, by: str) -> tuple[Open, Wish | None]:
    """Return the question a number answers and the wish behind that choice."""
    mine = cook.open_questions(by)
    if wish.question is not None:
        mine = tuple(q for q in mine if q.question.key == wish.question)
    if not mine:
        raise NothingOpenError("choose")
    open_ = mine[-1]
    if not 1 <= wish.number <= len(open_.question.choices):
        raise NothingOpenError(f"choose: 1 to {len(open_.question.choices)}")
    return open_, open_.question.choices[wish.number - 1].wish


def chosen(open_: Open, wish: Choose, at: datetime) -> Dated:
    """Return the fact that a choice was tapped."""
    return Dated(at, QuestionAnswered(open_.question.key, wish.number))


def undone(cook: Cook, by: str, now: datetime) -> Decision:
    """Take back the person's newest report or change of the last 15 min, and say what it was."""
    group = _newest_group(cook, by, now)
    if not group:
        raise NothingOpenError("undo")
    if stays_binned(_all_of(cook, group, by)):
        line = say("{verdict} stays: what was binned for safety is not taken back.",
                   verdict=Verdict.BIN)  # fmt: skip
        return Decision(answer=Answer((line,), Verdict.BIN))
    fact = Dated(now, Undone(tuple(e.seq for e in group)))
    after = booked(cook, (fact,), by, now)
    moved = tuple(Dated(now, f) for f in retimed(after, now))
    someone = cook.cards.person(by) if cook.cards else None
    line = say("Undid: {what} ({who}, {clock}).", what=_what(cook, group),
               who=Label(someone.name if someone else by), clock=Clock(group[0].heard))  # fmt: skip
    plans = [e.fact for e in group if isinstance(e.fact, PlanAdopted)]
    if not plans or after.plan is None:
        safe = reading_undone(cook, group, by, now)
        unknown = tuple(f.fact.finding.text for f in safe.facts if isinstance(f.fact, VerdictGiven))
        lines = (*unknown[:2], line, *correction(group))
        told = (*undo_notices(cook, after, group, (line, *correction(group)), by, now),
                *safe.notices)  # fmt: skip
        verdict = Verdict.UNKNOWN if unknown else None
        return Decision((fact, *moved, *safe.facts), Answer(lines, verdict), told)
    back = say("Plan {letter} is back, plates {plates}, {heads}. Crew told.",
               letter=Label(after.plan.letter), plates=Clock(after.plan.plates_at),
               heads=Qty(after.heads, "heads", 0))  # fmt: skip
    told = undo_notices(cook, after, group, (line, back), by, now)
    if not moves_all(group):  # the question it answered is open again: a tap there is the redo
        return Decision((fact, *moved), Answer((line, back)), told)
    redo = Apply(plans[-1].plan.heads, plans[-1].plan.plates_at, plans[-1].reason)
    choices = (Choice(say("redo"), redo), Choice(say("leave it")))
    asked = QuestionAsked(f"redo/{cook.seq}", (by,), (say("Redo?"),), choices)
    answer = Answer((line, back), question=say("Redo?"), choices=tuple(c.line for c in choices))
    return Decision((fact, *moved, Dated(now, asked)), answer, told)


UNDOABLE = (
    CallAnswered,
    Loaded,
    StepReported,
    ReadingTaken,
    HeadsChanged,
    PlatesMoved,
    PlanAdopted,
    LateReported,
    SurfaceReported,
    LidOpened,
    MeasurementTaken,
    *get_args(SlipFact),
)


def _newest_group(cook: Cook, by: str, now: datetime) -> list[Entry]:
    """Return the entries one message of this person made, the newest that can be taken back."""
    mine = [e for e in cook.entries if e.by == by and now - e.heard <= timedelta(minutes=UNDO_MIN)]
    heads = [e for e in mine if isinstance(e.fact, UNDOABLE) or _of_service(e.fact)]
    if not heads or (cook.plan and cook.plan.letter == "A" and heads[-1].seq <= 3):
        return []
    same = [e for e in mine if e.heard == heads[-1].heard]
    return [e for e in same if not isinstance(e.fact, SafetyFact)]  # a label is not taken back


def _all_of(cook: Cook, group: list[Entry], by: str) -> list[Entry]:
    """Return a message's entries with those of safety, which no undo takes back."""
    return [e for e in cook.entries if e.by == by and e.heard == group[0].heard]


def _of_service(fact: object) -> bool:
    """Say whether a fact of service can be taken back; a hold ends by going on, not by undo."""
    return isinstance(fact, ServiceFact) and not isinstance(fact, ServiceHeld | ServiceRestarted)


def _what(cook: Cook, group: list[Entry]) -> Line:
    slip = slip_undone(group, cook)
    if slip is not None:
        return slip
    for entry in group:
        match entry.fact:
            case HeadsChanged(heads=heads, was=was):
                return say("heads {heads} → {was}", heads=Qty(heads, "", 0), was=Qty(was, "", 0))
            case PlatesMoved(at=at, was=was_at):
                return say("plates {at} → {was}", at=Clock(at), was=Clock(was_at))
            case Loaded(items=loaded):
                names = ", ".join(item.split("/", 1)[-1] for item in loaded)
                return say("in the van: {what}", what=Label(names))
            case ReadingTaken(reading=reading):
                return say("reading {value}", value=Qty(reading.value, reading.unit))
            case StepReported() as said if said.run in (items(cook.plan) if cook.plan else {}):
                item = items(cook.plan)[said.run] if cook.plan else None
                if item is not None and said is _last_step(group):
                    return say("{thing} {verb} {clock}", thing=thing_of(item, cook.cards),
                               verb=verb_of(item.do), clock=Clock(entry.at))  # fmt: skip
            case _ if isinstance(entry.fact, ServiceFact) and not isinstance(
                entry.fact, LeftCounted
            ):
                return logged(entry.fact, cook)
            case CallAnswered(key=key) if len(group) == 1 and key in cook.calls:
                return say("{call}", call=cook.calls[key].call.line)
            case _:
                continue
    return say("the last report")


def _last_step(group: list[Entry]) -> StepReported | None:
    return next((e.fact for e in reversed(group) if isinstance(e.fact, StepReported)), None)
