"""What every FactStore does; the same on SQLite, on PostgreSQL and in memory."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from bot.codec import UnreadableError
from bot.ports import (
    HEAD_HERE,
    Ambiguous,
    FactStore,
    Gone,
    HandledError,
    Incoming,
    Migrated,
    NewFact,
    NewSend,
    NotSent,
    Outgoing,
    Receipt,
    Rejected,
    Sent,
    StaleError,
    Wait,
    Wake,
)
from bot.store import open_store
from core.facts import CallAnswered, CookClosed, CookStarted, PlatesMoved, Undone
from tests.bot import golden_facts
from tests.fakes import FakeClock, MemoryStore
from tests.postgres import Postgres

NOW = golden_facts.at(9)
STREAM = "cook:garden-1"

Opener = Callable[[], Awaitable[FactStore]]


@pytest.fixture
def clock() -> FakeClock:
    return FakeClock(NOW)


@pytest.fixture(params=["memory", "sqlite", "postgres"])
def opener(
    request: pytest.FixtureRequest, clock: FakeClock, tmp_path: Path
) -> Callable[[], Awaitable[FactStore]]:
    """Return what opens the same store again and again."""
    if request.param == "memory":
        kept = MemoryStore(clock)

        async def open_again() -> FactStore:
            return kept

        return open_again
    if request.param == "sqlite":
        url = str(tmp_path / "log.db")
    else:
        server: Postgres = request.getfixturevalue("postgres")
        url = server.fresh()

    async def open_it() -> FactStore:
        return await open_store(url, clock)

    return open_it


@pytest.fixture
async def store(opener: Opener) -> AsyncIterator[FactStore]:
    opened = await opener()
    yield opened
    await opened.close()


def heard(ext_id: str, room: str = "room", text: str = "A on") -> Incoming:
    return Incoming("fake", ext_id, room, "ana", text, NOW)


def send(key: str, room: str = "room", priority: int = 1, **more: object) -> NewSend:
    made = NewSend(key, "fake", room, Outgoing((key,)), priority)
    return replace(made, **more)  # type: ignore[arg-type]


async def queue(store: FactStore, *sends: NewSend) -> None:
    await store.append("", 0, (), NOW, sends)


async def claimed(store: FactStore, now: datetime = NOW, limit: int = 20) -> list[str]:
    return [owed.key for owed in await store.claim("fake", now, limit)]


async def settled(store: FactStore, key: str, receipt: Receipt, now: datetime = NOW) -> None:
    """Queue one message, take it in hand and settle it so."""
    await queue(store, send(key))
    assert await claimed(store) == [key]
    await store.settle(key, receipt, now)


# ------------------------------------------------------------------ inbox and cursor


async def test_a_message_heard_twice_is_kept_once(store: FactStore) -> None:
    assert await store.hear([heard("1"), heard("1"), heard("2")], None) == 2
    assert await store.hear([heard("2"), heard("3")], None) == 1
    assert [h.message.ext_id for h in await store.unhandled()] == ["1", "2", "3"]


async def test_two_networks_may_use_the_same_id(store: FactStore) -> None:
    assert await store.hear([heard("1"), replace(heard("1"), network="other")], None) == 2


async def test_a_message_comes_back_as_it_was_heard(store: FactStore) -> None:
    message = replace(heard("1", text="ñ 👍🏽 ' \\ \n"), reply_to="7", choice="2", private=True)
    await store.hear([message], None)
    assert [h.message for h in await store.unhandled()] == [message]


async def test_text_no_database_can_hold_is_heard_all_the_same(store: FactStore) -> None:
    await store.hear([heard("1", text="A\0on \ud800!")], None)
    assert [h.message.text for h in await store.unhandled()] == ["A\ufffdon ?!"]


async def test_how_far_a_platform_was_read_is_kept_with_what_it_said(store: FactStore) -> None:
    assert await store.cursor("fake") is None
    await store.hear([heard("1")], ("fake", "41"))
    await store.hear([], ("fake", "42"))
    assert await store.cursor("fake") == "42"
    assert await store.cursor("other") is None


async def test_an_id_that_jumps_far_back_is_heard(store: FactStore) -> None:
    await store.hear([heard("900001")], None)
    assert await store.hear([heard("17")], None) == 1


async def test_a_handled_message_is_gone_from_the_inbox(store: FactStore) -> None:
    await store.hear([heard("1"), heard("2")], None)
    first, second = await store.unhandled()
    await store.append(STREAM, 0, (), NOW, done=first.id)
    assert await store.unhandled() == [second]


async def test_a_message_is_handled_once_however_often_it_is_tried(store: FactStore) -> None:
    await store.hear([heard("1")], None)
    (row,) = await store.unhandled()
    fact = NewFact(NOW, "ana", CallAnswered("k"))
    await store.append(STREAM, 0, [fact], NOW, done=row.id)
    with pytest.raises(HandledError):
        await store.append(STREAM, 1, [fact], NOW, [send("again")], done=row.id)
    assert await store.head(STREAM) == (1, (await store.head(STREAM))[1])
    assert await claimed(store) == []


async def test_a_message_that_fails_three_times_is_set_aside_and_blocks_nobody(
    store: FactStore,
) -> None:
    await store.hear([heard("1"), heard("2")], None)
    poison, other = await store.unhandled()
    for attempt in range(3):
        assert (await store.unhandled())[0].attempts == attempt
        await store.fail(poison.id, "boom", [send("sorry")])
    assert [h.id for h in await store.unhandled()] == [other.id]
    assert await claimed(store) == ["sorry"]


# ------------------------------------------------------------------ facts


async def test_facts_come_back_in_order_as_they_were_told(store: FactStore) -> None:
    at = NOW - timedelta(minutes=7, microseconds=3)
    made = await store.append(
        STREAM, 0, [NewFact(at, "ana", fact) for fact in golden_facts.FACTS], NOW
    )
    assert [e.seq for e in made] == list(range(1, len(golden_facts.FACTS) + 1))
    assert {(e.at, e.heard, e.by) for e in made} == {(at, NOW, "ana")}
    assert list(await store.read(STREAM)) == list(made)
    assert list(await store.read(STREAM, after=5)) == list(made[5:])


async def test_who_comes_second_is_told_so_and_nothing_of_theirs_is_kept(store: FactStore) -> None:
    await store.hear([heard("1")], None)
    (row,) = await store.unhandled()
    fact = NewFact(NOW, "ana", CallAnswered("k"))
    await store.append(STREAM, 0, [fact], NOW)
    with pytest.raises(StaleError):
        await store.append(STREAM, 0, [fact], NOW, [send("s")], done=row.id)
    assert (await store.head(STREAM))[0] == 1
    assert await claimed(store) == []
    assert await store.unhandled() == [row]


async def test_a_gap_in_the_numbers_is_refused(store: FactStore) -> None:
    with pytest.raises(StaleError):
        await store.append(STREAM, 7, [NewFact(NOW, "bot", CookClosed())], NOW)


async def test_of_many_at_once_one_wins(store: FactStore) -> None:
    async def attempt(who: str) -> bool:
        try:
            await store.append(STREAM, 0, [NewFact(NOW, who, CallAnswered(who))], NOW)
        except StaleError:
            return False
        return True

    won = await asyncio.gather(*(attempt(f"p{n}") for n in range(20)))
    assert sum(won) == 1
    assert len(await store.read(STREAM)) == 1


async def test_of_many_that_decide_again_all_get_in(store: FactStore) -> None:
    async def insist(who: str) -> None:
        while True:
            seq, _ = await store.head(STREAM)
            try:
                await store.append(STREAM, seq, [NewFact(NOW, who, CallAnswered(who))], NOW)
            except StaleError:
                continue
            return

    await asyncio.gather(*(insist(f"p{n}") for n in range(10)))
    assert {e.by for e in await store.read(STREAM)} == {f"p{n}" for n in range(10)}
    assert await store.verify(STREAM) is None


async def test_a_fact_that_cannot_be_stored_takes_nothing_else_with_it(store: FactStore) -> None:
    naive = datetime(2026, 6, 13)  # noqa: DTZ001
    good = NewFact(NOW, "ana", CallAnswered("k"))
    bad = PlatesMoved(naive, was=naive)
    with pytest.raises(UnreadableError):
        await store.append(STREAM, 0, [good, NewFact(NOW, "ana", bad)], NOW, [send("s")])
    assert await store.head(STREAM) == (0, "")
    assert await claimed(store) == []


async def test_each_entry_hangs_on_the_one_before(store: FactStore) -> None:
    assert await store.head(STREAM) == (0, "")
    heads = []
    for seq in range(3):
        await store.append(STREAM, seq, [NewFact(NOW, "ana", CallAnswered("same"))], NOW)
        heads.append(await store.head(STREAM))
    assert [seq for seq, _ in heads] == [1, 2, 3]
    assert len({link for _, link in heads}) == 3
    assert await store.verify(STREAM) is None


async def test_the_same_story_gives_the_same_chain_everywhere(store: FactStore) -> None:
    await store.append(STREAM, 0, [NewFact(NOW, "bot", CookStarted("garden-1"))], NOW)
    # sha256 over exactly these bytes, by the shell: printf '%s' '…' | sha256sum
    body = (
        '{"at":"2026-06-13T09:00:00Z","by":"bot","fact":{"cook":"garden-1","type":"CookStarted",'
        '"v":1},"heard":"2026-06-13T09:00:00Z","seq":1,"stream":"cook:garden-1"}'
    )
    assert len(body) == 158
    assert await store.head(STREAM) == (
        1,
        "d709b81511f8f65f4342e0512d5d4c091cee3bd37763de1583c2a1ba10aebee6",
    )


async def test_streams_are_found_by_how_they_begin(store: FactStore) -> None:
    for name in ("cook:b", "cook:a", "house", "cook_x"):
        await store.append(name, 0, [NewFact(NOW, "bot", CookClosed())], NOW)
    assert list(await store.streams("cook:")) == ["cook:a", "cook:b"]
    assert list(await store.streams("")) == ["cook:a", "cook:b", "cook_x", "house"]


# ------------------------------------------------------------------ outbox: what is claimed


async def test_what_is_queued_is_claimed_once(store: FactStore) -> None:
    await queue(store, send("a"))
    assert await claimed(store) == ["a"]
    assert await claimed(store) == []


async def test_a_key_is_sent_once_for_ever(store: FactStore) -> None:
    await settled(store, "a", Sent("1"))
    await queue(store, send("a"))
    assert await claimed(store) == []


async def test_urgent_goes_first_then_the_oldest(store: FactStore) -> None:
    await queue(store, send("chat", "r1", 2), send("answer", "r2", 1), send("urgent", "r3", 0))
    await queue(store, send("answer2", "r4", 1))
    assert await claimed(store, limit=3) == ["urgent", "answer", "answer2"]
    assert await claimed(store) == ["chat"]


async def test_one_at_a_time_goes_to_a_room(store: FactStore) -> None:
    await queue(store, send("a1", "a"), send("a2", "a"), send("b1", "b"))
    assert await claimed(store) == ["a1", "b1"]
    await store.settle("a1", Sent("1"), NOW)
    assert await claimed(store) == ["a2"]


async def test_a_full_room_does_not_hide_the_others(store: FactStore) -> None:
    await queue(store, *(send(f"full{n}", "full", 0) for n in range(120)), send("quiet", "q", 2))
    assert await claimed(store, limit=2) == ["full0", "quiet"]


async def test_networks_do_not_mix(store: FactStore) -> None:
    await queue(store, replace(send("a"), network="other"))
    assert await claimed(store) == []
    assert [o.key for o in await store.claim("other", NOW)] == ["a"]


async def test_nothing_goes_out_before_its_time(store: FactStore) -> None:
    later = NOW + timedelta(minutes=5)
    await queue(store, send("a", not_before=later))
    assert await claimed(store) == []
    assert await store.next_send("fake") == later
    assert await claimed(store, later) == ["a"]


async def test_a_claimed_message_is_whole(store: FactStore) -> None:
    message = golden_facts.MESSAGES[1]
    assert isinstance(message, Outgoing)
    await queue(store, NewSend("k", "fake", "room", message, 0, must=True))
    (owed,) = await store.claim("fake", NOW)
    assert (owed.message, owed.must, owed.priority, owed.room) == (message, True, 0, "room")
    assert (owed.attempts, owed.repeat, owed.edit_of) == (0, False, None)


# ------------------------------------------------------------------ outbox: edits


async def test_an_edit_waits_for_what_it_edits_and_knows_its_receipt(store: FactStore) -> None:
    await queue(store, send("board", priority=1), send("edit", priority=0, edit_of="board"))
    assert await claimed(store) == ["board"]
    await store.settle("board", Sent("17"), NOW)
    (owed,) = await store.claim("fake", NOW)
    assert (owed.key, owed.edit_of) == ("edit", Sent("17"))


async def test_of_waiting_edits_only_the_newest_survives(store: FactStore) -> None:
    await settled(store, "board", Sent("17"))
    await queue(store, send("e1", edit_of="board"), send("e2", edit_of="board"))
    await queue(store, send("e3", edit_of="board"))
    assert await claimed(store) == ["e3"]


async def test_an_edit_of_what_never_arrived_is_sent_as_new(store: FactStore) -> None:
    await settled(store, "board", Ambiguous("cut"))
    await queue(store, send("edit", edit_of="board"))
    (owed,) = await store.claim("fake", NOW)
    assert owed.edit_of is None


# ------------------------------------------------------------------ outbox: how it went


async def test_what_surely_failed_is_tried_again_ever_slower_without_a_mark(
    store: FactStore,
) -> None:
    now = NOW
    pauses = []
    await queue(store, send("a"))
    for attempt in range(7):
        (owed,) = await store.claim("fake", now)
        assert (owed.attempts, owed.repeat) == (attempt, False)
        await store.settle("a", NotSent("refused"), now)
        assert await claimed(store, now) == []
        due = await store.next_send("fake")
        assert due is not None
        pauses.append((due - now).total_seconds())
        now = due
    assert pauses == [1, 2, 4, 8, 16, 30, 30]  # by hand: doubled, at most 30 s


async def test_one_success_wakes_all_rooms_that_waited_for_the_network(store: FactStore) -> None:
    await queue(store, send("a", "r1"), send("b", "r2"))
    await claimed(store)
    await store.settle("a", NotSent("refused"), NOW)
    await store.settle("b", NotSent("refused"), NOW)
    await queue(store, send("c", "r3"))
    assert await claimed(store) == ["c"]
    await store.settle("c", Sent("1"), NOW)
    assert await claimed(store) == ["a", "b"]


async def test_a_room_that_asks_for_patience_waits_alone(store: FactStore) -> None:
    await queue(store, send("a", "r1"), send("a2", "r1", 0), send("b", "r2"), send("b2", "r2"))
    assert await claimed(store) == ["a2", "b"]
    await store.settle("a2", Wait(40), NOW)
    await store.settle("b", Sent("1"), NOW)
    assert await claimed(store, NOW + timedelta(seconds=39)) == ["b2"]
    await store.settle("b2", Sent("2"), NOW)
    assert await store.next_send("fake") == NOW + timedelta(seconds=40)
    assert await claimed(store, NOW + timedelta(seconds=40)) == ["a2"]


async def test_patience_is_no_failed_attempt(store: FactStore) -> None:
    await settled(store, "a", Wait(1))
    (owed,) = await store.claim("fake", NOW + timedelta(seconds=1))
    assert (owed.attempts, owed.repeat) == (0, False)


async def test_a_clock_put_back_does_not_prolong_a_wait(store: FactStore) -> None:
    await settled(store, "a", Wait(40))
    assert await claimed(store, NOW - timedelta(hours=1)) == ["a"]


async def test_what_our_own_pace_puts_back_comes_in_time_and_leaves_the_room_open(
    store: FactStore,
) -> None:
    await queue(store, send("a", priority=2))
    await claimed(store)
    await store.defer("a", NOW + timedelta(seconds=20), NOW)
    await queue(store, send("urgent", priority=0))
    assert await claimed(store) == ["urgent"]
    await store.settle("urgent", Sent("1"), NOW)
    assert await store.next_send("fake") == NOW + timedelta(seconds=20)
    assert await claimed(store, NOW - timedelta(hours=1)) == ["a"]


async def test_what_may_have_arrived_is_repeated_and_marked_when_it_must_arrive(
    store: FactStore,
) -> None:
    await queue(store, send("a", must=True))
    await claimed(store)
    await store.settle("a", Ambiguous("timeout"), NOW)
    (owed,) = await store.claim("fake", NOW + timedelta(minutes=1))
    assert (owed.key, owed.repeat) == ("a", True)


async def test_what_may_have_arrived_is_let_go_when_it_need_not(store: FactStore) -> None:
    await settled(store, "a", Ambiguous("timeout"))
    assert await claimed(store, NOW + timedelta(hours=1)) == []
    assert await store.troubles() == []


async def test_repeats_end_and_somebody_is_told(store: FactStore) -> None:
    await queue(store, send("a", must=True))
    now, tries = NOW, 0
    while await claimed(store, now):
        await store.settle("a", Ambiguous("timeout"), now)
        now, tries = now + timedelta(minutes=1), tries + 1
    assert tries == 5
    assert [(t.key, t.why) for t in await store.troubles()] == [("a", "timeout")]


async def test_what_is_refused_goes_out_once_as_plain_parts_then_is_set_aside(
    store: FactStore,
) -> None:
    long = Outgoing(("x" * 1500,), ("yes", "no"), picture="plan.png")
    await queue(store, NewSend("a", "fake", "room", long, 0, must=True))
    await claimed(store)
    await store.settle("a", Rejected("too long"), NOW)
    assert await store.troubles() == []
    parts = []
    while owed := await store.claim("fake", NOW):
        parts.append(owed[0].message)
        await store.settle(owed[0].key, Rejected("still bad"), NOW)
    assert [p.lines for p in parts] == [("x" * 1000,), ("x" * 500, "1 yes", "2 no")]
    assert {(p.choices, p.picture) for p in parts} == {((), None)}
    assert [t.key for t in await store.troubles()] == ["a/1", "a/2"]


async def test_a_trouble_is_told_once(store: FactStore) -> None:
    await settled(store, "a", Gone("kicked"))
    (trouble,) = await store.troubles()
    assert (trouble.key, trouble.room, trouble.why) == ("a", "room", "kicked")
    await store.told("a")
    assert await store.troubles() == []


async def test_a_closed_room_gets_nothing_more_and_what_must_arrive_is_told(
    store: FactStore,
) -> None:
    await settled(store, "a", Gone("kicked"))
    await store.told("a")
    await queue(store, send("chatter"), send("must", must=True), send("b", "other"))
    assert await claimed(store) == ["b"]
    assert [t.key for t in await store.troubles()] == ["must"]


async def test_a_room_that_speaks_is_open_again(store: FactStore) -> None:
    await settled(store, "a", Gone("kicked"))
    await store.hear([heard("9")], None)
    await queue(store, send("b"))
    assert await claimed(store) == ["b"]


async def test_a_room_that_moves_takes_everything_along(store: FactStore) -> None:
    await queue(store, send("a"), send("b"), send("c", not_before=NOW + timedelta(minutes=1)))
    await claimed(store)
    await store.settle("a", Migrated("bigger"), NOW)
    await queue(store, send("d"))
    rooms = {}
    for _ in range(4):
        for owed in await store.claim("fake", NOW + timedelta(minutes=2)):
            rooms[owed.key] = (owed.room, owed.repeat)
            await store.settle(owed.key, Sent(owed.key), NOW)
    assert rooms == dict.fromkeys("abcd", ("bigger", False))


async def test_an_answer_that_comes_twice_changes_nothing(store: FactStore) -> None:
    await settled(store, "a", Sent("1"))
    await store.settle("a", NotSent("late"), NOW)
    assert await claimed(store, NOW + timedelta(hours=1)) == []


async def test_a_message_is_found_by_the_id_the_platform_gave_it(store: FactStore) -> None:
    await settled(store, "a", Sent("17"))
    await settled(store, "b", Sent("18"))
    await settled(store, "c", Ambiguous("cut"))
    found = await store.sent_message("fake", "17")
    assert found is not None
    assert found.lines == ("a",)
    assert await store.sent_message("other", "17") is None
    assert await store.sent_message("fake", "19") is None


async def test_of_an_edited_message_the_newest_edition_is_found(store: FactStore) -> None:
    await settled(store, "board", Sent("17"))
    await queue(store, send("edit", edit_of="board"))
    await claimed(store)
    assert (await store.sent_message("fake", "17") or Outgoing(())).lines == ("board",)
    await store.settle("edit", Sent("17"), NOW)
    assert (await store.sent_message("fake", "17") or Outgoing(())).lines == ("edit",)


async def test_a_message_is_found_by_its_id_after_a_restart(opener: Opener) -> None:
    store = await opener()
    await settled(store, "a", Sent("17"))
    await store.close()
    store = await opener()
    found = await store.sent_message("fake", "17")
    assert found is not None
    assert found.lines == ("a",)
    await store.close()


async def test_nothing_owed_means_nothing_to_wake_for(store: FactStore) -> None:
    assert await store.next_send("fake") is None
    await queue(store, send("a"))
    due = await store.next_send("fake")
    assert due is not None
    assert due <= NOW
    await claimed(store)
    assert await store.next_send("fake") is None


# ------------------------------------------------------------------ outbox: past its use


async def late(store: FactStore, *sends: NewSend) -> datetime:
    """Queue messages that are good for five minutes and return an instant after that."""
    good_until = NOW + timedelta(minutes=5)
    await queue(store, *(replace(s, good_until=good_until) for s in sends))
    return good_until + timedelta(seconds=1)


async def test_what_waited_past_its_use_becomes_one_message_a_room(store: FactStore) -> None:
    now = await late(store, send("a", must=True), send("b", priority=0), send("c", "other"))
    await queue(store, send("fresh", priority=0))
    assert await claimed(store, now, 1) == ["fresh"]  # what is of use goes before the digest
    await store.settle("fresh", Sent("1"), now)
    folded, other = await store.claim("fake", now)
    assert (folded.message.lines, folded.must, folded.priority) == (("a", "b"), True, 0)
    assert (folded.message.folds, folded.due) == (2, NOW)
    assert other.key == "c"  # alone it goes as it is
    await store.settle(folded.key, Sent("2"), now)
    assert await claimed(store, now) == []


async def test_what_was_folded_is_folded_again_with_what_grew_stale_since(
    store: FactStore,
) -> None:
    now = await late(store, send("a"), send("b"))
    (owed,) = await store.claim("fake", now)
    await store.settle(owed.key, NotSent("down"), now)
    await queue(store, send("c", good_until=now))
    (owed,) = await store.claim("fake", now + timedelta(minutes=1))
    assert (owed.message.lines, owed.message.folds) == (("a", "b", "c"), 3)


async def test_what_may_have_arrived_is_still_marked_when_it_is_folded(store: FactStore) -> None:
    now = await late(store, send("a", must=True), send("b"))
    assert await claimed(store) == ["a"]
    await store.settle("a", Ambiguous("cut"), NOW)
    (owed,) = await store.claim("fake", now)
    assert (owed.message.lines, owed.repeat) == (("a", "b"), True)


async def test_a_long_absence_is_still_one_short_message(store: FactStore) -> None:
    now = await late(store, *(send(f"k{n:02}") for n in range(30)))
    (owed,) = await store.claim("fake", now)
    assert len(owed.message.lines) == 21
    assert owed.message.lines[-1] == "… +10"


async def test_what_is_in_time_is_never_folded(store: FactStore) -> None:
    await late(store, send("a"), send("b"))
    assert await claimed(store, NOW + timedelta(minutes=5)) == ["a"]


async def test_it_is_known_when_a_message_should_have_gone_out(store: FactStore) -> None:
    await queue(store, send("a"), send("b", "other", not_before=NOW + timedelta(minutes=3)))
    owed = await store.claim("fake", NOW + timedelta(hours=1))
    assert [o.due for o in owed] == [NOW, NOW + timedelta(minutes=3)]


async def test_what_was_due_before_it_was_queued_is_late_from_then_on(store: FactStore) -> None:
    await queue(store, send("a", not_before=NOW - timedelta(minutes=7)))
    (owed,) = await store.claim("fake", NOW)
    assert owed.due == NOW - timedelta(minutes=7)


# ------------------------------------------------------------------ wakes


async def test_a_stream_says_when_to_look_at_it_again(store: FactStore) -> None:
    fact = NewFact(NOW, "ana", CallAnswered("k"))
    for name, minutes in (("cook:b", 10), ("cook:a", 5)):
        at = NOW + timedelta(minutes=minutes)
        await store.append(name, 0, [fact], NOW, wake=Wake(at))
    await store.append("cook:over", 0, [fact], NOW, wake=Wake(None))
    assert await store.next_wake() == NOW + timedelta(minutes=5)
    assert list(await store.wakes(NOW)) == []
    assert list(await store.wakes(NOW + timedelta(minutes=10))) == ["cook:a", "cook:b"]


async def test_a_stream_that_does_not_say_is_looked_at_at_once(store: FactStore) -> None:
    fact = NewFact(NOW, "ana", CallAnswered("k"))
    await store.append(STREAM, 0, [fact], NOW, wake=Wake(NOW + timedelta(hours=1)))
    assert list(await store.wakes(NOW)) == []
    await store.append(STREAM, 1, [fact], NOW)
    assert list(await store.wakes(NOW)) == [STREAM]
    await store.set_wake(STREAM, Wake(None))
    assert (list(await store.wakes(NOW)), await store.next_wake()) == ([], None)
    await store.append("cook:new", 0, [fact], NOW)
    assert list(await store.wakes(NOW)) == ["cook:new"]


async def test_a_wake_that_comes_back_is_stored_again(store: FactStore) -> None:
    fact, soon = NewFact(NOW, "ana", CallAnswered("k")), Wake(NOW + timedelta(minutes=5))
    for seq, wake in enumerate((soon, soon, Wake(None), soon, Wake(None), Wake(None))):
        await store.append(STREAM, seq, [fact], NOW, wake=wake)
        assert await store.next_wake() == wake.at
    await store.set_wake(STREAM, soon)
    await store.append(STREAM, 6, [fact], NOW, wake=Wake(None))
    assert await store.next_wake() is None


async def test_an_answer_without_facts_moves_no_wake(store: FactStore) -> None:
    await queue(store, send("a"))
    assert await store.next_wake() is None


# ------------------------------------------------------------------ across restarts


async def test_everything_is_there_after_a_restart(opener: Opener) -> None:
    store = await opener()
    await store.hear([heard("1"), heard("2")], ("fake", "2"))
    first, _ = await store.unhandled()
    fact = NewFact(NOW, "ana", CallAnswered("k"))
    await store.append(STREAM, 0, [fact], NOW, [send("a"), send("b", "r2")], done=first.id)
    head = await store.head(STREAM)
    await store.close()
    store = await opener()
    assert await store.cursor("fake") == "2"
    assert [h.message.ext_id for h in await store.unhandled()] == ["2"]
    assert await store.head(STREAM) == head
    assert await claimed(store) == ["a", "b"]
    await store.append(STREAM, 1, [fact], NOW)
    assert await store.verify(STREAM) is None
    await store.close()


async def test_what_was_in_hand_is_owed_again_and_marked(opener: Opener) -> None:
    store = await opener()
    await queue(store, send("a"), send("b", "r2"))
    await claimed(store)
    await store.settle("b", Sent("1"), NOW)
    await store.close()
    store = await opener()
    (owed,) = await store.claim("fake", NOW)
    assert (owed.key, owed.repeat, owed.attempts) == ("a", True, 1)
    await store.close()


async def test_how_long_we_were_away_is_known(opener: Opener) -> None:
    store = await opener()
    assert await store.beat(NOW) is None
    await store.close()
    store = await opener()
    assert await store.beat(NOW + timedelta(hours=1)) == NOW
    assert await store.beat(NOW + timedelta(hours=2)) == NOW + timedelta(hours=1)
    await store.close()


# ------------------------------------------------------------------ several copies


async def test_streams_that_are_due_come_page_by_page_the_earliest_first(store: FactStore) -> None:
    for n, name in enumerate("cab"):
        facts = [NewFact(NOW, "ana", CookStarted(name))]
        at = NOW - timedelta(minutes=n)
        await store.append(f"cook:{name}", 0, facts, NOW, wake=Wake(at))
    later = [NewFact(NOW, "ana", CookStarted("d"))]
    await store.append("cook:d", 0, later, NOW, wake=Wake(NOW + timedelta(seconds=1)))
    first = await store.take_wakes(NOW, 2)
    assert [due.stream for due in first] == ["cook:b", "cook:a"]
    rest = await store.take_wakes(NOW, 2, first[-1])
    assert [due.stream for due in rest] == ["cook:c"]
    assert list(await store.take_wakes(NOW, 2, rest[-1])) == []


async def test_only_streams_without_an_end_are_running_the_oldest_first(store: FactStore) -> None:
    for n, name in enumerate(("young", "old", "over", "again")):
        at = NOW - timedelta(hours=n % 3)
        await store.append(f"cook:{name}", 0, [NewFact(at, "ana", CookStarted(name))], NOW)
    await store.append("cook:over", 1, [NewFact(NOW, "ana", CookClosed())], NOW)
    ended = [NewFact(NOW, "ana", CookClosed()), NewFact(NOW, "ana", Undone((2,)))]
    await store.append("cook:again", 1, ended, NOW)
    await store.append("house", 0, [NewFact(NOW, "ana", CookStarted("x"))], NOW)
    assert list(await store.running("cook:")) == ["cook:old", "cook:again", "cook:young"]


async def test_the_inbox_can_be_asked_for_some_networks_only(store: FactStore) -> None:
    messages = [replace(heard(str(n)), network=network) for n, network in enumerate("abab")]
    await store.hear(messages, None)
    assert [h.message.ext_id for h in await store.unhandled(networks={"b"})] == ["1", "3"]
    assert [h.message.ext_id for h in await store.unhandled(3, {"a", "b"})] == ["0", "1", "2"]
    assert list(await store.unhandled(networks=set())) == []


async def test_a_message_can_name_the_head_of_the_facts_it_is_committed_with(
    store: FactStore,
) -> None:
    send = NewSend("h", "fake", "room", Outgoing((f"Log at {HEAD_HERE}.",)))
    await store.append(STREAM, 0, [NewFact(NOW, "bot", CookStarted("garden-1"))], NOW, [send])
    _, head = await store.head(STREAM)
    (owed,) = await store.claim("fake", NOW)
    assert owed.message.lines == (f"Log at {head[:12]}.",)
