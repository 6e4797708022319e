"""A Telegram front-end joined to the double of the Bot API, for the tests of this folder."""

from __future__ import annotations

import asyncio
import struct
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime

from bot.chat.telegram import Telegram, Webhook
from bot.clock import VirtualClock
from bot.ports import Incoming, Medium
from tests.doubles.bot_api import BotApi, Chat, Phone, running

NOON = datetime(2026, 6, 13, 12, 0, tzinfo=UTC)
PATIENCE_S = 20.0
ANSWER_S = 5.0
PAUSE_S = 0.02


def png(width: int = 40, height: int = 30, mark: bytes = b"") -> bytes:
    """Return the head of a PNG; a double looks no further."""
    return b"\x89PNG\r\n\x1a\n" + struct.pack(">I4sII", 13, b"IHDR", width, height) + mark


class Shelf:
    """Implements Media from memory."""

    def __init__(self) -> None:
        self.things: dict[str, Medium] = {}

    def put(self, name: str, content: bytes, kind: str = "image/png") -> None:
        self.things[name] = Medium(name, kind, content)

    async def medium(self, name: str) -> Medium | None:
        return self.things.get(name)


@dataclass
class Line:
    """The double, a front-end on it, and what was heard."""

    api: BotApi
    chat: Telegram
    clock: VirtualClock
    shelf: Shelf
    bo: Phone
    group: Chat
    heard: list[Incoming] = field(default_factory=list)
    _listening: asyncio.Task[None] | None = None

    def listen(self) -> None:
        """Start hearing on the side."""

        async def run() -> None:
            async for message in self.chat.incoming():
                self.heard.append(message)

        self._listening = asyncio.create_task(run())

    async def hears(self, count: int = 1) -> list[Incoming]:
        """Wait until so much was heard, and return it."""
        if self._listening is None:
            self.listen()
        await until(lambda: len(self.heard) >= count)
        return self.heard

    async def asked_for(self, method: str) -> None:
        """Wait until a method was called and what it does on the side is done."""
        await until(lambda: bool(self.api.calls(method)))

    async def hang_up(self) -> None:
        await self.chat.stop()
        if self._listening is not None:
            with suppress(asyncio.CancelledError):
                await self._listening


async def until(is_so: Callable[[], bool]) -> None:
    """Wait for something that happens on the other side of a socket."""
    async with asyncio.timeout(PATIENCE_S):
        while not is_so():
            await asyncio.sleep(0.002)


@asynccontextmanager
async def connected(
    *, webhook: Webhook | None = None, hears_all: bool = False, answer_s: float = ANSWER_S
) -> AsyncIterator[Line]:
    """Yield a line with one phone, Bo's, and one group."""
    clock, shelf = VirtualClock(NOON), Shelf()
    async with running(clock, hears_all=hears_all) as api:
        bo = api.phone(1002, "Bo")
        group = api.group(-1001, bo, topics={7})
        chat = Telegram(
            api.token, shelf, clock=clock, base_url=api.url, webhook=webhook,
            answer_s=answer_s, pause_s=PAUSE_S,
        )  # fmt: skip
        line = Line(api, chat, clock, shelf, bo, group)
        try:
            await chat.start()
            yield line
        finally:
            await line.hang_up()
