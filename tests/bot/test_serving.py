"""One process at work: it sleeps when nothing is to do, and gives back what it holds in order."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.clock import SystemClock
from bot.ports import Batch, FactStore, Incoming, Seat, StoreError
from bot.posts import Front, Opened
from bot.serving import Serving, serving
from bot.settings import Settings
from tests.fakes import FakeChat
from tests.flow.kitchen_cards import write_event

PATIENCE_S = 20.0
CLOCK = SystemClock()


class Platform(FakeChat):
    """Implements Remote: what is said comes as batches; what happens to it is noted in order."""

    def __init__(self) -> None:
        super().__init__("fake")
        self.notes: list[str] = []
        self.to_open: list[Exception] = []
        self._stopped = asyncio.Event()

    async def open(self) -> Opened:
        if self.to_open:
            raise self.to_open.pop(0)
        self.notes.append("opened")
        self._stopped.clear()
        return Opened(self)

    async def batches(self) -> AsyncIterator[Batch]:
        while not self._stopped.is_set():
            yield Batch((await self._heard.get(),))

    async def fetch(self, ref: str) -> bytes:
        return b""

    async def stop(self) -> None:
        self.notes.append("stopped")
        self._stopped.set()


@asynccontextmanager
async def at_work(
    folder: Path, platform: Platform
) -> AsyncIterator[tuple[Serving, asyncio.Task[None]]]:
    def fronts(_: FactStore) -> tuple[Front, ...]:
        return (Front("fake", platform.open),)

    async with serving(Settings(f"sqlite:///{folder / 'log.db'}"), CLOCK, fronts) as work:
        work.solving.settle_s = 3600.0  # a better plan is another test's business
        cook = await work.start_event(write_event(folder / "event", CLOCK.now().astimezone(UTC)))
        await work.store.people.seat(Seat(cook, "ana", "fake", "Ana", "@ana"))
        await work.refresh()
        running = asyncio.create_task(work.run())
        try:
            yield work, running
        finally:
            running.cancel()
            await asyncio.gather(running, return_exceptions=True)


async def until(happened: Callable[[], object]) -> None:
    async with asyncio.timeout(PATIENCE_S):
        while not happened():
            await asyncio.sleep(0.01)


def says(text: str, ext_id: str = "1") -> Incoming:
    return Incoming("fake", ext_id, "@ana", "Ana", text, CLOCK.now(), private=True)


async def test_what_is_said_is_answered_and_a_pump_without_work_sleeps(tmp_path: Path) -> None:
    platform = Platform()
    async with at_work(tmp_path, platform) as (work, _):
        platform.say(says("status"))
        await until(lambda: platform.texts("@ana"))
        looks = []
        wakes = work.store.next_wake

        async def counted() -> datetime | None:
            looks.append(1)
            return await wakes()

        work.store.next_wake = counted  # type: ignore[method-assign]  # every look ends with it
        await asyncio.sleep(0.5)
        assert len(looks) <= 2


async def test_a_call_whose_time_comes_nearer_is_looked_at_then(tmp_path: Path) -> None:
    platform = Platform()
    async with at_work(tmp_path, platform) as (work, _):
        await until(lambda: work._pump.until is not None)
        work._pump.until = CLOCK.now()
        nudged: list[int] = []
        work._pump.nudge = lambda: nudged.append(1)  # type: ignore[method-assign]  # only counted
        work._wakes(CLOCK.now())
        assert nudged == []
        work._pump.until = None
        work._wakes(CLOCK.now())
        assert nudged == [1]


async def test_stopping_lets_what_is_in_the_air_land_and_then_closes(tmp_path: Path) -> None:
    platform = Platform()
    async with at_work(tmp_path, platform) as (work, running):
        air = platform.stall("@ana")
        platform.say(says("status"))
        await until(lambda: platform.in_flight["@ana"])
        running.cancel()
        await asyncio.sleep(0.05)
        assert not running.done()
        assert platform.notes == ["opened"]
        air.set()
        await asyncio.gather(running, return_exceptions=True)
        assert platform.notes == ["opened", "stopped"]
        (landed,) = [s.key for s in platform.shown if s.room == "@ana"]
        assert await work.store.sent_message("fake", f"id:{landed}") is not None  # and is recorded


async def test_a_lost_post_is_laid_down_and_taken_up_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.posts.LAST_WORDS_S", 0.0)
    platform = Platform()
    async with at_work(tmp_path, platform) as (work, _):
        await until(lambda: "fake" in work.posts.chats)
        work.posts.change(frozenset())
        await until(lambda: platform.notes == ["opened", "stopped"])
        assert work.posts.chats == {}
        platform.say(says("status"))
        await asyncio.sleep(0.05)
        assert platform.texts("@ana") == []  # it is not ours to hear
        work.posts.change(frozenset({"fake"}))
        await until(lambda: platform.texts("@ana"))
        assert platform.notes == ["opened", "stopped", "opened"]


async def test_a_front_end_that_cannot_be_opened_ends_the_process_with_its_words(
    tmp_path: Path,
) -> None:
    platform = Platform()
    platform.to_open = [StoreError("another Pitcrier already works on it", "Stop that one.")]
    async with at_work(tmp_path, platform) as (_, running):
        with pytest.raises(StoreError, match="another Pitcrier"):
            await running
