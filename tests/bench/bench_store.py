"""Store and delivery against named baselines, in one run.

Both sides on SQLite with a write-ahead log and synchronous=FULL: every commit is synced.

python -m tests.bench.bench_store            all of it, a table on the screen
"""

from __future__ import annotations

import asyncio
import gc
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from contextlib import asynccontextmanager, contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

from sqlalchemy import Connection, Engine, event

from bot.clock import SystemClock
from bot.outbox import Outbox
from bot.ports import Incoming, NewFact, NewSend, Outgoing, Pace, Receipt, Sent, Wake
from bot.reminders import AlarmClock, Pump
from bot.store import SqlStore, open_store
from core.facts import CallAnswered, CallMade, CookStarted, PlanAdopted
from core.model import Call, Clock, Label, Load, Plan, StepRun, say
from tests.bench.row import Row

START = datetime(2026, 6, 13, 9, tzinfo=UTC)
CLOCK = SystemClock()
WIDE = 16
"""Cooks side by side, as many as the dispatcher rings."""


class Phone:
    """Implements Chat; answers at once and notes when."""

    network = "phone"
    repeats_harmless = False
    pace = Pace()

    def __init__(self) -> None:
        self.at: dict[str, float] = {}
        self.first = asyncio.Event()

    async def incoming(self) -> AsyncIterator[Incoming]:
        nothing: tuple[Incoming, ...] = ()
        for message in nothing:
            yield message

    async def send(self, room: str, message: Outgoing, key: str) -> Receipt:
        self.at[key] = time.perf_counter()
        self.first.set()
        return Sent(key)

    async def edit(self, receipt: Sent, message: Outgoing) -> Receipt:
        return receipt


class Stalls:
    """Watches how long the event loop is held up, by asking to run every millisecond."""

    def __init__(self) -> None:
        self.longest_ms = 0.0

    async def watch(self) -> None:
        last = time.perf_counter()
        while True:
            await asyncio.sleep(0.001)
            now = time.perf_counter()
            self.longest_ms = max(self.longest_ms, (now - last - 0.001) * 1000)
            last = now


@asynccontextmanager
async def watched() -> AsyncIterator[Stalls]:
    stalls = Stalls()
    gc.collect()
    task = asyncio.create_task(stalls.watch())
    try:
        yield stalls
    finally:
        task.cancel()


def call(n: int, at: datetime) -> Call:
    line = say(
        "{when} pull {load}: core {c}", when=Clock(at), load=Label(f"A{n}"), c=Label("54 °C")
    )
    return Call(f"lamb/A{n}/pull/0", at, (f"p{n}",), line)


def send(cook: int, n: int) -> NewSend:
    message = Outgoing((f"09:00 pull A{n}: core 54 °C",), ("done", "late"))
    return NewSend(f"c:{cook}:{n}", "phone", f"{cook}/{n}", message, 0, must=True)


# ------------------------------------------------------------------ all due at one instant


async def burst(store: SqlStore, calls: int, each: int = 20) -> tuple[float, float]:
    """Return seconds from due to sent and recorded for all, and the longest stall, ms."""
    phone = Phone()
    outbox = Outbox(store, {"phone": phone}, CLOCK)

    async def ring(cook: int) -> None:
        facts = [NewFact(START, "bot", CallMade(call(n, START))) for n in range(each)]
        sends = [send(cook, n) for n in range(each)]
        await store.append(f"cook:{cook}", 0, facts, START, sends, wake=Wake(None))
        outbox.nudge()

    async with watched() as stalls:
        start = time.perf_counter()
        ringing = asyncio.create_task(side_by_side(ring, calls // each))
        sent = 0
        while sent < calls:
            sent += await outbox.deliver("phone")
            await asyncio.sleep(0)
        await ringing
        took = time.perf_counter() - start
    assert len(phone.at) == calls
    return took, stalls.longest_ms


async def side_by_side(
    work: Callable[[int], Awaitable[None]], times: int, wide: int = WIDE
) -> None:
    """Run the work so many times, a few side by side, as the dispatcher does."""
    numbers = iter(range(times))

    async def one() -> None:
        for n in numbers:
            await work(n)

    await asyncio.gather(*(one() for _ in range(wide)))


PHONES: list[Phone] = []


async def say_it(room: str, message: Outgoing, key: str) -> None:
    """Send one call, as a job does that needs nothing but its own arguments."""
    await PHONES[-1].send(room, message, key)


async def scheduler_burst(file: Path, calls: int) -> tuple[float, float]:
    """Return the same for one job a call in APScheduler's SQL job store.

    The same calls to the same phone; the store is as durable as ours (write-ahead log with
    synchronous=FULL, which is also faster than its own default, a rollback journal). It keeps
    less: no log of facts, no outbox, no receipt, and a call that a kill cuts off is lost.
    """
    from apscheduler.jobstores.sqlalchemy import SQLAlchemyJobStore
    from apscheduler.schedulers.asyncio import AsyncIOScheduler

    kept = SQLAlchemyJobStore(f"sqlite:///{file}")

    @event.listens_for(kept.engine, "connect")
    def same(connection: sqlite3.Connection, _: object) -> None:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")

    scheduler = AsyncIOScheduler(jobstores={"default": kept}, timezone="UTC")
    scheduler.start(paused=True)
    due = CLOCK.now() - timedelta(seconds=1)
    for n in range(calls):
        owed_ = send(n // 20, n)
        args = (owed_.room, owed_.message, owed_.key)
        scheduler.add_job(say_it, "date", run_date=due, args=args, misfire_grace_time=None)
    PHONES.append(phone := Phone())
    async with watched() as stalls:
        start = time.perf_counter()
        scheduler.resume()
        while len(phone.at) < calls:
            await asyncio.sleep(0.01)
        took = time.perf_counter() - start
        await asyncio.sleep(0.005)
    scheduler.shutdown(wait=False)
    return took, stalls.longest_ms


async def owed(store: SqlStore, calls: int, each: int = 20) -> float:
    """Return seconds from due to recorded and owed: as far as a job store brings a job."""

    async def ring(cook: int) -> None:
        facts = [NewFact(START, "bot", CallMade(call(n, START))) for n in range(each)]
        sends = [send(cook, n) for n in range(each)]
        await store.append(f"cook:{cook}", 0, facts, START, sends, wake=Wake(None))

    start = time.perf_counter()
    await side_by_side(ring, calls // each)
    return time.perf_counter() - start


async def all_at_once(folder: Path, sync_ms: float, calls: int = 10_000) -> list[Row]:
    """Ours against a job a call, on this disk or on one that needs so much longer to sync."""
    with slower_commits(sync_ms):
        few = calls if not sync_ms else calls // 10  # its rate does not rise with more
        base, base_stall = await scheduler_burst(folder / f"jobs{sync_ms}.db", few)
        store = await open_store(str(folder / f"owed{sync_ms}.db"), CLOCK)
        recorded = await owed(store, calls)
        await store.close()
        store = await open_store(str(folder / f"burst{sync_ms}.db"), CLOCK)
        sent, stall = await burst(store, calls)
        await store.close()
    disk = f"a disk with {sync_ms:g} ms more a commit" if sync_ms else "this disk"
    fired = few / base
    return [
        _ratio(f"{calls:,} calls due at once, due to owed, {disk}", calls / recorded, fired),
        _ratio(f"{calls:,} calls due at once, due to sent, {disk}", calls / sent, fired),
        Row(
            f"the same, longest stall of the loop, {disk}",
            f"{stall:.0f} ms",
            f"job store {base_stall:,.0f} ms",
            "under 50 ms",
            stall < 50,
        ),
    ]


def _ratio(what: str, ours: float, base: float) -> Row:
    return Row(
        what,
        f"{ours:,.0f} a second",
        f"a job a call in APScheduler's SQL store {base:,.0f} ({ours / base:.0f} x)",
        "50 x",
        ours / base >= 50,
    )


@contextmanager
def slower_commits(by_ms: float) -> Iterator[None]:
    """Let every commit on SQLite take so much longer, ours and the baseline's."""

    def wait(connection: Connection) -> None:
        if connection.dialect.name == "sqlite" and by_ms:
            time.sleep(by_ms / 1000)

    event.listen(Engine, "commit", wait)
    try:
        yield
    finally:
        event.remove(Engine, "commit", wait)


# ------------------------------------------------------------------ spread; restart; the whole path


async def spread(folder: Path, calls: int = 1000, over_s: float = 10.0) -> Row:
    """Calls of a hundred cooks at even distances: how late each is on the phone."""
    store = await open_store(str(folder / "spread.db"), CLOCK)
    phone = Phone()
    outbox = Outbox(store, {"phone": phone}, CLOCK)
    start = CLOCK.now() + timedelta(seconds=0.5)
    due = [start + timedelta(seconds=over_s * n / calls) for n in range(calls)]
    made = 0
    seqs = [0] * 100

    async def ring(now: datetime) -> datetime | None:
        nonlocal made
        while made < calls and due[made] <= now:
            cook = made % 100
            fact = NewFact(due[made], "bot", CallMade(call(made, due[made])))
            send_ = send(cook, made)
            await store.append(f"cook:{cook}", seqs[cook], [fact], now, [send_])
            seqs[cook] += 1
            made += 1
            outbox.nudge()
        return due[made] if made < calls else None

    running = [
        asyncio.create_task(Pump(ring, CLOCK, AlarmClock()).run()),
        asyncio.create_task(outbox.run()),
    ]
    origin = time.perf_counter() - (CLOCK.now() - start).total_seconds()
    while len(phone.at) < calls:
        await asyncio.sleep(0.05)
    for task in running:
        task.cancel()
    await asyncio.gather(*running, return_exceptions=True)
    await store.close()
    late = sorted(
        (at - origin - over_s * int(key.split(":")[2]) / calls) * 1000
        for key, at in phone.at.items()
    )
    p50, p99 = late[len(late) // 2], late[int(len(late) * 0.99)]
    return Row(
        f"{calls:,} calls over {over_s:g} s, lateness on the phone",
        f"p50 {p50:.1f} ms, p99 {p99:.1f} ms",
        "none",
        "p99 under 50 ms",
        p99 < 50,
    )


RESTART = """
import asyncio, sys, time
started = time.perf_counter()
from bot.outbox import Outbox
from bot.ports import NewFact, Wake
from bot.store import open_store
from core.facts import CallMade, PlanAdopted
from tests.bench.bench_store import CLOCK, Phone, START, call, send
async def main():
    store = await open_store(sys.argv[1], CLOCK)
    opened = time.perf_counter()
    phone = Phone()
    outbox = Outbox(store, {"phone": phone}, CLOCK)
    (stream, *_) = await store.wakes(START)
    entries = await store.read(stream)
    assert any(isinstance(e.fact, PlanAdopted) for e in entries)
    fact = NewFact(START, "bot", CallMade(call(0, START)))
    await store.append(stream, len(entries), [fact], START, [send(0, 0)], wake=Wake(START))
    await outbox.deliver("phone")
    assert phone.at
    status = open("/proc/self/status").read()  # getrusage would count our parent's memory too
    peak = int(status.split("VmHWM:")[1].split()[0]) / 1024
    print(time.perf_counter() - started, time.perf_counter() - opened, peak)
    await store.close()
asyncio.run(main())
"""


async def restart(folder: Path, cooks: int = 1000, each: int = 100) -> list[Row]:
    """A thousand cooks with a hundred calls to come each: from start to the first call."""
    file = folder / "pending.db"
    store = await open_store(str(file), CLOCK)
    plan = PlanAdopted(_plan(each), 1, say("first"))

    async def begin(cook: int) -> None:
        facts = [NewFact(START, "bot", CookStarted(f"c{cook}")), NewFact(START, "bot", plan)]
        at = START + timedelta(minutes=0 if cook == 7 else 60)
        later = replace(send(cook, 500), not_before=CLOCK.now() + timedelta(days=1))
        await store.append(f"cook:{cook}", 0, facts, START, [later], wake=Wake(at))

    await side_by_side(begin, cooks)
    await store.close()
    said = subprocess.run(
        [sys.executable, "-c", RESTART, str(file)], capture_output=True, text=True, check=True
    )
    whole_s, first_s, peak_mb = map(float, said.stdout.split())
    pending = f"{cooks * each:,} pending, start to first call"
    return [
        Row(
            pending,
            f"{whole_s:.2f} s with all imports, {first_s * 1000:.0f} ms from the open store",
            "none",
            "under 1 s",
            whole_s < 1,
        ),
        Row(f"{pending}, peak memory", f"{peak_mb:.0f} MB", "none", "under 100 MB", peak_mb < 100),
    ]


def _plan(runs: int) -> Plan:
    made = tuple(
        StepRun(
            *(f"lamb/A{n}/smoke", "lamb", f"A{n}", f"A{n}", 0, "smoke", "smoke", 14, "P1"),
            *(START + timedelta(minutes=n), START + timedelta(minutes=n + 90)),
        )
        for n in range(runs)
    )
    load = Load("A", "L1", "A", "lamb", 14, "P1", START, START, START, START, 0.0, 0.0, made)
    return Plan("A", 60, START, (load,), ())


async def whole_path(folder: Path, messages: int = 500) -> Row:
    """Heard, recorded, handled, answered, the answer recorded: our share, no platform."""
    store = await open_store(str(folder / "path.db"), CLOCK)
    phone = Phone()
    outbox = Outbox(store, {"phone": phone}, CLOCK)
    took = []
    for n in range(messages):
        begun = time.perf_counter()
        await store.hear([Incoming("phone", str(n), "r", "ana", "A on", START)], ("phone", str(n)))
        (heard,) = await store.unhandled()
        fact = NewFact(START, "ana", CallAnswered("lamb/A/on"))
        answer = NewSend(f"r:{n}", "phone", "r", Outgoing(("A on 18:02",)))
        await store.append("cook:m", n, [fact], START, [answer], done=heard.id)
        await outbox.deliver("phone")
        took.append((phone.at[f"r:{n}"] - begun) * 1000)
    await store.close()
    took.sort()
    p50, p99 = took[messages // 2], took[int(messages * 0.99)]
    return Row(
        "heard to answered, store and delivery",
        f"p50 {p50:.1f} ms, p99 {p99:.1f} ms",
        "none",
        "p50 under 15, p99 under 50 ms",
        p50 < 15 and p99 < 50,
    )


# ------------------------------------------------------------------ facts a second


async def facts(folder: Path, sync_ms: float, rounds: int = 15, each: int = 100) -> list[Row]:
    """One after the other, and from 25 cooks at once, turn by turn with bare inserts."""
    bare = sqlite3.connect(folder / f"bare{sync_ms}.db", isolation_level=None)
    for sql in (
        "PRAGMA journal_mode = WAL",
        "PRAGMA synchronous = FULL",
        "CREATE TABLE facts (stream, seq, body, hash, PRIMARY KEY (stream, seq))",
    ):
        bare.execute(sql)
    store = await open_store(str(folder / f"facts{sync_ms}.db"), CLOCK)
    fact = NewFact(START, "ana", CallAnswered("lamb/A/pull/0"))
    alone, together, rates = [], [], []
    for turn in range(rounds):
        begun = time.perf_counter()
        for n in range(each):
            row = ("cook:1", turn * each + n, "x" * 200, "y" * 64)
            bare.execute("INSERT INTO facts VALUES (?, ?, ?, ?)", row)
            time.sleep(sync_ms / 1000)
        base = each / (time.perf_counter() - begun)
        begun = time.perf_counter()
        for n in range(each):
            await store.append("cook:1", turn * each + n, [fact], START, wake=Wake(None))
        alone.append(each / (time.perf_counter() - begun) / base)
        begun = time.perf_counter()
        await side_by_side(partial(_begin, store, turn, fact), each * 5, 25)
        together.append(each * 5 / (time.perf_counter() - begun) / base)
        rates.append(base)
    bare.close()
    await store.close()
    rate = statistics.median(rates)
    disk = f", a disk with {sync_ms:g} ms more a commit" if sync_ms else ", this disk"
    return [
        Row(
            what + disk,
            f"{rate * statistics.median(ratios):,.0f} a second",
            f"bare single-row inserts {rate:,.0f} ({statistics.median(ratios):.2f} x)",
            "0.5 x",
            statistics.median(ratios) >= 0.5,
        )
        for what, ratios in (
            ("facts, one cook, each awaited before the next", alone),
            ("facts, 25 cooks at once", together),
        )
    ]


async def _begin(store: SqlStore, turn: int, fact: NewFact, cook: int) -> None:
    await store.append(f"cook:{turn}.{cook}", 0, [fact], START, wake=Wake(None))


async def _rows() -> list[Row]:
    from bot.absence import spare_the_loop

    spare_the_loop()  # as the program does at its start
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        return [
            *(await all_at_once(folder, 0.0)),
            *(await all_at_once(folder, 4.0)),
            await spread(folder),
            *(await restart(folder)),
            await whole_path(folder),
            *(await facts(folder, 0.0)),
            *await slow_facts(folder),
        ]


async def slow_facts(folder: Path) -> list[Row]:
    """The same where a commit costs what it does on a card or a worn disk."""
    with slower_commits(4.0):
        return await facts(folder, 4.0, 5, 50)


def rows() -> Iterator[Row]:
    """Yield one line per measurement."""
    yield from asyncio.run(_rows())


if __name__ == "__main__":
    for row in rows():
        print(
            "ok  " if row.kept else "MISS", row.what, row.ours, row.baseline, row.wanted, sep=" | "
        )
