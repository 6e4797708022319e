"""The exact engine beside the talk: in another process, one question a cook, never waited for.

A cook is answered with the plan that is there at once. Whenever that plan has changed, the engine
is asked for a better one; a newer change drops the older question. What comes back is adopted or
offered in a commit like any other, and made again if the day has moved on meanwhile.
"""

from __future__ import annotations

import asyncio
import logging
import os
from collections.abc import Callable, Sequence
from concurrent.futures import BrokenExecutor, Executor, ProcessPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field
from multiprocessing import get_context, parent_process
from threading import Thread

from bot.dispatch import Dispatcher
from core.cook.better import Work, better, proposed, stale, work_of
from core.facts import EndExpected, Fact, LateReported, PlanAdopted, Retimed
from core.model import Plan

LOG = logging.getLogger("pitcrier.solving")

SETTLE_S = 2.0
"""Reports come in bursts: so long after the last one the engine is asked."""

TRIES = 3
LONGEST_S = 60.0
"""Past its own limits by so much, an answer is not waited for any longer."""

WORKERS = 1


def workers(most: int = WORKERS) -> ProcessPoolExecutor:
    """Return processes for what is slow; none is started before there is work.

    Spawned, not forked: a fork would inherit the store's locks and the loop's threads.
    """
    return ProcessPoolExecutor(most, mp_context=get_context("spawn"), initializer=_end_with_parent)


def _end_with_parent() -> None:
    """Have this worker end when the bot does, even by a kill: its queue would wait for ever."""
    parent = parent_process()
    if parent is None:
        return

    def watch() -> None:
        parent.join()
        os._exit(0)

    Thread(target=watch, daemon=True).start()


MOVES = (PlanAdopted, Retimed, LateReported, EndExpected)


@dataclass(slots=True)
class Solving:
    """Asks the engine whenever a plan has changed. `close` before the workers are shut down."""

    dispatcher: Dispatcher
    workers: Executor
    settle_s: float = SETTLE_S
    engine: Callable[[Work], Plan | None] = better
    _asked: dict[str, asyncio.Task[None]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Hear of every commit."""
        self.dispatcher.changed = self.changed

    def changed(self, cook_id: str, facts: Sequence[Fact]) -> None:
        """Ask the engine about a cook whose plan has changed; an older question is dropped."""
        if not any(isinstance(fact, MOVES) for fact in facts):
            return
        self._begin(cook_id)

    async def look(self) -> None:
        """Ask about every open cook: after a start, or being away."""
        for cook in await self.dispatcher.open_cooks():
            self._begin(cook.id)

    def _begin(self, cook_id: str) -> None:
        running = self._asked.get(cook_id)
        if running is not None and running is not asyncio.current_task():
            running.cancel()
        self._asked[cook_id] = asyncio.create_task(self._ask(cook_id))

    async def settled(self) -> None:
        """Wait until nothing is being asked."""
        while open_ := [task for task in self._asked.values() if not task.done()]:
            await asyncio.gather(*open_, return_exceptions=True)

    async def close(self) -> None:
        """Drop every question."""
        for task in self._asked.values():
            task.cancel()
        await asyncio.gather(*self._asked.values(), return_exceptions=True)
        self._asked.clear()

    async def _ask(self, cook_id: str) -> None:
        await asyncio.sleep(self.settle_s)
        try:
            for _ in range(TRIES):
                if await self._answered(cook_id):
                    return
        except BrokenExecutor:
            LOG.error("the workers are gone: plans stay as they are", extra={"cook": cook_id})
        except Exception:  # the plan in force stands; a better one must not break the talk
            LOG.exception("no better plan", extra={"cook": cook_id})

    async def _answered(self, cook_id: str) -> bool:
        """Return whether the question is settled; False if the day moved on while it was asked."""
        work = work_of(await self.dispatcher.cook(cook_id), self.dispatcher.clock.now())
        if work is None:
            return True
        found = await self._found(work)
        if found is None:
            return True
        return await self.dispatcher.propose(
            cook_id,
            lambda cook, now: (
                None if stale(cook, work, found, now) else proposed(cook, work, found, now)
            ),
        )

    async def _found(self, work: Work) -> Plan | None:
        loop = asyncio.get_running_loop()
        with suppress(TimeoutError):
            return await asyncio.wait_for(
                loop.run_in_executor(self.workers, self.engine, work), LONGEST_S
            )
        LOG.warning("the engine overran", extra={"seq": work.seq})
        return None
