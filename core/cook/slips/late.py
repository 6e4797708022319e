"""A report that makes food later than its plates: the chef is asked once, with what can be done."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from core.cook.decision import Dated, Decision, booked
from core.cook.reports import late_loads
from core.cook.slips.asking import LINES, choice_line, struck_offers, take
from core.cook.slips.offered import offers
from core.cook.state import Cook
from core.facts import Choice, QuestionAsked
from core.model import Sound, say

LATE = "late/"


def asked_if_late(cook: Cook, decision: Decision, by: str, at: datetime, now: datetime) -> Decision:
    """Return a decision whose word to the chef about a late load comes with its choices."""
    told = next((n for n in decision.notices if n.key.startswith(LATE)), None)
    if told is None:
        return decision
    after = booked(cook, decision.facts, by, now)
    if not late_loads(after):
        return decision
    found = [o for o in offers(after, now) if o.key != "keep"]
    if not found:
        return decision
    picks = tuple(Choice(choice_line(o, alone=False), take(o)) for o in found)
    picks = (*picks, Choice(say("leave it"))) if len(picks) < LINES else picks
    key = f"change/late/{after.seq}"
    question = QuestionAsked(key, told.to, told.lines, picks, Sound.ONCE)
    words = tuple(pick.line for pick in picks)
    notices = tuple(replace(n, choices=words) if n is told else n for n in decision.notices)
    facts = (*decision.facts, *struck_offers(after, at), Dated(at, question))
    return Decision(facts, decision.answer, notices)
