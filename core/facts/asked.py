"""Questions put to people: each choice stands for a wish that is decided at the tap."""

from __future__ import annotations

from dataclasses import dataclass

from core.facts.wishes import Wish
from core.model import Line, Sound


@dataclass(frozen=True, slots=True)
class Choice:
    """One tap: its words and the wish it stands for (None means 'leave it')."""

    line: Line
    wish: Wish | None = None


@dataclass(frozen=True, slots=True)
class QuestionAsked:
    """These people were asked something; the first tap of one of them counts."""

    key: str
    to: tuple[str, ...]
    lines: tuple[Line, ...]
    choices: tuple[Choice, ...]
    sound: Sound = Sound.SILENT


@dataclass(frozen=True, slots=True)
class QuestionAnswered:
    """A choice was tapped; 0 means the question fell away."""

    key: str
    number: int


AskedFact = QuestionAsked | QuestionAnswered
