"""A day played through Telegram: real HTTP to a double, a phone in every hand, a virtual clock."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncGenerator, Sequence
from contextlib import aclosing
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from bot.accounts import Accounts
from bot.cards import read_event, read_texts
from bot.chat.telegram import Telegram
from bot.clock import VirtualClock
from bot.dispatch import Dispatcher
from bot.outbox import Outbox
from bot.ports import Batch, CrewRoom, Medium, Seat
from bot.script import LAST, ScriptLine, read_script
from bot.store import SqlStore, open_store
from core.cook import Cook
from core.model import Cards
from core.rights import CLIENT
from tests.bot.telegram_line import png
from tests.doubles.bot_api import BotApi, Chat, Phone, running

NETWORK = Telegram.network
GROUP = -1001
MOST_STEPS = 5000


class Drawn:
    """Implements Media: a picture of its own for every name."""

    async def medium(self, name: str) -> Medium | None:
        return Medium(name, "image/png", png(mark=name.encode()))


@dataclass
class TelegramDay:
    """What every phone and the group had at the end."""

    cards: Cards
    api: BotApi
    phones: dict[str, Phone]
    group: Chat
    cook: Cook


@dataclass
class Stage:
    """The parts of one playing day, joined."""

    cards: Cards
    clock: VirtualClock
    api: BotApi
    phones: dict[str, Phone]
    store: SqlStore
    chat: Telegram
    dispatcher: Dispatcher
    outbox: Outbox
    coming: asyncio.Future[Batch] | None = field(default=None)

    async def run(self, script: Sequence[ScriptLine], batches: AsyncGenerator[Batch, None]) -> None:
        """Play line after line and call after call, as a rehearsal does."""
        lines = list(script)
        last = self.cards.event.instant(LAST)
        due = await self.dispatcher.ring(self.clock.now())
        await self.deliver(last)
        for _ in range(MOST_STEPS):
            at = min((t for t in (due, lines[0].at if lines else None) if t), default=None)
            if at is None or at > last:
                return
            self.clock.set(max(at, self.clock.now()))
            if due is None or due > at:
                await self.act(lines.pop(0), batches)
            due = await self.dispatcher.ring(self.clock.now())
            following = min((t for t in (due, lines[0].at if lines else None) if t), default=last)
            await self.deliver(following)

    async def act(self, line: ScriptLine, batches: AsyncGenerator[Batch, None]) -> None:
        """Let a person do what the script says, and the bot handle what it hears of it."""
        phone = self.phones[line.who]
        if line.text in {"(offline)", "(online)"}:
            phone.go(online=line.text == "(online)")
            return
        if line.text.startswith("["):
            phone.tap(phone.newest(), int(line.text.strip("[]")))
        else:
            phone.say(line.text)
        batch = await anext(batches)
        await self.dispatcher.hear(batch.messages)

    async def deliver(self, until: datetime) -> None:
        """Send what is owed at the platform's pace, as far as the time to the next line goes."""
        while True:
            await self.outbox.deliver(NETWORK)
            owed = await self.store.next_send(NETWORK)
            if owed is None:
                return
            moment = max(owed, self.clock.now() + timedelta(milliseconds=50))
            if moment > until:
                return
            self.clock.set(moment)


async def play(folder: Path, script: str, start: datetime, database: Path) -> TelegramDay:
    """Play a script against an event, everybody with a phone and a private chat."""
    cards = read_event(folder)
    lines = read_script(script, cards)
    clock = VirtualClock(start)
    cook_id = f"{cards.event.id}-1"
    store = await open_store(f"sqlite:///{database}", clock)
    async with running(clock) as api:
        people = [(p.id, p.name, p.languages[0]) for p in cards.crew] + [(CLIENT, "Client", "en")]
        phones = {
            who: api.phone(1001 + n, name, lang) for n, (who, name, lang) in enumerate(people)
        }
        group = api.group(GROUP, *(p for who, p in phones.items() if who != CLIENT))
        for who, phone in phones.items():
            number = str(phone.user.id)
            await store.people.seat(Seat(cook_id, who, NETWORK, number, number))
        await store.people.open_room(CrewRoom(NETWORK, str(GROUP), cook_id))
        accounts = Accounts(store.people)
        await accounts.refresh((cook_id,))
        chat = Telegram(api.token, Drawn(), clock=clock, base_url=api.url)
        await chat.start()
        dispatcher = Dispatcher(store, clock, accounts)
        outbox = Outbox(store, {NETWORK: chat}, clock, wanted=dispatcher.wanted)
        try:
            chef = cards.chef or cards.crew[0]
            await dispatcher.start(cook_id, cards, dict(read_texts(folder)), chef.id)
            stage = Stage(cards, clock, api, phones, store, chat, dispatcher, outbox)
            async with aclosing(chat.batches()) as batches:
                await stage.run(lines, batches)
            return TelegramDay(cards, api, phones, group, await dispatcher.cook(cook_id))
        finally:
            await chat.stop()
            await store.close()
