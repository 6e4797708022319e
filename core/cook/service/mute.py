"""'Shut up till 2': obeyed, but for safety and what only that person can do."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.decision import Dated, Decision
from core.cook.state import Cook
from core.errors import OutOfRangeError
from core.facts import Mute, Muted
from core.model import Answer, Clock, say

LONGEST = timedelta(hours=12)


def muted(cook: Cook, wish: Mute, by: str, now: datetime) -> Decision:
    """Say nothing to a person until an instant, or speak again."""
    was = cook.service.muted.get(by)
    if wish.until is None:
        if was is None or was <= now:
            return Decision(answer=Answer((say("Not muted. You hear everything that is yours."),)))
        fact = Dated(now, Muted(by, now))
        return Decision((fact,), Answer((say("On again from {clock}.", clock=Clock(now)),)))
    if not timedelta() < wish.until - now <= LONGEST:
        raise OutOfRangeError("until", f"{cook_clock(cook, wish.until)}", "within the next 12 h")
    first = say("Quiet with you until {clock}.", clock=Clock(wish.until))
    but = say("You still get safety and what only you can do.")
    return Decision((Dated(now, Muted(by, wish.until)),), Answer((first, but)))


def cook_clock(cook: Cook, at: datetime) -> str:
    """Return an instant as site time, for an error."""
    return f"{cook.cards.event.local(at):%H:%M}" if cook.cards else f"{at:%H:%M}"
