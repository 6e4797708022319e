"""The facts of the test kitchen as lines of a log."""

from __future__ import annotations

from typing import assert_never

from core.facts import (
    CardKind,
    CardRetired,
    CardSaved,
    DraftOpened,
    DraftResumed,
    DraftSaid,
    DraftShelved,
    KitchenFact,
)
from core.model import Label, Line, say

KINDS = {CardKind.DISH: say("dish"), CardKind.EVENT: say("event")}


def kitchen_told(fact: KitchenFact) -> Line:
    """Return what a fact of the test kitchen says."""
    match fact:
        case DraftOpened(kind=kind, values=values):
            return say("{kind} begun: {name}", kind=KINDS[kind], name=Label(values.get("name", "")))
        case DraftSaid(values=values):
            said = "; ".join(f"{key} {value}" for key, value in values.items())
            return say("card: {said}", said=Label(said))
        case DraftShelved(draft=draft):
            return say("card {name} shelved", name=Label(draft))
        case DraftResumed(draft=draft):
            return say("card {name} taken up", name=Label(draft))
        case CardSaved(kind=kind, card=card, version=version):
            return say("{kind} {name} saved, version {n}", kind=KINDS[kind], name=Label(card),
                       n=version)  # fmt: skip
        case CardRetired(kind=kind, card=card):
            return say("{kind} {name} retired", kind=KINDS[kind], name=Label(card))
        case _:
            assert_never(fact)
