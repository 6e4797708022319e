"""Telegram on the bench: its double, and Bo's phone."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from bot.chat.telegram import Telegram
from bot.clock import VirtualClock
from bot.ports import Chat
from tests.bot.fronts.front import Front
from tests.bot.telegram_line import Shelf
from tests.doubles.bot_api import BotApi, Phone, running


class TelegramFront:
    """A phone on a line that is not ours."""

    def __init__(self, api: BotApi, chat: Telegram, bo: Phone) -> None:
        self.api, self.bo = api, bo
        self.chat: Chat = chat
        self.room = self.who = str(bo.user.id)

    async def types(self, text: str) -> None:
        self.bo.say(text)

    async def shown(self) -> tuple[str, ...]:
        posts = [post for post in self.bo.private.posts.values() if post.author is None]
        return tuple(
            "\n".join((post.text, *(b["text"] for row in post.buttons for b in row)))
            for post in posts
        )

    async def rang(self) -> int:
        return len(self.bo.rung())


@asynccontextmanager
async def telegram(clock: VirtualClock) -> AsyncIterator[Front]:
    """Open a line to the double."""
    async with running(clock) as api:
        chat = Telegram(api.token, Shelf(), clock=clock, base_url=api.url)
        await chat.start()
        try:
            yield TelegramFront(api, chat, api.phone(1002, "Bo"))
        finally:
            await chat.stop()
