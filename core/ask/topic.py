"""What a topic of quick questions is: its reader, its answerer and its place in the line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import IntEnum
from typing import TYPE_CHECKING, Generic, TypeVar

from core.allergens.contents import NOTHING_MADE, Made
from core.model import Answer, Cards, Make, Profile, Reading, Role
from core.scaling.yields import Measured
from core.words import Token

if TYPE_CHECKING:
    from core.cook import Cook

Q = TypeVar("Q")


class Rank(IntEnum):
    """Which topics look at a question first. Nothing of a later rank is asked once one reads it."""

    EMERGENCY = 0
    SAFETY = 1
    ALLERGEN = 2
    IMPOSSIBLE = 3
    EXACT = 4
    LOOSE = 5


@dataclass(frozen=True, slots=True)
class AskContext:
    """What is known beside the words: the cards, the rule book, the hour, who asks.

    `makes` is the make-list of the plan in force, `readings` the latest first. Whatever is None
    is not known, and an answer that needs it asks for it or says so. `house` are measured yields,
    `made` the batches made and brands swapped so far, `cook` the cook under way.
    """

    cards: Cards | None = None
    profile: Profile | None = None
    lang: str = "en"
    now: datetime | None = None
    heads: int | None = None
    makes: tuple[Make, ...] = ()
    readings: tuple[Reading, ...] = ()
    role: Role | None = None
    house: tuple[Measured, ...] = ()
    made: Made = NOTHING_MADE
    cook: Cook | None = None

    @property
    def rules(self) -> Profile | None:
        """Return the rule book asked for, else the event's."""
        return self.profile or (self.cards.event.profile if self.cards else None)

    @property
    def to_feed(self) -> int | None:
        """Return the heads as they stand, else those of the event."""
        return self.heads or (self.cards.event.heads if self.cards else None)


@dataclass(frozen=True, slots=True)
class Topic(Generic[Q]):
    """One kind of question.

    `read` returns a typed question, a frozen dataclass, or None when the words are about
    something else. `answer` may ask back, with choices that can be said after the question:
    'question + choice' must read without asking again.
    """

    name: str
    rank: Rank
    read: Callable[[Sequence[Token], str, AskContext], Q | None]
    answer: Callable[[Q, AskContext], Answer]

    def answered(self, tokens: Sequence[Token], text: str, context: AskContext) -> Answer | None:
        """Return the answer if the words are a question of this kind."""
        question = self.read(tokens, text, context)
        return None if question is None else self.answer(question, context)
