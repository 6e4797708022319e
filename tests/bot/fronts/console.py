"""The terminal on the bench."""

from __future__ import annotations

import io
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC

from bot.chat.console import Console, Paper
from bot.clock import VirtualClock
from bot.ports import Chat
from tests.bot.fronts.front import Front


class ConsoleFront:
    """A terminal: what is written stays, so an edit is one more paragraph."""

    def __init__(self, clock: VirtualClock) -> None:
        self.typed, self.screen = io.StringIO(), io.StringIO()
        self.room, self.who = "@bo", "Bo"
        paper = Paper(self.screen, UTC, {"bo": "Bo"})
        self.chat: Chat = Console(self.who, self.room, clock, paper, self.typed)

    async def types(self, text: str) -> None:
        read = self.typed.tell()
        self.typed.seek(0, io.SEEK_END)
        self.typed.write(f"{text}\n")
        self.typed.seek(read)

    async def shown(self) -> tuple[str, ...]:
        return tuple(self.screen.getvalue().split("  → "))[1:]

    async def rang(self) -> int:
        return self.screen.getvalue().count("(rings)") + self.screen.getvalue().count("(ALARM)")


@asynccontextmanager
async def console(clock: VirtualClock) -> AsyncIterator[Front]:
    """Open a terminal."""
    yield ConsoleFront(clock)
