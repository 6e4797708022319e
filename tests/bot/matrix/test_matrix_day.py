"""The golden wedding played in an encrypted room: two of the crew on clients of their own, the bot
killed and the server restarted in the middle, and every phone shows what the rehearsal shows.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path

from bot.cards import read_event, read_texts
from bot.chat.matrix import Account, Matrix
from bot.chat.matrix.words import body_of
from bot.clock import VirtualClock
from bot.directory import CREW_ROOM, Address, NamesDirectory
from bot.dispatch import Dispatcher
from bot.examples import GOLDEN_WEDDING
from bot.outbox import Outbox
from bot.ports import Batch, Chat, FactStore, Incoming
from bot.rehearse import NETWORK, Phones, Player, Shown
from bot.script import LAST, ScriptLine, read_script
from bot.store import open_store
from core.model import Cards, Moment, Sound
from core.rights import CLIENT
from tests.bot.matrix.crew import PATIENCE_S, NoMedia, Phone, account_of, phone
from tests.flow.days import Day, example_day
from tests.synapse import Synapse

COOK = "golden-wedding-1"
KILLED_AT = "B on"
"""The second half of the lamb has just gone on: the bot is killed and the server restarted."""


@dataclass
class Seats(NamesDirectory):
    """Implements Directory: two of the crew and the room are on Matrix, the rest on paper."""

    network: str = NETWORK
    cook_id: str = COOK
    rooms: dict[str, str] = field(default_factory=dict)
    people: dict[str, str] = field(default_factory=dict)

    def person(self, message: Incoming, cards: Cards | None) -> str | None:
        if message.network == Matrix.network:
            return self.people.get(message.who)
        return NamesDirectory.person(self, message, cards)

    def cook(self, message: Incoming) -> str | None:
        return self.cook_id

    def private(self, cook: str, person: str) -> Address | None:
        if person in self.rooms:
            return Address(Matrix.network, self.rooms[person])
        return Address(NETWORK, f"@{person}")

    def crew_rooms(self, cook: str) -> tuple[Address, ...]:
        return (Address(Matrix.network, self.rooms[CREW_ROOM]),)


@dataclass
class Evening:
    """The same day as the rehearsal's, with Matrix between the bot and two of the crew."""

    account: Account
    url: str
    clock: VirtualClock
    seats: Seats = field(default_factory=Seats)
    paper: list[Shown] = field(default_factory=list)
    _batches: AsyncIterator[Batch] = field(init=False)
    _heard: deque[Incoming] = field(default_factory=deque)
    store: FactStore = field(init=False)
    matrix: Matrix = field(init=False)
    phones: Phones = field(init=False)
    dispatcher: Dispatcher = field(init=False)
    outbox: Outbox = field(init=False)

    async def wake(self) -> None:
        """Start a process: nothing but the disk is left of the one before."""
        self.store = await open_store(self.url, self.clock)
        self.matrix = Matrix(self.account, NoMedia(), self.clock)
        await self.matrix.start(await self.store.cursor(Matrix.network))
        self._batches = self.matrix.batches()
        self.phones = Phones(self.clock, self.paper.append)
        self.dispatcher = Dispatcher(self.store, self.clock, self.seats)
        chats: dict[str, Chat] = {NETWORK: self.phones, Matrix.network: self.matrix}
        self.outbox = Outbox(self.store, chats, self.clock, wanted=self.dispatcher.wanted)
        await self.look()

    async def seat(self, bo: Phone, carmen: Phone) -> None:
        """Open the crew's room and a private one each, and wait until all can read all."""
        us = self.account.user
        self.seats.people = {bo.user: "bo", carmen.user: "carmen"}
        self.seats.rooms = {
            CREW_ROOM: await bo.make_room(us, carmen.user),
            "bo": await bo.make_room(us, direct=True),
            "carmen": await carmen.make_room(us, direct=True),
        }
        await carmen.join(self.seats.rooms[CREW_ROOM])
        assert self.matrix._door is not None
        while set(self.seats.rooms.values()) - set(self.matrix._door.client.rooms):
            await self.look()
        for name, person in (("bo", bo), ("carmen", carmen)):
            for room in (CREW_ROOM, name):
                await person.waits_for(self.seats.rooms[room], us)
        self._heard.clear()

    async def look(self) -> None:
        """Hear one batch as the composition root does: kept before the next is asked for."""
        batch = await anext(self._batches)
        self._heard += [m for m in batch.messages if m.who in self.seats.people and m.text]
        cursor = (Matrix.network, batch.cursor) if batch.cursor else None
        await self.store.hear((), cursor)

    async def hears(self, text: str) -> None:
        """Let what somebody typed reach the dispatcher at the day's own time."""
        async with asyncio.timeout(PATIENCE_S):
            while not self._heard:
                await self.look()
        message = self._heard.popleft()
        assert message.text == text
        await self.dispatcher.hear((replace(message, sent=self.clock.now()),))

    async def die(self) -> None:
        """End as a killed process does."""
        await self._batches.aclose()  # type: ignore[attr-defined]
        assert self.matrix._door is not None
        await self.matrix._door.close()
        assert self.matrix._lock is not None
        self.matrix._lock.release()
        await self.store.close()

    async def deliver(self) -> None:
        for network in (NETWORK, Matrix.network):
            await self.outbox.deliver(network)


async def play(evening: Evening, day: Day, people: dict[str, Phone], synapse: Synapse) -> None:
    """Play the script: who is on Matrix types on their own client, alone with the bot."""
    script = (GOLDEN_WEDDING / "day.txt").read_text("utf-8")
    lines = deque(read_script(script, day.cards))
    last = day.cards.event.instant(LAST)
    due: datetime | None = await evening.dispatcher.ring(evening.clock.now())
    await evening.deliver()
    while (at := min((t for t in (due, lines[0].at if lines else None) if t), default=None)) and (
        at <= last
    ):
        evening.clock.set(max(at, evening.clock.now()))
        if not (due is not None and due <= at):
            line = lines.popleft()
            await say(evening, line, people)
            if line.text.endswith(KILLED_AT):
                await evening.deliver()
                await evening.die()
                await synapse.restarted()
                await evening.wake()
        due = await evening.dispatcher.ring(evening.clock.now())
        await evening.deliver()


async def say(evening: Evening, line: ScriptLine, people: dict[str, Phone]) -> None:
    if line.text in {"(offline)", "(online)"}:
        return  # a client that does not look shows it all when it looks again
    if line.who in people:
        await people[line.who].look()
        await people[line.who].say(evening.seats.rooms[line.who], line.text)
        await evening.hears(line.text)
        return
    who = line.who if line.who != CLIENT else "Client"
    now = evening.clock.now()
    ext_id = f"line:{line.number}"
    message = Incoming(NETWORK, ext_id, f"@{line.who}", who, line.text, now, private=True)
    await evening.dispatcher.hear((message,))


@asynccontextmanager
async def evening_of(
    synapse: Synapse, folder: Path, day: Day
) -> AsyncIterator[tuple[Evening, dict[str, Phone]]]:
    """Bring Bo and Carmen, each alone with the bot and both in the crew's room; start the cook."""
    cards, texts = read_event(GOLDEN_WEDDING), dict(read_texts(GOLDEN_WEDDING))
    script = read_script((GOLDEN_WEDDING / "day.txt").read_text("utf-8"), cards)
    clock = VirtualClock(Player(cards, texts, script, lambda _: None, cook_id=COOK)._start())
    account = account_of(synapse, synapse.person("pitcrier"), folder / "matrix", poll_s=2.0)
    evening = Evening(account, f"sqlite:///{folder / 'day.db'}", clock)
    await evening.wake()
    try:
        async with (
            phone(synapse, synapse.person("bo")) as bo,
            phone(synapse, synapse.person("carmen")) as carmen,
        ):
            await evening.seat(bo, carmen)
            await evening.dispatcher.start(COOK, cards, texts, "ana")
            await evening.deliver()
            yield evening, {"bo": bo, "carmen": carmen}
    finally:
        await evening.die()


def rung_in(person: Phone, room: str, us: str) -> list[tuple[str, bool]]:
    """Return what a client shows of us in a room: the text, and whether it rings."""
    shown = []
    for event in person.seen:
        content = event.source["content"]
        if event.sender == us and getattr(event, "room_id", "") == room and "body" in content:
            new = content.get("m.new_content", content)
            assert event.decrypted
            shown.append((new["body"], new["msgtype"] == "m.text"))
    return shown


def rehearsed(day: Day, room: str) -> list[tuple[str, bool]]:
    """Return what a phone of the rehearsal shows."""
    mine = (s.message for s in day.shown if s.room == room)
    return [(body_of(m), m.sound is not Sound.SILENT) for m in mine]


async def test_two_of_the_crew_on_matrix_are_rung_as_in_the_rehearsal(
    synapse: Synapse, tmp_path: Path
) -> None:
    day = await asyncio.to_thread(example_day, GOLDEN_WEDDING)
    async with evening_of(synapse, tmp_path, day) as (evening, people):
        us, rooms = evening.account.user, evening.seats.rooms
        await play(evening, day, people, synapse)
        for name, person in people.items():
            await person.look(0.5)
            await person.look(0.5)
            assert rung_in(person, rooms[name], us) == rehearsed(day, f"@{name}")
        assert rung_in(people["carmen"], rooms[CREW_ROOM], us) == rehearsed(day, CREW_ROOM)
        assert (await evening.store.head(f"cook:{COOK}"))[1] == day.head  # fact by fact the same


async def test_a_tick_under_a_call_answers_it_for_the_one_who_was_rung(
    synapse: Synapse, tmp_path: Path
) -> None:
    day = await asyncio.to_thread(example_day, GOLDEN_WEDDING)
    async with evening_of(synapse, tmp_path, day) as (evening, people):
        due = await evening.dispatcher.ring(evening.clock.now())
        while due is not None and due <= day.cards.event.instant(Moment(0, 9, 30)):
            evening.clock.set(due)
            due = await evening.dispatcher.ring(due)
        await evening.deliver()
        room = evening.seats.rooms["bo"]
        call = await people["bo"].sees(
            lambda e: (
                getattr(e, "room_id", "") == room
                and e.source["content"]["body"].startswith("LIGHT smoker")
            )
        )
        await people["bo"].tap(room, call.event_id, "✅")
        await evening.hears("✅")
        cook = await evening.dispatcher.cook(COOK)
        assert [c.answered_by for k, c in cook.calls.items() if "light/smoker" in k] == ["bo"]
