"""A question in a room and its answer: our whole way, against a bot that only echoes, in turn on
the same homeserver.

Ours is heard, kept in the inbox, read, decided, kept in the outbox and sent, on SQLite with
synchronous=FULL; the other, written on the library alone, keeps nothing.
"""

from __future__ import annotations

import asyncio
import statistics
import tempfile
import time
from collections.abc import AsyncIterator, Iterable
from contextlib import AsyncExitStack, asynccontextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from nio import MatrixRoom, RoomMessageFormatted, RoomMessageText

from bot.chat.matrix import Matrix
from bot.clock import SystemClock
from bot.directory import NamesDirectory
from bot.dispatch import Dispatcher
from bot.outbox import Outbox
from bot.ports import Incoming
from bot.store import open_store
from core.model import Cards
from tests.bench.row import Row
from tests.bot.matrix.crew import NoMedia, Phone, account_of, phone
from tests.synapse import Synapse, running

ROUNDS = 40
QUESTION = "brine 8 % in 18 L"
WANTED_MS = 15.0


class Anybody(NamesDirectory):
    """Implements Directory where whoever speaks is the client of no cook."""

    def person(self, message: Incoming, cards: Cards | None) -> str | None:
        return "client"

    def cook(self, message: Incoming) -> str | None:
        return None


@dataclass
class Asker:
    """Somebody who asks and waits for the answer."""

    phone: Phone
    answered: asyncio.Event = field(default_factory=asyncio.Event)
    room: str = ""

    async def watch(self) -> None:
        self.phone.client.add_event_callback(self._seen, RoomMessageFormatted)
        await self.phone.client.sync_forever(timeout=30_000)

    async def _seen(self, room: MatrixRoom, event: RoomMessageFormatted) -> None:
        if room.room_id == self.room and event.sender != self.phone.user:
            self.answered.set()

    async def asks_ms(self, room: str) -> float:
        """Return how long an answer takes, ms."""
        self.room = room
        self.answered.clear()
        start = time.perf_counter()
        await self.phone.say(room, QUESTION)
        async with asyncio.timeout(30):
            await self.answered.wait()
        return (time.perf_counter() - start) * 1000


@asynccontextmanager
async def ours(synapse: Synapse, folder: Path, user: str) -> AsyncIterator[Any]:
    """Run the whole way for one account."""
    clock = SystemClock()
    store = await open_store(f"sqlite:///{folder / 'bench.db'}", clock)
    matrix = Matrix(account_of(synapse, user, folder / "matrix", poll_s=30.0), NoMedia(), clock)
    dispatcher = Dispatcher(store, clock, Anybody(Matrix.network, ""))
    outbox = Outbox(store, {Matrix.network: matrix}, clock)
    dispatcher.nudge = outbox.nudge
    await matrix.start()

    async def listen() -> None:
        async for batch in matrix.batches():
            cursor = (Matrix.network, batch.cursor) if batch.cursor else None
            await dispatcher.hear(batch.messages, cursor)

    tasks = [asyncio.create_task(listen()), asyncio.create_task(outbox.run())]
    try:
        yield matrix
    finally:
        await matrix.stop()
        outbox.stop()
        await asyncio.gather(*tasks)
        await store.close()


@asynccontextmanager
async def echo(synapse: Synapse, folder: Path, user: str) -> AsyncIterator[Phone]:
    """Run a bot that says again what it hears, its keys on the disk as ours are."""
    async with phone(synapse, user, folder=folder) as bot:

        async def again(room: MatrixRoom, event: RoomMessageText) -> None:
            if event.sender != bot.user:
                await bot.say(room.room_id, event.body)

        bot.client.add_event_callback(again, RoomMessageText)
        task = asyncio.create_task(bot.client.sync_forever(timeout=30_000))
        try:
            yield bot
        finally:
            task.cancel()
            with suppress(asyncio.CancelledError):
                await task


async def measured(synapse: Synapse, folder: Path, *, encrypted: bool) -> Row:
    """Ask both in turn; return what ours adds."""
    folder.mkdir()
    user = synapse.person("pitcrier")
    async with AsyncExitStack() as stack:
        asker = Asker(await stack.enter_async_context(phone(synapse, synapse.person("lucia"))))
        matrix = await stack.enter_async_context(ours(synapse, folder, user))
        other = await stack.enter_async_context(echo(synapse, folder, synapse.person("echo")))
        room = await asker.phone.make_room(user, encrypted=encrypted)
        echoed = await asker.phone.make_room(other.user, encrypted=encrypted)
        await other.client.join(echoed)
        while str(matrix.state) != "ready" or room not in matrix._door.client.rooms:
            await asyncio.sleep(0.05)
        for where, whom in ((room, user), (echoed, other.user)):
            await asker.phone.waits_for(where, whom)
        watching = asyncio.create_task(asker.watch())
        for _ in range(3):  # keys shared, caches warm
            await asker.asks_ms(room)
            await asker.asks_ms(echoed)
        times = [(await asker.asks_ms(room), await asker.asks_ms(echoed)) for _ in range(ROUNDS)]
        watching.cancel()
        with suppress(asyncio.CancelledError):
            await watching
    mine, bare = (statistics.median(column) for column in zip(*times, strict=True))
    kind = "encrypted" if encrypted else "plain"
    return Row(
        f"question to answer in {'an' if encrypted else 'a'} {kind} room, p50 of {ROUNDS}",
        f"{mine:.0f} ms",
        f"echo bot on the library alone {bare:.0f} ms, ours adds {mine - bare:.0f} ms",
        f"adds at most {WANTED_MS:.0f} ms",
        mine - bare <= WANTED_MS,
    )


def rows() -> Iterable[Row]:
    """Run the benchmark in a folder that is removed with it."""
    with running() as synapse, tempfile.TemporaryDirectory(prefix="pit") as folder:
        for encrypted in (True, False):
            where = Path(folder) / ("encrypted" if encrypted else "plain")
            yield asyncio.run(measured(synapse, where, encrypted=encrypted))


if __name__ == "__main__":
    for row in rows():
        print(row)
