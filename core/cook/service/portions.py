"""A smaller portion: said once to everybody who serves, and the plates that are left grow."""

from __future__ import annotations

from datetime import datetime

from core.cook.decision import Dated, Decision, Notice
from core.cook.service.counts import mains
from core.cook.service.forecast import portion_now
from core.cook.state import Cook
from core.errors import CannotPlanError, OutOfRangeError
from core.facts import LeftCounted, PortionSet, SetPortion
from core.model import Answer, Label, Qty, Sound, say


def portion_set(cook: Cook, wish: SetPortion, at: datetime) -> Decision:
    """Book a new portion of a main, and how many plates are left by it."""
    main = next((m for m in mains(cook) if m.dish.id == wish.dish), None)
    if main is None:
        raise CannotPlanError("no main dish is called that")
    was = portion_now(cook, main.dish)
    if was is None or was[1] != wish.unit:
        raise CannotPlanError("its portion is not known on the card")
    if not 0 < wish.amount <= 3 * was[0]:
        raise OutOfRangeError("portion", f"{wish.amount:g}", f"above 0 and at most {3 * was[0]:g}")
    left = main.left * was[0] / wish.amount
    facts = (
        Dated(at, LeftCounted(wish.dish, round(left), "plates")),
        Dated(at, PortionSet(wish.dish, wish.amount, wish.unit, was[0])),
    )
    line = say(
        "{dish}: {now} a plate, not {was}. {left} left.",
        dish=Label(main.dish.name),
        now=Qty(wish.amount, wish.unit, 0),
        was=Qty(was[0], "", 0),
        left=Qty(round(left), "plates", 0),
    )
    notice = Notice(f"portion/{cook.seq}", ("room",), (line,), Sound.ONCE)
    return Decision(facts, Answer((line,)), (notice,))
