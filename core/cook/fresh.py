"""Whether a plan that was made a while ago still is about the day as it stands."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.state import Cook
from core.facts import CallAnswered, CallMade, QuestionAnswered, QuestionAsked
from core.model import Plan
from core.planner import changes

_SAYS_NOTHING = (CallMade, CallAnswered, QuestionAsked, QuestionAnswered)
"""Facts that change nothing a plan is made from."""

AROUND = frozenset({"break", "feed", "light"})
"""What goes with the food: it follows, and nobody is asked again for its sake."""


def moved_on(cook: Cook, made_from: int, found: Plan, now: datetime) -> bool:
    """Return whether the day has moved on since a plan was made at a sequence number.

    It has if anything but calls and questions was booked since, or if what the plan moves should
    have begun by now, in the old plan or the new.
    """
    if cook.plan is None:
        return True
    if any(e.seq > made_from and not isinstance(e.fact, _SAYS_NOTHING) for e in cook.entries):
        return True
    made = max((e.heard for e in cook.entries if e.seq <= made_from), default=now)
    change = changes(cook.plan, found)
    moved = [m for m in (*change.elastic, *change.plates, *change.world) if m.do not in AROUND]
    starts = [(m.start, m.start - timedelta(minutes=m.minutes)) for m in moved]
    return any(made <= start < now for pair in starts for start in pair)
