"""A thousand cooks at once on one machine: what each costs, and whether calls still come in time.

Every cook is the bundled wedding in the busiest quarter of an hour, and all of them at the same
minutes: no mix of real events is worse. The real dispatcher, outbox and store (SQLite, synchronous
FULL) play it on a virtual clock as fast as they can; what it took on the processor is set against
the time itself. Platforms answer at once: their limits are on another page.

python -m tests.bench.bench_scale [COOKS]     the same by itself
"""

from __future__ import annotations

import asyncio
import json
import resource
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import AsyncIterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from bot.clock import VirtualClock
from bot.directory import Address, NamesDirectory, folded_name
from bot.dispatch import Dispatcher
from bot.examples import GOLDEN_WEDDING
from bot.outbox import Outbox
from bot.ports import Incoming, NewFact, Outgoing, Pace, Receipt, Sent, Wake
from bot.script import ScriptLine, read_script
from bot.store import SqlStore, open_store
from core.calls import calls_owed, next_due
from core.cook import replay
from core.facts import Entry
from core.model import Cards
from tests.bench.row import Row
from tests.flow.days import example_day

COOKS = 1000
NETWORK = "phone"
SPAN = timedelta(minutes=15)
STEP = timedelta(minutes=1)
CORES = 2


class Phones:
    """Implements Chat; counts what arrives, and answers at once."""

    network, repeats_harmless, pace = NETWORK, True, Pace()

    def __init__(self) -> None:
        self.sent = 0

    async def incoming(self) -> AsyncIterator[Incoming]:
        nothing: tuple[Incoming, ...] = ()
        for message in nothing:
            yield message

    async def send(self, room: str, message: Outgoing, key: str) -> Receipt:
        self.sent += 1
        return Sent(key)

    async def edit(self, receipt: Sent, message: Outgoing) -> Receipt:
        self.sent += 1
        return receipt


class Many:
    """Implements Directory: a room's name begins with its cook."""

    def __init__(self) -> None:
        self._names = NamesDirectory(NETWORK, "")

    def person(self, message: Incoming, cards: Cards | None) -> str | None:
        return self._names.person(message, cards)

    def cook(self, message: Incoming) -> str | None:
        return message.room.split("/")[0]

    def private(self, cook: str, person: str) -> Address | None:
        return Address(NETWORK, f"{cook}/@{person}")

    def privates(self, cook: str, person: str) -> tuple[Address, ...]:
        return (Address(NETWORK, f"{cook}/@{person}"),)

    def crew_rooms(self, cook: str) -> tuple[Address, ...]:
        return (Address(NETWORK, f"{cook}/crew"),)

    def account(self, cook: str, person: str, network: str) -> str | None:
        return person


@dataclass(frozen=True)
class Busiest:
    """The busiest quarter of an hour: when, what is in the log by then, what is said in it."""

    begin: datetime
    entries: tuple[Entry, ...]
    lines: tuple[ScriptLine, ...]


def busiest() -> Busiest:
    """Return the quarter of an hour of the wedding's day with the most facts."""
    day = example_day(GOLDEN_WEDDING)
    entries = day.cook.entries
    quarters = Counter(_quarter(entry.heard) for entry in entries)
    begin = max(quarters, key=lambda quarter: quarters[quarter])
    script = read_script((GOLDEN_WEDDING / "day.txt").read_text("utf-8"), day.cards)
    lines = tuple(
        line
        for line in script
        if begin <= line.at < begin + SPAN and not line.text.startswith(("(o", "["))
    )
    return Busiest(begin, tuple(e for e in entries if e.heard < begin), lines)


def _quarter(at: datetime) -> datetime:
    return at.replace(minute=at.minute // 15 * 15, second=0, microsecond=0)


def memory_mb() -> float:
    """Return what this process holds now, MB."""
    status = Path("/proc/self/status").read_text("utf-8")
    return int(status.split("VmRSS:")[1].split()[0]) / 1024


def processor_s() -> float:
    """Return what this process has used of the processor, all threads, s."""
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


async def filled(store: SqlStore, quarter: Busiest, cooks: int) -> None:
    """Give every cook the log that the wedding has at the beginning of the quarter."""
    facts = [NewFact(entry.at, entry.by, entry.fact) for entry in quarter.entries]
    wake = Wake(next_due(calls_owed(replay(quarter.entries))))
    for n in range(cooks):
        await store.append(f"cook:c{n}", 0, facts, quarter.begin, wake=wake)


async def played(folder: Path, quarter: Busiest, cooks: int) -> dict[str, float]:
    """Play the hour of all cooks and return what it cost."""
    clock = VirtualClock(quarter.begin)
    store = await open_store(str(folder / "scale.db"), clock)
    await filled(store, quarter, cooks)
    phones, dispatcher = Phones(), Dispatcher(store, clock, Many())
    outbox = Outbox(store, {NETWORK: phones}, clock, wanted=dispatcher.wanted)
    before_mb = memory_mb()
    begun = time.perf_counter()
    for n in range(cooks):
        await dispatcher.cook(f"c{n}")
    read_s = time.perf_counter() - begun
    held_mb = memory_mb() - before_mb
    begun_cpu, walls, replies = processor_s(), list[float](), list[float]()
    lines, heard = list(quarter.lines), 0
    while clock.now() < quarter.begin + SPAN:
        clock.advance(STEP)
        while lines and lines[0].at <= clock.now():
            line = lines.pop(0)
            heard += cooks
            begun = time.perf_counter()
            await dispatcher.hear([_said(line, n, clock.now()) for n in range(cooks)])
            replies.append(time.perf_counter() - begun)
        begun = time.perf_counter()
        await dispatcher.ring(clock.now())
        await outbox.deliver(NETWORK)
        walls.append(time.perf_counter() - begun)
    figures = {
        "cooks": cooks,
        "facts_before": len(quarter.entries),
        "read_s": read_s,
        "mb_each": held_mb / cooks,
        "cpu_s": processor_s() - begun_cpu,
        "worst_minute_s": max(walls),
        "reply_s": sum(replies) / max(heard, 1),
        "sends_each": phones.sent / cooks,
        "heard_each": heard / cooks,
        "facts_each": (await _facts(store) - cooks * len(quarter.entries)) / cooks,
        "disk_kb_each": (folder / "scale.db").stat().st_size / 1000 / cooks,
    }
    await store.close()
    return figures


def _said(line: ScriptLine, cook: int, now: datetime) -> Incoming:
    room = f"c{cook}/@{folded_name(line.who)}"
    return Incoming(NETWORK, f"{cook}:{line.number}", room, line.who, line.text, now, private=True)


async def _facts(store: SqlStore) -> int:
    with store.connection() as connection:
        found = connection.exec_driver_sql("SELECT count(*) FROM facts").scalar()
    return int(found or 0)


def rows(cooks: int = COOKS) -> Sequence[Row]:
    """Run it in a process of its own, so that its memory is its own."""
    command = [sys.executable, "-m", "tests.bench.bench_scale", "--json", str(cooks)]
    said = subprocess.run(command, capture_output=True, text=True, check=True)
    f = json.loads(said.stdout)
    share = f["cpu_s"] / SPAN.total_seconds()
    most = int(CORES / share * f["cooks"])
    many = f"{int(f['cooks']):,} cooks"
    return [
        Row(
            f"{many}, busiest quarter of an hour of each, processor",
            f"{share:.0%} of a core; each {f['cpu_s'] / f['cooks'] * 1000:.0f} ms for "
            f"{f['facts_each']:.0f} facts, {f['heard_each']:.0f} heard, {f['sends_each']:.0f} sent",
            f"the time itself; {most:,} such cooks would fill {CORES} cores",
            "under half of one core",
            share < 0.5,
        ),
        Row(
            f"{many}, calls due in all of them at the same minute, until the last is sent",
            f"{f['worst_minute_s']:.1f} s in the worst minute; a reply costs "
            f"{f['reply_s'] * 1000:.0f} ms on average, plans included",
            "the minute itself",
            "under 60 s",
            f["worst_minute_s"] < 60,
        ),
        Row(
            f"{many} in memory, {int(f['facts_before'])} facts each",
            f"{f['mb_each']:.2f} MB a cook, read in {f['read_s'] / f['cooks'] * 1000:.0f} ms, "
            f"{f['disk_kb_each']:.0f} kB on the disk",
            "none",
            "under 2 MB a cook",
            f["mb_each"] < 2,
        ),
    ]


if __name__ == "__main__":
    asked = [word for word in sys.argv[1:] if word.isdigit()]
    number = int(asked[0]) if asked else COOKS
    if "--json" in sys.argv:
        with tempfile.TemporaryDirectory() as name:
            print(json.dumps(asyncio.run(played(Path(name), busiest(), number))))
    else:
        for row in rows(number):
            print(row)
