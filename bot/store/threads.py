"""The threads beside the event loop: one writes, one reads.

What waits while a commit runs goes into the next one together, so a burst costs a few commits
and a lone call costs one. A job takes all its waiting arguments at once and gives a result, or an
error, for each; a broken transaction is run again one by one, so that each gets what is its own.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import groupby
from typing import Any, TypeVar

from sqlalchemy import Connection, Engine

from bot.ports import StoreError
from bot.store.engine import meaning

A = TypeVar("A")
R = TypeVar("R")
Job = Callable[[Connection, Sequence[A]], Sequence[R | Exception]]

MOST_AT_ONCE = 200
"""Works in one commit: enough for a burst, little enough to keep each commit short."""


@dataclass(frozen=True, slots=True)
class _Work:
    job: Job[Any, Any]
    argument: Any
    result: asyncio.Future[Any]


class Writer:
    """Runs jobs in transactions on one thread, in the order in which they were given."""

    def __init__(
        self, engine: Engine, thread: ThreadPoolExecutor, forget: Callable[[], None]
    ) -> None:
        self._engine, self._thread, self._forget = engine, thread, forget
        self._waiting: deque[_Work] = deque()

    async def do(self, job: Job[A, R], argument: A) -> R:
        """Run the job; its result is on the disk when this returns."""
        loop = asyncio.get_running_loop()
        work = _Work(job, argument, loop.create_future())
        self._waiting.append(work)
        if len(self._waiting) == 1:  # else the thread has been told already and will find it
            self._thread.submit(self._commit_waiting, loop)
        result: R = await work.result
        return result

    def _commit_waiting(self, loop: asyncio.AbstractEventLoop) -> None:
        while self._waiting:
            works = [self._waiting[n] for n in range(min(len(self._waiting), MOST_AT_ONCE))]
            outcomes = self._commit([w for w in works if not w.result.cancelled()])
            loop.call_soon_threadsafe(_hand_out, outcomes)
            for _ in works:  # only now, so that whoever comes meanwhile need not tell the thread
                self._waiting.popleft()

    def _commit(self, works: list[_Work], *, again: bool = False) -> list[tuple[_Work, Any]]:
        """Return each work with its result or its error."""
        try:
            with self._engine.begin() as connection:
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
