"""The calls that slips make, and those they keep back while plates are held."""

from __future__ import annotations

from collections.abc import Iterator

from core.cook.names import thing_of
from core.cook.slips.asking import silent_calls
from core.cook.slips.leaving import stays
from core.cook.state import Cook, Phase, items
from core.model import Call, Clock, Label, Lead, Sound, Tied, say


def slip_calls(cook: Cook) -> Iterator[Call]:
    """Yield what slips still have to say: food that changes fires, a question handed over."""
    yield from _moves(cook)
    yield from silent_calls(cook)


def _moves(cook: Cook) -> Iterator[Call]:
    """Yield the call to carry a load to another fire, to who stands there."""
    cards, known = cook.cards, items(cook.plan) if cook.plan else {}
    for key, move in cook.slips.moving.items():
        item = known.get(key)
        there = stays(cook, move)
        if cards is None or item is None or there or cook.phase(key) is not Phase.RUNNING:
            continue
        keepers = [p.id for p in cards.crew if move.station in p.stations]
        lead = cards.leading(Lead.PIT) or cards.chef
        to = tuple(keepers[:1]) or ((lead.id,) if lead else ("room",))
        line = say("MOVE {thing} → {station} · {clock}", thing=thing_of(item, cards),
                   station=Label(move.station), clock=Clock(move.at))  # fmt: skip
        yield Call(f"{key}/move", move.at, to, line, Sound.ONCE, "move", key,
                   choices=(say("done"),))  # fmt: skip


def waits(cook: Cook, call: Call) -> bool:
    """Say whether a call waits with the plates: they are held, and its job is tied to them."""
    if cook.service.held is None or call.kind not in {"start", "tick"} or cook.plan is None:
        return False
    item = items(cook.plan).get(call.about)
    return item is not None and item.tied is Tied.PLATES
