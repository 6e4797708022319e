"""A message heard, or a call due: facts and outbox rows in one commit, calls derived again.

Heard: the inbox row is on the disk before the platform is told. Handling reads the words, decides
on the cook's present state and commits facts, answers and 'done' together; a clash on the cook's
sequence number reads again and decides again. Due: each call becomes a fact and its outbox rows
in one commit, so it is made once whatever is killed when.
"""

from __future__ import annotations

import asyncio
import logging
from collections import deque
from collections.abc import Awaitable, Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Protocol

from bot.accounts import Accounts
from bot.directory import Address, Directory
from bot.door import Door, Met
from bot.memory import Memory
from bot.naming import nameless, nameless_texts, names_of, with_names
from bot.ports import (
    Clock,
    Due,
    Enclosed,
    FactStore,
    HandledError,
    Happened,
    Heard,
    Incoming,
    NewFact,
    NewSend,
    Outgoing,
    Owed,
    StaleError,
    StoreError,
    Wake,
)
from bot.replies import (
    Reply,
    Voice,
    apology,
    calls_sends,
    chain_head,
    notice_sends,
    refusal,
    repinned,
    reply_send,
)
from bot.seating import carried_over
from bot.turns import Turns
from bot.understand import Understanding
from core.calls import calls_owed, due, next_due
from core.cook import Cook, Decision, Notice, decide, evolve
from core.cook.decision import Dated, booked
from core.cook.safety.watch import said_with
from core.cook.service.review import asked_with
from core.cook.service.silence import hushed, hushed_notices
from core.errors import KitchenError
from core.facts import CallMade, CookClosed, Fact, StartCook, Undone
from core.model import Answer, Cards

LOG = logging.getLogger("pitcrier.dispatch")

PREFIX = "cook:"
CLASHES = 12
REMEMBERED = 1000
SIDE_BY_SIDE = 16
"""Cooks rung at once: their facts share a commit."""
MOST_AT_ONCE = 100
"""Messages read from the inbox at once."""
TAKEN = 32
"""Cooks taken in hand at once, of which other copies keep off meanwhile."""
KEPT = 2000
"""Cooks kept in memory; who comes again later is read again."""
BOT = "bot"


class Bench(Protocol):
    """What hears a message before the door and the cook do: the test kitchen."""

    async def heard(self, heard: Heard, on: Outgoing | None) -> bool:
        """Take a message, in a commit of its own; False leaves it to the others."""
        ...


class Files(Protocol):
    """What becomes of the files that come with messages."""

    def ready(self, heard: Heard) -> bool:
        """Say whether a message's file is here; if not, see to it and nudge when it is."""
        ...

    def of(self, heard: Heard) -> Enclosed | None:
        """Return what came of a message's file."""
        ...


@dataclass(slots=True)
class Dispatcher:
    """Takes what is heard and what falls due through the core and into the store."""

    store: FactStore
    clock: Clock
    directory: Directory
    nudge: Callable[[], None] = lambda: None
    door: Door | None = None
    kitchen: Bench | None = None
    enclosures: Files | None = None
    changed: Callable[[str, Sequence[Fact]], None] = lambda *_: None
    networks: Callable[[], Collection[str] | None] = lambda: None
    woken: Callable[[datetime], None] = lambda _: None
    memory: Memory = field(init=False)
    _understanding: Understanding = field(default_factory=Understanding)
    _cooks: dict[str, Cook] = field(default_factory=dict)
    _locks: dict[str, asyncio.Lock] = field(default_factory=dict)
    _handled: deque[int] = field(default_factory=lambda: deque(maxlen=REMEMBERED))
    _turns: Turns = field(default_factory=Turns)
    _turn: asyncio.Lock = field(default_factory=asyncio.Lock)

    def __post_init__(self) -> None:
        """Give the house's memory the same store."""
        self.memory = Memory(self.store)

    # -------------------------------------------------------------- cooks

    async def cook(self, cook_id: str) -> Cook:
        """Return a cook as far as the log goes."""
        known = self._cooks.get(cook_id, Cook())
        entries = await self.store.read(PREFIX + cook_id, known.seq)
        for entry in entries:
            known = evolve(known, entry)
        if known.cards is not None and entries:  # new to us: with people we may not know
            known = with_names(known, await self.store.people.names(cook_id))
        self._keep(cook_id, known)
        return known

    def _keep(self, cook_id: str, cook: Cook) -> None:
        """Remember a cook as the newest; the one that was wanted least lately makes room."""
        self._cooks.pop(cook_id, None)
        self._cooks[cook_id] = cook
        if len(self._cooks) > KEPT:
            del self._cooks[next(iter(self._cooks))]

    def known(self) -> tuple[Cook, ...]:
        """Return the open cooks we remember, without a look at the store."""
        return tuple(c for c in self._cooks.values() if c.cards is not None and not c.closed)

    def forget(self, cook_id: str | None = None) -> None:
        """Read a cook, or all, again when next wanted: names have changed."""
        if cook_id is None:
            self._cooks.clear()
        else:
            self._cooks.pop(cook_id, None)

    async def open_cooks(self) -> tuple[Cook, ...]:
        """Return every cook under way."""
        streams = await self.store.running(PREFIX)
        cooks = [await self.cook(name.removeprefix(PREFIX)) for name in streams]
        return tuple(c for c in cooks if c.cards is not None and not c.closed)

    async def _teachers(self) -> tuple[Cook, ...]:
        """Return the cooks that may still owe the house a lesson."""
        done = (await self.memory.house()).done
        ids = [name.removeprefix(PREFIX) for name in await self.store.streams(PREFIX)]
        return tuple([await self.cook(cook_id) for cook_id in ids if cook_id not in done])

    async def start(self, cook_id: str, cards: Cards, texts: dict[str, str], by: str) -> Answer:
        """Start a cook from its cards and tell the crew's room; return the first answer."""
        now = self.clock.now()
        for person, name in names_of(cards).items():
            await self.store.people.name(cook_id, person, name)
        await self._seat_again(cook_id, cards)
        house = await self.memory.catch_up(await self._teachers(), now)
        wish = StartCook(cook_id, nameless(cards), nameless_texts(texts), house.taken(cards))
        decision = await asyncio.to_thread(decide, Cook(), wish, by=by, at=now, now=now)
        answer = decision.answer or Answer(())
        voice = Voice(self.directory, cook_id, cards, now)
        sends = (*voice.opening(decision, now), *voice.chain())
        await self._commit(Cook(), cook_id, decision, by, now, sends)
        self.forget(cook_id)
        self.nudge()
        return answer

    async def _seat_again(self, cook_id: str, cards: Cards) -> None:
        """Let people of earlier cooks, and their closed cook's rooms, be heard in a new one."""
        open_ = {cook.id for cook in await self.open_cooks()}
        await carried_over(self.store.people, cook_id, names_of(cards), open_)
        if isinstance(self.directory, Accounts):
            await self.directory.refresh((*self.directory.running, cook_id))

    # -------------------------------------------------------------- heard

    async def hear(
        self, messages: Sequence[Incoming], cursor: tuple[str, str] | None = None
    ) -> None:
        """Store what a platform gave us, then handle it."""
        await self.store.hear(messages, cursor)
        await self.work()

    async def work(self) -> None:
        """Handle every inbox row that is not done: in order in a room, rooms side by side."""
        last: Sequence[Heard] = ()
        while (now := await self.store.unhandled(MOST_AT_ONCE, self.networks())) != last:
            last = now
            rooms: dict[str, list[Heard]] = {}
            for heard in now:
                rooms.setdefault(f"{heard.message.network}/{heard.message.room}", []).append(heard)
            await _each(self._room(room, rows) for room, rows in rooms.items())
            self.nudge()
            if len(now) < MOST_AT_ONCE:
                return

    async def _room(self, room: str, rows: list[Heard]) -> None:
        async with self._locks.setdefault(room, asyncio.Lock()):
            for heard in rows:
                if heard.id in self._handled:  # two looks at the inbox may bring it twice
                    continue
                if await self._is_whole(heard):
                    await self._handle(heard)

    async def _is_whole(self, heard: Heard) -> bool:
        """Say whether a message is here with its file; nothing is fetched for a stranger."""
        if self.enclosures is None or not heard.message.attached:
            return True
        cook = await self.cook(self.directory.cook(heard.message) or "")
        person = self.directory.person(heard.message, cook.cards)
        return person is None or self.enclosures.ready(heard)

    async def _handle(self, heard: Heard) -> None:
        try:
            await self._decided(heard)
            self._handled.append(heard.id)
        except HandledError:
            LOG.info("handled before", extra={"inbox": heard.id})
        except StoreError:
            raise  # a full disk is no fault of the message: it is handled when there is room
        except Exception:  # a bug must not block what comes after it
            LOG.exception("could not handle", extra={"inbox": heard.id})
            last = heard.attempts >= 2
            await self.store.fail(heard.id, "bug", (apology(heard),) if last else ())

    async def _decided(self, heard: Heard) -> None:
        """Decide on a message and commit; on a clash read the cook again and decide again."""
        on = await self._answered(heard.message)
        enclosed = self.enclosures.of(heard) if self.enclosures else None
        photo = enclosed.photo if enclosed else None
        if photo is None and self.kitchen is not None and await self.kitchen.heard(heard, on):
            return
        before = self.directory.cook(heard.message)
        met = await self._at_the_door(heard, on)
        if enclosed is not None and enclosed.said is not None:
            met = Met(Decision(answer=enclosed.said))
        cook_id = self.directory.cook(heard.message) or before or ""
        for clash in range(CLASHES):
            async with self._turns.turn(cook_id, clash):
                cook = await self.cook(cook_id)
                now, aloud = self.clock.now(), met is not None and met.opened
                heard_as = Reply(heard, self.directory, cook, cook_id, now, on, photo, aloud)
                decision = self._let_in(heard_as, met) if met else await self._decision(heard_as)
                sends = reply_send(heard_as, decision)
                notices = await self._with_head(cook_id, decision)
                notices = hushed_notices(cook, notices, self.clock.now())
                sends += notice_sends(heard_as.voice, notices)
                sends += repinned(heard_as.voice, decision)
                if met is not None and met.opened and cook.plan is not None:
                    here = Address(heard.message.network, heard.message.room)
                    sends += heard_as.voice.pinned(cook.plan, self.clock.now(), here)
                try:
                    by = heard_as.person or "stranger"
                    now = self.clock.now()
                    await self._commit(cook, cook_id, decision, by, now, sends, heard.id)
                except StaleError:
                    continue
                if any(isinstance(dated.fact, CookClosed) for dated in decision.facts):
                    await self._post_close(heard_as.voice, cook_id, now)
                if met is not None and met.wish is not None:
                    self.forget(cook_id)  # somebody new, with a name beside the log
                return
        raise StaleError(f"{CLASHES} clashes on {cook_id}")

    async def _at_the_door(self, heard: Heard, on: Outgoing | None) -> Met | None:
        """Return what a message does at the door; None if it is for the cook."""
        if self.door is None:
            return None
        cook = await self.cook(self.directory.cook(heard.message) or "")
        return await self.door.met(heard, cook, on)

    async def _answered(self, message: Incoming) -> Outgoing | None:
        """Return the message of ours that a reply, a tap or a reaction is about."""
        if message.reply_to is None:
            return None
        return await self.store.sent_message(message.network, message.reply_to)

    def _let_in(self, heard: Reply, met: Met) -> Decision:
        """Return what the door said, with the facts of whom it takes onto the crew."""
        if met.wish is None or heard.now is None:
            return met.decision
        try:
            made = decide(heard.cook, met.wish, by=heard.person or "", at=heard.now, now=heard.now)
        except KitchenError as error:
            return heard.error(error)
        return met.decision.also(*made.facts)

    async def _post_close(self, voice: Voice, cook_id: str, now: datetime) -> None:
        """Post where the chain of a closed cook ends, for everybody's phone."""
        seq, head = await self.store.head(PREFIX + cook_id)
        await self.store.append(PREFIX + cook_id, 0, (), now, voice.closing(seq, head))

    async def _with_head(self, cook_id: str, decision: Decision) -> tuple[Notice, ...]:
        """Return the notices; one that posts a plan also posts how far the chain stands."""
        if not any(notice.letter for notice in decision.notices):
            return decision.notices
        seq, head = await self.store.head(PREFIX + cook_id)
        chain = chain_head(seq, head)
        return tuple(
            replace(n, lines=(*n.lines, chain)) if n.letter else n for n in decision.notices
        )

    async def _decision(self, heard: Reply) -> Decision:
        now = self.clock.now()
        if heard.person is None:
            return refusal(heard)
        if heard.heard.message.happened is Happened.REACTED and not heard.text:
            return Decision()  # a heart is not an answer
        try:
            return await asyncio.to_thread(_whole, self._understanding.decision, heard, now)
        except KitchenError as error:
            return heard.error(error)

    async def wanted(self, owed: Owed) -> bool:
        """Say whether a message still asks for something: not a call somebody has answered."""
        tag = owed.message.tag
        if tag is None or tag.kind != "call" or not owed.key.startswith("c:"):
            return True
        cook = await self.cook(owed.key.split(":")[1])
        made = [cook.calls[key] for key in tag.keys if key in cook.calls]
        return not made or any(call.answered_by is None for call in made)

    # -------------------------------------------------------------- due

    async def ring(self, now: datetime) -> datetime | None:
        """Make every call that is due; return when the next falls due."""
        last: Due | None = None
        while page := await self.store.take_wakes(now, TAKEN, last):
            last = page[-1]
            await self._ring_all([due.stream for due in page], now)
            self.nudge()
        return await self.store.next_wake()

    async def _ring_all(self, streams: Sequence[str], now: datetime) -> None:
        """Ring cooks, a few side by side."""
        left = iter([stream for stream in streams if stream.startswith(PREFIX)])

        async def next_ones() -> None:
            for stream in left:
                await self._ring_cook(stream.removeprefix(PREFIX), now)

        await _each(next_ones() for _ in range(SIDE_BY_SIDE))

    async def _ring_cook(self, cook_id: str, now: datetime) -> None:
        """Make one cook's due calls, each a fact with its messages in the same commit."""
        for clash in range(CLASHES):
            async with self._turns.turn(cook_id, clash):
                cook = await self.cook(cook_id)
                async with self._turn:  # a cook takes milliseconds: the loop breathes between two
                    await asyncio.sleep(0)
                    owed = calls_owed(cook)
                ripe = hushed(cook, due(owed, now), now)
                if not ripe:
                    await self.store.set_wake(PREFIX + cook_id, Wake(next_due(owed)))
                    return
                made = tuple(Dated(now, CallMade(call)) for call in ripe)
                given = tuple(Dated(now, fact) for fact in said_with(cook, ripe))
                decision = Decision((*made, *given, *asked_with(cook, ripe, now)))
                voice = Voice(self.directory, cook_id, cook.cards, now)
                sends = calls_sends(voice, ripe, now)
                try:
                    wake = await self._commit(cook, cook_id, decision, BOT, now, sends)
                except StaleError:
                    continue
                if wake is None or wake.at is None or wake.at > now:
                    return

    async def propose(
        self, cook_id: str, make: Callable[[Cook, datetime], Decision | None]
    ) -> bool:
        """Commit what nobody asked for, decided on the cook as it stands; False if `make` has none.

        A clash on the cook's sequence number reads the cook again and decides again.
        """
        for clash in range(CLASHES):
            async with self._turns.turn(cook_id, clash):
                cook = await self.cook(cook_id)
                now = self.clock.now()
                decision = await asyncio.to_thread(make, cook, now)
                if decision is None:
                    return False
                notices = await self._with_head(cook_id, decision)
                sends = notice_sends(Voice(self.directory, cook_id, cook.cards, now), notices)
                try:
                    await self._commit(cook, cook_id, decision, BOT, now, sends)
                except StaleError:
                    continue
                self.nudge()
                return True
        return False

    async def _commit(
        self,
        cook: Cook,
        cook_id: str,
        decision: Decision,
        by: str,
        now: datetime,
        sends: Sequence[NewSend],
        done: int | None = None,
    ) -> Wake | None:
        """Append, and remember the cook as it then is; return when it next has a call due."""
        facts = [NewFact(dated.at, by, dated.fact) for dated in decision.facts]
        stream = PREFIX + cook_id
        after = booked(cook, decision.facts, by, now) if facts else cook
        wake = Wake(next_due(calls_owed(after))) if facts else None
        entries = await self.store.append(stream, cook.seq, facts, now, sends, done, wake)
        for entry in entries:
            cook = evolve(cook, entry)
        if any(isinstance(entry.fact, Undone) for entry in entries):
            cook = with_names(cook, await self.store.people.names(cook_id))  # made anew: nameless
        if entries:
            self._keep(cook_id, cook)
            if wake is not None and wake.at is not None:
                self.woken(wake.at)
            await self.memory.after(cook, decision.facts, now)
            self.changed(cook_id, [dated.fact for dated in decision.facts])
        return wake


async def new_cook_id(store: FactStore, event_id: str) -> str:
    """Return the id of an event's next cook: event, dash, start number."""
    known = await store.streams(f"cook:{event_id}-")
    numbers = [int(name.rsplit("-", 1)[1]) for name in known if name.rsplit("-", 1)[1].isdigit()]
    return f"{event_id}-{max(numbers, default=0) + 1}"


async def _each(works: Iterable[Awaitable[None]]) -> None:
    """Do all of them side by side; raise what went wrong with one when all have ended."""
    for outcome in await asyncio.gather(*works, return_exceptions=True):
        if isinstance(outcome, Exception):
            raise outcome


def _whole(
    decide_on: Callable[[Reply, datetime], Decision], heard: Reply, now: datetime
) -> Decision:
    """Return a decision; a stray `StopIteration` is a bug like any other.

    It cannot cross from a thread into a future, and whoever waits would wait for ever.
    """
    try:
        return decide_on(heard, now)
    except StopIteration as stray:
        raise RuntimeError("a search found nothing where there must be something") from stray
