"""What a decision is: the facts it makes, the answer to who asked, the word to who must know."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from core.cook.state import Cook, evolve
from core.errors import KitchenError
from core.facts import Entry, Fact
from core.model import Answer, Clock, Line, Sound


@dataclass(frozen=True, slots=True)
class Dated:
    """A fact and when it happened."""

    at: datetime
    fact: Fact


@dataclass(frozen=True, slots=True)
class Notice:
    """Lines for others: `to` person ids or ('room',). A question's choices come with its key."""

    key: str
    to: tuple[str, ...]
    lines: tuple[Line, ...]
    sound: Sound = Sound.SILENT
    choices: tuple[Line, ...] = ()
    kind: str = "room"
    picture: str | None = None
    letter: str | None = None


@dataclass(frozen=True, slots=True)
class Decision:
    """Facts to append, the answer, and notices."""

    facts: tuple[Dated, ...] = ()
    answer: Answer | None = None
    notices: tuple[Notice, ...] = ()

    def also(self, *facts: Dated) -> Decision:
        """Return it with more facts."""
        return Decision((*self.facts, *facts), self.answer, self.notices)


class WrongTimeError(KitchenError):
    """A report dated where it cannot be."""

    template = "{clock} cannot be: {why}."
    hint = "Give the clock time it happened, like 18:02."

    def __init__(self, clock: Clock, why: str) -> None:
        super().__init__(clock=clock, why=why)


def booked(cook: Cook, facts: tuple[Dated, ...], by: str, heard: datetime) -> Cook:
    """Return the cook as it will be once these facts are stored."""
    for n, dated in enumerate(facts, start=cook.seq + 1):
        cook = evolve(cook, Entry(n, dated.at, heard, by, dated.fact))
    return cook


def checked_time(at: datetime, now: datetime) -> datetime:
    """Return a stated time if it can be: not ahead by more than 2 min, not over 6 h ago."""
    if at > now + timedelta(minutes=2):
        raise WrongTimeError(Clock(at), "that is still to come")
    if at < now - timedelta(hours=6):
        raise WrongTimeError(Clock(at), "that is too long ago")
    return min(at, now)


def sentence(*parts: Line | None) -> tuple[Line, ...]:
    """Return the lines that are there."""
    return tuple(part for part in parts if part is not None)
