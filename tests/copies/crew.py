"""Starts copies, types into the wire, kills or stops copies, and holds what came of it together."""

from __future__ import annotations

import asyncio
import json
import multiprocessing
import os
import random
import signal
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC
from pathlib import Path
from typing import Any

from sqlalchemy import text

from bot.clock import SystemClock
from bot.ports import CrewRoom, Seat
from bot.serving import serving
from bot.settings import Settings
from bot.store import open_store
from core.facts import CallMade, Entry, ReadingTaken
from tests.copies.copy import live
from tests.copies.wire import HARMLESS, seen, typed
from tests.flow.kitchen_cards import write_event

FORKS = multiprocessing.get_context("forkserver")
FORKS.set_forkserver_preload(["bot.app", "bot.serving", "tests.copies.copy"])

STREAM = "cook:quick-1"
TYPE_EVERY_S, LOOK_S = 0.1, 0.005
LONGEST_S = 30.0
TICKS = 120
"""About what four messages take, each heard, booked, answered: a kill falls anywhere in them."""


async def prepared(url: str, folder: Path) -> None:
    """Start the cook, with Ana in a private chat and the crew's room on both networks."""
    clock = SystemClock()
    event = write_event(folder / "event", clock.now().astimezone(UTC))
    async with serving(Settings(url), clock) as work:
        cook = await work.start_event(event)
        for network in HARMLESS:
            await work.store.people.seat(Seat(cook, "ana", network, "Ana", "@ana"))
            await work.store.people.open_room(CrewRoom(network, f"crew-{network}", cook))


@dataclass
class Crew:
    """Copies at work on one cook, and Ana who types."""

    url: str
    folder: Path
    chance: random.Random
    copies: dict[int, Any] = field(default_factory=dict)
    typed: dict[str, list[str]] = field(default_factory=lambda: {n: [] for n in HARMLESS})
    _next_at: float = 0.0
    _lines: list[dict[str, Any]] = field(default_factory=list)
    _read_to: int = 0

    def start(self) -> int:
        """Start a copy and return its number as a process."""
        n = self.chance.randrange(1, TICKS)
        copy = FORKS.Process(target=live, args=(self.url, str(self.folder), n), daemon=True)
        copy.start()
        assert copy.pid is not None
        self.copies[copy.pid] = copy
        return copy.pid

    def lines(self) -> list[dict[str, Any]]:
        """Return everything that stands on screens, oldest first."""
        file = seen(self.folder)
        if file.exists():
            with file.open() as screen:
                screen.seek(self._read_to)
                new = screen.read()
            whole = new[: new.rfind("\n") + 1]
            self._read_to += len(whole)
            self._lines += [json.loads(line) for line in whole.splitlines()]
        return self._lines

    def type_one(self) -> None:
        """Type a line on each network when it is time for one."""
        if time.perf_counter() < self._next_at:
            return
        self._next_at = time.perf_counter() + TYPE_EVERY_S
        for network, said in self.typed.items():
            number = len(said)
            value = f"{20 + number * 0.2 + (0.1 if network == 'screen' else 0):.1f}"
            said.append(value)
            with typed(self.folder, network).open("a") as file:
                file.write(f"{number} L1 {value}\n")

    def until(self, what: str, happened: Any, *, typing: bool = True) -> float:
        """Type on until something has happened; return how long that took, s."""
        start = time.perf_counter()
        while not happened():
            assert time.perf_counter() - start < LONGEST_S, f"{what}: not within {LONGEST_S} s"
            if typing:
                self.type_one()
            time.sleep(LOOK_S)
        return time.perf_counter() - start

    def ready(self, pid: int) -> None:
        """Wait until a copy stands by, or has a post."""
        self.until("ready", lambda: any(x["pid"] == pid and "ready" in x for x in self.lines()))

    def holders(self) -> dict[str, int]:
        """Return who took which post last."""
        return {line["took"]: line["pid"] for line in self.lines() if "took" in line}

    def answered(self) -> bool:
        """Return whether every line typed has an answer on its screen."""
        replies = {(x["network"], x["reply_to"]) for x in self.lines() if "key" in x}
        said = {(n, str(i)) for n, values in self.typed.items() for i in range(len(values))}
        return said <= replies

    def gone(self, pid: int, by: int) -> float:
        """End a copy by a signal; return how long its networks were silent, s."""
        lost = {network for network, holder in self.holders().items() if holder == pid}
        assert lost, "a copy that holds a post was meant"
        os.kill(pid, by)
        self.until("dead", lambda: not self.copies[pid].is_alive())
        died = len(self.lines())

        def spoken() -> bool:
            new = [x for x in self.lines()[died:] if "key" in x and x["pid"] != pid]
            return lost <= {x["network"] for x in new}

        return self.until("taken over", spoken)

    def stop(self) -> None:
        """Stop every copy as a service manager does, and see that it ends well."""
        for copy in self.copies.values():
            if copy.is_alive():
                os.kill(copy.pid, signal.SIGTERM)
        for copy in self.copies.values():
            copy.join(LONGEST_S)
            assert copy.exitcode in {0, -signal.SIGKILL}


@contextmanager
def crew(url: str, folder: Path, seed: int) -> Iterator[Crew]:
    """Prepare a cook; whatever happens no copy outlives this."""
    asyncio.run(prepared(url, folder))
    made = Crew(url, folder, random.Random(seed))
    try:
        yield made
    finally:
        for copy in made.copies.values():
            copy.kill()
            copy.join()


# ------------------------------------------------------------------ what came of it


def judge(crew: Crew) -> Counter[str]:
    """Hold screens, log and outbox against what was typed; return how often each was repeated."""
    entries, broken, ends = asyncio.run(_kept(crew.url))
    assert broken is None
    readings = [e.fact.reading for e in entries if isinstance(e.fact, ReadingTaken)]
    booked = Counter(f"{reading.value:.1f}" for reading in readings)
    assert booked == Counter(v for values in crew.typed.values() for v in values)
    made = Counter(e.fact.call.key for e in entries if isinstance(e.fact, CallMade))
    assert set(made.values()) <= {1}
    shown = [line for line in crew.lines() if "key" in line]
    assert set(ends.values()) == {"sent"}
    assert {(x["network"], x["key"]) for x in shown} == set(ends)
    repeats: Counter[str] = Counter()
    for (network, key), times in Counter((x["network"], x["key"]) for x in shown).items():
        texts = [x["text"] for x in shown if (x["network"], x["key"]) == (network, key)]
        repeats[network] += times - 1
        if HARMLESS[network]:
            assert len(set(texts)) == 1  # the same message under the same key: it shows once
        else:
            assert all("(again)" in later for later in texts[1:])
    return repeats


async def _kept(url: str) -> tuple[list[Entry], int | None, dict[tuple[str, str], str]]:
    store = await open_store(url, SystemClock())
    with store.connection() as connection:
        found = connection.execute(text("SELECT network, key, state FROM outbox"))
        ends = {(row.network, row.key): row.state for row in found}
    entries, broken = list(await store.read(STREAM)), await store.verify(STREAM)
    await store.close()
    return entries, broken, ends
