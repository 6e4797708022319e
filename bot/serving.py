"""The bot on its platforms: every front-end the settings name, every open cook, one process.

What a platform gives is in the inbox before the next is asked for; handling it is a loop of its
own, so a slow answer never stops the listening and a platform that is down stops nobody else.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator, Callable, Mapping, Sequence
from contextlib import AsyncExitStack, asynccontextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from bot.absence import Watch, watch_stalls
from bot.accounts import HOUSE, Accounts
from bot.cards import read_event, read_texts
from bot.dispatch import Dispatcher, new_cook_id
from bot.door import FIRST_CODE_GOOD, Door
from bot.health import Health, LineState, Pulse, notify
from bot.kitchen import Kitchen
from bot.leads import Leads
from bot.media import Gallery
from bot.outbox import Outbox
from bot.ports import Batch, Chat, Clock, FactStore, Invitation, Media, Remote, StoreError
from bot.reminders import AlarmClock, Pump
from bot.settings import MatrixSettings, Settings, TelegramSettings
from bot.solving import Solving, workers
from bot.store import open_store
from core.cook import Cook

if TYPE_CHECKING:
    from bot.chat.matrix import Matrix
    from bot.chat.telegram import Telegram

LOG = logging.getLogger("pitcrier.serving")

TELEGRAM = "https://api.telegram.org"
STORE_PAUSE_S = 5.0
LISTEN_PAUSE_S = 10.0
WORKERS = 2


@dataclass(slots=True)
class Serving:
    """One process at work: the parts joined, until `run` is cancelled."""

    store: FactStore
    clock: Clock
    accounts: Accounts
    dispatcher: Dispatcher
    door: Door
    chats: Mapping[str, Chat] = field(default_factory=dict)
    pulse: Pulse = field(default_factory=Pulse)
    health_port: int | None = None
    _heard: asyncio.Event = field(default_factory=asyncio.Event)

    @property
    def remotes(self) -> tuple[Remote, ...]:
        """Return the front-ends that listen to a platform."""
        return tuple(chat for chat in self.chats.values() if isinstance(chat, Remote))

    async def refresh(self) -> tuple[Cook, ...]:
        """Read again who sits where and which cooks are open; the newest last."""
        cooks = sorted(await self.dispatcher.open_cooks(), key=lambda c: c.entries[0].at)
        await self.accounts.refresh([cook.id for cook in cooks])
        return tuple(cooks)

    async def run(self) -> None:
        """Listen, handle, ring and deliver until cancelled; then let what is in hand land."""
        outbox = Outbox(
            self.store,
            self.chats,
            self.clock,
            tell=Leads(self.dispatcher),
            wanted=self.dispatcher.wanted,
        )
        watch = Watch(self.dispatcher, self.chats)

        async def ring(now: datetime) -> datetime | None:
            due = await watch.ring(now)
            self.pulse.looked = now
            notify("WATCHDOG=1")
            return due

        pump = Pump(ring, self.clock, AlarmClock())

        def nudge() -> None:
            outbox.nudge()
            pump.nudge()

        self.dispatcher.nudge = nudge
        health = self._health()
        sending = asyncio.create_task(outbox.run())
        jobs = [
            watch_stalls(),
            pump.run(),
            self._handle(),
            *(self._listen(remote) for remote in self.remotes),
        ]
        tasks = [asyncio.create_task(job) for job in jobs]
        self._heard.set()  # what was heard before a crash
        notify("READY=1")
        try:
            await asyncio.gather(*tasks)
        finally:
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)
            outbox.stop()
            await sending
            for remote in self.remotes:
                await remote.stop()
            if health is not None:
                health.stop()

    def _health(self) -> Health | None:
        if self.health_port is None:
            return None
        health = Health(
            self.pulse,
            self.clock,
            lambda: self.store.figures(self.clock.now()),
            lambda: len(self.accounts.running),
        )
        health.listen(self.health_port)
        return health

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
            self._heard.set()

    async def _handle(self) -> None:
        while True:
            await self._heard.wait()
            self._heard.clear()
            try:
                await self.dispatcher.work()
                await self.refresh()
            except StoreError as wrong:
                LOG.error("store", extra={"why": str(wrong)})
                await asyncio.sleep(STORE_PAUSE_S)
                self._heard.set()
            self.dispatcher.nudge()

    # -------------------------------------------------------------- starting

    async def start_event(self, folder: Path) -> str:
        """Start the event's cook unless it is open; return its id."""
        cards, texts = read_event(folder), read_texts(folder)
        for cook in await self.refresh():
            if cook.cards is not None and cook.cards.event.id == cards.event.id:
                return cook.id
        cook_id = await new_cook_id(self.store, cards.event.id)
        chef = cards.chef or cards.crew[0]
        await self.dispatcher.start(cook_id, cards, dict(texts), chef.id)
        await self.refresh()
        return cook_id

    async def first_codes(self) -> tuple[tuple[str, str, str], ...]:
        """Return (cook, chef's name, code) for every open cook whose chef is not in yet."""
        codes: list[tuple[str, str, str]] = []
        for cook in await self.refresh():
            chef = cook.cards.chef if cook.cards else None
            if chef is None or chef.id in self.accounts.seated(cook.id):
                continue
            until = self.clock.now() + FIRST_CODE_GOOD
            code = await self.door.code_for(Invitation(cook.id, chef.id, until))
            codes.append((cook.id, chef.name, code))
        return tuple(codes)

    async def owner_code(self) -> str | None:
        """Return a code for who owns the installation, while nobody does."""
        if self.accounts.seated(HOUSE):
            return None
        until = self.clock.now() + FIRST_CODE_GOOD
        return await self.door.code_for(Invitation(HOUSE, "owner", until))


@asynccontextmanager
async def serving(
    settings: Settings,
    clock: Clock,
    more: Callable[[Media], Sequence[Chat]] = lambda _: (),
) -> AsyncIterator[Serving]:
    """Open the store and join the parts; `more` adds front-ends the settings do not name.

    Raises
    ------
    KitchenError
        If the database or an account cannot be used, with the remedy.
    """
    async with AsyncExitStack() as closing:
        store = await open_store(settings.db_url, clock)
        closing.push_async_callback(store.close)
        pool = workers(WORKERS)
        closing.callback(pool.shutdown, wait=False, cancel_futures=True)
        accounts = Accounts(store.people)
        dispatcher = Dispatcher(store, clock, accounts)
        solving = Solving(dispatcher, pool)
        closing.push_async_callback(solving.close)
        gallery = Gallery(dispatcher.cook, pool)
        links: dict[str, Callable[[str], str | None]] = {}
        lines: dict[str, Callable[[], LineState]] = {}
        chats: list[Chat] = list(more(gallery))
        if settings.telegram is not None:
            telegram = await _telegram(settings.telegram, gallery, clock)
            links[telegram.network] = telegram.link
            lines[telegram.network] = _telegram_line(telegram)
            chats.append(telegram)
        if settings.matrix is not None:
            since = await store.cursor("matrix")
            matrix = await _matrix(settings.matrix, gallery, clock, accounts, since)
            lines[matrix.network] = _matrix_line(matrix)
            chats.append(matrix)
        door = Door(store, accounts, links)
        dispatcher.door = door
        dispatcher.kitchen = Kitchen(store, clock, accounts, dispatcher)
        joined = {chat.network: chat for chat in chats}
        await solving.look()
        yield Serving(
            store,
            clock,
            accounts,
            dispatcher,
            door,
            joined,
            Pulse(lines=lines),
            settings.health_port,
        )


async def _telegram(settings: TelegramSettings, media: Media, clock: Clock) -> Telegram:
    from bot.chat.telegram import Telegram, Webhook

    hook = None
    if settings.webhook_url is not None:
        secret = settings.webhook_secret
        hook = Webhook(settings.webhook_url, secret, settings.listen, settings.port)
    server = settings.server or TELEGRAM
    telegram = Telegram(settings.token, media, clock=clock, base_url=server, webhook=hook)
    await telegram.start()
    return telegram


def _telegram_line(telegram: Telegram) -> Callable[[], LineState]:
    def state() -> LineState:
        known = telegram.known
        rival = "another program reads with the same token" if known.rival_since else ""
        return LineState(known.heard_at, rival or known.trouble)

    return state


async def _matrix(
    settings: MatrixSettings, media: Media, clock: Clock, accounts: Accounts, since: str | None
) -> Matrix:
    from bot.chat.matrix import SYNAPSE_DEFAULT, UNLIMITED, Account, Matrix

    account = Account(
        settings.server,
        settings.user,
        settings.folder,
        settings.password,
        settings.secret,
        may_invite=lambda who: accounts.knows(Matrix.network, who),
        allowance=UNLIMITED if settings.unlimited else SYNAPSE_DEFAULT,
    )
    matrix = Matrix(account, media, clock)
    await matrix.start(since)
    return matrix


def _matrix_line(matrix: Matrix) -> Callable[[], LineState]:
    def state() -> LineState:
        return LineState(None, matrix.why)

    return state
