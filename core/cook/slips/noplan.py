"""No plan from here: what breaks first and when, and what would make one, each solved as true."""

from __future__ import annotations

from datetime import datetime

from core.cook.decision import Dated, booked
from core.cook.names import listed
from core.cook.slips.force import basis
from core.cook.slips.leaving import moves_off
from core.cook.state import Cook
from core.cook.subjects import plan_of
from core.errors import CannotPlanError
from core.model import Line, say
from core.planner import Rescue, replan, rescue

BOT = "bot"


def no_plan_lines(cook: Cook, now: datetime) -> tuple[Line, ...]:
    """Return why there is no plan from here and what would make one, solved again as true."""
    leave = tuple(Dated(now, fact) for fact in moves_off(cook, now))
    cards, told_now = basis(booked(cook, leave, BOT, now), now)
    plan = plan_of(cook)
    try:
        replan(cards, plan, told_now, letter=plan.letter, reason="")
    except CannotPlanError as error:
        return rescue_lines(rescue(cards, plan, told_now, error))
    return ()


def rescue_lines(found: Rescue) -> tuple[Line, ...]:
    """Return why, and what would help; that nothing on hand does, where nothing does."""
    why = say("{why}.", why=found.why)
    if not found.remedies:
        return (why, say("Nothing I know of makes it fit from here."))
    return (why, say("Would help: {what}.", what=listed(list(found.remedies), 2)))


def impossible_lines(
    cook: Cook, heads: int, plates_at: datetime, error: CannotPlanError, now: datetime
) -> tuple[Line, ...]:
    """Return why so many heads, or plates then, are no plan from here, and what would fit."""
    cards, told = basis(cook, now)
    plan = plan_of(cook)
    return rescue_lines(rescue(cards, plan, told, error, heads=heads, plates_at=plates_at))
