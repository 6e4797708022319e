"""The life of one copy: the real process on the wire, killed on demand after so many ticks."""

from __future__ import annotations

import asyncio
import os
import signal
from pathlib import Path

from bot.app import _until_told
from bot.clock import SystemClock
from bot.ports import FactStore
from bot.posts import Front
from bot.serving import Serving, serving
from bot.settings import Settings
from tests.copies.wire import fronts, seen, tell
from tests.soak.reaper import Reaper

NO_ENGINE_S = 3600.0
"""A better plan is another test's business: it would take the processor from this one."""

FIRST_LINE_S = 0.2
"""By then it has asked for the posts for the first time."""


def live(url: str, folder: str, kill_after: int) -> None:
    """Run until told to stop; SIGUSR1 lets it die by SIGKILL at the n-th tick from then."""
    reaper = Reaper(None)
    reaper.watch_database()

    def arm(*_: object) -> None:
        reaper.die_in(kill_after)

    signal.signal(signal.SIGUSR1, arm)
    asyncio.run(_until_told(_live(url, Path(folder), reaper)))
    os._exit(0)


async def _live(url: str, folder: Path, reaper: Reaper) -> None:
    clock = SystemClock()

    def wires(store: FactStore) -> tuple[Front, ...]:
        return fronts(store, folder, clock, reaper.tick)

    async with serving(Settings(url), clock, wires) as work:
        work.solving.settle_s = NO_ENGINE_S
        standing = asyncio.create_task(_ready(work, folder))
        try:
            await work.run()
        finally:
            standing.cancel()


async def _ready(work: Serving, folder: Path) -> None:
    """Say that this copy looks after the cooks, and may take a post."""
    while work.posts.pulse.looked is None:
        await asyncio.sleep(0.01)
    await asyncio.sleep(FIRST_LINE_S)
    tell(seen(folder), ready=True)
