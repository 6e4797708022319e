"""Packing the van: a list that several people tick at once by shouting what is in."""

from __future__ import annotations

from datetime import datetime

from core.cook.decision import Dated, Decision
from core.cook.state import Cook
from core.cook.subjects import folded
from core.errors import CannotPlanError, UnknownNameError
from core.facts import Loaded, TickLoaded
from core.model import Answer, Label, Line, Number, Qty, say
from core.scaling.sheets import LoadOutItem, load_out_list

SHOWN = 5


def van_list(cook: Cook) -> tuple[LoadOutItem, ...]:
    """Return everything that leaves the yard for this cook."""
    if cook.cards is None:
        raise CannotPlanError("nothing is cooking yet")
    return load_out_list(cook.cards, cook.heads)


def loaded(cook: Cook, wish: TickLoaded, at: datetime) -> Decision:
    """Book what was shouted; several people may tick at once, and a second tick changes nothing."""
    items = van_list(cook)
    wanted = folded(wish.named)
    found = [i for i in items if folded(i.what) == wanted]
    found = found or [i for i in items if wanted and wanted in folded(i.what)]
    if wanted in {"all", "everything", "todo"}:
        found = list(items)
    if not found:
        left = ", ".join(i.what for i in items if i.id not in cook.loaded)
        raise UnknownNameError("thing to load", wish.named, left[:120])
    new = tuple(i.id for i in found if i.id not in cook.loaded)
    facts = (Dated(at, Loaded(new)),) if new else ()
    return Decision(facts, load_out_answer(cook, frozenset(new)))


def load_out_answer(cook: Cook, new: frozenset[str] = frozenset()) -> Answer:
    """Return how much is in the van and the first few that are not."""
    items = van_list(cook)
    left = [i for i in items if i.id not in cook.loaded | new]
    done = len(items) - len(left)
    numbers = (Number("loaded", done, "count"), Number("items", len(items), "count"))
    lines: list[Line] = [say("Load-out {done}/{all}.", done=done, all=len(items))]
    if left:
        names = ", ".join(i.what for i in left[:SHOWN]) + (", …" if len(left) > SHOWN else "")
        lines.append(say("Missing {n}: {what}", n=Qty(len(left), "count", 0), what=Label(names)))
    else:
        lines.append(say("Everything is in."))
    return Answer(tuple(lines), numbers=numbers)
