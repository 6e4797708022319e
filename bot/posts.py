"""Posts: what one copy does for one network while it is the one that does it.

To hold a post is to listen to the platform, to handle what was heard there and to deliver what is
owed there. Who works alone holds all of them. A post that is lost ends at once: listening stops,
nothing more is taken in hand, and what is in the air lands. One that is given back ends the same
way, so that the next copy finds nothing half done.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field

from bot.health import LineState, Pulse
from bot.outbox import Outbox
from bot.ports import Batch, Chat, Clock, FactStore, Remote, StoreError, Together

LOG = logging.getLogger("pitcrier.posts")

STORE_PAUSE_S = 5.0
LISTEN_PAUSE_S = 10.0

HANDOVER_S = 0.5
HANDOVER_TRIES = 20
"""How often a device's folder is tried that the last holder is just letting go of."""

SPURS = 10
SPUR_S = 1.0
"""A server may notice a dead copy's other sessions a moment later: what it had in hand is looked
for again and again at first."""

LAST_WORDS_S = 2.0
"""How long who has lost the server may still tell the leads that nothing is written down."""

LOOK_S = 1.5
"""How long a check waits to hear which posts are free."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A front-end at work, how its line is, and its links that open a chat."""

    chat: Chat
    line: Callable[[], LineState] | None = None
    link: Callable[[str], str | None] | None = None


@dataclass(frozen=True, slots=True)
class Front:
    """A front-end that can be opened, again after each time it was closed."""

    network: str
    open: Callable[[], Awaitable[Opened]]


@dataclass(slots=True)
class Posts:
    """Attends to the networks whose posts are held; `heard` is set when the inbox has something."""

    fronts: Mapping[str, Front]
    store: FactStore
    clock: Clock
    pulse: Pulse
    deliver: Callable[[Chat], Outbox]
    heard: asyncio.Event = field(default_factory=asyncio.Event)
    lost: Callable[[], None] = lambda: None
    chats: dict[str, Chat] = field(default_factory=dict)
    links: dict[str, Callable[[str], str | None]] = field(default_factory=dict)
    _outboxes: dict[str, Outbox] = field(default_factory=dict)
    _held: frozenset[str] = frozenset()
    _changed: asyncio.Event = field(default_factory=asyncio.Event)

    def change(self, held: frozenset[str]) -> None:
        """Take note of the posts that are held now."""
        if held != self._held:
            LOG.info("posts", extra={"held": ", ".join(sorted(held)) or "none"})
        self._held = held
        self.pulse.posts = {network: network in held for network in self.fronts}
        self._changed.set()
        self._changed = asyncio.Event()

    def nudge(self, network: str | None = None) -> None:
        """Something new is owed, there or anywhere: look at once."""
        for name, outbox in self._outboxes.items():
            if network in {None, name}:
                outbox.nudge()

    async def attend(self, network: str) -> None:
        """Work at a post whenever it is held, until cancelled."""
        while True:
            await self._until(network, held=True)
            opened = await self._opened(self.fronts[network])
            try:
                await self._work(network, opened)
            finally:
                if isinstance(opened.chat, Remote):
                    await opened.chat.stop()

    async def _until(self, network: str, *, held: bool) -> None:
        while (network in self._held) is not held:
            await self._changed.wait()

    async def _opened(self, front: Front) -> Opened:
        """Open a front-end; its folder may be in use until the last holder has ended."""
        self.pulse.lines[front.network] = LineState
        for _ in range(HANDOVER_TRIES if self.store.together.shared else 0):
            try:
                return await front.open()
            except StoreError as wrong:
                LOG.info("not free yet", extra={"network": front.network, "why": str(wrong)})
                await asyncio.sleep(HANDOVER_S)
        return await front.open()

    async def _work(self, network: str, opened: Opened) -> None:
        """Listen and deliver until the post is lost; an error in delivering ends the copy."""
        chat, outbox = opened.chat, self.deliver(opened.chat)
        self.chats[network], self._outboxes[network] = chat, outbox
        self.pulse.lines[network] = opened.line or (lambda: LineState(self.clock.now()))
        if opened.link is not None:
            self.links[network] = opened.link
        sending = asyncio.create_task(outbox.run())
        lost = asyncio.create_task(self._until(network, held=False))
        side = [lost, asyncio.create_task(_spur(outbox))]
        if isinstance(chat, Remote):
            side.append(asyncio.create_task(self._listen(chat)))
        self.heard.set()  # what was heard and not handled before
        try:
            await asyncio.wait({lost, sending}, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for task in side:
                task.cancel()
            await asyncio.gather(*side, return_exceptions=True)
            outbox.stop(leaving=True)
            await sending
            if network not in self._held:
                self.lost()
                await asyncio.sleep(LAST_WORDS_S)
            self.chats.pop(network)
            self._outboxes.pop(network)
            self.links.pop(network, None)
            self.pulse.lines.pop(network, None)

    # -------------------------------------------------------------- heard

    async def _listen(self, remote: Remote) -> None:
        """Store what one platform gives; a listener that fell over starts again."""
        while True:
            try:
                async for batch in remote.batches():
                    self.pulse.heard[remote.network] = self.clock.now()
                    await self._keep(remote.network, batch)
                return
            except Exception:
                LOG.exception("listening", extra={"network": remote.network})
                await asyncio.sleep(LISTEN_PAUSE_S)

    async def _keep(self, network: str, batch: Batch) -> None:
        """Store a batch, however long the disk is full: it is not taken before it is kept."""
        cursor = (network, batch.cursor) if batch.cursor is not None else None
        while True:
            try:
                await self.store.hear(batch.messages, cursor)
                break
            except StoreError as wrong:
                LOG.error("store", extra={"network": network, "why": str(wrong)})
                await asyncio.sleep(STORE_PAUSE_S)
        if batch.messages:
            self.heard.set()


async def _spur(outbox: Outbox) -> None:
    for _ in range(SPURS):
        await asyncio.sleep(SPUR_S)
        outbox.nudge()


@asynccontextmanager
async def holding(together: Together, posts: Mapping[str, Front]) -> AsyncIterator[frozenset[str]]:
    """Hold the posts that are free for a while; gives those."""
    held: asyncio.Future[frozenset[str]] = asyncio.get_running_loop().create_future()

    def change(now: frozenset[str]) -> None:
        if not held.done():
            held.set_result(now)

    task = asyncio.create_task(together.run(tuple(posts), change, lambda _: None))
    try:
        with suppress(TimeoutError):
            async with asyncio.timeout(LOOK_S):
                await asyncio.shield(held)
        yield held.result() if held.done() else frozenset()
    finally:
        task.cancel()
        await asyncio.gather(task, return_exceptions=True)
