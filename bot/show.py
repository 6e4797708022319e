"""A rehearsed day as a story in the terminal: plan first, then who heard what, then the log."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TextIO

from bot.chat.console import Paper
from bot.logtext import log_lines
from bot.plantext import plan_lines
from bot.rehearse import Shown
from bot.script import ScriptLine
from core.cook import Cook
from core.cook.plans import planned
from core.model import Cards, Sound
from core.rights import CLIENT

LOG_TAIL = 14


class Story:
    """Tells a rehearsal as it happens."""

    def __init__(self, cards: Cards, out: TextIO) -> None:
        self._cards = cards
        self._names = {p.id: p.name for p in cards.crew} | {CLIENT: "Client"}
        self._paper = Paper(out, cards.event.zone, self._names)

    def picture(self, path: Path, draw: Callable[..., bytes]) -> None:
        """Tell the plan in words and leave it as a picture beside us."""
        made = planned(self._cards)
        for line in plan_lines(made, self._cards, self._cards.event.languages[0]):
            self._paper.note(line)
        path.write_bytes(draw(made, self._cards, self._cards.event.languages[0]))
        self._paper.note(f"Picture of the plan: {path}")
        self._paper.note("")

    def said(self, line: ScriptLine) -> None:
        """Tell what somebody typed."""
        self._paper.said(line.at, self._names[line.who], line.text)

    def shown(self, shown: Shown) -> None:
        """Tell what a phone showed; the room's silent copy of a call is left out."""
        tag = shown.message.tag
        copy = tag is not None and tag.kind == "room" and bool(tag.keys)
        if copy and shown.message.sound is Sound.SILENT:
            return
        self._paper.sent(shown.at, shown.room, shown.message)

    def closed(self, cook: Cook, head: str) -> None:
        """Tell the end of the log."""
        self._paper.note("")
        lines = log_lines(cook.entries, cook, head, None)
        self._paper.note(f"The log: {len(cook.entries)} facts, the last {LOG_TAIL} of them:")
        for line in lines[-LOG_TAIL - 1 :]:
            self._paper.note(line)
