"""A wet finger taps twice: the same answer again within two seconds counts once."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.decision import Decision
from core.cook.state import Cook
from core.facts import AnswerCall, CallAnswered, Choose, LateReported, QuestionAnswered
from core.model import Answer, say

TWICE = timedelta(seconds=2)


def tapped_twice(cook: Cook, wish: AnswerCall | Choose, by: str, at: datetime) -> Decision | None:
    """Return that a tap was counted already; None when it is a new one."""
    recent = [e for e in cook.entries[-12:] if e.by == by and abs(at - e.at) <= TWICE]
    if any(_same(wish, entry.fact) for entry in recent):
        return Decision(answer=Answer((say("Counted once."),)))
    return None


def _same(wish: AnswerCall | Choose, fact: object) -> bool:
    """Say whether a fact is what this very tap would have made."""
    match wish, fact:
        case AnswerCall(key=key), CallAnswered(key=done):
            return key is None or key == done
        case Choose(number=1, question=key), CallAnswered(key=done):
            return key is None or key == done
        case Choose(number=2, question=None), LateReported():
            return True
        case Choose(number=number, question=key), QuestionAnswered(key=done, number=tapped):
            return number == tapped and (key is None or key == done)
        case _:
            return False
