"""The life of one process: hears, decides, calls, sends, on the real store and outbox.

A small kitchen stands in for the cook: message `m3` becomes the fact that m3 was answered, call
`c3` falls due at step 3 unless its message came first. Two platforms: one where a repeat shows
twice, one where the key makes it harmless. What they show goes down a pipe, which outlives us.
"""

from __future__ import annotations

import asyncio
import json
import os
from collections.abc import AsyncIterator
from datetime import UTC, datetime, timedelta

from sqlalchemy import text

from bot.clock import VirtualClock
from bot.outbox import Outbox
from bot.ports import HandledError, Incoming, NewFact, NewSend, Outgoing, Pace, Receipt, Sent
from bot.store import SqlStore, open_store
from core.facts import CallAnswered, CallMade
from core.model import Call, Label, say
from tests.soak.reaper import Reaper

STEPS = 5
START = datetime(2026, 6, 13, 9, tzinfo=UTC)
ROOMS = ("pit", "cold", "lane")
NETWORKS = {"doubling": False, "harmless": True}
STREAM = "cook:soak-1"
ANSWERED_EARLY = frozenset({"c2", "c5"})
"""Calls whose message comes a step before they are due: never made."""


class Pipe:
    """Writes what happened where a kill cannot take it back."""

    def __init__(self, handle: int) -> None:
        self._handle = handle

    def tell(self, **said: object) -> None:
        """Write one line, whole."""
        os.write(self._handle, (json.dumps(said) + "\n").encode())


class Platform:
    """Implements Chat; every message that arrives is told, repeats too."""

    def __init__(self, network: str, pipe: Pipe, reaper: Reaper) -> None:
        self.network, self.repeats_harmless, self.pace = network, NETWORKS[network], Pace()
        self._pipe, self._reaper = pipe, reaper

    async def incoming(self) -> AsyncIterator[Incoming]:
        nothing: tuple[Incoming, ...] = ()
        for message in nothing:
            yield message

    async def send(self, room: str, message: Outgoing, key: str) -> Receipt:
        await asyncio.sleep(0)  # so that several rooms are in flight at once
        self._reaper.tick()
        self._pipe.tell(network=self.network, room=room, key=key, text=message.text)
        self._reaper.tick()
        return Sent(f"there:{key}")

    async def edit(self, receipt: Sent, message: Outgoing) -> Receipt:
        return receipt


def said_by(step: int) -> list[Incoming]:
    """Return what a platform has to give up to this step; it gives the last two again."""
    numbers = sorted(
        set(range(1, step + 1)) | {int(c[1:]) for c in ANSWERED_EARLY if int(c[1:]) <= step + 1}
    )
    return [Incoming("doubling", str(n), ROOMS[n % 3], "ana", f"m{n}", START) for n in numbers[-3:]]


class Kitchen:
    """Hears and calls; everything it knows it reads from the log."""

    def __init__(self, store: SqlStore, clock: VirtualClock) -> None:
        self._store, self._clock = store, clock

    async def step(self, number: int) -> None:
        """Live through one step of the day."""
        messages = said_by(number)
        await self._store.hear(messages, ("doubling", messages[-1].ext_id))
        for heard in await self._store.unhandled():
            facts = [CallAnswered(heard.message.text)]
            await self._append(facts, self._answer(heard.message), heard.id)
        known = await self._store.read(STREAM)
        answered = {e.fact.key for e in known if isinstance(e.fact, CallAnswered)}
        made = {e.fact.call.key for e in known if isinstance(e.fact, CallMade)}
        for n in range(1, number + 1):
            if f"c{n}" not in made and (f"m{n}" not in answered or f"c{n}" not in ANSWERED_EARLY):
                await self._call(n)

    async def _call(self, n: int) -> None:
        call = Call(f"c{n}", START + timedelta(minutes=n), ("ana",), say("{n}", n=Label(str(n))))
        sends = [
            NewSend(
                f"{network}:{call.key}:{room}", network, room, Outgoing((call.key,)), 0, must=True
            )
            for network in NETWORKS
            for room in ROOMS
        ]
        await self._append([CallMade(call)], sends, None)

    def _answer(self, message: Incoming) -> list[NewSend]:
        words = Outgoing((f"{message.text} booked",))
        return [NewSend(f"r:{message.ext_id}", "doubling", message.room, words, 1)]

    async def _append(
        self, facts: list[CallAnswered] | list[CallMade], sends: list[NewSend], done: int | None
    ) -> None:
        seq, _ = await self._store.head(STREAM)
        new = [NewFact(self._clock.now(), "bot", fact) for fact in facts]
        try:
            await self._store.append(STREAM, seq, new, self._clock.now(), sends, done)
        except HandledError:
            return


async def live(url: str, pipe: Pipe, reaper: Reaper, first_step: int) -> None:
    """Go through the day from this step until nothing is owed any more."""
    clock = VirtualClock(START + timedelta(minutes=first_step))
    store = await open_store(url, clock)
    platforms = {network: Platform(network, pipe, reaper) for network in NETWORKS}
    outbox = Outbox(store, platforms, clock)
    kitchen = Kitchen(store, clock)
    for step in range(first_step, STEPS + 1):
        pipe.tell(step=step)
        await kitchen.step(step)
        await asyncio.gather(*(outbox.deliver(network) for network in NETWORKS))
        clock.advance(timedelta(minutes=1))
    while _unsent(store):  # a dead copy's session may live on for a moment on the server
        await asyncio.gather(*(outbox.deliver(network) for network in NETWORKS))
        await asyncio.sleep(0.005)
    await store.close()
    pipe.tell(ticks=reaper.ticks)


def _unsent(store: SqlStore) -> bool:
    with store.connection() as connection:
        left = "SELECT count(*) FROM outbox WHERE state IN ('owed', 'later', 'sending')"
        return bool(connection.execute(text(left)).scalar())
