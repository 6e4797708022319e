"""The faults a chat bot at a fire must survive, one after the other, with the real dispatcher.

Numbers are those of the list in DEVELOPERS.md. What only one platform can do wrong is tested with
that platform's front-end; what a kill does at any point is tested by tests/soak.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.absence import Absence
from bot.cards import read_event, read_texts
from bot.directory import NamesDirectory
from bot.dispatch import PREFIX, Dispatcher
from bot.leads import Leads
from bot.outbox import Outbox
from bot.ports import (
    Ambiguous,
    Gone,
    Incoming,
    Migrated,
    NewSend,
    NotSent,
    Outgoing,
    Rejected,
    StoreError,
    Wait,
)
from bot.reminders import Pump
from bot.store import SqlStore, open_store
from core.calls import calls_owed
from core.cook import Cook
from core.facts import CallAnswered, CallMade, Entry, StepReported
from core.model import Sound
from tests.bot import golden_facts
from tests.fakes import FakeAlarm, FakeChat, FakeClock
from tests.flow.kitchen_cards import write_event

NOW = golden_facts.at(9)
COOK = "quick-1"
STREAM = PREFIX + COOK
REPORT = "light G1"


class Rig:
    """One bot on one file; `crash` leaves it as a kill would, the next `up` starts another."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.clock, self.chat = folder, FakeClock(NOW), FakeChat()
        self.store: SqlStore
        self.dispatcher: Dispatcher
        self.outbox: Outbox
        self.heard = 0

    async def up(self) -> None:
        self.store = await open_store(str(self.folder / "log.db"), self.clock, busy_ms=20)
        self.dispatcher = Dispatcher(self.store, self.clock, NamesDirectory("fake", COOK))
        tell = Leads(self.dispatcher)
        self.outbox = Outbox(self.store, {"fake": self.chat}, self.clock, tell)
        if (await self.store.head(STREAM))[0] == 0:
            event = write_event(self.folder / "event", NOW)
            await self.dispatcher.start(COOK, read_event(event), dict(read_texts(event)), "ana")
        await self.dispatcher.work()
        await self.outbox.deliver("fake")

    async def crash(self) -> None:
        await self.store.close()

    def message(self, text: str) -> Incoming:
        self.heard += 1
        now = self.clock.now()
        return Incoming("fake", str(self.heard), "@ana", "Ana", text, now, private=True)

    async def say(self, text: str) -> None:
        await self.dispatcher.hear((self.message(text),), ("fake", str(self.heard)))
        await self.outbox.deliver("fake")

    async def ring(self, after: timedelta = timedelta()) -> datetime | None:
        self.clock.advance(after)
        due = await self.dispatcher.ring(self.clock.now())
        await self.outbox.deliver("fake")
        return due

    async def told(self) -> None:
        """Tell of what was given up, and deliver that too, as `Outbox.run` does."""
        for _ in range(3):
            await self.outbox.tell_troubles()
            await self.outbox.deliver("fake")

    def loud(self, room: str) -> list[str]:
        return [s.message.text for s in self.chat.shown if s.room == room and s.message.sound]

    async def cook(self) -> Cook:
        return await self.dispatcher.cook(COOK)

    async def booked(self, kind: type) -> int:
        return sum(isinstance(e.fact, kind) for e in await self.store.read(STREAM))

    async def calls(self) -> list[str]:
        facts = [e.fact for e in await self.store.read(STREAM)]
        return [fact.call.key for fact in facts if isinstance(fact, CallMade)]


@pytest.fixture
async def rig(tmp_path: Path) -> AsyncIterator[Rig]:
    made = Rig(tmp_path)
    await made.up()
    yield made
    await made.store.close()


# ------------------------------------------------------------------ 1 to 3: killed while hearing


async def test_1_killed_before_it_was_recorded_the_platform_says_it_again(rig: Rig) -> None:
    message = rig.message(REPORT)
    await rig.crash()  # the platform was not told that we have it, so it comes again
    await rig.up()
    await rig.dispatcher.hear((message,), ("fake", "1"))
    assert await rig.booked(StepReported) == 1


async def test_2_killed_after_it_was_recorded_it_is_handled_at_the_start(rig: Rig) -> None:
    await rig.store.hear((rig.message(REPORT),), ("fake", "1"))
    await rig.crash()
    rig.chat.shown.clear()
    await rig.up()
    assert await rig.booked(StepReported) == 1
    assert len(rig.chat.texts("@ana")) == 1


async def test_3_killed_while_handling_nothing_half_is_left(
    rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    reached = False

    async def killed(*_: object, **__: object) -> None:
        nonlocal reached
        reached = True
        raise asyncio.CancelledError

    monkeypatch.setattr(rig.store, "append", killed)
    await rig.dispatcher.hear((rig.message(REPORT),), None)
    assert reached
    await rig.crash()
    await rig.up()
    assert await rig.booked(StepReported) == 1
    assert await rig.store.verify(STREAM) is None


# ------------------------------------------------------------------ 4 to 11: sending


@pytest.mark.parametrize("harmless", [False, True])
async def test_4_and_5_killed_while_sending_it_comes_again_marked_where_it_shows_twice(
    rig: Rig, harmless: bool
) -> None:
    rig.chat.repeats_harmless = harmless
    rig.chat.stall("@ana")
    await rig.dispatcher.ring(rig.clock.now())
    under_way = asyncio.create_task(rig.outbox.deliver("fake"))
    async with asyncio.timeout(5):
        while not rig.chat.in_flight["@ana"]:
            await asyncio.sleep(0)
    under_way.cancel()  # it had the message in hand; nobody knows whether it arrived
    await rig.crash()
    await asyncio.gather(under_way, return_exceptions=True)
    rig.chat.stalled.clear()
    await rig.up()
    (call,) = rig.loud("@ana")
    assert ("(again)" in call) != harmless
    assert len(await rig.calls()) == len(set(await rig.calls()))


async def test_6_either_copy_of_a_doubled_call_can_be_answered(rig: Rig) -> None:
    rig.chat.answer("@ana", Ambiguous("timeout"))
    await rig.ring()
    rig.chat.answers.clear()
    await rig.ring(timedelta(seconds=1))
    (copy,) = [s for s in rig.chat.shown if s.room == "@ana" and s.message.sound]
    assert "(again)" in copy.message.lines[0]
    await rig.say("done")
    await rig.say("done")
    assert await rig.booked(CallAnswered) == 1


async def test_7_without_a_network_for_a_while_every_call_comes_when_it_is_back(rig: Rig) -> None:
    rig.chat.answer("@ana", *[NotSent("down")] * 100)
    rig.chat.answer("crew", *[NotSent("down")] * 100)
    for _ in range(20):
        await rig.ring(timedelta(minutes=1))
    made = await rig.calls()
    assert made
    rig.chat.answers.clear()
    for _ in range(4):
        await rig.ring(timedelta(seconds=30))
    mine = [s for s in rig.chat.shown if s.room == "@ana" and s.message.sound]
    told = [key for s in mine for key in (s.message.tag.keys if s.message.tag else ())]
    assert set(made) <= set(told)
    assert len(mine) <= 4  # no burst: what waited too long is one message


async def test_8_a_room_told_to_wait_holds_up_no_other(rig: Rig) -> None:
    rig.chat.answer("crew", Wait(60), Wait(60))
    await rig.ring()
    assert [s.room for s in rig.chat.shown if s.message.sound] == ["@ana"]


async def test_9_what_is_refused_twice_is_set_aside_and_told_once_and_the_rest_goes_on(
    rig: Rig,
) -> None:
    rig.chat.answer("crew", *[Rejected("bad button")] * 9)
    await rig.store.append("", 0, (), NOW, [NewSend("n:k", "fake", "crew", Outgoing(("plan B",)))])
    await rig.outbox.deliver("fake")
    rig.chat.answers.clear()
    await rig.told()
    told = [text for text in rig.chat.texts("@ana") if text.startswith("Not delivered")]
    assert told == ["Not delivered to the crew's room:\nplan B\nTell them yourself."]
    assert await rig.store.troubles() == []
    await rig.ring()
    assert rig.loud("@ana")


async def test_10_a_closed_room_keeps_nobody_else_from_their_calls_and_is_told_elsewhere(
    rig: Rig,
) -> None:
    rig.chat.answer("@ana", Gone("blocked"))
    await rig.ring()
    assert [t.room for t in await rig.store.troubles()] == ["@ana"]
    assert await rig.calls()
    await rig.told()
    call, told = rig.loud("crew")
    assert call.startswith("LIGHT G1")  # it rings there, by name, since its own chat is closed
    assert told.startswith("Not delivered to Ana:\nLIGHT G1")
    assert await rig.store.troubles() == []


async def test_11_a_room_that_gets_a_new_id_takes_all_that_waits_along_once(rig: Rig) -> None:
    rig.chat.shown.clear()
    for n in range(3):
        send = NewSend(f"k{n}", "fake", "crew", Outgoing((f"k{n}",)))
        await rig.store.append("", 0, (), NOW, [send])
    rig.chat.answer("crew", Migrated("crew-2"))
    await rig.outbox.deliver("fake")
    await rig.ring()
    moved = rig.chat.texts("crew-2")
    assert moved[:3] == ["k0", "k1", "k2"]
    assert len(moved) == 4  # and the silent copy of the call
    assert rig.chat.texts("crew") == []


# ------------------------------------------------------------------ 12 and 13: twice


async def test_12_a_second_bot_on_the_same_file_is_refused_and_says_why(rig: Rig) -> None:
    with pytest.raises(StoreError, match="another Pitcrier"):
        await open_store(str(rig.folder / "log.db"), rig.clock)
    await rig.say("status")


async def test_13_what_a_platform_delivers_twice_is_done_once(rig: Rig) -> None:
    message = rig.message(REPORT)
    await rig.dispatcher.hear((message, message), None)
    await rig.dispatcher.hear((message,), None)
    assert await rig.booked(StepReported) == 1


# ------------------------------------------------------------------ 14 to 18: time


async def test_14_after_an_absence_what_is_still_of_use_comes_at_once_and_none_is_silent(
    rig: Rig,
) -> None:
    absence = Absence(rig.dispatcher)
    await absence.look(rig.clock.now())
    owed = [c for c in calls_owed(await rig.cook()) if c.at <= NOW + timedelta(minutes=25)]
    await rig.crash()
    rig.clock.advance(timedelta(minutes=25))
    rig.chat.shown.clear()
    await rig.up()
    await Absence(rig.dispatcher).look(rig.clock.now())
    await rig.ring()
    first, *rest = [s.message for s in rig.chat.shown if s.room == "@ana"]
    assert first.lines[0].startswith("25 min away: 09:00 to 09:25.")
    assert {c.key for c in owed} <= set(await rig.calls())
    assert rest


async def test_15_after_more_than_a_day_what_was_said_meanwhile_is_asked_for(rig: Rig) -> None:
    await Absence(rig.dispatcher).look(rig.clock.now())
    rig.clock.advance(timedelta(hours=30))
    await Absence(rig.dispatcher).look(rig.clock.now())
    await rig.outbox.deliver("fake")
    (told,) = [s.message.text for s in rig.chat.shown if "away" in s.message.text]
    assert "Messages from before may be lost: say them again." in told


async def test_16_a_loop_that_stood_still_drops_no_call_and_says_how_late_it_is(
    rig: Rig,
) -> None:
    due = await rig.ring()
    assert due is not None
    rig.chat.shown.clear()
    late = due - rig.clock.now() + timedelta(seconds=125)
    await rig.ring(late)  # nothing ran in between
    first, *_ = rig.loud("@ana")
    assert first.splitlines()[0].endswith("(2 min late)")  # by hand: 125 s


async def test_16_a_message_that_came_while_the_loop_stood_still_is_handled(rig: Rig) -> None:
    message = rig.message(REPORT)
    rig.clock.advance(timedelta(seconds=5))
    await rig.dispatcher.hear((message,), None)
    (reported,) = [e for e in await rig.store.read(STREAM) if isinstance(e.fact, StepReported)]
    assert (reported.at, reported.heard) == (NOW, NOW + timedelta(seconds=5))


async def test_17_a_laptop_that_slept_over_midnight_rings_once_what_fell_due_and_says_so(
    rig: Rig,
) -> None:
    await Absence(rig.dispatcher).look(rig.clock.now())
    owed = [c for c in calls_owed(await rig.cook()) if c.at <= NOW + timedelta(minutes=30)]
    rig.chat.shown.clear()
    rig.clock.advance(timedelta(hours=16))  # 09:00 to 01:00 of the next day, no kill
    await Absence(rig.dispatcher).look(rig.clock.now())
    await rig.ring()
    assert {c.key for c in owed} <= set(await rig.calls())
    assert len(await rig.calls()) == len(set(await rig.calls()))
    first, *_ = rig.loud("@ana")
    assert first.startswith("16.0 h away: yesterday 09:00 to 01:00. No calls")


async def test_17_a_clock_that_jumps_an_hour_ahead_and_back_makes_each_call_once(rig: Rig) -> None:
    await rig.ring()
    await rig.ring(timedelta(hours=1))
    await rig.ring(timedelta(hours=-1))
    await rig.ring(timedelta(minutes=30))
    await rig.ring(timedelta(minutes=31))
    made = await rig.calls()
    assert made
    assert len(made) == len(set(made))
    assert await rig.store.verify(STREAM) is None


async def test_17_a_stepped_clock_reaches_the_pump_at_its_next_look(rig: Rig) -> None:
    alarm = FakeAlarm()
    pump = asyncio.create_task(Pump(rig.dispatcher.ring, rig.clock, alarm).run())
    async with asyncio.timeout(5):
        while len(alarm.set_to) < 1:
            await asyncio.sleep(0)
        before = await rig.calls()
        rig.clock.advance(timedelta(hours=1))
        await alarm.ring()
        while len(alarm.set_to) < 2:
            await asyncio.sleep(0)
    assert len(await rig.calls()) > len(before)
    pump.cancel()
    await asyncio.gather(pump, return_exceptions=True)


@pytest.mark.parametrize(
    ("night", "hours"),
    # Spain's clocks go forward on 29 March 2026 and back on 25 October 2026:
    # Directive 2000/84/EC, last Sundays of March and October at 01:00 UTC
    [("2026-03-28T22:00", 23), ("2026-10-24T22:00", 25), ("2026-06-13T22:00", 24)],
)
async def test_17_a_call_every_hour_of_a_night_comes_once_an_hour_however_long_the_day(
    tmp_path: Path, night: str, hours: int
) -> None:
    zone = ZoneInfo("Europe/Madrid")
    start = datetime.fromisoformat(night).replace(tzinfo=zone)
    end = (start.replace(tzinfo=None) + timedelta(days=1)).replace(tzinfo=zone)
    clock, chat = FakeClock(start), FakeChat()
    store = await open_store(str(tmp_path / "night.db"), clock)
    outbox = Outbox(store, {"fake": chat}, clock)
    due = [clock.now() + timedelta(hours=n) for n in range(30)]
    sends = [
        NewSend(f"k{n}", "fake", "r", Outgoing((f"{at.astimezone(zone):%d %H:%M}",)), not_before=at)
        for n, at in enumerate(due)
    ]
    await store.append("", 0, (), clock.now(), sends)
    while clock.now() < end:
        await outbox.deliver("fake")
        clock.advance(timedelta(minutes=10))
    await store.close()
    assert len(chat.shown) == hours  # by hand: a day of 23, 25 or 24 hours
    wall = [text.split()[1] for text in chat.texts()]
    assert ("02:00" in wall) == (hours != 23)  # the hour that does not exist is never spoken
    assert wall.count("02:00") == (2 if hours == 25 else wall.count("02:00"))


async def test_18_of_many_due_at_once_the_critical_go_first(rig: Rig) -> None:
    sends = [
        NewSend(f"k{n}", "fake", f"room{n}", Outgoing((f"k{n}",)), priority=0 if n % 50 == 0 else 2)
        for n in range(500)
    ]
    await rig.store.append("", 0, (), NOW, sends)
    rig.chat.shown.clear()
    assert await rig.outbox.deliver("fake") == 500
    first = rig.chat.texts()[:10]
    assert sorted(first) == sorted(f"k{n}" for n in range(0, 500, 50))


async def test_18_of_many_cooks_due_at_once_each_is_rung_once_and_looked_at_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = FakeClock(NOW)
    store = await open_store(str(tmp_path / "log.db"), clock)
    event = write_event(tmp_path / "event", NOW)
    dispatcher = Dispatcher(store, clock, NamesDirectory("fake", COOK))
    ids = [f"quick-{n}" for n in range(1, 21)]
    for cook_id in ids:
        await dispatcher.start(cook_id, read_event(event), dict(read_texts(event)), "ana")
    looked: list[str] = []
    read = store.read

    async def counted(stream: str, after: int = 0) -> Sequence[Entry]:
        looked.append(stream)
        return await read(stream, after)

    monkeypatch.setattr(store, "read", counted)
    clock.advance(timedelta(minutes=1))
    await dispatcher.ring(clock.now())
    assert sorted(s for s in looked if s.startswith(PREFIX)) == sorted(PREFIX + i for i in ids)
    for cook_id in ids:
        facts = [e.fact for e in await read(PREFIX + cook_id)]
        made = [fact.call.key for fact in facts if isinstance(fact, CallMade)]
        assert made
        assert len(made) == len(set(made))
        assert await store.verify(PREFIX + cook_id) is None
    await store.close()


# ------------------------------------------------------------------ 19 and 20: disk


async def test_19_on_a_full_disk_nothing_is_acknowledged_and_all_of_it_comes_later(
    rig: Rig,
) -> None:
    message = replace(rig.message(REPORT), reply_to="x" * 9000)
    with rig.store.connection() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(StoreError, match="the disk is full"):
        await rig.dispatcher.hear((message,), ("fake", "1"))
    assert await rig.store.cursor("fake") is None
    with rig.store.connection() as connection:
        connection.exec_driver_sql("PRAGMA max_page_count = 1000000")
    await rig.dispatcher.hear((message,), ("fake", "1"))  # the platform says it again
    assert await rig.booked(StepReported) == 1


async def test_19_a_call_that_could_not_be_recorded_is_made_when_the_disk_has_room(
    rig: Rig,
) -> None:
    with rig.store.connection() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
    filler = [replace(rig.message("x" * 2000), ext_id=f"f{n}") for n in range(20)]
    with pytest.raises(StoreError):
        await rig.store.hear(filler, None)
    alarm = FakeAlarm()
    pump = asyncio.create_task(Pump(rig.dispatcher.ring, rig.clock, alarm).run())
    async with asyncio.timeout(5):
        while len(alarm.set_to) < 1:
            await asyncio.sleep(0)
        with rig.store.connection() as connection:
            connection.exec_driver_sql("PRAGMA max_page_count = 1000000")
        await alarm.ring()
        while len(alarm.set_to) < 2:
            await asyncio.sleep(0)
    pump.cancel()
    await asyncio.gather(pump, return_exceptions=True)
    await rig.outbox.deliver("fake")
    made = await rig.calls()
    assert made
    assert len(made) == len(set(made))
    assert any(s.message.sound is not Sound.SILENT for s in rig.chat.shown)


async def test_19_a_disk_that_fills_while_a_message_is_handled_says_so_and_keeps_the_message(
    rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def full(*_: object, **__: object) -> None:
        raise StoreError("the disk is full", "Free some space.")

    with monkeypatch.context() as patched:
        patched.setattr(rig.store, "append", full)
        with pytest.raises(StoreError, match="the disk is full"):
            await rig.dispatcher.hear((rig.message(REPORT),), None)
        with pytest.raises(StoreError, match="the disk is full"):
            await rig.dispatcher.ring(rig.clock.now())
    await rig.dispatcher.work()
    assert await rig.booked(StepReported) == 1


async def test_20_every_answered_report_is_there_after_a_cut(rig: Rig) -> None:
    await rig.say(REPORT)
    answered = len(rig.chat.texts("@ana"))
    head = await rig.store.head(STREAM)
    (rig.folder / "log.db.lock").write_text("4711\n")  # as a killed process leaves it
    copy = rig.folder / "cut.db"
    for suffix in ("", "-wal"):  # what stands on the disk at this moment, the log beside it
        source = rig.folder / f"log.db{suffix}"
        copy.with_name(copy.name + suffix).write_bytes(source.read_bytes())
    again = await open_store(str(copy), rig.clock)
    assert answered
    assert await again.head(STREAM) == head
    assert await again.verify(STREAM) is None
    await again.close()
