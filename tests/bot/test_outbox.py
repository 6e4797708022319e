from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator, Sequence
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from bot.outbox import Outbox, TellsNobody
from bot.ports import (
    Ambiguous,
    Gone,
    Migrated,
    NewSend,
    NotSent,
    Outgoing,
    Pace,
    Rejected,
    Sent,
    StoreError,
    Trouble,
    Wait,
)
from bot.store import SqlStore, open_store
from core.model import Sound
from tests.bot import golden_facts
from tests.fakes import FakeChat, FakeClock, MemoryStore

NOW = golden_facts.at(9)
FULL = StoreError("the disk is full", "Free some space.")


class Bench:
    """A store, a chat and an outbox between them."""

    def __init__(self, store: MemoryStore | SqlStore, clock: FakeClock, chat: FakeChat) -> None:
        self.store, self.clock, self.chat = store, clock, chat
        self.troubles: list[Trouble] = []
        self.said: list[str] = []
        self.outbox = Outbox(store, {chat.network: chat}, clock, self)

    async def given_up(self, troubles: Sequence[Trouble]) -> None:
        self.troubles += troubles

    async def down(self, network: str, since: datetime) -> None:
        self.said.append(f"{network} down since {since:%H:%M}")

    async def back(self, network: str, since: datetime) -> None:
        self.said.append(f"{network} back")

    async def queue(self, key: str, room: str = "r", priority: int = 1, **more: object) -> None:
        made = NewSend(key, "fake", room, Outgoing((key,)), priority, **more)  # type: ignore[arg-type]
        await self.store.append("", 0, (), self.clock.now(), [made])

    async def deliver(self) -> int:
        return await self.outbox.deliver("fake")

    async def later(self, seconds: float) -> int:
        self.clock.advance(timedelta(seconds=seconds))
        return await self.deliver()


@pytest.fixture(params=["memory", "sqlite"])
async def bench(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Bench]:
    clock = FakeClock(NOW)
    if request.param == "memory":
        yield Bench(MemoryStore(clock), clock, FakeChat())
        return
    store = await open_store(str(tmp_path / "log.db"), clock)
    yield Bench(store, clock, FakeChat())
    await store.close()


async def test_what_is_owed_is_sent_once(bench: Bench) -> None:
    await bench.queue("a")
    await bench.queue("b")
    assert await bench.deliver() == 2
    assert await bench.deliver() == 0
    assert bench.chat.texts() == ["a", "b"]


async def test_the_key_goes_to_the_platform(bench: Bench) -> None:
    await bench.queue("call/7")
    await bench.deliver()
    assert [s.key for s in bench.chat.shown] == ["call/7"]


async def test_urgent_goes_first(bench: Bench) -> None:
    for key, priority in (("chat", 2), ("answer", 1), ("urgent", 0)):
        await bench.queue(key, "r", priority)
    await bench.deliver()
    assert bench.chat.texts() == ["urgent", "answer", "chat"]


async def test_one_message_at_a_time_is_in_flight_per_room(bench: Bench) -> None:
    for n in range(5):
        await bench.queue(f"a{n}", "a")
        await bench.queue(f"b{n}", "b")
    assert await bench.deliver() == 10
    assert dict(bench.chat.most_in_flight) == {"a": 1, "b": 1}
    assert bench.chat.texts("a") == [f"a{n}" for n in range(5)]


async def test_a_stalled_room_delays_nobody(bench: Bench) -> None:
    released = bench.chat.stall("slow")
    await bench.queue("slow1", "slow", 0)
    for n in range(4):
        await bench.queue(f"b{n}", "b")
    under_way = asyncio.create_task(bench.deliver())
    while len(bench.chat.shown) < 4:
        await asyncio.sleep(0)
    await bench.queue("new", "c")  # even what comes up while it hangs
    bench.outbox.nudge()
    while "new" not in bench.chat.texts():
        await asyncio.sleep(0)
    released.set()
    assert await under_way == 6


async def test_what_surely_failed_comes_again_unmarked(bench: Bench) -> None:
    bench.chat.answer("r", NotSent("refused"), NotSent("refused"))
    await bench.queue("a")
    assert await bench.deliver() == 0
    assert await bench.later(1) == 0
    assert await bench.later(2) == 1
    assert bench.chat.texts() == ["a"]


async def test_what_may_have_arrived_is_repeated_with_a_mark(bench: Bench) -> None:
    bench.chat.answer("r", Ambiguous("timeout"))
    await bench.queue("pull A", must=True)
    await bench.deliver()
    await bench.later(1)
    assert bench.chat.texts() == ["pull A (again)"]


async def test_the_mark_is_in_the_readers_language_and_on_the_first_line(bench: Bench) -> None:
    bench.chat.answer("r", Ambiguous("timeout"))
    message = Outgoing(("saca A", "P1"), again="(otra vez)")
    send = NewSend("k", "fake", "r", message, must=True)
    await bench.store.append("", 0, (), NOW, [send])
    await bench.deliver()
    await bench.later(1)
    assert bench.chat.shown[0].message.lines == ("saca A (otra vez)", "P1")


async def test_where_repeats_are_harmless_there_is_no_mark(bench: Bench) -> None:
    bench.chat.repeats_harmless = True
    bench.chat.answer("r", Ambiguous("timeout"))
    await bench.queue("a", must=True)
    await bench.deliver()
    await bench.later(1)
    assert [(s.message.text, s.key) for s in bench.chat.shown] == [("a", "a")]


async def test_chatter_that_may_have_arrived_is_let_go(bench: Bench) -> None:
    bench.chat.answer("r", Ambiguous("timeout"))
    await bench.queue("a")
    await bench.deliver()
    assert await bench.later(3600) == 0
    assert bench.troubles == []


async def test_a_front_end_that_breaks_counts_as_unknown(
    bench: Bench, caplog: pytest.LogCaptureFixture
) -> None:
    bench.chat.answer("r", RuntimeError("bug"))
    await bench.queue("a", must=True)
    await bench.queue("b", "other")
    assert await bench.deliver() == 1
    assert "front-end failed" in caplog.text
    assert await bench.later(1) == 1
    assert bench.chat.texts("r") == ["a (again)"]


async def test_only_the_room_that_was_told_to_wait_waits(bench: Bench) -> None:
    bench.chat.answer("r", Wait(30))
    await bench.queue("a", "r")
    await bench.queue("b", "other")
    assert await bench.deliver() == 1
    assert await bench.later(29) == 0
    assert await bench.later(1) == 1


async def test_what_is_refused_goes_out_plain_then_the_lead_is_told_once(bench: Bench) -> None:
    bench.chat.answer("r", Rejected("bad button"), Rejected("still"))
    message = Outgoing(("Flip?",), ("now", "later"))
    await bench.store.append("", 0, (), NOW, [NewSend("k", "fake", "r", message)])
    await bench.deliver()
    await bench.outbox.tell_troubles()
    await bench.outbox.tell_troubles()
    assert bench.chat.shown == []
    assert [(t.message.lines, t.why) for t in bench.troubles] == [
        (("Flip?", "1 now", "2 later"), "still")
    ]


async def test_what_is_refused_for_its_buttons_arrives_as_numbered_lines(bench: Bench) -> None:
    bench.chat.answer("r", Rejected("bad button"))
    message = Outgoing(("Flip?",), ("now", "later"))
    await bench.store.append("", 0, (), NOW, [NewSend("k", "fake", "r", message)])
    assert await bench.deliver() == 1
    assert bench.chat.texts() == ["Flip?\n1 now\n2 later"]


async def test_a_closed_room_is_told_of_by_another_way(bench: Bench) -> None:
    bench.chat.answer("r", Gone("kicked"))
    await bench.queue("a", must=True)
    await bench.queue("b", must=True)
    await bench.deliver()
    await bench.outbox.tell_troubles()
    assert [t.key for t in bench.troubles] == ["a", "b"]
    assert bench.chat.shown == []


async def test_a_trouble_that_could_not_be_told_is_told_later(bench: Bench) -> None:
    bench.chat.answer("r", Gone("kicked"))
    await bench.queue("a")
    await bench.deliver()

    class Fails(TellsNobody):
        async def given_up(self, troubles: Sequence[Trouble]) -> None:
            raise FULL

    first = Outbox(bench.store, {"fake": bench.chat}, bench.clock, Fails())
    with pytest.raises(StoreError):
        await first.tell_troubles()
    await bench.outbox.tell_troubles()
    assert [t.key for t in bench.troubles] == ["a"]


async def test_a_moved_room_gets_everything_once_in_its_new_place(bench: Bench) -> None:
    bench.chat.answer("r", Migrated("bigger"))
    for key in ("a", "b", "c"):
        await bench.queue(key)
    assert await bench.deliver() == 3
    assert sorted(bench.chat.texts("bigger")) == ["a", "b", "c"]
    assert bench.chat.texts("r") == []


async def test_an_edit_goes_to_what_it_edits(bench: Bench) -> None:
    await bench.queue("board")
    await bench.queue("board2", edit_of="board")
    assert await bench.deliver() == 2
    assert [(s.message.text, s.edit_of) for s in bench.chat.shown] == [
        ("board", None),
        ("board2", "id:board"),
    ]


async def test_a_repeated_edit_carries_no_mark(bench: Bench) -> None:
    await bench.queue("board")
    await bench.deliver()
    bench.chat.answer("", Ambiguous("timeout"))
    await bench.queue("board2", edit_of="board")
    await bench.deliver()
    await bench.later(1)
    assert bench.chat.texts("") == ["board2"]


async def test_a_call_that_rings_late_says_by_how_much(bench: Bench) -> None:
    bench.chat.answer("r", NotSent("down"))
    loud = Outgoing(("12:00 pull A", "tongs"), sound=Sound.ONCE)
    await bench.store.append("", 0, (), NOW, [NewSend("k", "fake", "r", loud)])
    await bench.deliver()
    await bench.later(19 * 60)
    assert bench.chat.shown[0].message.lines == ("12:00 pull A (19 min late)", "tongs")


async def test_what_does_not_ring_needs_no_excuse(bench: Bench) -> None:
    bench.chat.answer("r", NotSent("down"))
    await bench.queue("board")
    await bench.deliver()
    await bench.later(19 * 60)
    assert bench.chat.texts() == ["board"]


async def test_after_twenty_minutes_without_a_network_there_is_no_burst(bench: Bench) -> None:
    bench.chat.answer("r", *[NotSent("down")] * 60)
    for n in range(20):
        text = Outgoing((f"12:{n:02} flip {n}",), sound=Sound.ONCE)
        good_until = bench.clock.now() + timedelta(minutes=3)
        call = NewSend(f"k{n}", "fake", "r", text, 0, must=True, good_until=good_until)
        await bench.store.append("", 0, (), bench.clock.now(), [call])
        await bench.deliver()
        await bench.later(60)
    critical = Outgoing(("STOP A",), sound=Sound.ALARM)
    await bench.store.append("", 0, (), NOW, [NewSend("stop", "fake", "r", critical, 0)])
    bench.chat.answers.clear()
    for _ in range(10):
        await bench.later(30)
    texts = bench.chat.texts()
    # by hand: the network is back 30 s after minute 20
    late = ["12:18 flip 18 (2 min late)", "12:19 flip 19 (1 min late)"]
    assert texts[:3] == [*late, "STOP A"]
    (digest,) = texts[3:]
    assert [line.split(" (")[0] for line in digest.splitlines()] == [
        f"12:{n:02} flip {n}" for n in range(18)
    ]


# ------------------------------------------------------------------ a platform that is down


async def minutes(bench: Bench, number: int) -> None:
    for _ in range(number * 2):
        await bench.later(30)
        await bench.outbox.tell_outage("fake")


async def test_a_network_that_takes_nothing_is_told_of_once_and_when_it_is_back(
    bench: Bench,
) -> None:
    bench.chat.answer("r", *[NotSent("down")] * 40)
    await bench.queue("a")
    await bench.deliver()
    await minutes(bench, 2)
    assert bench.said == []
    await minutes(bench, 8)
    assert bench.said == ["fake down since 09:00"]
    bench.chat.answers.clear()
    await minutes(bench, 2)
    assert bench.said == ["fake down since 09:00", "fake back"]
    await minutes(bench, 5)
    assert len(bench.said) == 2


async def test_a_short_hiccup_and_a_room_that_is_slow_or_closed_are_no_outage(
    bench: Bench,
) -> None:
    bench.chat.answer("r", NotSent("hiccup"))
    bench.chat.answer("slow", Wait(600))
    bench.chat.answer("closed", Gone("kicked"))
    for room in ("r", "slow", "closed"):
        await bench.queue(room, room)
    await bench.deliver()
    await minutes(bench, 6)
    assert bench.said == []


# ------------------------------------------------------------------ pace


async def test_a_burst_is_held_to_the_platforms_pace_and_urgent_passes(bench: Bench) -> None:
    bench.chat.pace = Pace(room_per_min=18)
    bench.outbox = Outbox(bench.store, {"fake": bench.chat}, bench.clock)
    for n in range(40):
        await bench.queue(f"chat{n}", priority=2)
    assert await bench.deliver() == 15
    for n in range(5):
        await bench.queue(f"urgent{n}", priority=0)
    assert await bench.deliver() == 3  # the places kept for what is urgent
    sent = 18
    for _ in range(200):
        sent += await bench.later(1)
    assert sent == 45
    assert bench.chat.texts()[15:20] == [f"urgent{n}" for n in range(5)]
    assert [t for t in bench.chat.texts() if "chat" in t] == [f"chat{n}" for n in range(40)]


async def test_no_minute_holds_more_than_the_platform_allows() -> None:
    clock = FakeClock(NOW)
    bench = Bench(MemoryStore(clock), clock, FakeChat(pace=Pace(room_burst=3, room_per_min=18)))
    for n in range(60):
        await bench.queue(f"{n}", priority=n % 3)
    times: list[float] = []
    for second in range(300):
        times += [second] * await bench.later(1)
    assert len(times) == 60
    for start in range(300):
        assert sum(start <= t < start + 60 for t in times) <= 18
        assert sum(start <= t < start + 3 for t in times) <= 3


async def test_all_rooms_together_keep_the_platforms_pace(bench: Bench) -> None:
    bench.chat.pace = Pace(total_per_s=25)
    bench.outbox = Outbox(bench.store, {"fake": bench.chat}, bench.clock)
    for n in range(60):
        await bench.queue(f"{n}", f"r{n}", priority=0 if n >= 55 else 2)
    assert [await bench.deliver(), await bench.later(1), await bench.later(1)] == [25, 25, 10]
    assert set(bench.chat.texts()[:5]) == {f"{n}" for n in range(55, 60)}


async def test_a_clock_put_back_does_not_hold_messages_up(bench: Bench) -> None:
    bench.chat.pace = Pace(room_per_min=4, total_per_s=4)
    bench.outbox = Outbox(bench.store, {"fake": bench.chat}, bench.clock)
    for n in range(8):
        await bench.queue(f"{n}", priority=0)
    assert await bench.deliver() == 4
    assert await bench.later(-3600) == 4


# ------------------------------------------------------------------ running


async def until(condition: object) -> None:
    async with asyncio.timeout(5):
        while not condition():  # type: ignore[operator]
            await asyncio.sleep(0)


async def test_running_it_sends_what_comes_up(bench: Bench) -> None:
    running = asyncio.create_task(bench.outbox.run())
    await bench.queue("a")
    bench.outbox.nudge()
    await until(lambda: bench.chat.texts() == ["a"])
    await bench.queue("b")
    bench.outbox.nudge()
    await until(lambda: bench.chat.texts() == ["a", "b"])
    running.cancel()
    with pytest.raises(asyncio.CancelledError):
        await running


async def test_one_stalled_network_does_not_hold_up_the_other() -> None:
    clock = FakeClock(NOW)
    store = MemoryStore(clock)
    dead, alive = FakeChat("dead"), FakeChat("alive")
    dead.stall("r")
    outbox = Outbox(store, {"dead": dead, "alive": alive}, clock)
    sends = [NewSend(n, n, "r", Outgoing((n,)), 0) for n in ("dead", "alive")]
    await store.append("", 0, (), NOW, sends)
    running = asyncio.create_task(outbox.run())
    await until(lambda: alive.texts() == ["alive"])
    dead.stalled["r"].set()
    await until(lambda: dead.texts() == ["dead"])
    running.cancel()
    with pytest.raises(asyncio.CancelledError):
        await running


async def test_stopping_waits_for_answers_under_way() -> None:
    clock = FakeClock(NOW)
    store, chat = MemoryStore(clock), FakeChat()
    released = chat.stall("r")
    outbox = Outbox(store, {"fake": chat}, clock)
    await store.append("", 0, (), NOW, [NewSend("a", "fake", "r", Outgoing(("a",)))])
    running = asyncio.create_task(outbox.run())
    await until(lambda: chat.in_flight["r"])
    running.cancel()
    asyncio.get_running_loop().call_soon(released.set)
    with pytest.raises(asyncio.CancelledError):
        await running
    await store.close()
    assert await store.claim("fake", NOW) == []


async def test_an_answer_that_could_not_be_recorded_is_not_asked_for_again() -> None:
    clock = FakeClock(NOW)
    store, chat = MemoryStore(clock), FakeChat()
    outbox = Outbox(store, {"fake": chat}, clock)
    await store.append("", 0, (), NOW, [NewSend("a", "fake", "r", Outgoing(("a",)))])
    released = chat.stall("r")
    under_way = asyncio.create_task(outbox.deliver("fake"))
    await until(lambda: chat.in_flight["r"])
    store.broken = FULL
    released.set()
    with pytest.raises(StoreError):
        await under_way
    store.broken = None
    assert await outbox.deliver("fake") == 0
    assert chat.texts() == ["a"]
    assert await store.next_send("fake") is None


async def test_a_full_disk_is_waited_out_and_told_in_the_log(
    caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.outbox.STORE_PAUSE_S", 0.0)
    clock = FakeClock(NOW)
    store, chat = MemoryStore(clock), FakeChat()
    outbox = Outbox(store, {"fake": chat}, clock)
    await store.append("", 0, (), NOW, [NewSend("a", "fake", "r", Outgoing(("a",)))])
    store.broken = FULL
    with caplog.at_level(logging.ERROR):
        running = asyncio.create_task(outbox.run())
        await until(lambda: caplog.records)
    store.broken = None
    outbox.nudge()
    await until(lambda: chat.texts() == ["a"])
    running.cancel()
    with pytest.raises(asyncio.CancelledError):
        await running


async def test_the_receipt_is_kept(bench: Bench) -> None:
    bench.chat.answer("r", Sent("77"))
    await bench.queue("a")
    await bench.deliver()
    await bench.queue("b", edit_of="a")
    (owed,) = await bench.store.claim("fake", NOW)
    assert owed.edit_of == Sent("77")
