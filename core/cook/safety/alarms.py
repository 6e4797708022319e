"""Alarms: what to do at once, on every phone that must know; no question, no right is asked."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.decision import Dated, Decision, Notice
from core.cook.state import Cook
from core.facts import AlarmRaised, RaiseAlarm
from core.model import Answer, Cards, Clock, Label, Lead, Line, Sound, Verdict, say
from core.safety.rules import sources_of
from core.safety.site import Alarm, alarm_finding, alarm_lines, emergency_card

EVERYBODY = frozenset(
    {Alarm.CO, Alarm.GAS, Alarm.GREASE, Alarm.FIRE, Alarm.COLLAPSE, Alarm.LIGHTNING}
)
"""Alarms for all phones; the others page the chef, the first aider and those who lead."""

AGAIN = timedelta(minutes=3)
"""The same alarm said again so soon is answered, and rings nobody twice."""


def alarm_raised(cook: Cook, wish: RaiseAlarm, by: str, at: datetime, now: datetime) -> Decision:
    """Answer an alarm and ring who must know; with no cook or a closed one, answer all the same."""
    cards = cook.cards
    event = cards.event if cards else None
    alarm = Alarm(wish.alarm) if wish.alarm else None
    lines = alarm_lines(alarm, event) if alarm else emergency_card(event)
    sources = sources_of((alarm_finding(alarm, event),)) if alarm else ()
    answer = Answer(lines, Verdict.STOP, sources=sources)
    if cards is None or cook.closed:
        return Decision(answer=answer)
    rung = [when for name, when in cook.safety.alarms if name == wish.alarm]
    fact = (Dated(min(at, now), AlarmRaised(wish.alarm)),)
    if rung and now - rung[-1] < AGAIN:
        return Decision(fact, answer)
    return Decision(fact, answer, _rung(cook, cards, alarm, (*lines, _from(cards, by, now)), by))


def _from(cards: Cards, by: str, now: datetime) -> Line:
    someone = cards.person(by)
    return say("From {who}, {clock}.", who=Label(someone.name if someone else by), clock=Clock(now))


def _rung(
    cook: Cook, cards: Cards, alarm: Alarm | None, lines: tuple[Line, ...], by: str
) -> tuple[Notice, ...]:
    key = f"alarm/{cook.seq}"
    people = tuple(p for p in paged(cards, alarm) if p != by)
    notices = [Notice(key, people, lines, Sound.ALARM, kind="finding")] if people else []
    if alarm in EVERYBODY:
        notices.append(Notice(f"{key}/room", ("room",), lines, Sound.ALARM, kind="finding"))
    return tuple(notices)


def paged(cards: Cards, alarm: Alarm | None) -> tuple[str, ...]:
    """Return whose phones ring for an alarm."""
    if alarm in EVERYBODY:
        return tuple(p.id for p in cards.crew)
    event = cards.event.emergency
    aider = (event.first_aider if event else "").casefold()
    named = [p for p in cards.crew if aider and aider in {p.name.casefold(), p.id}]
    leads = [cards.leading(lead) for lead in (Lead.FRONT, Lead.ALLERGY, Lead.PIT)]
    found = [cards.chef, *named, *leads]
    return tuple({p.id: None for p in found if p is not None})
