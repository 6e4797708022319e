"""Plays event folders for tests and gathers what every phone showed."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path

from bot.cards import read_event, read_texts
from bot.rehearse import Player, Shown
from bot.script import read_script
from core.cook import Cook
from core.model import Cards, Sound


@dataclass(frozen=True)
class Day:
    """A played day: what was shown, in order, and how the cook ended."""

    cards: Cards
    shown: tuple[Shown, ...]
    cook: Cook
    head: str

    def local(self, at: datetime) -> str:
        """Return an instant as site time."""
        return f"{self.cards.event.local(at):%H:%M}"

    def replies(self, line: int) -> list[Shown]:
        """Return what answered a script line."""
        return [s for s in self.shown if s.message.tag and s.message.tag.line == line]

    def to(self, person: str) -> list[Shown]:
        """Return what a person's phone showed."""
        return [s for s in self.shown if s.room == f"@{person}"]

    def rung(self, person: str) -> list[Shown]:
        """Return what made a person's phone sound."""
        return [s for s in self.to(person) if s.message.sound is not Sound.SILENT]


def played(folder: Path, script: str) -> Day:
    """Play a script against an event folder."""
    cards = read_event(folder)
    shown: list[Shown] = []
    lines = read_script(script, cards)
    player = Player(cards, dict(read_texts(folder)), lines, shown.append)
    cook, head = asyncio.run(player.play())
    return Day(cards, tuple(shown), cook, head)


@cache
def example_day(folder: Path) -> Day:
    """Play an example's own day, once a test run."""
    return played(folder, (folder / "day.txt").read_text("utf-8"))
