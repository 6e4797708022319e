"""The bot on its platforms: every front-end the settings name, every open cook.

What a platform gives is in the inbox before the next is asked for; handling it is a loop of its
own, so a slow answer never stops the listening and a platform that is down stops nobody else.
Several copies on one PostgreSQL share the ringing of all cooks; each platform is one copy's post.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import AsyncExitStack, asynccontextmanager, suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from bot.absence import Watch, watch_stalls
from bot.accounts import HOUSE, Accounts
from bot.cards import read_event, read_texts
from bot.dispatch import PREFIX, Dispatcher, new_cook_id
from bot.door import FIRST_CODE_GOOD, Door
from bot.enclosures import Enclosures
from bot.health import Health, LineState, Pulse, notify
from bot.kitchen import Kitchen
from bot.leads import Leads
from bot.media import Gallery
from bot.outbox import Outbox
from bot.ports import Chat, Clock, FactStore, Invitation, Media, News, StoreError
from bot.posts import Front, Opened, Posts
from bot.reminders import AlarmClock, Pump
from bot.settings import MatrixSettings, Settings, TelegramSettings
from bot.solving import Solving, workers
from bot.store import open_store
from core.facts import CookClosed, CookStarted, Fact, Undone

if TYPE_CHECKING:
    from bot.chat.matrix import Matrix
    from bot.chat.telegram import Telegram

LOG = logging.getLogger("pitcrier.serving")

TELEGRAM = "https://api.telegram.org"
STORE_PAUSE_S = 5.0
KEEP_UP_S = 30.0
WORKERS = 2

ENGINE = "engine"
"""The post of asking the engine about every open cook after a start."""

OPENS_OR_CLOSES = (CookStarted, CookClosed, Undone)


@dataclass(slots=True)
class Serving:
    """One process at work: the parts joined, until `run` is cancelled."""

    store: FactStore
    clock: Clock
    accounts: Accounts
    dispatcher: Dispatcher
    door: Door
    posts: Posts
    solving: Solving
    health_port: int | None = None
    _moved: asyncio.Event = field(default_factory=asyncio.Event)
    _pump: Pump = field(init=False)
    _begun: set[asyncio.Task[None]] = field(default_factory=set)

    def __post_init__(self) -> None:
        """Join what tells what to whom."""
        watch = Watch(self.dispatcher, self.posts.chats)

        async def ring(now: datetime) -> datetime | None:
            due = await watch.ring(now)
            self.posts.pulse.looked = now
            notify("WATCHDOG=1")
            return due

        self._pump = Pump(ring, self.clock, AlarmClock())
        self.posts.lost = self._pump.nudge
        self.dispatcher.nudge, self.dispatcher.woken = self.posts.nudge, self._wakes
        if self.store.together.shared:
            self.dispatcher.networks = lambda: frozenset(self.posts.chats)
        asked = self.dispatcher.changed

        def changed(cook_id: str, facts: Sequence[Fact]) -> None:
            asked(cook_id, facts)
            if any(isinstance(fact, OPENS_OR_CLOSES) for fact in facts):
                self._moved.set()

        self.dispatcher.changed = changed

    async def refresh(self) -> tuple[str, ...]:
        """Read again who sits where and which cooks are open, without reading the cooks."""
        streams = await self.store.running(PREFIX)
        await self.accounts.refresh([stream.removeprefix(PREFIX) for stream in streams])
        return self.accounts.running

    async def run(self) -> None:
        """Listen, handle, ring and deliver until cancelled; then let what is in hand land.

        What is held by posts is given back last: the next copy begins when nothing is in the air.
        """
        health = self._health()
        jobs = [watch_stalls(), self._pump.run(), self._handle(), self._keep_up()]
        jobs += [self.posts.attend(network) for network in self.posts.fronts]
        tasks = [asyncio.create_task(job) for job in jobs]
        names = (*self.posts.fronts, ENGINE)
        holding = asyncio.create_task(self.store.together.run(names, self._change, self._news))
        notify("READY=1")
        try:
            done, _ = await asyncio.wait({*tasks, holding}, return_when=asyncio.FIRST_COMPLETED)
            for task in done:
                await task
        finally:
            notify("STOPPING=1")
            for task in (*tasks, *self._begun):
                task.cancel()
            await asyncio.gather(*tasks, *self._begun, return_exceptions=True)
            holding.cancel()
            await asyncio.gather(holding, return_exceptions=True)
            if health is not None:
                health.stop()

    def _health(self) -> Health | None:
        if self.health_port is None:
            return None
        health = Health(
            self.posts.pulse,
            self.clock,
            lambda: self.store.figures(self.clock.now()),
            lambda: len(self.accounts.running),
        )
        health.listen(self.health_port)
        return health

    # -------------------------------------------------------------- other copies

    def _change(self, held: frozenset[str]) -> None:
        """Take up posts, and lay down what is not ours any more."""
        if ENGINE in held and not self._begun:  # what the last one had asked is asked again
            self._begun.add(asyncio.create_task(self.solving.look()))
        elif ENGINE not in held:
            self._begun.clear()
        self.posts.change(held)

    def _news(self, news: News) -> None:
        """Act on what another copy has committed."""
        if news.network is not None or news.everything:
            self.posts.nudge(news.network)
        if news.wake is not None:
            self._wakes(news.wake)
        if news.everything:
            self._pump.nudge()
        if news.people is not None:
            self.dispatcher.forget(news.people or None)
            self._moved.set()

    def _wakes(self, at: datetime) -> None:
        """Look again if something falls due before the pump would look by itself."""
        if self._pump.until is None or at < self._pump.until:
            self._pump.nudge()

    async def _keep_up(self) -> None:
        """Read again who sits where when somebody else has changed it, and now and then."""
        while True:
            with suppress(TimeoutError):
                async with asyncio.timeout(KEEP_UP_S):
                    await self._moved.wait()
            self._moved.clear()
            try:
                await self.refresh()
            except StoreError as wrong:
                LOG.error("store", extra={"why": str(wrong)})

    async def _handle(self) -> None:
        """Handle what was heard, in the order of each room."""
        while True:
            await self.posts.heard.wait()
            self.posts.heard.clear()
            try:
                await self.dispatcher.work()
            except StoreError as wrong:
                LOG.error("store", extra={"why": str(wrong)})
                await asyncio.sleep(STORE_PAUSE_S)
                self.posts.heard.set()

    # -------------------------------------------------------------- starting

    async def start_event(self, folder: Path) -> str:
        """Start the event's cook unless it is open; return its id."""
        cards, texts = read_event(folder), read_texts(folder)
        for known in await self.refresh():
            is_ours = known.rpartition("-")[0] == cards.event.id
            if is_ours and not (await self.dispatcher.cook(known)).closed:
                return known
        cook_id = await new_cook_id(self.store, cards.event.id)
        chef = cards.chef or cards.crew[0]
        await self.dispatcher.start(cook_id, cards, dict(texts), chef.id)
        await self.refresh()
        return cook_id

    async def first_codes(self) -> tuple[tuple[str, str, str], ...]:
        """Return (cook, chef's name, code) for every open cook that nobody has joined yet."""
        codes: list[tuple[str, str, str]] = []
        for cook_id in await self.refresh():
            if self.accounts.seated(cook_id):
                continue
            cook = await self.dispatcher.cook(cook_id)
            chef = cook.cards.chef if cook.cards else None
            if chef is None or cook.closed:
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
    more: Callable[[FactStore], Sequence[Front]] = lambda _: (),
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
        fronts = _fronts(settings, store, gallery, clock, accounts)
        fronts += more(store)

        def deliver(chat: Chat) -> Outbox:
            tell, wanted = Leads(dispatcher), dispatcher.wanted
            return Outbox(store, {chat.network: chat}, clock, tell=tell, wanted=wanted)

        named = {front.network: front for front in fronts}
        posts = Posts(named, store, clock, Pulse(), deliver)
        door = Door(store, accounts, posts.links, posts.chats)
        dispatcher.enclosures = Enclosures(posts.chats, store.files, posts.heard.set)
        closing.push_async_callback(dispatcher.enclosures.close)
        dispatcher.door = door
        kitchen = Kitchen(store, clock, accounts, dispatcher, posts.chats.get)
        dispatcher.kitchen, gallery.cards = kitchen, kitchen.medium
        yield Serving(
            store, clock, accounts, dispatcher, door, posts, solving, settings.health_port
        )


def _fronts(
    settings: Settings, store: FactStore, media: Media, clock: Clock, accounts: Accounts
) -> list[Front]:
    """Return the front-ends that the settings name; none is opened yet."""
    fronts: list[Front] = []
    if (telegram := settings.telegram) is not None:
        fronts.append(Front("telegram", lambda: _telegram(telegram, media, clock)))
    if (matrix := settings.matrix) is not None:

        async def opened() -> Opened:
            return await _matrix(matrix, media, clock, accounts, await store.cursor("matrix"))

        fronts.append(Front("matrix", opened))
    return fronts


async def _telegram(settings: TelegramSettings, media: Media, clock: Clock) -> Opened:
    from bot.chat.telegram import Telegram, Webhook

    hook = None
    if settings.webhook_url is not None:
        secret = settings.webhook_secret
        hook = Webhook(settings.webhook_url, secret, settings.listen, settings.port)
    server = settings.server or TELEGRAM
    telegram = Telegram(settings.token, media, clock=clock, base_url=server, webhook=hook)
    await telegram.start()
    return Opened(telegram, _telegram_line(telegram), telegram.link)


def _telegram_line(telegram: Telegram) -> Callable[[], LineState]:
    def state() -> LineState:
        known = telegram.known
        rival = "another program reads with the same token" if known.rival_since else ""
        return LineState(known.heard_at, rival or known.trouble)

    return state


async def _matrix(
    settings: MatrixSettings, media: Media, clock: Clock, accounts: Accounts, since: str | None
) -> Opened:
    from bot.chat.matrix import SYNAPSE_DEFAULT, UNLIMITED, Account, Matrix

    account = Account(
        settings.server,
        settings.user,
        settings.folder,
        settings.password,
        settings.secret,
        may_invite=lambda who: accounts.knows(Matrix.network, who),
        is_crews=lambda room: accounts.is_crews(Matrix.network, room),
        allowance=UNLIMITED if settings.unlimited else SYNAPSE_DEFAULT,
    )
    matrix = Matrix(account, media, clock)
    await matrix.start(since)
    return Opened(matrix, _matrix_line(matrix))


def _matrix_line(matrix: Matrix) -> Callable[[], LineState]:
    def state() -> LineState:
        return LineState(None, matrix.why)

    return state
