"""Sends what is owed: urgent first, in order within a room, rooms side by side.

The store says what is owed and keeps what became of it; the front-end knows its platform. Here is
only the traffic between them: one message in flight per room, so that a stalled room delays nobody
else, and each answer on the disk before the room's next message goes out.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Protocol

from bot.pace import Tempo
from bot.ports import (
    Ambiguous,
    Chat,
    Clock,
    FactStore,
    NotSent,
    Outgoing,
    Owed,
    Receipt,
    Sent,
    StoreError,
    Trouble,
    Withdrawn,
)
from core.model import Sound

LOG = logging.getLogger("pitcrier.outbox")

MOST_IN_FLIGHT = 200
"""Rooms spoken to side by side on one network, where its pace allows."""

LONGEST_SLEEP_S = 30.0
SHORTEST_SLEEP_S = 0.05
STORE_PAUSE_S = 5.0
LATE_TOLD = timedelta(minutes=1)
DOWN_TOLD = timedelta(minutes=3)
"""A network that takes nothing for so long is told of by another one."""

OUTAGE = timedelta(seconds=5)
"""Where nothing at all has got through for so long, it is no single answer that was lost."""

LAST_ANSWERS_S = 3.0
"""How long a stopping process still waits for answers that are under way."""


class Tells(Protocol):
    """Who hears of what cannot be delivered."""

    async def given_up(self, troubles: Sequence[Trouble]) -> None:
        """Messages were given up; each comes once, unless this raises."""
        ...

    async def down(self, network: str, since: datetime) -> None:
        """A network has taken nothing for a while; once an outage."""
        ...

    async def back(self, network: str, since: datetime) -> None:
        """It works again."""
        ...


class TellsNobody:
    """Implements Tells with lines in the log."""

    async def given_up(self, troubles: Sequence[Trouble]) -> None:
        """Log each."""
        for trouble in troubles:
            LOG.warning("given up", extra={"key": trouble.key, "why": trouble.why})

    async def down(self, network: str, since: datetime) -> None:
        """Log it."""
        LOG.warning("down", extra={"network": network, "since": since.isoformat()})

    async def back(self, network: str, since: datetime) -> None:
        """Log it."""
        LOG.warning("back", extra={"network": network, "since": since.isoformat()})


@dataclass(slots=True)
class _Line:
    """Whether a network takes what we send, since when it did not, and whether that was told."""

    down_since: datetime | None = None
    works: bool = True
    told: bool = False


async def _always(owed: Owed) -> bool:
    return bool(owed.key)


class Outbox:
    """Delivers for all front-ends; `tell` hears of what had to be given up, once each.

    `wanted` says whether a message still asks for something: a call that was answered while it
    waited, or while nobody knew whether it had arrived, is not sent again.
    """

    def __init__(
        self,
        store: FactStore,
        chats: Mapping[str, Chat],
        clock: Clock,
        tell: Tells | None = None,
        wanted: Callable[[Owed], Awaitable[bool]] = _always,
    ) -> None:
        self._store, self._chats, self._clock = store, chats, clock
        self._tell: Tells = tell or TellsNobody()
        self._lines = {network: _Line() for network in chats}
        self._tempo = {network: Tempo(chat.pace) for network, chat in chats.items()}
        self._nudged = {network: asyncio.Event() for network in chats}
        self._unsettled: dict[str, Receipt] = {}
        self._stopping = self._leaving = False
        self._wanted = wanted

    def nudge(self) -> None:
        """Something new is owed: look at once."""
        for event in self._nudged.values():
            event.set()

    def stop(self, *, leaving: bool = False) -> None:
        """Let `run` end once what is in hand is sent: a claim cut off would wait for a restart.

        Leaving, nothing more is taken in hand: the rest is another copy's, or the next start's.
        """
        self._stopping, self._leaving = True, leaving
        self.nudge()

    async def run(self) -> None:
        """Deliver on all networks until stopped."""
        async with asyncio.TaskGroup() as networks:
            for network in self._chats:
                networks.create_task(self._run(network))

    async def _run(self, network: str) -> None:
        while not self._stopping:
            try:
                await self.deliver(network)
                await self.tell_troubles()
                await self.tell_outage(network)
                due = await self._store.next_send(network)
            except StoreError as wrong:  # a full disk is emptied, a lock let go: try again
                LOG.error("store", extra={"network": network, "why": str(wrong)})
                due = self._clock.now() + timedelta(seconds=STORE_PAUSE_S)
            if not self._stopping:
                await self._sleep(network, due)

    async def _sleep(self, network: str, due: datetime | None) -> None:
        now = self._clock.now()
        until = LONGEST_SLEEP_S
        if due is not None:
            free = max(due, self._tempo[network].free_at(now))
            until = min(max((free - now).total_seconds(), SHORTEST_SLEEP_S), LONGEST_SLEEP_S)
        try:
            async with asyncio.timeout(until):
                await self._nudged[network].wait()
        except TimeoutError:
            pass

    # -------------------------------------------------------------- one round

    async def deliver(self, network: str) -> int:
        """Send everything that may be sent now; return how many messages arrived."""
        await self._settle_left_over()
        air = _Air(self._nudged[network])
        try:
            while True:
                air.changed.clear()
                await self._take_off(network, air)
                if not air.tasks:
                    return air.landed()
                await air.changed.wait()
        finally:
            await _land(air.tasks)

    async def _take_off(self, network: str, air: _Air) -> None:
        """Start sending what is claimable, as far as there is room in the air."""
        tempo = self._tempo[network]
        started = False
        while not started and not self._leaving:
            now = self._clock.now()
            places = tempo.places(now)
            free = MOST_IN_FLIGHT - air.flying
            limit = free if places is None else min(free, places)
            owed = await self._store.claim(network, now, limit) if limit > 0 else ()
            if not owed:
                return
            for row in owed:
                free_at = tempo.room_is_free_at(row.room, row.priority, now)
                if free_at > now:
                    await self._store.defer(row.key, free_at, now)
                else:
                    tempo.sent(row.room, now)
                    air.takes(asyncio.create_task(self._send(row, air)))
                    started = True

    async def _send(self, owed: Owed, air: _Air) -> bool:
        try:
            receipt = await self._receipt(owed)
        finally:
            air.lands()  # the next may take off while this one's answer goes to the disk
        await self._settle(owed.key, receipt)
        return isinstance(receipt, Sent)

    async def _receipt(self, owed: Owed) -> Receipt:
        """Speak to the platform, unless nobody wants it any more, and return what it says."""
        if not await self._wanted(owed):
            return Withdrawn("answered meanwhile")
        chat = self._chats[owed.network]
        message = marked(owed, self._clock.now(), repeats_harmless=chat.repeats_harmless)
        try:
            if owed.edit_of is not None:
                receipt = await chat.edit(owed.edit_of, message)
            else:
                receipt = await chat.send(owed.room, message, owed.key)
        except Exception as bug:  # a front-end's bug: it may have been sent before it failed
            LOG.exception("front-end failed", extra={"key": owed.key, "network": owed.network})
            receipt = Ambiguous(type(bug).__name__)
        LOG.info(
            "sent" if isinstance(receipt, Sent) else "not sent",
            extra={"key": owed.key, "network": owed.network, "receipt": type(receipt).__name__},
        )
        return self._noted(owed, receipt)

    async def _settle(self, key: str, receipt: Receipt) -> None:
        """Record an answer; if that fails it is kept in mind, for sending again would double it."""
        self._unsettled[key] = receipt
        await self._store.settle(key, receipt, self._clock.now())
        del self._unsettled[key]

    async def _settle_left_over(self) -> None:
        for key, receipt in list(self._unsettled.items()):
            await self._settle(key, receipt)

    async def tell_troubles(self) -> None:
        """Tell of what was given up; it counts as told only when `tell` came back."""
        troubles = await self._store.troubles()
        if troubles:
            await self._tell.given_up(troubles)
            for trouble in troubles:
                await self._store.told(trouble.key)

    async def tell_outage(self, network: str) -> None:
        """Tell of a network that has taken nothing for a while, and when it does again."""
        line, now = self._lines[network], self._clock.now()
        if line.down_since is None:
            return
        if line.told and line.works:
            await self._tell.back(network, line.down_since)
            self._lines[network] = _Line()
        elif not line.told and now - line.down_since >= DOWN_TOLD:
            await self._tell.down(network, line.down_since)
            line.told = True

    def _noted(self, owed: Owed, receipt: Receipt) -> Receipt:
        """Note what an answer says of its network, and return what it means for the message.

        One that concerns a room says that the network works. In an outage what is marked as a
        repeat already waits for its end like all else, instead of using up its tries.
        """
        line, now = self._lines[owed.network], self._clock.now()
        if isinstance(receipt, NotSent | Ambiguous):
            line.works = False
            line.down_since = line.down_since or now
            outage = now - line.down_since >= OUTAGE
            if isinstance(receipt, Ambiguous) and owed.repeat and outage:
                return NotSent(receipt.why)
        elif not line.told:
            self._lines[owed.network] = _Line()
        else:
            line.works = True
        return receipt


class _Air:
    """What is under way on one network; whoever waits is told of every landing."""

    def __init__(self, changed: asyncio.Event) -> None:
        self.changed = changed
        self.flying = 0
        self.tasks: set[asyncio.Task[bool]] = set()
        self._arrived = 0
        self._wrong: BaseException | None = None

    def takes(self, task: asyncio.Task[bool]) -> None:
        """Watch a message that takes off."""
        self.flying += 1
        self.tasks.add(task)
        task.add_done_callback(self._ended)

    def lands(self) -> None:
        """Count a message to which the platform has answered."""
        self.flying -= 1
        self.changed.set()

    def landed(self) -> int:
        """Return how many arrived; raises what went wrong with any, once all are down."""
        if self._wrong is not None:
            raise self._wrong
        return self._arrived

    def _ended(self, task: asyncio.Task[bool]) -> None:
        self.tasks.discard(task)
        self.changed.set()
        if not task.cancelled():
            self._wrong = task.exception() or self._wrong
            self._arrived += not task.exception() and task.result()


def marked(owed: Owed, now: datetime, *, repeats_harmless: bool) -> Outgoing:
    """Return a message that says it may be there twice, or comes late; edits need neither."""
    message, marks = owed.message, []
    if owed.edit_of is not None or not message.lines:
        return message
    if owed.repeat and not repeats_harmless:
        marks.append(message.again)
    late = now - owed.due if owed.due else timedelta()
    if late > LATE_TOLD and message.sound is not Sound.SILENT:
        marks.append(message.late.format(n=late // timedelta(minutes=1)))
    first, *rest = message.lines
    return replace(message, lines=(" ".join((first, *marks)), *rest))


async def _land(flying: set[asyncio.Task[bool]]) -> None:
    """Wait a little for answers under way; what is cut off is owed again, marked, at the start."""
    if flying:
        _, late = await asyncio.wait(flying, timeout=LAST_ANSWERS_S)
        for task in late:
            task.cancel()
