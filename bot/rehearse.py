"""A day played on a virtual clock: the real store, dispatcher and outbox, no waiting, no push.

Nothing leaves the machine: the only front-end is a row of simulated phones that note what they
would have shown, when. A phone that is offline shows it when it is online again. Plans are those
that are there at once: the exact engine beside the talk is not asked, so that the same script gives
the same day, and nobody's question comes between two lines of it.
"""

from __future__ import annotations

import tempfile
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from bot.clock import VirtualClock
from bot.directory import CREW_ROOM, NamesDirectory
from bot.dispatch import Dispatcher
from bot.outbox import Outbox
from bot.ports import Clock, Incoming, Outgoing, Pace, Receipt, Sent
from bot.script import LAST, ScriptLine
from bot.store import open_store
from core.calls import calls_owed, next_due
from core.cook import Cook, decide
from core.cook.decision import booked
from core.facts import StartCook
from core.model import Cards, Moment
from core.rights import CLIENT

NETWORK = "rehearsal"
MOST_STEPS = 20_000


@dataclass(frozen=True, slots=True)
class Shown:
    """One message on a phone or in the room."""

    at: datetime
    room: str
    message: Outgoing
    key: str
    edit_of: str | None = None


@dataclass(slots=True)
class Phones:
    """Implements Chat for a rehearsal: everybody's phone, and the crew's room."""

    clock: Clock
    show: Callable[[Shown], None]
    offline: set[str] = field(default_factory=set)
    held: dict[str, list[Shown]] = field(default_factory=dict)
    known: set[str] = field(default_factory=set)
    network: str = NETWORK
    repeats_harmless: bool = True
    pace: Pace = field(default_factory=Pace)

    async def incoming(self) -> AsyncIterator[Incoming]:
        """Yield nothing: the script is fed by the player."""
        nothing: tuple[Incoming, ...] = ()
        for message in nothing:
            yield message

    async def send(self, room: str, message: Outgoing, key: str) -> Receipt:
        """Show a message, once, or keep it for a phone that is offline."""
        if key in self.known:
            return Sent(key)
        self.known.add(key)
        shown = Shown(self.clock.now(), room, message, key)
        if room in self.offline:
            self.held.setdefault(room, []).append(shown)
        else:
            self.show(shown)
        return Sent(key)

    async def edit(self, receipt: Sent, message: Outgoing) -> Receipt:
        """Show the new text of a message."""
        self.show(Shown(self.clock.now(), CREW_ROOM, message, receipt.id, receipt.id))
        return receipt

    def go(self, room: str, *, online: bool) -> None:
        """Switch a phone off, or on: what waited for it shows now."""
        if not online:
            self.offline.add(room)
            return
        self.offline.discard(room)
        for shown in self.held.pop(room, []):
            self.show(Shown(self.clock.now(), room, shown.message, shown.key, shown.edit_of))


def _silent(_: object) -> None:
    """Do nothing: nobody watches."""


@dataclass(slots=True)
class Player:
    """Plays one event against a script."""

    cards: Cards
    texts: dict[str, str]
    script: tuple[ScriptLine, ...]
    show: Callable[[Shown], None]
    said: Callable[[ScriptLine], None] = _silent
    pause: Callable[[timedelta], None] = _silent
    cook_id: str = ""

    async def play(self) -> tuple[Cook, str]:
        """Play the day; return the cook at its end and the head of its chain."""
        with tempfile.TemporaryDirectory(prefix="pitcrier-") as folder:
            return await self._play(f"sqlite:///{Path(folder) / 'rehearsal.db'}")

    async def _play(self, url: str) -> tuple[Cook, str]:
        self.cook_id = self.cook_id or f"{self.cards.event.id}-1"
        start = self._start()
        clock = VirtualClock(start)
        store = await open_store(url, clock)
        try:
            phones = Phones(clock, self.show)
            directory = NamesDirectory(NETWORK, self.cook_id)
            dispatcher = Dispatcher(store, clock, directory)
            outbox = Outbox(store, {NETWORK: phones}, clock, wanted=dispatcher.wanted)
            chef = self.cards.chef
            by = chef.id if chef else self.cards.crew[0].id
            await dispatcher.start(self.cook_id, self.cards, self.texts, by)
            await outbox.deliver(NETWORK)
            await self._run(clock, dispatcher, outbox, phones)
            _, head = await store.head(f"cook:{self.cook_id}")
            return await dispatcher.cook(self.cook_id), head
        finally:
            await store.close()

    def _start(self) -> datetime:
        """Return the earlier of the first line and the first call."""
        first = self.script[0].at if self.script else None
        wish = StartCook(self.cook_id, self.cards, self.texts)
        at = first or self.cards.event.instant(Moment(-7, 12, 0))
        decision = decide(Cook(), wish, by="bot", at=at, now=at)
        call = next_due(calls_owed(booked(Cook(), decision.facts, "bot", at)))
        return min(t for t in (first, call, at) if t is not None)

    async def _run(
        self, clock: VirtualClock, dispatcher: Dispatcher, outbox: Outbox, phones: Phones
    ) -> None:
        lines = list(self.script)
        last = self.cards.event.instant(LAST)
        due: datetime | None = await dispatcher.ring(clock.now())
        await outbox.deliver(NETWORK)
        for _ in range(MOST_STEPS):
            at = min((t for t in (due, lines[0].at if lines else None) if t), default=None)
            if at is None or at > last:
                return
            self.pause(max(at - clock.now(), timedelta()))
            clock.set(max(at, clock.now()))
            if due is not None and due <= at:
                due = await dispatcher.ring(clock.now())
            else:
                await self._say(lines.pop(0), clock, dispatcher, phones)
                due = await dispatcher.ring(clock.now())
            await outbox.deliver(NETWORK)

    async def _say(
        self, line: ScriptLine, clock: VirtualClock, dispatcher: Dispatcher, phones: Phones
    ) -> None:
        self.said(line)
        room = f"@{line.who}"
        if line.text in {"(offline)", "(online)"}:
            phones.go(room, online=line.text == "(online)")
            return
        ext_id = f"line:{line.number}"
        who = line.who if line.who != CLIENT else "Client"
        message = Incoming(NETWORK, ext_id, room, who, line.text, clock.now(), private=True)
        await dispatcher.hear((message,))
