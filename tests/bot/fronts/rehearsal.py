"""The simulated phones of a rehearsal on the bench."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from bot.clock import VirtualClock
from bot.ports import Chat
from bot.rehearse import Phones, Shown
from core.model import Sound
from tests.bot.fronts.front import Front


class RehearsalFront:
    """A row of phones that note what they would have shown."""

    def __init__(self, clock: VirtualClock) -> None:
        self.notes: list[Shown] = []
        self.room, self.who = "@bo", "bo"
        self.chat: Chat = Phones(clock, self.notes.append)

    async def types(self, text: str) -> None:
        raise AssertionError(f"nobody types in a rehearsal: {text}")

    async def shown(self) -> tuple[str, ...]:
        return tuple("\n".join((*n.message.lines, *n.message.choices)) for n in self.notes)

    async def rang(self) -> int:
        return sum(note.message.sound is not Sound.SILENT for note in self.notes)


@asynccontextmanager
async def rehearsal(clock: VirtualClock) -> AsyncIterator[Front]:
    """Open a row of phones."""
    yield RehearsalFront(clock)
