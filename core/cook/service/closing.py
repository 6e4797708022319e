"""The close of a cook: what still stands out, and no question left open behind a shut door."""

from __future__ import annotations

from datetime import datetime

from core.cook.decision import Dated, Decision
from core.cook.service.leftovers import leftovers_answer
from core.cook.state import Cook
from core.facts import CookClosed, QuestionAnswered
from core.model import Answer, Clock, say


def closed(cook: Cook, at: datetime, now: datetime) -> Decision:
    """Close a cook; its open questions fall away, and what has a clock is named once more."""
    struck = tuple(
        Dated(at, QuestionAnswered(key, 0))
        for key, asked in cook.questions.items()
        if asked.answered is None
    )
    first = say("Closed {clock}.", clock=Clock(at))
    standing = leftovers_answer(cook, now).lines[:3] if cook.service.stood else ()
    return Decision((*struck, Dated(at, CookClosed())), Answer((first, *standing)))
