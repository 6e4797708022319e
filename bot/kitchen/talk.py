"""What an answer of the kitchen consists of: facts for the house, lines, a question, files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, tzinfo

from bot.ports import Incoming
from core.cook import Cook
from core.facts import KitchenFact, Known
from core.model import Answer, Cards, Line
from core.trial.book import KitchenBook


@dataclass(frozen=True, slots=True)
class Host:
    """Who speaks to the kitchen: a person id, how to speak to them, and the cook they are on."""

    person: str
    lang: str
    zone: tzinfo
    currency: str
    cook: Cook
    owner: bool = False


@dataclass(frozen=True, slots=True)
class Base:
    """An event that a new one may be like: a cook's or a saved one, with its people's names."""

    key: str
    name: str
    cards: Cards
    texts: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Said:
    """One message to the kitchen: its words, the field a tap was under, when, by whom."""

    text: str
    host: Host
    book: KitchenBook
    now: datetime
    id: str
    tapped: tuple[str, str, int] | None = None
    bases: tuple[Base, ...] = ()
    heard: Incoming | None = None
    measured: tuple[Known, ...] = ()
    """What the house has measured, over so many cooks."""
    """Draft, field and number of the choice, where a tap is known to be under a question."""


@dataclass(frozen=True, slots=True)
class Done:
    """What the kitchen makes of a message.

    `key` is the draft and field that the answer asks about, `names` what people of the house are
    called, kept beside the log; `start` names the event whose cook is to start.
    """

    answer: Answer
    facts: tuple[KitchenFact, ...] = ()
    lang: str | None = None
    key: str = ""
    documents: tuple[str, ...] = ()
    names: tuple[tuple[str, str], ...] = field(default_factory=tuple)
    start: str | None = None


def told(*lines: Line, question: Line | None = None, choices: tuple[Line, ...] = ()) -> Answer:
    """Return an answer of these lines."""
    return Answer(lines, question=question, choices=choices)
