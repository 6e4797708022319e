"""The pump and its alarm clock: something rings when the next call is due.

Neither holds the truth. What is due is computed from the log each time, so an alarm that is lost,
late or doubled costs at most one look at nothing.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable
from datetime import datetime, timedelta

from apscheduler.schedulers.asyncio import AsyncIOScheduler

from bot.ports import Alarm, Clock, StoreError

LOG = logging.getLogger("pitcrier.reminders")

SHORTEST_SLEEP_S = 0.02
"""What claims to be overdue right after everything due was handled must not spin the loop."""

LONGEST_SLEEP_S = 30.0
"""The pump looks at least this often, so a stepped clock or a lost alarm costs no more."""


class AlarmClock:
    """Implements Alarm with APScheduler, in memory: one date job that is replaced."""

    def __init__(self) -> None:
        # a job may ring late, after a stalled loop or a suspended laptop, and must still ring
        # (the default drops it after one second); it may be replaced while it rings, hence 5
        defaults = {"misfire_grace_time": None, "max_instances": 5, "coalesce": True}
        self._scheduler = AsyncIOScheduler(timezone="UTC", job_defaults=defaults)

    def set(self, at: datetime, ring: Callable[[], Awaitable[None]]) -> None:
        """Replace the alarm; needs a running event loop."""
        if not self._scheduler.running:
            self._scheduler.start()
        self._scheduler.add_job(ring, "date", run_date=at, id="pump", replace_existing=True)

    def stop(self) -> None:
        """Forget the alarm."""
        if self._scheduler.running:
            self._scheduler.shutdown(wait=False)


class Pump:
    """Calls `ring(now)` when something is due, on a nudge, and every 30 s at the latest.

    `ring` handles everything that is due and returns when the next thing is, None for nothing.
    `until` is when it looks next by itself.
    """

    def __init__(
        self,
        ring: Callable[[datetime], Awaitable[datetime | None]],
        clock: Clock,
        alarm: Alarm,
        *,
        longest_s: float = LONGEST_SLEEP_S,
    ) -> None:
        self._ring, self._clock, self._alarm, self._longest_s = ring, clock, alarm, longest_s
        self._awake = asyncio.Event()
        self.until: datetime | None = None

    def nudge(self) -> None:
        """Something changed: look at once."""
        self._awake.set()

    async def run(self) -> None:
        """Ring until cancelled."""
        try:
            while True:
                self._awake.clear()
                self.until = await self._next()
                self._alarm.set(self.until, self._wake)
                await self._sleep()
        finally:
            self._alarm.stop()

    async def _next(self) -> datetime:
        """Handle what is due and return when to look again."""
        now = self._clock.now()
        latest = now + timedelta(seconds=self._longest_s)
        try:
            due = await self._ring(now)
        except StoreError as wrong:  # it was not recorded, so it is due again at the next look
            LOG.error("store", extra={"why": str(wrong)})
            return latest
        if due is None:
            return latest
        soonest = now + timedelta(seconds=SHORTEST_SLEEP_S)
        return min(max(due, soonest), latest)

    async def _wake(self) -> None:
        self._awake.set()

    async def _sleep(self) -> None:
        # the alarm follows the wall clock, this one does not: a clock put back cannot hold us up
        try:
            async with asyncio.timeout(self._longest_s):
                await self._awake.wait()
        except TimeoutError:
            LOG.debug("looked without an alarm")
