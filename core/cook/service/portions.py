"""A smaller portion: said once to everybody who serves, and the plates that are left grow."""

from __future__ import annotations

from datetime import datetime

from core.cook.decision import Dated, Decision, Notice
from core.cook.service.counts import mains, pieces_a_plate
from core.cook.service.forecast import portion_now
from core.cook.slips.force import in_force
from core.cook.state import Cook
from core.errors import CannotPlanError, OutOfRangeError
from core.facts import LeftCounted, PortionSet, SetPortion
from core.model import Answer, Label, Number, Qty, Sound, say
from core.scaling.heads import eaters


def portion_set(cook: Cook, wish: SetPortion, at: datetime) -> Decision:
    """Book a new portion of a main, and how many plates are left by it."""
    all_mains = sorted(mains(cook), key=lambda m: -m.left)
    named = [m for m in all_mains if wish.dish in {"", m.dish.id}]
    main = named[0] if named else None
    if main is None:
        raise CannotPlanError("no main dish is called that")
    was = portion_now(cook, main.dish)
    if was is None or was[1] != wish.unit:
        raise CannotPlanError("its portion is not known on the card")
    if not 0 < wish.amount <= 3 * was[0]:
        raise OutOfRangeError("portion", f"{wish.amount:g}", f"above 0 and at most {3 * was[0]:g}")
    left = main.left * was[0] / wish.amount
    facts = (
        Dated(at, LeftCounted(main.dish.id, round(left), "plates")),
        Dated(at, PortionSet(main.dish.id, wish.amount, wish.unit, was[0])),
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


def seconds_answer(cook: Cook) -> Answer:
    """Answer 'seconds': slices beyond the first pass, and how many that is a table."""
    cut = [m for m in mains(cook) if m.dish.cuts]
    if not cut or cook.cards is None:
        return Answer((say("Nothing is cut in slices here. 'how many left' counts plates."),))
    main = max(cut, key=lambda m: m.made)
    event = in_force(cook.cards, cook.slips).event
    eating = eaters(event, cook.heads).get(main.dish.id, cook.heads)
    left = cook.service.left.get(main.dish.id)
    if left is not None and left.unit == "slices":
        spare = round(left.amount)
    else:
        whole = round(main.made * pieces_a_plate(main.dish) * (main.dish.cuts or 1))
        changed = cook.service.portions.get(main.dish.id)
        usual = int(changed.amount) if changed is not None else main.dish.cuts or 1
        each = min(usual, whole // eating) if eating else usual
        spare = whole - each * eating
    first = say("{slices} of {dish} for seconds.", slices=Qty(spare, "slices", 0),
                dish=Label(main.dish.name))  # fmt: skip
    tables = cook.cards.event.tables
    if not tables or spare <= 0:
        return Answer((first,), numbers=(Number("slices", spare, "count"),))
    share = say("{tables} tables: {each} each.", tables=tables, each=spare // tables)
    numbers = (Number("slices", spare, "count"), Number("a_table", spare // tables, "count"))
    return Answer((first, share), numbers=numbers)
