"""The line to Telegram, and long polls on it.

A batch counts as taken only when the next one is asked for: then the offset moves, which is what
tells Telegram.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncGenerator, Coroutine
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any, TypeVar

from bot.chat.telegram.receipts import words_of
from bot.chat.telegram.updates import KINDS
from bot.ports import Clock

if TYPE_CHECKING:
    from telegram import Bot, Update

LOG = logging.getLogger("pitcrier.telegram")

T = TypeVar("T")

MOST_AT_ONCE = 100
FIRST_PAUSE_S, LONGEST_PAUSE_S = 1.0, 30.0
RIVAL_PAUSE_S = 15.0
GOODBYE_S = 3


@dataclass(slots=True)
class Standing:
    """How it goes between Telegram and us, for readiness checks and for the crew."""

    heard_at: datetime | None = None
    rival_since: datetime | None = None
    trouble: str = ""


@dataclass(slots=True)
class Line:
    """What both ways of listening share: the bot, the end, the state, and patience."""

    bot: Bot
    clock: Clock
    token: str
    standing: Standing = field(default_factory=Standing)
    stopped: asyncio.Event = field(default_factory=asyncio.Event)
    first_pause_s: float = FIRST_PAUSE_S
    rival_pause_s: float = RIVAL_PAUSE_S
    _pause_s: float = 0.0

    async def unless_stopped(self, doing: Coroutine[Any, Any, T]) -> T | None:
        """Return what is waited for, or None as soon as we stop."""
        task = asyncio.ensure_future(doing)
        end = asyncio.ensure_future(self.stopped.wait())
        try:
            await asyncio.wait({task, end}, return_when=asyncio.FIRST_COMPLETED)
            return task.result() if task.done() else None
        finally:
            for one in (task, end):
                one.cancel()
            with suppress(asyncio.CancelledError, Exception):
                await task

    async def rest(self, seconds: float) -> None:
        """Wait, but not longer than until we stop."""
        with suppress(TimeoutError):
            async with asyncio.timeout(seconds):
                await self.stopped.wait()

    def well(self) -> None:
        """Note that Telegram answered."""
        self._pause_s = 0.0
        self.standing.heard_at = self.clock.now()
        self.standing.trouble, self.standing.rival_since = "", None

    async def unwell(self, error: Exception) -> None:
        """Note what went wrong, once, and wait: longer each time, longest for a rival to go."""
        from telegram.error import Conflict, RetryAfter

        words = words_of(error, self.token)
        if words != self.standing.trouble:
            LOG.error("not heard", extra={"network": "telegram", "why": words})
        self.standing.trouble = words
        self._pause_s = min(max(self._pause_s * 2, self.first_pause_s), LONGEST_PAUSE_S)
        if isinstance(error, Conflict):
            self.standing.rival_since = self.standing.rival_since or self.clock.now()
            await self.rest(self.rival_pause_s)
        elif isinstance(error, RetryAfter):
            after = error.retry_after
            await self.rest(after.total_seconds() if isinstance(after, timedelta) else after)
        else:
            await self.rest(self._pause_s)

    async def insist(self, what: str, do: Any) -> None:
        """Do something at the beginning until it works or we stop."""
        while not self.stopped.is_set():
            try:
                await self.unless_stopped(do())
            except Exception as error:
                LOG.info("trying again", extra={"what": what})
                await self.unwell(error)
            else:
                return


async def polled(line: Line, timeout_s: int) -> AsyncGenerator[tuple[Update, ...], None]:
    """Yield what long polls bring, until stopped; what was taken is confirmed at the end."""
    await line.insist("polling", lambda: line.bot.delete_webhook(drop_pending_updates=False))
    offset: int | None = None
    while not line.stopped.is_set():
        poll = line.bot.get_updates(
            offset, limit=MOST_AT_ONCE, timeout=timeout_s, allowed_updates=KINDS
        )
        try:
            updates = await line.unless_stopped(poll)
        except Exception as error:
            await line.unwell(error)
            continue
        if updates is not None:
            line.well()
        if updates:
            yield tuple(sorted(updates, key=lambda update: update.update_id))
            offset = max(update.update_id for update in updates) + 1
    if offset is not None:
        with suppress(Exception):  # unconfirmed, it is given again at the next start: no harm
            async with asyncio.timeout(GOODBYE_S):
                await line.bot.get_updates(offset, limit=1, timeout=0, allowed_updates=KINDS)
