"""Stand-ins for the edges: a clock that stands still, a chat that answers by script, a store that
forgets. Each passes the same suite as what it stands for.
"""

from __future__ import annotations

import asyncio
from collections import defaultdict, deque
from collections.abc import AsyncIterator, Awaitable, Callable, Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path

from bot.clock import VirtualClock
from bot.ports import (
    HEAD_HERE,
    HEAD_SHOWN,
    Clock,
    Due,
    Gone,
    HandledError,
    Heard,
    Incoming,
    Migrated,
    NewFact,
    NewSend,
    Outgoing,
    Owed,
    Pace,
    Receipt,
    Sent,
    StaleError,
    StoreError,
    StoreFigures,
    Together,
    Trouble,
    Wake,
)
from bot.store.inbox import MOST_ATTEMPTS, clean
from bot.store.log import chained, entries, entry, rows, written
from bot.store.policy import Try, fate, folded, plain_parts
from bot.store.together import Alone
from bot.store.wake import UNKNOWN
from core.facts import CookClosed, Entry, Undone
from tests.fake_people import MemoryPeople

__all__ = ["FakeAlarm", "FakeChat", "FakeClock", "MemoryStore", "VirtualClock"]

FakeClock = VirtualClock


class FakeAlarm:
    """Implements Alarm; rings when the test says so."""

    def __init__(self) -> None:
        self.at: datetime | None = None
        self.set_to: list[datetime] = []
        self._ring: Callable[[], Awaitable[None]] | None = None

    def set(self, at: datetime, ring: Callable[[], Awaitable[None]]) -> None:
        self.at, self._ring = at, ring
        self.set_to.append(at)

    def stop(self) -> None:
        self.at = self._ring = None

    async def ring(self) -> None:
        assert self._ring is not None
        await self._ring()


@dataclass(frozen=True, slots=True)
class Shown:
    """One message on a fake screen."""

    room: str
    message: Outgoing
    key: str
    edit_of: str | None = None


class FakeChat:
    """Implements Chat; records what is sent and answers by script, else with Sent."""

    def __init__(
        self, network: str = "fake", *, repeats_harmless: bool = False, pace: Pace | None = None
    ) -> None:
        self.network, self.repeats_harmless = network, repeats_harmless
        self.pace = pace or Pace()
        self.shown: list[Shown] = []
        self.answers: defaultdict[str, deque[Receipt | Exception]] = defaultdict(deque)
        self.stalled: dict[str, asyncio.Event] = {}
        self.in_flight: defaultdict[str, int] = defaultdict(int)
        self.most_in_flight: defaultdict[str, int] = defaultdict(int)
        self._heard: asyncio.Queue[Incoming] = asyncio.Queue()

    def answer(self, room: str, *receipts: Receipt | Exception) -> None:
        """Script the next answers to sends into a room."""
        self.answers[room].extend(receipts)

    def stall(self, room: str) -> asyncio.Event:
        """Let sends into a room hang until the event is set."""
        return self.stalled.setdefault(room, asyncio.Event())

    def texts(self, room: str | None = None) -> list[str]:
        """Return what is on the screen."""
        return [s.message.text for s in self.shown if room in {None, s.room}]

    def say(self, message: Incoming) -> None:
        self._heard.put_nowait(message)

    async def incoming(self) -> AsyncIterator[Incoming]:
        while True:
            yield await self._heard.get()

    async def send(self, room: str, message: Outgoing, key: str) -> Receipt:
        return await self._show(Shown(room, message, key))

    async def edit(self, receipt: Sent, message: Outgoing) -> Receipt:
        return await self._show(Shown("", message, "", receipt.id))

    async def _show(self, shown: Shown) -> Receipt:
        self.in_flight[shown.room] += 1
        self.most_in_flight[shown.room] = max(
            self.most_in_flight[shown.room], self.in_flight[shown.room]
        )
        try:
            if shown.room in self.stalled:
                await self.stalled[shown.room].wait()
            waiting = self.answers[shown.room]
            answer = waiting.popleft() if waiting else Sent(f"id:{shown.key or shown.edit_of}")
            if isinstance(answer, Exception):
                raise answer
            if isinstance(answer, Sent):
                self.shown.append(shown)
            return answer
        finally:
            self.in_flight[shown.room] -= 1


# ------------------------------------------------------------------ a store without a disk


@dataclass
class _Inbox:
    message: Incoming
    state: str = "new"
    attempts: int = 0


@dataclass
class _Row:
    send: NewSend
    number: int
    state: str
    not_before: datetime | None
    since: datetime | None = None
    attempts: int = 0
    repeat: bool = False
    plain: bool = False
    receipt: str | None = None
    due: datetime | None = None
    why: str = ""
    told: bool = False


@dataclass
class _Room:
    wait: tuple[datetime, datetime] | None = None
    backoff: bool = False
    gone: str | None = None
    moved_to: str | None = None


@dataclass
class _Stream:
    entries: list[Entry] = field(default_factory=list)
    chain: list[tuple[str, str]] = field(default_factory=list)


def _with_head(send: NewSend, head: str) -> NewSend:
    lines = tuple(x.replace(HEAD_HERE, head[:HEAD_SHOWN]) for x in send.message.lines)
    return replace(send, message=replace(send.message, lines=lines))


class MemoryStore:
    """Implements FactStore in memory; `broken` makes every write fail with it."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self.people = MemoryPeople()
        self.together: Together = Alone()
        self._inbox: dict[int, _Inbox] = {}
        self._cursors: dict[str, str] = {}
        self._streams: defaultdict[str, _Stream] = defaultdict(_Stream)
        self._outbox: dict[str, _Row] = {}
        self._rooms: defaultdict[tuple[str, str], _Room] = defaultdict(_Room)
        self._wakes: dict[str, datetime | None] = {}
        self._alive: datetime | None = None
        self.broken: StoreError | None = None

    def _may_write(self) -> None:
        if self.broken:
            raise self.broken

    async def hear(self, messages: Sequence[Incoming], cursor: tuple[str, str] | None) -> int:
        self._may_write()
        known = {(i.message.network, i.message.ext_id) for i in self._inbox.values()}
        new = 0
        for message in map(clean, messages):
            self._rooms[message.network, message.room].gone = None
            if (message.network, message.ext_id) not in known:
                known.add((message.network, message.ext_id))
                self._inbox[len(self._inbox) + 1] = _Inbox(message)
                new += 1
        if cursor:
            self._cursors[cursor[0]] = cursor[1]
        return new

    async def unhandled(
        self, limit: int = 100, networks: Collection[str] | None = None
    ) -> Sequence[Heard]:
        new = [
            (n, row)
            for n, row in self._inbox.items()
            if row.state == "new" and (networks is None or row.message.network in networks)
        ]
        return [Heard(n, row.message, row.attempts) for n, row in new[:limit]]

    async def cursor(self, network: str) -> str | None:
        return self._cursors.get(network)

    async def append(
        self,
        stream: str,
        expected: int,
        facts: Sequence[NewFact],
        heard_at: datetime,
        sends: Sequence[NewSend] = (),
        done: int | None = None,
        wake: Wake | None = None,
    ) -> Sequence[Entry]:
        self._may_write()
        as_text = [written(fact) for fact in facts]
        if done is not None and self._inbox[done].state != "new":
            raise HandledError(str(done))
        if facts and len(self._streams[stream].entries) != expected:
            raise StaleError(stream)
        made = entries(heard_at, expected, as_text)
        if facts:
            self._wakes[stream] = (wake or UNKNOWN).at
            log = self._streams[stream]
            start = (expected, log.chain[-1][1] if log.chain else "")
            log.entries += made
            log.chain += [(r["body"], r["hash"]) for r in rows(stream, start, heard_at, as_text)]
        _, head = await self.head(stream)
        self._queue([_with_head(send, head) for send in sends])
        if done is not None:
            self._inbox[done].state = "done"
        return made

    def _queue(self, sends: Sequence[NewSend], *, plain: bool = False) -> None:
        now = self._clock.now()
        for send in sends:
            room = self._rooms[send.network, send.room].moved_to or send.room
            if send.key in self._outbox:
                continue
            if send.edit_of is not None:
                for row in self._outbox.values():
                    if row.send.edit_of == send.edit_of and row.state in {"owed", "later"}:
                        row.state = "superseded"
            later = send.not_before is not None and send.not_before > now
            self._outbox[send.key] = _Row(
                replace(send, room=room),
                len(self._outbox),
                "later" if later else "owed",
                send.not_before,
                plain=plain,
                due=send.not_before or now,
            )

    async def fail(self, inbox_id: int, why: str, sends: Sequence[NewSend] = ()) -> None:
        self._may_write()
        row = self._inbox[inbox_id]
        if row.state == "new":
            row.attempts += 1
            row.state = "aside" if row.attempts >= MOST_ATTEMPTS else "new"
        self._queue(sends)

    async def read(self, stream: str, after: int = 0) -> Sequence[Entry]:
        return [entry(body) for body, _ in self._streams[stream].chain[after:]]

    async def streams(self, prefix: str) -> Sequence[str]:
        return sorted(n for n, s in self._streams.items() if s.entries and n.startswith(prefix))

    async def running(self, prefix: str) -> Sequence[str]:
        def ended(stream: str) -> bool:
            kinds = [type(e.fact) for e in self._streams[stream].entries]
            return CookClosed in kinds and Undone not in kinds[kinds.index(CookClosed) :]

        names = sorted(await self.streams(prefix), key=lambda n: self._streams[n].entries[0].at)
        return [name for name in names if not ended(name)]

    async def head(self, stream: str) -> tuple[int, str]:
        chain = self._streams[stream].chain
        return (len(chain), chain[-1][1]) if chain else (0, "")

    async def verify(self, stream: str) -> int | None:
        link = ""
        for seq, (body, stored) in enumerate(self._streams[stream].chain, 1):
            link = chained(link, body)
            if link != stored:
                return seq
        return None

    async def wakes(self, until: datetime) -> Sequence[str]:
        due = [(at, stream) for stream, at in self._wakes.items() if at is not None and at <= until]
        return [stream for _, stream in sorted(due)]

    async def take_wakes(self, now: datetime, most: int, after: Due | None = None) -> Sequence[Due]:
        due = [Due(s, at) for s, at in self._wakes.items() if at is not None and at <= now]
        due.sort(key=lambda d: (d.at, d.stream))
        behind = [d for d in due if after is None or (d.at, d.stream) > (after.at, after.stream)]
        return behind[:most]

    async def next_wake(self) -> datetime | None:
        return min((at for at in self._wakes.values() if at is not None), default=None)

    async def set_wake(self, stream: str, wake: Wake) -> None:
        self._may_write()
        self._wakes[stream] = wake.at

    async def claim(self, network: str, now: datetime, limit: int = 20) -> Sequence[Owed]:
        self._may_write()
        mine = [row for row in self._outbox.values() if row.send.network == network]
        for row in mine:
            due = row.not_before is None or row.not_before <= now
            if row.state == "later" and (due or (row.since is not None and row.since > now)):
                row.state = "owed"
            closed = self._rooms[network, row.send.room].gone is not None
            if row.state == "owed" and closed:
                row.state, row.why, row.told = "gone", "the room is closed", not row.send.must
        self._fold(network, now)
        mine = [row for row in self._outbox.values() if row.send.network == network]
        busy = {row.send.room for row in mine if row.state == "sending"}
        claimed = []
        for row in sorted(mine, key=lambda r: (r.send.priority, r.number)):
            room = self._rooms[network, row.send.room]
            waits = room.wait is not None and room.wait[0] <= now < room.wait[1]
            if row.state != "owed" or row.send.room in busy or waits or self._is_early(row):
                continue
            busy.add(row.send.room)
            claimed.append(row)
        for row in claimed[:limit]:
            row.state = "sending"
        return [self._owed(row) for row in claimed[:limit]]

    def _fold(self, network: str, now: datetime) -> None:
        busy = {r.send.room for r in self._outbox.values() if r.state == "sending"}
        stale: defaultdict[str, list[_Row]] = defaultdict(list)
        for row in self._outbox.values():
            wait, until = self._rooms[network, row.send.room].wait, row.send.good_until
            held = row.send.room in busy or (wait is not None and wait[0] <= now < wait[1])
            if row.state == "owed" and row.send.network == network and until and until < now:
                stale[row.send.room] += [] if held else [row]
        for rows_ in (r for r in stale.values() if len(r) > 1):
            rows_.sort(key=lambda r: (r.due or now, r.number))
            first, last = rows_[0], rows_[-1]
            send = replace(
                first.send,
                key=f"fold:{first.number}-{last.number}",
                message=folded([r.send.message for r in rows_]),
                priority=min(r.send.priority for r in rows_),
                must=any(r.send.must for r in rows_),
            )
            repeat = any(r.repeat for r in rows_)
            number = len(self._outbox)
            self._outbox[send.key] = _Row(send, number, "owed", None, repeat=repeat, due=first.due)
            for row in rows_:
                row.state = "folded"

    def _is_early(self, row: _Row) -> bool:
        target = self._outbox.get(row.send.edit_of or "")
        return target is not None and target.state in {"later", "owed", "sending"}

    def _owed(self, row: _Row) -> Owed:
        target = self._outbox.get(row.send.edit_of or "")
        return Owed(
            row.send.key,
            row.send.network,
            row.send.room,
            row.send.message,
            row.attempts,
            row.repeat,
            row.send.priority,
            Sent(target.receipt) if target and target.receipt is not None else None,
            row.send.must,
            row.due,
        )

    async def settle(self, key: str, receipt: Receipt, now: datetime) -> None:
        self._may_write()
        row = self._outbox[key]
        if row.state != "sending":
            return
        if isinstance(receipt, Sent):
            row.receipt = receipt.id
            for (network, _), room in self._rooms.items():
                if network == row.send.network and room.backoff:
                    room.wait, room.backoff = None, False
        made = Try(row.attempts, row.repeat, row.send.must, row.plain, bool(row.send.edit_of))
        then = fate(made, receipt)
        row.state, row.repeat, row.why = then.state, then.repeat, then.why or ""
        row.attempts += then.counts
        room = self._rooms[row.send.network, row.send.room]
        if then.wait_s:
            room.wait, room.backoff = (now, now + timedelta(seconds=then.wait_s)), then.backoff
        if isinstance(receipt, Gone):
            room.gone = receipt.why
        if isinstance(receipt, Migrated):
            self._move(row.send.network, row.send.room, receipt.id)
        if then.state == "split":
            parts = plain_parts(row.send.message)
            self._queue(
                [
                    replace(row.send, key=f"{key}/{n}", message=part, edit_of=None)
                    for n, part in enumerate(parts, 1)
                ],
                plain=True,
            )

    def _move(self, network: str, old: str, new: str) -> None:
        self._rooms[network, old].moved_to = new
        for row in self._outbox.values():
            if (row.send.network, row.send.room) == (network, old) and row.state in {
                *("owed", "later", "sending"),
            }:
                row.send = replace(row.send, room=new)

    async def defer(self, key: str, until: datetime, now: datetime) -> None:
        row = self._outbox[key]
        row.state, row.not_before, row.since = "later", until, now

    async def next_send(self, network: str) -> datetime | None:
        mine = [row for row in self._outbox.values() if row.send.network == network]
        busy = {row.send.room for row in mine if row.state == "sending"}
        epoch = datetime.fromisoformat("1970-01-01T00:00+00:00")
        times = [row.not_before for row in mine if row.state == "later" and row.not_before]
        for row in mine:
            if row.state == "owed" and row.send.room not in busy:
                wait = self._rooms[network, row.send.room].wait
                times.append(wait[1] if wait else epoch)
        return min(times, default=None)

    async def sent_message(self, network: str, receipt: str) -> Outgoing | None:
        known = [
            row.send.message
            for row in self._outbox.values()
            if (row.send.network, row.receipt) == (network, receipt)
        ]
        return known[-1] if known else None

    async def troubles(self) -> Sequence[Trouble]:
        return [
            Trouble(
                key,
                row.send.network,
                row.send.room,
                row.send.message,
                row.why,
                closed=row.state == "gone",
                unsure=row.state == "refused" and row.repeat,
            )
            for key, row in self._outbox.items()
            if row.state in {"refused", "gone"} and not row.told
        ]

    async def told(self, key: str) -> None:
        self._outbox[key].told = True

    async def last_beat(self) -> datetime | None:
        return self._alive

    async def beat(self, now: datetime) -> datetime | None:
        self._may_write()
        was, self._alive = self._alive, now
        return was

    async def figures(self, now: datetime) -> StoreFigures:
        states = [row.state for row in self._outbox.values()]
        ends = ("refused", "gone", "let_go")
        return StoreFigures(
            inbox_waiting=sum(1 for row in self._inbox.values() if row.state == "new"),
            inbox_aside=sum(1 for row in self._inbox.values() if row.state == "aside"),
            failed={end: states.count(end) for end in ends},
        )

    async def backup(self, to: Path) -> None:
        raise StoreError("it is only in memory", "Start with a file to have something to keep.")

    async def close(self) -> None:
        """Keep everything, as a file would; what was in hand is owed again when it is opened."""
        for row in self._outbox.values():
            if row.state == "sending":
                row.state, row.repeat, row.attempts = "owed", True, row.attempts + 1
