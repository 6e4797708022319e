"""Matrix on the bench: a homeserver of our own, and Lucía's client in an encrypted room."""

from __future__ import annotations

import asyncio
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

from bot.chat.matrix import Matrix
from bot.clock import VirtualClock
from bot.ports import Chat, Incoming, Outgoing, Receipt, Sent
from tests.bot.fronts.front import Front
from tests.bot.matrix.crew import NoMedia, Phone, account_of, phone
from tests.synapse import shared


class Dated:
    """Implements Chat: the front-end, listened to on the side, on the clock of the test.

    A homeserver stamps what it takes by the machine's clock; only that is put right here.
    """

    def __init__(self, matrix: Matrix, clock: VirtualClock) -> None:
        self._matrix, self._clock = matrix, clock
        self.network, self.pace = matrix.network, matrix.pace
        self.repeats_harmless = matrix.repeats_harmless
        self.heard: asyncio.Queue[Incoming] = asyncio.Queue()

    async def listen(self) -> None:
        async for batch in self._matrix.batches():
            for message in batch.messages:
                self.heard.put_nowait(replace(message, sent=self._clock.now()))

    async def incoming(self) -> AsyncIterator[Incoming]:
        while True:
            yield await self.heard.get()

    async def send(self, room: str, message: Outgoing, key: str) -> Receipt:
        return await self._matrix.send(room, message, key)

    async def edit(self, receipt: Sent, message: Outgoing) -> Receipt:
        return await self._matrix.edit(receipt, message)


class MatrixFront:
    """A client that shows what a client shows."""

    def __init__(self, chat: Dated, her: Phone, room: str, us: str) -> None:
        self.chat: Chat = chat
        self.her, self.room, self.who, self.us = her, room, her.user, us

    async def types(self, text: str) -> None:
        await self.her.say(self.room, text)

    async def shown(self) -> tuple[str, ...]:
        texts: dict[str, str] = {}
        for content, event_id in await self._ours():
            new = content.get("m.new_content")
            texts[content["m.relates_to"]["event_id"] if new else event_id] = (new or content)[
                "body"
            ]
        return tuple(texts.values())

    async def rang(self) -> int:
        return sum(
            content["msgtype"] == "m.text" and "m.new_content" not in content
            for content, _ in await self._ours()
        )

    async def _ours(self) -> list[tuple[dict[str, Any], str]]:
        await self.her.look()
        mine = [e for e in self.her.seen if e.source["sender"] == self.us]
        return [(e.source["content"], e.event_id) for e in mine if "body" in e.source["content"]]


@asynccontextmanager
async def matrix(clock: VirtualClock) -> AsyncIterator[Front]:
    """Open an encrypted room with one person and us."""
    synapse = shared()
    synapse.ensure()
    us = synapse.person("pitcrier")
    with tempfile.TemporaryDirectory(prefix="pit") as folder:
        chat = Dated(Matrix(account_of(synapse, us, Path(folder)), NoMedia(), clock), clock)
        await chat._matrix.start()
        listening = asyncio.create_task(chat.listen())
        try:
            async with phone(synapse, synapse.person("lucia")) as her:
                room = await her.make_room(us, direct=True)
                await chat.heard.get()  # we were let in
                await her.waits_for(room, us)
                yield MatrixFront(chat, her, room, us)
        finally:
            await chat._matrix.stop()
            await listening
