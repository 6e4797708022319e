"""The webhook: Telegram brings updates to our door, and is told 200 when they are safe."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncGenerator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bot.chat.telegram.listening import MOST_AT_ONCE, Line
from bot.chat.telegram.updates import KINDS

if TYPE_CHECKING:
    from telegram import Update


@dataclass(frozen=True, slots=True)
class Webhook:
    """Where Telegram brings updates: our public address, and where we listen behind it.

    Telegram calls `url`, whose path is also what we answer; TLS ends at the proxy before us.
    `secret` comes with every call. One connection at a time keeps the order of a chat.
    """

    url: str
    secret: str
    listen: str = "127.0.0.1"
    port: int = 8443
    connections: int = 1


class NotTakenError(Exception):
    """We stopped before an update was safe: Telegram is to bring it again."""


class Door(asyncio.Queue[object]):
    """The library's update queue, whose `put` only returns when the update is safe with us."""

    def __init__(self) -> None:
        super().__init__()
        self._held: list[tuple[Update, asyncio.Future[None]]] = []
        self._knock = asyncio.Event()
        self._shut = False

    async def put(self, item: object) -> None:
        """Hold an update and its caller until somebody has taken it."""
        if self._shut:
            raise NotTakenError
        taken = asyncio.get_running_loop().create_future()
        self._held.append((item, taken))  # type: ignore[arg-type]  # the library puts updates here
        self._knock.set()
        await taken

    async def held(self) -> list[tuple[Update, asyncio.Future[None]]]:
        """Return what stands at the door, as soon as something does."""
        await self._knock.wait()
        self._knock.clear()
        held, self._held = self._held[:MOST_AT_ONCE], self._held[MOST_AT_ONCE:]
        if self._held:
            self._knock.set()
        return held

    def shut(self) -> None:
        """Send everybody away who still waits."""
        self._shut = True
        self.refuse(self._held)
        self._held = []

    @staticmethod
    def refuse(held: list[tuple[Update, asyncio.Future[None]]]) -> None:
        """Let callers know that their updates were not taken."""
        for _, taken in held:
            if not taken.done():
                taken.set_exception(NotTakenError())


async def brought(line: Line, hook: Webhook) -> AsyncGenerator[tuple[Update, ...], None]:
    """Yield what Telegram brings to our door, until stopped."""
    from urllib.parse import urlsplit

    from telegram.ext import Updater

    door = Door()
    updater = Updater(line.bot, door)

    async def open_door() -> None:
        await updater.initialize()
        if not updater.running:
            await updater.start_webhook(
                listen=hook.listen,
                port=hook.port,
                url_path=urlsplit(hook.url).path,
                webhook_url=hook.url,
                secret_token=hook.secret,
                allowed_updates=KINDS,
                max_connections=hook.connections,
                drop_pending_updates=False,
            )

    held: list[tuple[Update, asyncio.Future[None]]] = []
    try:
        await line.insist("webhook", open_door)
        line.well()
        while not line.stopped.is_set():
            held = await line.unless_stopped(door.held()) or []
            if held:
                line.well()
                yield tuple(update for update, _ in held)
            for _, taken in held:
                if not taken.done():
                    taken.set_result(None)
            held = []
    finally:
        door.refuse(held)
        door.shut()
        if updater.running:
            await updater.stop()
