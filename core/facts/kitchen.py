"""The test kitchen: cards captured in a chat, one answer after the other, kept in the house.

These facts stand in the stream `house`: a draft lives longer than any cook. What was said of a
field is kept as it would stand on a card, in kg, cm, min and °C, in no language; nobody's name is
in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class CardKind(StrEnum):
    """What a draft or a saved card is of."""

    DISH = "dish"
    EVENT = "event"


@dataclass(frozen=True, slots=True)
class DraftOpened:
    """Somebody began a card; `values` is what is known of it already, by field."""

    draft: str
    kind: CardKind
    values: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class DraftSaid:
    """Fields of a draft as they now are; '' takes a field back to not known."""

    draft: str
    values: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class DraftShelved:
    """The draft waits: what is said is no answer to it until somebody goes on with it."""

    draft: str


@dataclass(frozen=True, slots=True)
class DraftResumed:
    """Somebody goes on with a draft that was shelved or left."""

    draft: str


@dataclass(frozen=True, slots=True)
class CardSaved:
    """A card of the house: `texts` are its files by name, `draft` what it was made from, if any."""

    kind: CardKind
    card: str
    version: int
    texts: Mapping[str, str]
    draft: str = ""


@dataclass(frozen=True, slots=True)
class CardRetired:
    """A card that is offered no more; its versions stay on record."""

    kind: CardKind
    card: str


KitchenFact = DraftOpened | DraftSaid | DraftShelved | DraftResumed | CardSaved | CardRetired
