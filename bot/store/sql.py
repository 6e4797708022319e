"""The store on SQLite or PostgreSQL: each method is one transaction on a thread of its own."""

from __future__ import annotations

import asyncio
from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Connection, Engine, select
from sqlmodel import col

from bot.ports import (
    Clock,
    Due,
    Heard,
    Incoming,
    NewFact,
    NewSend,
    Outgoing,
    Owed,
    Receipt,
    StoreFigures,
    Together,
    Trouble,
    Wake,
)
from bot.store import claiming, inbox, log, queueing, settling
from bot.store import figures as counted
from bot.store import wake as wake_cache
from bot.store.appends import Append, Appends
from bot.store.backup import backed_up
from bot.store.dialect import insert_or_set
from bot.store.engine import Place, files_beside, let_go
from bot.store.files import Shelf
from bot.store.instants import instant, us
from bot.store.lock import OneCopy
from bot.store.people import People
from bot.store.tables import Facts, Pulse
from bot.store.threads import Job, Reader, Reads, Writer, WriterReads
from bot.store.together import Alone, Copies
from core.facts import Entry

A = TypeVar("A")
R = TypeVar("R")


class SqlStore:
    """Implements FactStore. Made by `open_store`."""

    def __init__(
        self,
        at: Place,
        writes: Engine,
        reads: Engine,
        clock: Clock,
        *,
        lock: OneCopy | None,
        holder: int,
    ) -> None:
        self._at, self._lock, self._clock, self._holder = at, lock, clock, holder
        self._engines = (writes, reads)
        self._append, self._said = Appends(), queueing.Said()
        self._write = Writer(writes, self._append.forget)
        self._read: Reads = WriterReads(self._write) if reads is writes else Reader(reads)
        self.people = People(self._read, self._write)
        self.files = Shelf(files_beside(at), self._write, clock)
        several = at.url.get_backend_name() == "postgresql"
        self.together: Together = Copies(at.url, holder) if several else Alone()

    # -------------------------------------------------------------- inbox and cursor

    async def hear(self, messages: Sequence[Incoming], cursor: tuple[str, str] | None) -> int:
        """Store what a platform gave us and how far it was read; return how many were new."""
        return await self._write.do(
            inbox.hear, inbox.Hearing(tuple(messages), cursor, self._clock.now())
        )

    async def unhandled(
        self, limit: int = 100, networks: Collection[str] | None = None
    ) -> Sequence[Heard]:
        """Return inbox rows not done, oldest first; of these networks, or of all."""
        return await self._read.do(lambda c: inbox.unhandled(c, limit, networks))

    async def cursor(self, network: str) -> str | None:
        """Return how far a platform was read."""
        return await self._read.do(lambda c: inbox.cursor(c, network))

    async def fail(self, inbox_id: int, why: str, sends: Sequence[NewSend] = ()) -> None:
        """Count a failed attempt at an inbox row; after the third it is set aside."""
        await self._write.do(_fail, (inbox_id, why, self._queued(sends)))

    # -------------------------------------------------------------- facts

    async def append(
        self,
        stream: str,
        expected: int,
        facts: Sequence[NewFact],
        heard_at: datetime,
        sends: Sequence[NewSend] = (),
        done: int | None = None,
        wake: Wake | None = None,
    ) -> Sequence[Entry]:
        """Append facts at `expected + 1`, queue sends and close inbox row `done`, in one commit."""
        as_text = tuple(map(log.written, facts))
        rows = tuple(self._queued(sends))
        wish = Append(stream, expected, as_text, heard_at, rows, done, wake)
        job: Job[Append, list[Entry]] = self._append
        return await self._write.do(job, wish)

    async def read(self, stream: str, after: int = 0) -> Sequence[Entry]:
        """Return a stream's entries with seq above `after`, in order."""
        return await self._read.do(
            lambda c: [log.entry(row.body) for row in log.stored(c, stream, after)]
        )

    async def streams(self, prefix: str) -> Sequence[str]:
        """Return the streams whose name starts so, sorted."""
        named = select(col(Facts.stream)).where(col(Facts.seq) == 1)
        names = await self._read.do(lambda c: list(c.execute(named).scalars()))
        return sorted(name for name in names if name.startswith(prefix))

    async def running(self, prefix: str) -> Sequence[str]:
        """Return those of the streams that may still be under way, in order of their beginning."""
        names = await self._read.do(log.running)
        return [name for name in names if name.startswith(prefix)]

    async def head(self, stream: str) -> tuple[int, str]:
        """Return a stream's last seq and chain hash ('' when empty)."""
        return await self._read.do(lambda c: log.head(c, stream))

    async def verify(self, stream: str) -> int | None:
        """Return the seq of the first entry whose hash does not fit, or None."""
        return await self._read.do(lambda c: log.first_broken(c, stream))

    async def wakes(self, until: datetime) -> Sequence[str]:
        """Return the streams that have a call due by then, or may have, the earliest first."""
        return await self._read.do(lambda c: wake_cache.due(c, until))

    async def take_wakes(self, now: datetime, most: int, after: Due | None = None) -> Sequence[Due]:
        """Take streams that have a call due in hand, behind `after`; other copies let them be."""
        look = wake_cache.Look(now, most, after)
        if self._at.file is not None or self._at.is_memory:
            return await self._read.do(lambda c: wake_cache.page(c, look))
        return await self._write.do(wake_cache.take, look)

    async def next_wake(self) -> datetime | None:
        """Return when the first stream has a call due; None when none has."""
        return await self._read.do(wake_cache.following)

    async def set_wake(self, stream: str, wake: Wake) -> None:
        """Correct a stream's wake after a look at it found nothing due."""
        await self._write.do(self._append.wakes.put_each, (stream, wake))

    # -------------------------------------------------------------- outbox

    def _queued(self, new: Sequence[NewSend]) -> list[dict[str, object]]:
        now = self._clock.now()
        rows = [queueing.queued(send, now) for send in new]
        for row, send in zip(rows, new, strict=True):
            self._said.put(row["message"], send.message)
        return rows

    async def claim(self, network: str, now: datetime, limit: int = 20) -> Sequence[Owed]:
        """Mark due outbox rows 'sending', commit, and return them: urgent first, one per room."""
        return await self._write.do(
            claiming.claim, claiming.Claim(network, now, limit, self._holder, self._said)
        )

    async def settle(self, key: str, receipt: Receipt, now: datetime) -> None:
        """Record how a send went and what follows from it."""
        await self._write.do(settling.settle, settling.Settlement(key, receipt, now))

    async def defer(self, key: str, until: datetime, now: datetime) -> None:
        """Put a claimed row back for a while, by our own pace; no attempt is counted."""
        await self._write.do(settling.defer, settling.Deferral(key, until, now))

    async def next_send(self, network: str) -> datetime | None:
        """Return when the next outbox row may be sent; None when nothing is owed."""
        return await self._read.do(lambda c: claiming.next_send(c, network))

    async def sent_message(self, network: str, receipt: str) -> Outgoing | None:
        """Return the message we sent that the platform knows by this id; None if none."""
        return await self._read.do(lambda c: settling.sent_message(c, network, receipt))

    async def troubles(self) -> Sequence[Trouble]:
        """Return what was given up and not yet told to anybody."""
        return await self._read.do(settling.troubles)

    async def told(self, key: str) -> None:
        """Record that somebody was told of a trouble."""
        await self._write.do(settling.told, key)

    # -------------------------------------------------------------- the store itself

    async def last_beat(self) -> datetime | None:
        """Return when we were last known to be alive; None at the very first start."""
        return await self._read.do(_last_beat)

    async def beat(self, now: datetime) -> datetime | None:
        """Record that we are alive; return when we last were, None at the very first start."""
        return await self._write.do(_beat, now)

    async def figures(self, now: datetime) -> StoreFigures:
        """Return what a monitor wants to know."""
        due = await self.next_wake()
        return await self._read.do(lambda c: counted.figures(c, now, due))

    async def backup(self, to: Path) -> None:
        """Write a consistent copy while running."""
        await asyncio.to_thread(backed_up, self._at, to)

    @property
    def writes(self) -> Engine:
        """Return the engine that writes, for tests that slow it down."""
        return self._engines[0]

    @contextmanager
    def connection(self) -> Iterator[Connection]:
        """Give the writing connection to maintenance and tests; nothing else may be at work."""
        with self._engines[0].begin() as connection:
            yield connection

    async def close(self) -> None:
        """Let go of the database."""
        await asyncio.to_thread(self._let_go)

    def _let_go(self) -> None:
        self._write.stop()
        self._read.stop()
        for engine in self._engines:
            let_go(engine)
        if self._lock:
            self._lock.release()


def _fail(
    connection: Connection, failures: Sequence[tuple[int, str, list[dict[str, object]]]]
) -> list[None]:
    for inbox_id, why, queue in failures:
        inbox.failed(connection, inbox_id, why)
        queueing.queue(connection, list(map(dict, queue)))
    return [None] * len(failures)


def _last_beat(connection: Connection) -> datetime | None:
    last = connection.execute(select(col(Pulse.at_us))).scalar()
    return None if last is None else instant(last)


def _beat(connection: Connection, beats: Sequence[datetime]) -> list[datetime | None]:
    was: list[datetime | None] = []
    for now in beats:
        was.append(_last_beat(connection))
        insert_or_set(connection, Pulse, {"id": 1}, {"at_us": us(now)})
    return was
