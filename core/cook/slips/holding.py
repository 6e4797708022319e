"""Plates that wait: a speech first, and the plan after service was held. Clocks never wait."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.change import next_letter, plates_asked
from core.cook.decision import Dated, Decision
from core.cook.plans import with_hazards
from core.cook.slips.force import basis
from core.cook.state import Cook
from core.cook.subjects import plan_of
from core.errors import CannotPlanError, OutOfRangeError
from core.facts import MovePlates, PlanAdopted, PlatesMoved
from core.facts.slips import SpeechFirst
from core.model import Clock, Line, Qty, say
from core.planner import replan

LONGEST_MIN = 120.0
READY_MIN = 5.0
"""From 'go' to the first plate; common practice."""


def speech_first(cook: Cook, wish: SpeechFirst, by: str, at: datetime, now: datetime) -> Decision:
    """Ask the chef for plates so much later; nothing is carved before the tap."""
    if not 0 < wish.minutes <= LONGEST_MIN:
        raise OutOfRangeError("speech", f"{wish.minutes:g} min", "1 to 120 min")
    if cook.plates_at is None:
        raise CannotPlanError("nothing is cooking yet")
    later = max(cook.plates_at, now) + timedelta(minutes=wish.minutes)
    return plates_asked(cook, MovePlates(later), by, at, now)


def after_hold(
    cook: Cook, since: datetime, at: datetime, now: datetime
) -> tuple[tuple[Dated, ...], tuple[Line, ...]]:
    """Return the plan after service was held: what is tied to plates slides by as much.

    The restart is the tap for it. Where first plates had gone out before, nothing moves; hot food
    is to be probed either way, for its clock ran on.
    """
    plan = plan_of(cook)
    probe = say("Probe what stood hot: the clock ran on.")
    if cook.plates_at is None or cook.plates_at <= since:
        return (), (probe,)
    later = max(cook.plates_at + (at - since), now + timedelta(minutes=READY_MIN))
    cards, day = basis(cook, now)
    try:
        made = replan(cards, plan, day, plates_at=later, letter=next_letter(plan.letter), reason="")
    except CannotPlanError:
        return (), (probe,)
    new = with_hazards(cards, made)
    why = say("held {span}", span=Qty(round((at - since).total_seconds() / 60), "min", 0))
    facts = (
        Dated(at, PlatesMoved(later, cook.plates_at)),
        Dated(at, PlanAdopted(new, cook.seq, why)),
    )
    return facts, (say("Plates {clock}.", clock=Clock(later)), probe)
