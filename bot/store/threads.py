"""The threads beside the event loop: one writes, one reads.

What waits while a commit runs goes into the next one together, so a burst costs a few commits
and a lone call costs one. A job takes all its waiting arguments at once and gives a result, or an
error, for each; a broken transaction is run again one by one, so that each gets what is its own.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any, TypeVar

from sqlalchemy import Connection, Engine

from bot.ports import StoreError
from bot.store.engine import meaning

A = TypeVar("A")
R = TypeVar("R")
Job = Callable[[Connection, Sequence[A]], Sequence[R | Exception]]

MOST_AT_ONCE = 500
"""Works in one commit: enough for a burst, little enough to keep each commit short."""


@dataclass(frozen=True, slots=True)
class _Work:
    job: Job[Any, Any]
    argument: Any
    result: Future[Any] = field(default_factory=Future)


class Writer:
    """Runs jobs in transactions on one thread, in the order in which they were given."""

    def __init__(
        self, engine: Engine, thread: ThreadPoolExecutor, forget: Callable[[], None]
    ) -> None:
        self._engine, self._thread, self._forget = engine, thread, forget
        self._waiting: deque[_Work] = deque()

    async def do(self, job: Job[A, R], argument: A) -> R:
        """Run the job; its result is on the disk when this returns."""
        work = _Work(job, argument)
        self._waiting.append(work)
        self._thread.submit(self._commit_waiting)
        result: R = await asyncio.wrap_future(work.result)
        return result

    def _commit_waiting(self) -> None:
        works: list[_Work] = []
        while self._waiting and len(works) < MOST_AT_ONCE:
            work = self._waiting.popleft()
            if work.result.set_running_or_notify_cancel():
                works.append(work)
        if works:
            self._commit(works)

    def _commit(self, works: list[_Work], *, again: bool = False) -> None:
        try:
            with self._engine.begin() as connection:
                results = _results(connection, works)
        except Exception as wrong:
            self._forget()  # what was remembered of this transaction is not so
            self._failed(works, meaning(wrong), again=again)
            return
        for work, result in zip(works, results, strict=True):
            if isinstance(result, Exception):
                work.result.set_exception(result)
            else:
                work.result.set_result(result)

    def _failed(self, works: list[_Work], wrong: BaseException, *, again: bool) -> None:
        """Give the error to all if it is the database's, else find out whose it is."""
        for work in works:
            if again or isinstance(wrong, StoreError):
                work.result.set_exception(wrong)
            else:
                self._commit([work], again=True)


def _results(connection: Connection, works: list[_Work]) -> list[Any]:
    results: list[Any] = []
    for job, same in groupby(works, key=lambda w: w.job):
        results.extend(job(connection, [w.argument for w in same]))
    return results


class Reader:
    """Runs reads on one thread of its own, each on one consistent state."""

    def __init__(self, engine: Engine, thread: ThreadPoolExecutor) -> None:
        self._engine, self._thread = engine, thread

    async def do(self, read: Callable[[Connection], R]) -> R:
        """Return what is read."""
        return await asyncio.wrap_future(self._thread.submit(self._read, read))

    def _read(self, read: Callable[[Connection], R]) -> R:
        try:
            with self._engine.begin() as connection:
                return read(connection)
        except Exception as wrong:
            raise meaning(wrong) from wrong
