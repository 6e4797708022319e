"""Watching ourselves: were we away, and does the loop stand still.

Away means down, suspended, or a clock that jumped: for the crew it is all the same, nobody watched.
The notice to the lead is on the disk before the new heartbeat is, and its key names the last old
one, so a kill in between neither loses nor doubles it.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.dispatch import PREFIX, Dispatcher
from bot.ports import NewSend, Outgoing, Tag
from bot.replies import URGENT, Voice
from core.calls import calls_owed
from core.cook import Cook
from core.model import Call, Clock, Lead, Line, Person, Qty, Sound, say

LOG = logging.getLogger("pitcrier.absence")

AWAY = timedelta(minutes=2)
LONG = timedelta(hours=24)
"""Platforms keep what was said to us about so long."""

MOST_LISTED = 6

STALL_S = 0.25
LOOK_S = 0.1


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
        voice = Voice(self.dispatcher.directory, cook.id, cook.cards, now)
        lines = away_lines(calls_owed(cook), was, now)
        lead = _lead(cook)
        private = voice.directory.private(cook.id, lead.id) if lead else None
        key = f"away:{cook.id}:{was.isoformat()}"
        if private is not None and lead is not None:
            texts = tuple(voice.text(line, lead.id) for line in lines)
            message = Outgoing(texts, sound=Sound.ONCE, tag=Tag("finding", (lead.id,)))
            return (NewSend(key, private.network, private.room, message, URGENT, must=True),)
        texts = tuple(text for line in lines for text in voice.for_room(line))
        message = Outgoing(texts, sound=Sound.ONCE, tag=Tag("finding", ("room",)))
        return tuple(
            NewSend(f"{key}:{n}", room.network, room.room, message, URGENT, must=True)
            for n, room in enumerate(voice.directory.crew_rooms(cook.id))
        )


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


def _lead(cook: Cook) -> Person | None:
    cards = cook.cards
    return (cards.leading(Lead.PIT) or cards.chef) if cards else None


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
