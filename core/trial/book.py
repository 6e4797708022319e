"""The test kitchen as its facts made it: drafts by id, saved cards by kind and name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import reduce
from typing import assert_never

from core.facts import (
    CardKind,
    CardRetired,
    CardSaved,
    DraftOpened,
    DraftResumed,
    DraftSaid,
    DraftShelved,
    Entry,
    KitchenFact,
)

FRESH = timedelta(hours=12)
"""So long after the last word on it, plain answers still go to a draft."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A card being captured: `values` by field, who began it, when it was last spoken of."""

    id: str
    kind: CardKind
    by: str
    values: Mapping[str, str]
    touched: datetime
    shelved: bool = False
    saved: bool = False

    @property
    def name(self) -> str:
        """Return what it will be called."""
        return self.values.get("name", "")

    def fresh(self, now: datetime) -> bool:
        """Say whether plain answers go to it."""
        return not self.shelved and not self.saved and now - self.touched <= FRESH


@dataclass(frozen=True, slots=True)
class Saved:
    """The newest version of a card of the house."""

    kind: CardKind
    card: str
    version: int
    texts: Mapping[str, str]
    draft: str
    at: datetime
    retired: bool = False


@dataclass(frozen=True, slots=True)
class KitchenBook:
    """All drafts and cards of the house."""

    seq: int = 0
    drafts: Mapping[str, Draft] = field(default_factory=dict)
    cards: Mapping[tuple[CardKind, str], Saved] = field(default_factory=dict)

    def drafts_of(self, person: str) -> tuple[Draft, ...]:
        """Return a person's drafts that are not saved, the last spoken of last."""
        mine = (d for d in self.drafts.values() if d.by == person and not d.saved)
        return tuple(sorted(mine, key=lambda d: d.touched))

    def current(self, person: str, now: datetime) -> Draft | None:
        """Return the draft a person's plain answers go to."""
        fresh = [d for d in self.drafts_of(person) if d.fresh(now)]
        return fresh[-1] if fresh else None

    def offered(self, kind: CardKind) -> tuple[Saved, ...]:
        """Return the cards of a kind that are not retired, by name."""
        mine = (c for (k, _), c in sorted(self.cards.items()) if k is kind and not c.retired)
        return tuple(mine)

    def card(self, kind: CardKind, card: str) -> Saved | None:
        """Return a card that is offered."""
        found = self.cards.get((kind, card))
        return found if found is not None and not found.retired else None

    def next_version(self, kind: CardKind, card: str) -> int:
        """Return the number a card would be saved under; a retired one keeps its count."""
        found = self.cards.get((kind, card))
        return found.version + 1 if found else 1


def evolve_book(book: KitchenBook, entry: Entry) -> KitchenBook:
    """Return the book after one more entry of the house's stream."""
    booked = replace(book, seq=entry.seq)
    fact = entry.fact
    if not isinstance(fact, KitchenFact):
        return booked
    match fact:
        case DraftOpened():
            draft = Draft(fact.draft, fact.kind, entry.by, fact.values, entry.at)
            return _with(booked, draft)
        case DraftSaid(draft=name, values=values):
            was = book.drafts[name]
            now = {k: v for k, v in {**was.values, **values}.items() if v}
            return _with(booked, replace(was, values=now, touched=entry.at))
        case DraftShelved(draft=name):
            return _with(booked, replace(book.drafts[name], shelved=True, touched=entry.at))
        case DraftResumed(draft=name):
            return _with(booked, replace(book.drafts[name], shelved=False, touched=entry.at))
        case CardSaved():
            card = Saved(fact.kind, fact.card, fact.version, fact.texts, fact.draft, entry.at)
            cards = {**booked.cards, (fact.kind, fact.card): card}
            if (made := book.drafts.get(fact.draft)) is not None:
                booked = _with(booked, replace(made, saved=True, touched=entry.at))
            return replace(booked, cards=cards)
        case CardRetired(kind=kind, card=name):
            gone = replace(book.cards[kind, name], retired=True)
            return replace(booked, cards={**book.cards, (kind, name): gone})
        case _:
            assert_never(fact)


def _with(book: KitchenBook, draft: Draft) -> KitchenBook:
    return replace(book, drafts={**book.drafts, draft.id: draft})


def replay_book(entries: Iterable[Entry]) -> KitchenBook:
    """Return the book that a stream describes."""
    return reduce(evolve_book, entries, KitchenBook())
