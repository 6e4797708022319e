"""The threads beside the event loop: one writes, one reads.

What waits while a commit runs goes into the next one together, so a burst costs a few commits
and a lone call costs one. A job takes all its waiting arguments at once and gives a result, or an
error, for each; a broken transaction is run again one by one, so that each gets what is its own.
"""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from itertools import groupby
from queue import Empty, SimpleQueue
from threading import Thread
from typing import Any, Protocol, TypeVar

from sqlalchemy import Connection, Engine

from bot.ports import StoreError
from bot.store.engine import meaning

A = TypeVar("A")
R = TypeVar("R")
Job = Callable[[Connection, Sequence[A]], Sequence[R | Exception]]

MOST_AT_ONCE = 500
"""Works in one commit: enough for a burst, little enough to keep each commit short."""

LINGER_S = 0.0003
"""How long a commit waits for company after one that had some; a lone work never waits."""

SLOW_S = 1.0
"""A commit that takes longer is worth a line in the log; calls that come late say so."""

LOG = logging.getLogger("pitcrier.store")


@dataclass(frozen=True, slots=True)
class _Work:
    job: Job[Any, Any]
    argument: Any
    result: asyncio.Future[Any]


class Writer:
    """Runs jobs in transactions on one thread, in the order in which they were given."""

    def __init__(self, engine: Engine, forget: Callable[[], None]) -> None:
        self._engine, self._forget = engine, forget
        self._waiting: SimpleQueue[_Work | None] = SimpleQueue()
        self._kept: Connection | None = None
        self._busy = False
        self._stopped = False
        self._thread = Thread(target=self._run, name="store-writes", daemon=True)
        self._thread.start()

    async def do(self, job: Job[A, R], argument: A) -> R:
        """Run the job; its result is on the disk when this returns."""
        if self._stopped:
            raise RuntimeError("the store is closed")
        work = _Work(job, argument, asyncio.get_running_loop().create_future())
        self._waiting.put(work)
        result: R = await work.result
        return result

    def stop(self) -> None:
        """Finish what waits, and end."""
        self._stopped = True
        self._waiting.put(None)
        self._thread.join()
        if self._kept is not None:
            self._kept.close()

    def _run(self) -> None:
        taken: list[_Work | None] = []
        while not taken or taken[-1] is not None:
            taken = self._taken()
            works = [work for work in taken if work is not None and not work.result.cancelled()]
            if works:
                loop = works[0].result.get_loop()
                begun, outcomes = loop.time(), self._commit(works)
                if loop.time() - begun > SLOW_S:
                    LOG.warning("slow disk", extra={"s": round(loop.time() - begun, 1)})
                with suppress(RuntimeError):  # the loop is closed: nobody waits any more
                    loop.call_soon_threadsafe(_hand_out, outcomes)

    def _taken(self) -> list[_Work | None]:
        """Wait for a work and take what came meanwhile; the last is None when it is the end."""
        taken = [self._waiting.get()]
        if self._busy:
            time.sleep(LINGER_S)  # what is on its way shares the commit
        with suppress(Empty):
            while len(taken) < MOST_AT_ONCE:
                taken.append(self._waiting.get_nowait())
        self._busy = len(taken) > 1
        return taken

    @contextmanager
    def _begun(self) -> Iterator[Connection]:
        """Give the connection with a transaction begun.

        SQLite's is kept: taking it out of its pool takes longer than many a transaction. A
        server's is asked for each time, for a dead one is found and replaced then.
        """
        if self._engine.dialect.name == "sqlite":
            self._kept = self._kept or self._engine.connect()
            with self._kept.begin():
                yield self._kept
        else:
            with self._engine.begin() as connection:
                yield connection

    def _commit(self, works: list[_Work], *, again: bool = False) -> list[tuple[_Work, Any]]:
        """Return each work with its result or its error."""
        try:
            with self._begun() as connection:
                return list(zip(works, _results(connection, works), strict=True))
        except Exception as wrong:
            self._forget()  # what was remembered of this transaction is not so
            means = meaning(wrong)
        if again or isinstance(means, StoreError):
            return [(work, means) for work in works]
        # it is one work's own: find out whose
        return [outcome for work in works for outcome in self._commit([work], again=True)]


def _hand_out(outcomes: list[tuple[_Work, Any]]) -> None:
    for work, outcome in outcomes:
        if work.result.done():
            continue  # nobody waits for it any more
        if isinstance(outcome, BaseException):
            work.result.set_exception(outcome)
        else:
            work.result.set_result(outcome)


def _results(connection: Connection, works: list[_Work]) -> list[Any]:
    results: list[Any] = []
    for job, same in groupby(works, key=lambda w: w.job):
        results.extend(job(connection, [w.argument for w in same]))
    return results


class Reads(Protocol):
    """What runs reads."""

    async def do(self, read: Callable[[Connection], R]) -> R:
        """Return what is read."""
        ...

    def stop(self) -> None:
        """Finish what waits, and end."""
        ...


class Reader:
    """Runs reads on one thread of its own, each on one consistent state."""

    def __init__(self, engine: Engine) -> None:
        self._engine, self._thread = engine, ThreadPoolExecutor(1, "store-reads")

    async def do(self, read: Callable[[Connection], R]) -> R:
        """Return what is read."""
        return await asyncio.wrap_future(self._thread.submit(self._read, read))

    def stop(self) -> None:
        """Finish what waits, and end."""
        self._thread.shutdown(wait=True)

    def _read(self, read: Callable[[Connection], R]) -> R:
        try:
            with self._engine.begin() as connection:
                return read(connection)
        except Exception as wrong:
            raise meaning(wrong) from wrong


class WriterReads:
    """Runs reads on the writer's thread: a database in memory has one connection only."""

    def __init__(self, writer: Writer) -> None:
        self._writer = writer

    async def do(self, read: Callable[[Connection], R]) -> R:
        """Return what is read."""
        return await self._writer.do(_read_each, read)

    def stop(self) -> None:
        """Do nothing: the writer stops by itself."""


def _read_each(connection: Connection, reads: Sequence[Callable[[Connection], R]]) -> list[R]:
    return [read(connection) for read in reads]
