from __future__ import annotations

import asyncio
import logging
import time
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from bot.absence import Absence, Watch, away_lines, watch_stalls
from bot.cards import read_event, read_texts
from bot.directory import CREW_ROOM, NamesDirectory
from bot.dispatch import Dispatcher
from bot.outbox import Outbox
from bot.ports import Gone, Incoming, NotSent, Receipt, StoreError
from bot.render import render
from core.calls import calls_owed
from core.model import Call, Label, say
from tests.bot import golden_facts
from tests.fakes import FakeChat, FakeClock, MemoryStore
from tests.flow.kitchen_cards import write_event

NOW = golden_facts.at(9)
COOK = "quick-1"


class Kitchen:
    """A cook under way on a fake network, and whoever watches over the bot."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.clock = folder, FakeClock(NOW)
        self.store, self.chat = MemoryStore(self.clock), FakeChat()
        directory = NamesDirectory("fake", COOK)
        self.dispatcher = Dispatcher(self.store, self.clock, directory)
        self.absence = Absence(self.dispatcher)
        self.outbox = Outbox(self.store, {"fake": self.chat}, self.clock)

    async def begin(self) -> None:
        event = write_event(self.folder, NOW)
        cards = read_event(event)
        await self.dispatcher.start(COOK, cards, dict(read_texts(event)), "ana")
        await self.absence.look(NOW)
        await self.dispatcher.ring(NOW)
        await self.outbox.deliver("fake")
        self.chat.shown.clear()

    async def look(self, after: timedelta) -> timedelta | None:
        self.clock.advance(after)
        away = await self.absence.look(self.clock.now())
        await self.outbox.deliver("fake")
        return away


@pytest.fixture
async def kitchen(tmp_path: Path) -> Kitchen:
    made = Kitchen(tmp_path / "event")
    await made.begin()
    return made


async def test_the_lead_is_told_how_long_nobody_watched_and_what_fell_due(
    kitchen: Kitchen,
) -> None:
    owed = calls_owed(await kitchen.dispatcher.cook(COOK))
    due = [c for c in owed if c.at <= NOW + timedelta(minutes=40)]
    assert due
    assert await kitchen.look(timedelta(minutes=40)) == timedelta(minutes=40)
    (shown,) = kitchen.chat.shown
    assert shown.room == "@ana"
    first, *lines = shown.message.lines
    assert first == "40 min away: 09:00 to 09:40. No calls went out."
    assert len([line for line in lines if line.startswith("Due: ")]) == len(due)
    assert lines[-1].startswith("Tell me what happened")


async def test_two_minutes_are_no_absence(kitchen: Kitchen) -> None:
    assert await kitchen.look(timedelta(minutes=2)) is None
    assert await kitchen.look(timedelta(seconds=30)) is None
    assert kitchen.chat.shown == []


async def test_an_absence_is_told_once_even_if_killed_before_the_heartbeat(
    kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def killed(_: datetime) -> None:
        raise RuntimeError("killed")

    with monkeypatch.context() as patched:
        patched.setattr(kitchen.store, "beat", killed)
        with pytest.raises(RuntimeError):
            await kitchen.look(timedelta(minutes=40))
    assert await kitchen.look(timedelta(seconds=5)) is not None
    assert len(kitchen.chat.shown) == 1
    assert await kitchen.look(timedelta(seconds=5)) is None


async def test_a_clock_put_back_is_no_absence(kitchen: Kitchen) -> None:
    assert await kitchen.look(timedelta(hours=-1)) is None
    assert await kitchen.look(timedelta(seconds=30)) is None
    assert kitchen.chat.shown == []


async def test_a_first_start_is_no_absence(tmp_path: Path) -> None:
    kitchen = Kitchen(tmp_path / "event")
    assert await kitchen.look(timedelta()) is None


async def test_where_the_lead_has_no_room_the_crew_is_told(
    kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(NamesDirectory, "private", lambda *_: None)
    await kitchen.look(timedelta(minutes=40))
    assert [shown.room for shown in kitchen.chat.shown] == [CREW_ROOM]


async def test_a_closed_cook_needs_no_notice(kitchen: Kitchen) -> None:
    kitchen.dispatcher.directory = NamesDirectory("fake", "other-1")
    await kitchen.look(timedelta(minutes=40))
    assert kitchen.chat.shown == []


# ------------------------------------------------------------------ a log that cannot be written


FULL = StoreError("the disk is full", "Free some space, then say it again.")


async def rung(kitchen: Kitchen, watch: Watch, **after: float) -> None:
    kitchen.clock.advance(timedelta(**after))
    await watch.ring(kitchen.clock.now())
    await kitchen.outbox.deliver("fake")


async def test_a_full_disk_is_told_past_the_store_now_and_then_and_when_it_is_over(
    kitchen: Kitchen,
) -> None:
    watch = Watch(kitchen.dispatcher, {"fake": kitchen.chat})
    await rung(kitchen, watch)
    kitchen.chat.shown.clear()
    kitchen.store.broken = FULL
    for _ in range(25):
        with pytest.raises(StoreError):
            await rung(kitchen, watch, seconds=30)
    assert [shown.room for shown in kitchen.chat.shown] == ["@ana", "@ana"]  # at 0:30 and 10:30
    assert kitchen.chat.shown[0].message.lines == (
        "I cannot write anything down: the disk is full.",
        "Free some space, then say it again.",
        "Keep notes on paper until I say so.",
    )
    kitchen.chat.shown.clear()
    kitchen.store.broken = None
    await rung(kitchen, watch, seconds=30)
    texts = kitchen.chat.texts("@ana")
    assert "I write it all down again." in texts
    kitchen.chat.shown.clear()
    await rung(kitchen, watch, seconds=1)
    assert kitchen.chat.texts() == []


LOCKED = StoreError("another program holds it locked", "Close that program, then say it again.")


@pytest.mark.parametrize("wrong", [RuntimeError("bug"), NotSent("down"), Gone("blocked")])
async def test_a_locked_log_is_told_by_the_next_way_where_the_first_fails(
    kitchen: Kitchen, wrong: Receipt | Exception
) -> None:
    watch = Watch(kitchen.dispatcher, {"fake": kitchen.chat})
    await rung(kitchen, watch)
    kitchen.chat.shown.clear()
    kitchen.store.broken = LOCKED
    kitchen.chat.answer("@ana", wrong)
    with pytest.raises(StoreError):
        await rung(kitchen, watch, seconds=30)
    ((room, text),) = [(s.room, s.message.lines[0]) for s in kitchen.chat.shown]
    assert room == CREW_ROOM
    assert text == "I cannot write anything down: another program holds it locked."


async def test_a_front_end_that_hangs_does_not_hold_up_the_pump(
    kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.absence.LONGEST_SAYING_S", 0.0)
    watch = Watch(kitchen.dispatcher, {"fake": kitchen.chat})
    await rung(kitchen, watch)
    kitchen.store.broken = FULL
    kitchen.chat.stall("@ana")
    with pytest.raises(StoreError):
        await rung(kitchen, watch, seconds=30)
    assert kitchen.chat.in_flight["@ana"] == 0


async def test_what_was_heard_but_not_handled_is_handled_at_the_next_look(
    kitchen: Kitchen,
) -> None:
    watch = Watch(kitchen.dispatcher, {"fake": kitchen.chat})
    message = Incoming("fake", "1", "@ana", "Ana", "light G1", NOW, private=True)
    await kitchen.store.hear([message], None)
    await rung(kitchen, watch, seconds=30)
    assert list(await kitchen.store.unhandled()) == []


async def test_a_heartbeat_is_not_written_at_every_message(
    kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch
) -> None:
    beats: list[datetime] = []
    beat = kitchen.store.beat

    async def counted(now: datetime) -> datetime | None:
        beats.append(now)
        return await beat(now)

    monkeypatch.setattr(kitchen.store, "beat", counted)
    watch = Watch(kitchen.dispatcher, {"fake": kitchen.chat})
    for _ in range(60):
        await rung(kitchen, watch, seconds=1)
    assert len(beats) == 3  # by hand: at 1, 21 and 41 s


def call(minute: int) -> Call:
    at = NOW + timedelta(minutes=minute)
    return Call(f"c{minute}", at, ("ana",), say("{n}", n=Label(f"PULL {minute}")))


def test_a_long_list_is_cut_and_says_by_how_much() -> None:
    lines = away_lines([call(n) for n in range(10)], NOW, NOW + timedelta(hours=5))
    texts = [render(line, "en", NOW.tzinfo) for line in lines if NOW.tzinfo]
    assert texts[0].startswith("5.0 h away") or texts[0].startswith("5 h away")
    assert texts[1] == "Due: PULL 0"
    assert texts[7] == "And 4 more."


def test_after_a_day_what_was_said_meanwhile_is_asked_for() -> None:
    texts = [line.text for line in away_lines([], NOW, NOW + timedelta(hours=25))]
    assert any("may be lost" in text for text in texts)
    texts = [line.text for line in away_lines([], NOW, NOW + timedelta(hours=23))]
    assert not any("may be lost" in text for text in texts)


async def test_a_loop_that_stands_still_is_logged(caplog: pytest.LogCaptureFixture) -> None:
    watching = asyncio.create_task(watch_stalls(stall_s=0.005, look_s=0.001))
    await asyncio.sleep(0)
    time.sleep(0.02)  # the stall itself
    async with asyncio.timeout(5):
        while not caplog.records:
            await asyncio.sleep(0.001)
    watching.cancel()
    assert caplog.records[0].levelno == logging.WARNING
    assert caplog.records[0].getMessage() == "loop stalled"
