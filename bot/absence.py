"""Watching ourselves: were we away, can we write, does the loop stand still.

Away means down, suspended, or a clock that jumped: for the crew it is all the same, nobody watched.
The notice to the lead is on the disk before the new heartbeat is, and its key names the last old
one, so a kill in between neither loses nor doubles it.
"""

from __future__ import annotations

import asyncio
import gc
import logging
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.directory import Address
from bot.dispatch import PREFIX, Dispatcher
from bot.leads import Leads
from bot.ports import Chat, NewSend, Outgoing, Sent, StoreError
from core.calls import calls_owed
from core.cook import Cook
from core.model import Call, Clock, Line, Qty, Sound, say

LOG = logging.getLogger("pitcrier.absence")

AWAY = timedelta(minutes=2)
LONG = timedelta(hours=24)
"""Platforms keep what was said to us about so long."""

BEAT = timedelta(seconds=20)
TOLD_AGAIN = timedelta(minutes=10)
LONGEST_SAYING_S = 10.0

MOST_LISTED = 6

STALL_S = 0.25
LOOK_S = 0.1


class Watch:
    """What the pump rings: looks after ourselves first, then after the cooks.

    When the log cannot be written the leads hear it past the store, straight from the front-end,
    at most every ten minutes, and once when it can be written again.
    """

    def __init__(self, dispatcher: Dispatcher, chats: Mapping[str, Chat]) -> None:
        self._dispatcher, self._chats = dispatcher, chats
        self._absence, self._leads = Absence(dispatcher), Leads(dispatcher)
        self._looked: datetime | None = None
        self._told: datetime | None = None

    async def ring(self, now: datetime) -> datetime | None:
        """Handle everything that is due and return when the next thing is."""
        try:
            if self._looked is None or not timedelta() <= now - self._looked < BEAT:
                await self._absence.look(now)
                self._looked = now
            await self._dispatcher.work()  # what a full disk or a lock has left undone
            due = await self._dispatcher.ring(now)
        except StoreError as wrong:
            if self._told is None or abs(now - self._told) >= TOLD_AGAIN:
                self._told = now
                await self._tell_leads(_broken(wrong), now)
            raise
        if self._told is not None:
            self._told = None
            await self._tell_leads((say("I write it all down again."),), now)
        return due

    async def _tell_leads(self, lines: tuple[Line, ...], now: datetime) -> None:
        for cook in self._dispatcher.known():
            for way in self._leads.ways(cook):
                message = self._leads.message(cook, way, lines, Sound.ONCE)
                if await self._said(way.at, message, f"write:{cook.id}:{now.isoformat()}"):
                    break

    async def _said(self, at: Address, message: Outgoing, key: str) -> bool:
        """Say something past the store; one way that hangs or breaks leaves the next one open."""
        try:
            async with asyncio.timeout(LONGEST_SAYING_S):
                receipt = await self._chats[at.network].send(at.room, message, key)
        except Exception as wrong:  # whatever a front-end does, the pump must go on
            LOG.error("not told", extra={"network": at.network, "why": type(wrong).__name__})
            return False
        return isinstance(receipt, Sent)


def _broken(wrong: StoreError) -> tuple[Line, ...]:
    fields = {name: str(value) for name, value in wrong.fields.items()}
    return (
        say("I cannot write anything down: {why}.", why=fields["why"]),
        say("{remedy}", remedy=fields["remedy"]),
        say("Keep notes on paper until I say so."),
    )


@dataclass(slots=True)
class Absence:
    """Beats at every look; tells each open cook's lead when there was a gap before it."""

    dispatcher: Dispatcher

    async def look(self, now: datetime) -> timedelta | None:
        """Return how long we were away just before now; None if we were not."""
        store = self.dispatcher.store
        was = await store.last_beat()
        away = now - was if was is not None and now - was > AWAY else None
        if away is not None and was is not None:
            LOG.warning("was away", extra={"since": was.isoformat(), "minutes": away.seconds // 60})
            for cook in await self.dispatcher.open_cooks():
                await store.append(PREFIX + cook.id, 0, (), now, self._notice(cook, was, now))
        await store.beat(now)
        return away

    def _notice(self, cook: Cook, was: datetime, now: datetime) -> tuple[NewSend, ...]:
        lines = away_lines(calls_owed(cook), was, now)
        return Leads(self.dispatcher).notice(cook, f"away:{was.isoformat()}", lines)


def away_lines(owed: Sequence[Call], was: datetime, now: datetime) -> tuple[Line, ...]:
    """Return what the lead must know: how long nobody watched, what fell due, what to do.

    Examples
    --------
    >>> from datetime import UTC
    >>> lines = away_lines((), datetime(2026, 6, 13, 12, tzinfo=UTC),
    ...                    datetime(2026, 6, 13, 12, 26, tzinfo=UTC))
    >>> [line.text for line in lines]  # doctest: +ELLIPSIS
    ['{span} away: {start} to {end}. ...', 'Tell me what happened, with its time, like 12:20 A on.']
    """
    minutes = Qty((now - was) / timedelta(minutes=1), "min", 0)
    hours = Qty((now - was) / timedelta(hours=1), "h", 1)
    first = say("{span} away: {start} to {end}. No calls went out.",
                span=minutes if now - was < timedelta(hours=2) else hours,
                start=Clock(was), end=Clock(now))  # fmt: skip
    due = [call for call in owed if call.at <= now]
    more = len(due) - MOST_LISTED
    listed = [say("Due: {call}", call=call.line) for call in due[:MOST_LISTED]]
    rest = [say("And {n} more.", n=more)] if more > 0 else []
    ask = say("Tell me what happened, with its time, like 12:20 A on.")
    lost = [say("Messages from before may be lost: say them again.")] if now - was > LONG else []
    return (first, *listed, *rest, *lost, ask)


async def watch_stalls(stall_s: float = STALL_S, look_s: float = LOOK_S) -> None:
    """Log every time the loop was held up this long; runs until cancelled."""
    loop = asyncio.get_running_loop()
    last = loop.time()
    while True:
        await asyncio.sleep(look_s)
        now = loop.time()
        if now - last - look_s > stall_s:
            LOG.warning("loop stalled", extra={"ms": round((now - last - look_s) * 1000)})
        last = now


def spare_the_loop() -> None:
    """Leave what the start has made out of the collector's rounds, which hold up the loop.

    A full round over all modules takes some 40 ms; nothing of that is ever garbage.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(10_000, 20, 50)
