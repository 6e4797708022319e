"""Named timers beside the plan: they ring only who asked, unless they share them."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.decision import Dated, Decision, Notice
from core.cook.state import Cook
from core.errors import KitchenError, OutOfRangeError, UnknownNameError
from core.facts import (
    Choice,
    QuestionAsked,
    SetTimer,
    ShareTimer,
    StopTimer,
    TimerSet,
    TimerStopped,
)
from core.model import Answer, Clock, Label, Lead, Line, Person, Qty, Sound, Who, say
from core.words.atoms import folded

LONGEST_MIN = 24 * 60.0
MOST = 12
LONGEST_NAME = 24


class TooManyTimersError(KitchenError):
    """Nobody tells thirteen timers apart."""

    template = "{n} timers run already."
    hint = "Stop one first: 'stop timer sauce'."

    def __init__(self, n: int) -> None:
        super().__init__(n=n)


def timer_set(cook: Cook, wish: SetTimer, by: str, at: datetime, now: datetime) -> Decision:
    """Set a timer for the asker, from when it was said, and offer to share it."""
    if not 0 < wish.minutes <= LONGEST_MIN:
        raise OutOfRangeError("timer", f"{wish.minutes:g} min", "1 min to 24 h")
    mine = timers_of(cook, by)
    if len(mine) >= MOST:
        raise TooManyTimersError(len(mine))
    rings = max(at + timedelta(minutes=wish.minutes), now)
    name = wish.name.strip()[:LONGEST_NAME]
    fact = TimerSet(f"timer/{cook.seq + 1}", name, rings, (by,))
    line = say(
        "{name}, {minutes} → {clock}, only you.",
        name=Label(name) if name else say("Timer"),
        minutes=_span(wish.minutes),
        clock=Clock(rings),
    )
    others = _may_share(cook, by)
    choices = tuple(
        Choice(say("tell {who}", who=Who(p.id)), ShareTimer(fact.timer, p.id)) for p in others
    )
    if not choices:
        return Decision((Dated(at, fact),), Answer((line,)))
    asked = QuestionAsked(f"share/{cook.seq}", (by,), (say("Tell somebody?"),), choices)
    answer = Answer((line,), question=say("Tell somebody?"), choices=tuple(c.line for c in choices))
    return Decision((Dated(at, fact), Dated(at, asked)), answer)


def _span(minutes: float) -> Qty:
    return Qty(minutes, "min", 0 if minutes.is_integer() else 1)


def _may_share(cook: Cook, by: str) -> list[Person]:
    """Return who leads pit and cold, without the asker: a timer is about one of their things."""
    cards = cook.cards
    leads = [cards.leading(lead) for lead in (Lead.COLD, Lead.PIT)] if cards else []
    return list(dict.fromkeys(p for p in leads if p is not None and p.id != by))


def timer_shared(cook: Cook, wish: ShareTimer, by: str, at: datetime) -> Decision:
    """Let a timer ring for one more person, and tell them once, without a sound."""
    timer = cook.service.timers.get(wish.timer)
    person = cook.cards.person(wish.person) if cook.cards else None
    if timer is None or person is None:
        raise UnknownNameError("timer", wish.timer, listed(cook, by))
    fact = TimerSet(timer.timer, timer.name, timer.rings, (*timer.to, person.id))
    line = say("{name} {clock}: {who} hears it too.", name=Label(timer.name),
               clock=Clock(timer.rings), who=Who(person.id))  # fmt: skip
    told = say("{who}'s timer rings for you too: {name} {clock}.",
               who=Who(by), name=Label(timer.name),
               clock=Clock(timer.rings))  # fmt: skip
    notice = Notice(f"{timer.timer}/{person.id}", (person.id,), (told,), Sound.SILENT)
    return Decision((Dated(at, fact),), Answer((line,)), (notice,))


def timer_stopped(cook: Cook, wish: StopTimer, by: str, at: datetime) -> Decision:
    """Stop the asker's timer of a name; without one, their only one."""
    mine = timers_of(cook, by)
    wanted = folded(wish.name)
    found = [t for t in mine if t.timer == wish.name]
    found = found or ([t for t in mine if folded(t.name) == wanted] if wanted else list(mine))
    found = found or [t for t in mine if wanted and wanted in folded(t.name)]
    if not mine:
        raise UnknownNameError("timer", wish.name, say("none"))
    if not found:
        raise UnknownNameError("timer", wish.name, listed(cook, by))
    if len(found) > 1:
        return _which(cook, found, by, at)
    line = say("{name} {clock} stopped.", name=_name(found[0]), clock=Clock(found[0].rings))
    return Decision((Dated(at, TimerStopped(found[0].timer)),), Answer((line,)))


def _which(cook: Cook, found: list[TimerSet], by: str, at: datetime) -> Decision:
    picks = tuple(
        Choice(say("{name} {clock}", name=_name(t), clock=Clock(t.rings)), StopTimer(t.timer))
        for t in found[:4]
    )
    asked = QuestionAsked(f"stop/{cook.seq}", (by,), (say("Which timer?"),), picks)
    answer = Answer((), question=say("Which timer?"), choices=tuple(p.line for p in picks))
    return Decision((Dated(at, asked),), answer)


def timers_of(cook: Cook, person: str) -> tuple[TimerSet, ...]:
    """Return a person's timers that still run, the next to ring first."""
    mine = [t for t in cook.service.timers.values() if person in t.to]
    rung = {m.call.about for m in cook.calls.values() if m.call.kind == "timer"}
    return tuple(sorted((t for t in mine if t.timer not in rung), key=lambda t: t.rings))


def _name(timer: TimerSet) -> Label | Line:
    return Label(timer.name) if timer.name else say("Timer")


def listed(cook: Cook, person: str) -> str:
    """Return the names of a person's timers, for an error."""
    return ", ".join(t.name or "timer" for t in timers_of(cook, person)) or "none"


def timers_answer(cook: Cook, person: str, now: datetime) -> Answer:
    """Return a person's timers, the next to ring first."""
    mine = timers_of(cook, person)
    lines = tuple(
        say("{name} {clock}, in {left}.", name=_name(t), clock=Clock(t.rings),
            left=Qty(max(0, round((t.rings - now).total_seconds() / 60)), "min", 0))
        for t in mine[:4]
    )  # fmt: skip
    return Answer(lines or (say("No timer of yours runs."),))
