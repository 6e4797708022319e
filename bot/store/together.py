"""Several copies of the process on one PostgreSQL: who holds which post, and news between them.

A post is what exactly one copy must do: listen to a platform and speak there. Its holder has an
advisory lock of a session of its own, so the lock is gone when the process is, and there is no
election of ours that could go wrong. The same session hears what the others have committed.

The order of the limits matters. A holder that loses the server knows after `LOOK_S + ANSWER_S`,
3 s, and stops; the server lets go of a silent machine's locks after 4 s (`engine.NOTICED`); only
then somebody else gets them, within `LOOK_S`.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Any
from zlib import crc32

from sqlalchemy.engine import URL

from bot.ports import News
from bot.store.engine import CHANNEL, NOTICED, SPACE
from bot.store.instants import instant

LOG = logging.getLogger("pitcrier.together")

POSTS = SPACE + 2
"""Under this number a post's holder has a lock."""

LOOK_S = 1.0
ANSWER_S = 2.0
RETRY_S = 0.5

ALL = News(people="", everything=True)

Change = Callable[[frozenset[str]], None]
Heard = Callable[[News], None]


class Alone:
    """Implements Together for the one copy on its own database: every post is ours."""

    shared = False

    async def run(self, posts: Sequence[str], change: Change, heard: Heard) -> None:
        """Hold them all until cancelled."""
        change(frozenset(posts))
        heard(ALL)
        await asyncio.get_running_loop().create_future()


class Copies:
    """Implements Together on PostgreSQL."""

    shared = True

    def __init__(self, url: URL, holder: int) -> None:
        plain = url.set(drivername="postgresql")
        self._address, self._holder = plain.render_as_string(hide_password=False), holder

    async def run(self, posts: Sequence[str], change: Change, heard: Heard) -> None:
        """Hold what nobody else holds, and tell of news, until cancelled."""
        from psycopg import Error

        while True:
            try:
                await self._on_one_line(posts, change, heard)
            except (Error, OSError, TimeoutError) as wrong:
                LOG.warning("line lost", extra={"why": type(wrong).__name__})
            await asyncio.sleep(RETRY_S)

    async def _on_one_line(self, posts: Sequence[str], change: Change, heard: Heard) -> None:
        """Hold and hear until the session ends; then nothing is held any more, at once."""
        line = await self._opened()
        held: frozenset[str] = frozenset()
        try:
            await _within(ANSWER_S, line.execute(NOTICED))
            await _within(ANSWER_S, line.execute(f"LISTEN {CHANNEL}"))
            heard(ALL)  # whatever was told before we listened
            while True:
                now = held | await _within(ANSWER_S, _taken(line, posts, held))
                if now != held:
                    held = now
                    change(held)
                async for told in line.notifies(timeout=LOOK_S):
                    if (news := self._news(told.payload)) is not None:
                        heard(news)
        finally:
            if held:
                change(frozenset())
            with suppress(Exception):  # nothing is left to be saved of it
                await line.close()

    async def _opened(self) -> Any:
        from psycopg import AsyncConnection

        return await AsyncConnection.connect(self._address, autocommit=True, connect_timeout=5)

    def _news(self, told: str) -> News | None:
        """Return what was told; nothing for our own words or for those of a newer version."""
        holder, _, rest = told.partition(":")
        kind, _, what = rest.partition(":")
        if holder == str(self._holder):
            return None
        match kind:
            case "send":
                return News(network=what)
            case "wake" if what.isdigit():
                return News(wake=instant(int(what)))
            case "people":
                return News(people=what)
        return None


async def _taken(line: Any, posts: Sequence[str], held: frozenset[str]) -> frozenset[str]:
    """Return the posts that are ours from now on; asking also shows that the line is alive."""
    await line.execute("SELECT 1")
    taken = set()
    for post in posts:
        if post not in held:
            key = crc32(post.encode()) - 2**31
            asked = await line.execute("SELECT pg_try_advisory_lock(%s, %s)", (POSTS, key))
            if (await asked.fetchone())[0]:
                taken.add(post)
    return frozenset(taken)


async def _within(seconds: float, doing: Any) -> Any:
    """Return what is waited for; on silence raise at once, without waiting for its end."""
    task = asyncio.ensure_future(doing)
    try:
        done, _ = await asyncio.wait({task}, timeout=seconds)
        if not done:
            raise TimeoutError
        return task.result()
    finally:
        task.cancel()
