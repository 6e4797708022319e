"""Lightning, speech: nothing goes out, clocks run on; then what to serve first."""

from __future__ import annotations

from datetime import datetime

from core.cook.decision import Dated, Decision, Notice, booked
from core.cook.service.boxes import first_lines
from core.cook.slips.holding import after_hold
from core.cook.state import Cook
from core.errors import NotAllowedError
from core.facts import HoldService, RaiseAlarm, ServiceHeld, ServiceRestarted
from core.model import Answer, Clock, Label, Line, Qty, Sound, say

STOPPING = frozenset({"lightning", "fire", "gas", "co", "collapse"})
"""Alarms everybody leaves the site for: their end is for the chef to call."""

REASONS = {
    "lightning": say("lightning"),
    "speech": say("speech"),
    "rain": say("rain"),
    "wind": say("wind"),
    "allergy": say("allergy"),
    "fire": say("fire"),
    "gas": say("gas"),
    "co": say("CO"),
    "collapse": say("collapse"),
}


def reason_of(reason: str) -> Line | Label:
    """Return a reason as it is spoken of."""
    return REASONS.get(reason, Label(reason[:30])) if reason else say("held")


def service_held(cook: Cook, wish: HoldService, at: datetime) -> Decision:
    """Stop service: one push to all; whatever has a clock keeps it."""
    held = cook.service.held
    if held is not None:
        line = say("Held already, {clock}: {why}.", clock=Clock(held.since),
                   why=reason_of(held.reason))  # fmt: skip
        return Decision(answer=Answer((line,)))
    why = reason_of(wish.reason)
    first = say("HOLD {clock}: {why}. Nothing goes out.", clock=Clock(at), why=why)
    lines = [first, say("Lids on, boxes shut. Clocks run on.")]
    notice = Notice(f"hold/{cook.seq}", ("room",), tuple(lines), Sound.ONCE)
    return Decision((Dated(at, ServiceHeld(wish.reason)),), Answer(tuple(lines)), (notice,))


def service_restarted(cook: Cook, by: str, at: datetime, now: datetime) -> Decision:
    """Let plates go out again: one push to all, with what goes first and what is past it."""
    held = cook.service.held
    if held is None:
        return Decision(answer=Answer((say("Nothing is held."),)))
    chef = cook.cards.chef if cook.cards else None
    if held.reason in STOPPING and chef is not None and by != chef.id:
        raise NotAllowedError("a safety stop", chef.name)
    fact = Dated(at, ServiceRestarted())
    after = booked(cook, (fact,), by, now)
    span = Qty(round((at - held.since).total_seconds() / 60), "min", 0)
    first = say("GO {clock}. Held {span}.", clock=Clock(at), span=span)
    moved, plates = after_hold(after, held.since, at, now)
    lines = (first, *first_lines(booked(after, moved, by, now), now), *plates)[:4]
    notice = Notice(f"restart/{cook.seq}", ("room",), lines, Sound.ONCE)
    return Decision((fact, *moved), Answer(lines), (notice,))


def held_by_alarm(cook: Cook, wish: RaiseAlarm, rung: Decision, at: datetime) -> Decision:
    """Return an alarm's decision; where it empties the site, service is held with it."""
    stops = wish.alarm in STOPPING and cook.service.held is None and not cook.closed
    if cook.cards is None or not stops:
        return rung
    return rung.also(Dated(at, ServiceHeld(wish.alarm)))
