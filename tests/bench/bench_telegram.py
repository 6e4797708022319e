"""What we add to an update between Telegram and the inbox, over a handler that does nothing.

Both sides hear the same taps from doubles of the Bot API in one process and one run, in turn. The
baseline is the library's own application with an empty handler. Ours is read twice: when the
mapped batch leaves the front-end, and when it is in the inbox: a real SQLite file, in
memory-backed storage where the system has it, so that no disk's fsync is measured.

python -m tests.bench telegram
"""

from __future__ import annotations

import asyncio
import os
import statistics
import tempfile
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator, Sequence
from contextlib import asynccontextmanager
from pathlib import Path

from bot.chat.telegram import Telegram
from bot.clock import SystemClock
from bot.ports import FactStore, Medium
from bot.store import open_store
from tests.bench.row import Row
from tests.doubles.bot_api import BotApi, Phone, Post, running

ROUNDS = 150
CROWD, BURSTS = 30, 12
GOAL_MS = 3.0
PATIENCE_S = 30.0
HEARD, KEPT = 0, 1
Times = list[tuple[float, float]]

MEMORY = Path("/dev/shm")


class Stopwatch:
    """When each update was there for good."""

    def __init__(self) -> None:
        self.heard: dict[int, float] = {}
        self.kept: dict[int, float] = {}
        self._came = asyncio.Event()

    def note(self, updates: Sequence[int], heard: float) -> None:
        now = time.perf_counter()
        for update in updates:
            self.heard[update], self.kept[update] = heard, now
        self._came.set()

    async def all(self, updates: Sequence[int]) -> list[tuple[float, float]]:
        """Return when these were heard and kept, once all of them are."""
        async with asyncio.timeout(PATIENCE_S):
            while any(update not in self.kept for update in updates):
                self._came.clear()
                await self._came.wait()
        return [(self.heard[update], self.kept[update]) for update in updates]


class Side:
    """One bot with its double, thirty phones, and a question on each."""

    def __init__(self, api: BotApi, watch: Stopwatch) -> None:
        self.api, self.watch = api, watch
        self.crew = [(phone, _asked(phone)) for phone in map(self._phone, range(CROWD))]

    def _phone(self, n: int) -> Phone:
        return self.api.phone(1001 + n, f"P{n}")

    async def taps(self, count: int) -> Times:
        """Let so many people tap at once; return how long each took to be heard and kept, s."""
        first = self.api.updates.next_id
        for phone, post in self.crew[:count]:
            phone.press(post, "c:1")
        start = time.perf_counter()
        there = await self.watch.all(range(first, first + count))
        return [(heard - start, kept - start) for heard, kept in there]

    async def quiet(self) -> None:
        """Wait until nothing is asked of the double any more but the long poll."""
        asked = -1
        while asked != len(self.api.asked):
            asked = len(self.api.asked)
            await asyncio.sleep(0.05)


def _asked(phone: Phone) -> Post:
    chat = phone.private
    button = [{"text": "done", "callback_data": "c:1"}]
    post = Post(chat.next_id(), chat, None, phone.api.clock.now(), "pull A", buttons=[button])
    chat.posts[post.id] = post
    return post


class NoMedia:
    """Implements Media with nothing in it."""

    async def medium(self, name: str) -> Medium | None:
        del name
        return None


@asynccontextmanager
async def library() -> AsyncIterator[Side]:
    """Run the library's application with a handler that does nothing."""
    os.environ.setdefault("PTB_TIMEDELTA", "1")
    from telegram import Update
    from telegram.ext import Application, ContextTypes, TypeHandler

    watch = Stopwatch()

    async def nothing(update: Update, _: ContextTypes.DEFAULT_TYPE) -> None:
        watch.note([update.update_id], time.perf_counter())

    async with running() as api:
        side = Side(api, watch)
        app = Application.builder().token(api.token).job_queue(None)
        made = app.base_url(f"{api.url}/bot").build()
        made.add_handler(TypeHandler(Update, nothing))
        await made.initialize()
        await made.start()
        assert made.updater is not None
        await made.updater.start_polling(timeout=20, poll_interval=0)
        try:
            yield side
        finally:
            await api.close()
            await made.updater.stop()
            await made.stop()
            await made.shutdown()


@asynccontextmanager
async def ours(folder: Path) -> AsyncIterator[Side]:
    """Run our front-end into a real inbox."""
    watch, clock = Stopwatch(), SystemClock()
    store = await open_store(f"sqlite:///{folder / 'inbox.db'}", clock)
    async with running() as api:
        side = Side(api, watch)
        chat = Telegram(api.token, NoMedia(), clock=clock, base_url=api.url)
        await chat.start()
        listening = asyncio.create_task(_kept(chat, store, watch))
        try:
            yield side
        finally:
            await chat.stop()
            await listening
            await store.close()


async def _kept(chat: Telegram, store: FactStore, watch: Stopwatch) -> None:
    async for batch in chat.batches():
        heard = time.perf_counter()
        await store.hear(batch.messages, None)
        watch.note([int(m.ext_id.partition(":")[0]) for m in batch.messages], heard)


async def _measured() -> tuple[list[Times], list[Times]]:
    """Return the times of single taps and of crowds; the library's first, then ours."""
    where = MEMORY if MEMORY.is_dir() else None
    with tempfile.TemporaryDirectory(prefix="pitcrier-", dir=where) as folder:
        async with library() as base, ours(Path(folder)) as we:
            for side in (base, we):
                await side.taps(CROWD)  # warm
            single = await _in_turn(base, we, ROUNDS, lambda side: side.taps(1))
            crowd = await _in_turn(base, we, BURSTS, lambda side: side.taps(CROWD))
    return single, crowd


async def _in_turn(
    base: Side, we: Side, rounds: int, do: Callable[[Side], Awaitable[Times]]
) -> list[Times]:
    times: list[Times] = [[], []]
    for _ in range(rounds):
        for n, side in enumerate((base, we)):
            times[n] += await do(side)
            await side.quiet()  # what is done on the side is not the next one's burden
    return times


def _ms(times: Times, which: int) -> tuple[float, float]:
    """Return the middle and the 95th of 100 of one of the two readings."""
    read = [pair[which] * 1000 for pair in times]
    return statistics.median(read), statistics.quantiles(read, n=20)[-1]


def rows() -> Iterator[Row]:
    """Yield the figures."""
    single, crowd = asyncio.run(_measured())
    for what, (base, we) in (("one tap", single), (f"{CROWD} people tap at once", crowd)):
        middle, late = _ms(base, HEARD)
        for where, which in (("through the front-end", HEARD), ("into the inbox", KEPT)):
            our_middle, our_late = _ms(we, which)
            yield Row(
                f"{what}, {where}, added over an empty handler",
                f"p95 {our_late - late:.1f} ms, p50 {our_middle - middle:.1f} ms",
                f"library with an empty handler p95 {late:.1f} ms, p50 {middle:.1f} ms",
                f"p95 at most {GOAL_MS:g} ms",
                our_late - late <= GOAL_MS,
            )
