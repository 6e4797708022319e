"""Several copies on one PostgreSQL: posts, leases of wakes, news; limits are the module's."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import timedelta

import psycopg
import pytest

from bot.ports import CrewRoom, FactStore, NewFact, News, NewSend, Outgoing, Wake
from bot.store import SqlStore, open_store
from bot.store import together as of_module
from bot.store.wake import LEASE
from core.facts import CookStarted
from tests.bot import golden_facts
from tests.fakes import FakeClock, MemoryStore
from tests.postgres import Postgres

NOW = golden_facts.at(9)
POSTS = ("telegram", "matrix")
PATIENCE_S = 20.0


@pytest.fixture
async def two(postgres: Postgres) -> AsyncIterator[tuple[SqlStore, SqlStore, str]]:
    url = postgres.fresh()
    one, other = await open_store(url, FakeClock(NOW)), await open_store(url, FakeClock(NOW))
    yield one, other, url
    await one.close()
    await other.close()


class Copy:
    """What one copy holds and hears."""

    def __init__(self) -> None:
        self.held: frozenset[str] = frozenset()
        self.changes: list[frozenset[str]] = []
        self.news: list[News] = []

    def change(self, held: frozenset[str]) -> None:
        self.held = held
        self.changes.append(held)


@asynccontextmanager
async def working(store: FactStore) -> AsyncIterator[Copy]:
    copy = Copy()
    task = asyncio.create_task(store.together.run(POSTS, copy.change, copy.news.append))
    await until(lambda: bool(copy.news))
    try:
        yield copy
    finally:
        task.cancel()
        await asyncio.gather(task, return_exceptions=True)


async def until(happened: object) -> None:
    assert callable(happened)
    async with asyncio.timeout(PATIENCE_S):
        while not happened():
            await asyncio.sleep(0.01)


async def test_who_is_alone_holds_every_post() -> None:
    async with working(MemoryStore(FakeClock(NOW))) as copy:
        assert copy.held == frozenset(POSTS)


async def test_a_post_is_held_by_one_copy_and_passes_on_when_it_ends(
    two: tuple[SqlStore, SqlStore, str],
) -> None:
    async with working(two[1]) as waiting:
        async with working(two[0]) as first:
            await until(lambda: first.held | waiting.held == frozenset(POSTS))
            assert not first.held & waiting.held
        await until(lambda: waiting.held == frozenset(POSTS))


async def test_a_copy_whose_session_ends_holds_nothing_at_once_and_comes_back(
    two: tuple[SqlStore, SqlStore, str],
) -> None:
    async with working(two[0]) as copy:
        await until(lambda: copy.held == frozenset(POSTS))
        with psycopg.connect(two[2], autocommit=True) as server:
            server.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_locks WHERE locktype = 'advisory'"
                " AND classid = %s",
                (of_module.POSTS,),
            )
        await until(lambda: frozenset() in copy.changes)
        await until(lambda: copy.held == frozenset(POSTS))
        assert copy.news.count(of_module.ALL) == 2  # what was said meanwhile is not known


async def test_a_server_that_falls_silent_is_given_up_at_once() -> None:
    asked = asyncio.Event()

    async def never() -> None:
        asked.set()
        await asyncio.get_running_loop().create_future()

    with pytest.raises(TimeoutError):
        await of_module._within(0.01, never())
    assert asked.is_set()


def test_who_loses_the_server_stops_before_the_server_lets_go() -> None:
    # by hand from engine.NOTICED: 2 s of silence, then 2 questions 1 s apart
    assert of_module.LOOK_S + of_module.ANSWER_S < 2 + 2 * 1


async def test_the_other_copy_hears_what_cannot_wait_and_we_do_not_hear_ourselves(
    two: tuple[SqlStore, SqlStore, str],
) -> None:
    one, other, _ = two
    async with working(one) as speaker, working(other) as listener:
        send = NewSend("k", "telegram", "room", Outgoing(("PULL A",)))
        fact = NewFact(NOW, "ana", CookStarted("x-1"))
        at = NOW + timedelta(minutes=5)
        await one.append("cook:x-1", 0, [fact], NOW, [send], wake=Wake(at))
        await one.people.open_room(CrewRoom("telegram", "room", "x-1"))
        wanted = [News(network="telegram"), News(wake=at), News(people="x-1")]
        await until(lambda: all(news in listener.news for news in wanted))
        assert speaker.news == [of_module.ALL]


async def due(store: SqlStore, *names: str) -> None:
    for name in names:
        fact = NewFact(NOW, "ana", CookStarted(name))
        await store.append(f"cook:{name}", 0, [fact], NOW, wake=Wake(NOW))


async def test_two_copies_share_what_is_due_and_none_has_it_twice(
    two: tuple[SqlStore, SqlStore, str],
) -> None:
    one, other, _ = two
    await due(one, *"abcdef")
    looks = await asyncio.gather(*(s.take_wakes(NOW, 2) for s in (one, other, one)))
    taken = [due.stream for look in looks for due in look]
    assert sorted(taken) == [f"cook:{name}" for name in "abcdef"]
    assert list(await other.take_wakes(NOW, 9)) == []
    assert await other.next_wake() == NOW + LEASE  # if they die, look again then


async def test_a_dead_copys_streams_are_free_within_seconds(
    two: tuple[SqlStore, SqlStore, str],
) -> None:
    one, other, _ = two
    await due(one, "a")
    await one.take_wakes(NOW, 9)
    assert timedelta(seconds=4) >= LEASE
    (again,) = await other.take_wakes(NOW + LEASE, 9)
    assert again.stream == "cook:a"


async def test_a_stream_is_free_as_soon_as_its_next_wake_is_stored(
    two: tuple[SqlStore, SqlStore, str],
) -> None:
    one, other, _ = two
    await due(one, "a", "b")
    await one.take_wakes(NOW, 9)
    await one.set_wake("cook:a", Wake(NOW + timedelta(seconds=1)))
    assert await other.next_wake() == NOW + timedelta(seconds=1)
    (free,) = await other.take_wakes(NOW + timedelta(seconds=1), 9)
    assert free.stream == "cook:a"
