from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from bot.ports import (
    CrewRoom,
    Incoming,
    Migrated,
    NewFact,
    NewSend,
    Outgoing,
    Seat,
    Sent,
    StoreError,
)
from bot.store import SqlStore, open_store
from core.facts import CallAnswered
from tests.bot import golden_facts
from tests.fakes import FakeClock
from tests.postgres import Postgres

NOW = golden_facts.at(9)
ANA = Seat("garden-1", "ana", "fake", "@ana:home", "dm-ana")
PHOTO = b"\xff\xd8\xff" + b"lamb" * 100


@pytest.fixture(params=["sqlite", "postgres"])
async def store(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> AsyncIterator[SqlStore]:
    monkeypatch.chdir(tmp_path)
    if request.param == "postgres":
        server: Postgres = request.getfixturevalue("postgres")
        opened = await open_store(server.fresh(), FakeClock(NOW))
    else:
        opened = await open_store("log.db", FakeClock(NOW))
    yield opened
    await opened.close()


async def texts(store: SqlStore) -> str:
    """Return every word the tables hold."""
    with store.connection() as connection:
        rows = [
            connection.exec_driver_sql(f"SELECT * FROM {table}").all()
            for table in ("inbox", "outbox", "person", "address")
        ]
    return str(rows)


async def test_people_are_found_by_what_the_platform_calls_them(store: SqlStore) -> None:
    await store.people.seat(ANA)
    await store.people.seat(replace(ANA, cook="supper-1", person="a2"))
    assert list(await store.people.seats()) == [ANA, replace(ANA, cook="supper-1", person="a2")]


async def test_a_room_that_was_told_to_have_moved_keeps_its_cook_when_a_send_finds_out_later(
    store: SqlStore,
) -> None:
    await store.people.open_room(CrewRoom("fake", "old", "garden-1"))
    await store.append(
        "cook:garden-1", 0, (), NOW, (NewSend("k", "fake", "old", Outgoing(("x",))),)
    )
    await store.claim("fake", NOW)
    await store.people.leave_room("fake", "old")
    await store.people.open_room(CrewRoom("fake", "new", "garden-1"))
    await store.settle("k", Migrated("new"), NOW)
    assert list(await store.people.rooms()) == [CrewRoom("fake", "new", "garden-1")]
    (again,) = await store.claim("fake", NOW)
    assert again.room == "new"


async def test_a_private_room_that_was_closed_is_kept_as_none(store: SqlStore) -> None:
    await store.people.seat(ANA)
    await store.people.seat(replace(ANA, room=""))
    await store.people.seat(replace(ANA, room=None))
    assert list(await store.people.seats()) == [replace(ANA, room="")]


async def test_a_new_private_room_replaces_the_old_and_none_keeps_it(store: SqlStore) -> None:
    await store.people.seat(ANA)
    await store.people.seat(replace(ANA, room="dm2"))
    await store.people.seat(replace(ANA, room=None))
    assert [s.room for s in await store.people.seats()] == ["dm2"]


async def test_a_room_works_for_one_cook_at_a_time(store: SqlStore) -> None:
    await store.people.open_room(CrewRoom("fake", "r", "garden-1"))
    await store.people.open_room(CrewRoom("fake", "r", "supper-1"))
    assert list(await store.people.rooms()) == [CrewRoom("fake", "r", "supper-1")]
    await store.people.leave_room("fake", "r")
    assert list(await store.people.rooms()) == []


async def test_a_room_that_moves_keeps_its_cook_and_its_people(store: SqlStore) -> None:
    await store.people.open_room(CrewRoom("fake", "r", "garden-1"))
    await store.people.seat(replace(ANA, room="r"))
    await store.append("", 0, (), NOW, [NewSend("k", "fake", "r", Outgoing(("x",)))])
    await store.claim("fake", NOW)
    await store.settle("k", Migrated("r2"), NOW)
    assert list(await store.people.rooms()) == [CrewRoom("fake", "r2", "garden-1")]
    assert [s.room for s in await store.people.seats()] == ["r2"]


async def test_names_stand_beside_the_log(store: SqlStore) -> None:
    await store.people.name("garden-1", "ana", "Ana")
    await store.people.name("garden-1", "ana", "Ana M")
    assert await store.people.names("garden-1") == {"ana": "Ana M"}


async def test_who_is_erased_is_gone_and_the_chain_still_holds(store: SqlStore) -> None:
    message = Incoming("fake", "1", "dm-ana", ANA.who, "my words", NOW)
    await store.hear([message], None)
    fact = NewFact(NOW, "ana", CallAnswered("k"))
    told = NewSend("k", "fake", "dm-ana", Outgoing(("your words",)))
    await store.append("cook:garden-1", 0, [fact], NOW, [told], done=1)
    await store.claim("fake", NOW)
    await store.settle("k", Sent("1"), NOW)
    await store.people.seat(ANA)
    await store.people.name("garden-1", "ana", "Ana Secret")
    await store.people.erase("fake", ANA.who)
    left = await texts(store)
    assert not any(word in left for word in ("my words", "your words", "Secret", "@ana:home"))
    assert await store.verify("cook:garden-1") is None
    assert await store.hear([message], None) == 0  # that it was heard stays known


async def test_words_are_forgotten_by_age_but_nothing_that_is_still_to_be_done(
    store: SqlStore,
) -> None:
    await store.hear([Incoming("fake", str(n), "r", "ana", f"word{n}", NOW) for n in (1, 2)], None)
    sends = [NewSend(f"s{n}", "fake", f"r{n}", Outgoing((f"line{n}",))) for n in (1, 2)]
    await store.append("", 0, (), NOW, sends, done=1)
    await store.claim("fake", NOW, 1)
    await store.settle("s1", Sent("1"), NOW)
    await store.people.forget_words(NOW + timedelta(seconds=1))
    left = await texts(store)
    assert [word in left for word in ("word1", "word2", "line1", "line2")] == [
        *(False, True, False, True)
    ]


async def test_a_file_is_kept_once_and_found_by_its_hash(store: SqlStore) -> None:
    name = await store.files.keep(PHOTO, "image/jpeg")
    assert await store.files.keep(PHOTO, "image/jpeg") == name
    assert await store.files.content(name) == PHOTO


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (b"#!/bin/sh", "image/jpeg"),
        (b"<html>", "text/html"),
        (PHOTO + bytes(20_000_000), "image/jpeg"),
    ],
)
async def test_what_is_no_photo_or_document_is_refused(
    store: SqlStore, content: bytes, kind: str
) -> None:
    with pytest.raises(StoreError):
        await store.files.keep(content, kind)


async def test_a_damaged_or_missing_file_is_an_error_and_no_picture(store: SqlStore) -> None:
    name = await store.files.keep(PHOTO, "image/jpeg")
    store.files.path(name).write_bytes(PHOTO + b"x")
    with pytest.raises(StoreError, match="damaged"):
        await store.files.content(name)
    store.files.path(name).unlink()
    with pytest.raises(StoreError):
        await store.files.content(name)
