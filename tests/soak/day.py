"""A whole cook killed again and again: the head of its chain must be that of the undisturbed day.

The real dispatcher plays the bundled wedding on a virtual clock. Whatever dies when, the day goes
on from the last moment that was told of, and every fact must come out the same, byte for byte:
then nothing was lost, doubled or decided twice. Every message of the undisturbed day must have
arrived as well.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Sequence
from datetime import datetime
from importlib import resources
from pathlib import Path
from typing import Any

import psycopg

from bot.cards import read_event, read_texts
from bot.clock import VirtualClock
from bot.directory import NamesDirectory
from bot.dispatch import Dispatcher
from bot.outbox import Outbox
from bot.ports import Incoming
from bot.script import ScriptLine, read_script
from bot.store import SqlStore, open_store
from core.rights import CLIENT
from tests.soak.fork import forked
from tests.soak.kitchen import Pipe, Platform
from tests.soak.reaper import Reaper
from tests.soak.stories import Tally

COOK = "golden-wedding-1"
NETWORK = "doubling"
EVENT = Path(str(resources.files("bot.examples"))) / "golden_wedding"


def script() -> tuple[ScriptLine, ...]:
    """Return the day's lines; phones do not go off, that is another test's business."""
    lines = read_script((EVENT / "day.txt").read_text("utf-8"), read_event(EVENT))
    return tuple(line for line in lines if not line.text.startswith("(o"))


class Day:
    """One process's share of the day."""

    def __init__(self, store: SqlStore, clock: VirtualClock, pipe: Pipe, reaper: Reaper) -> None:
        self._store, self._clock, self._pipe = store, clock, pipe
        chats = {NETWORK: Platform(NETWORK, pipe, reaper)}
        self._outbox = Outbox(store, chats, clock)
        self._dispatcher = Dispatcher(store, clock, NamesDirectory(NETWORK, COOK))

    async def begin(self) -> None:
        """Start the cook unless its log has begun."""
        if (await self._store.head(f"cook:{COOK}"))[0] == 0:
            cards = read_event(EVENT)
            assert cards.chef is not None
            await self._dispatcher.start(COOK, cards, dict(read_texts(EVENT)), cards.chef.id)
        await self._dispatcher.work()
        await self._outbox.deliver(NETWORK)

    async def go_on(self, lines: Sequence[ScriptLine], until: datetime) -> None:
        """Play what is left of the script; the line a dead process had begun comes again."""
        due = await self._dispatcher.ring(self._clock.now())
        await self._outbox.deliver(NETWORK)
        left = list(lines)
        while True:
            at = min((t for t in (due, left[0].at if left else None) if t), default=None)
            if at is None or at > until:
                return
            self._clock.set(max(at, self._clock.now()))
            if not (due is not None and due <= at):
                await self._say(left.pop(0))
            else:
                self._pipe.tell(at=self._clock.now().isoformat())
            due = await self._dispatcher.ring(self._clock.now())
            await self._outbox.deliver(NETWORK)

    async def _say(self, line: ScriptLine) -> None:
        self._pipe.tell(at=self._clock.now().isoformat(), line=line.number)
        who = line.who if line.who != CLIENT else "Client"
        room, ext_id = f"@{line.who}", f"line:{line.number}"
        message = Incoming(NETWORK, ext_id, room, who, line.text, self._clock.now(), private=True)
        await self._dispatcher.hear((message,))


async def live(
    url: str, pipe: Pipe, reaper: Reaper, at: datetime, first_line: int, until: datetime
) -> None:
    """Go on with the day from this instant and this line of the script."""
    clock = VirtualClock(at)
    store = await open_store(url, clock)
    day = Day(store, clock, pipe, reaper)
    await day.begin()
    await day.go_on([line for line in script() if line.number >= first_line], until)
    seq, head = await store.head(f"cook:{COOK}")
    await store.close()
    pipe.tell(seq=seq, head=head, ticks=reaper.ticks)


def told(
    url: str, kill_at: int | None, at: datetime, first_line: int, until: datetime
) -> tuple[bool, list[dict[str, Any]]]:
    """Run one process of the day; return whether it was killed and what it told."""
    if url.startswith("postgresql"):
        _until_nobody_lives(url)
    return forked(lambda pipe, reaper: live(url, pipe, reaper, at, first_line, until), kill_at)


def _until_nobody_lives(url: str) -> None:
    """Wait until the server has noticed that the last process is dead: its locks are gone."""
    held = "SELECT count(*) FROM pg_locks WHERE locktype = 'advisory'"
    with psycopg.connect(url, autocommit=True) as connection:
        while (row := connection.execute(held).fetchone()) and row[0]:
            time.sleep(0.01)


def tallied_day(tally: Tally, fresh: Callable[[], str], kills: int, until: str) -> None:
    """Kill whole days; what differs from the undisturbed one goes on the tally."""
    chance = random.Random(tally.seed)
    end = datetime.fromisoformat(until)
    first = min(line.at for line in script())
    _, lines = told(fresh(), None, first, 0, end)
    wanted, everything = lines[-1], _shown(lines)
    while tally.days_killed < kills:
        url, at, line, shown = fresh(), first, 0, set[tuple[str, str]]()
        while True:
            killed, lines = told(url, chance.randrange(1, wanted["ticks"]), at, line, end)
            shown |= _shown(lines)
            times = [datetime.fromisoformat(said["at"]) for said in lines if "at" in said]
            at = max([at, *times])
            line = max([line, *(said["line"] for said in lines if "line" in said)])
            if not killed:
                break
            tally.days_killed += 1
        tally.days += 1
        got = lines[-1]
        if (got["seq"], got["head"]) != (wanted["seq"], wanted["head"]):
            wrong = f"{got['seq']} facts for {wanted['seq']}, or others"
            tally.lost.append(f"{tally.database} day {tally.days}: {wrong}")
        if missing := everything - shown:
            tally.lost.append(f"{tally.database} day {tally.days}: no {sorted(missing)[:5]}")


def _shown(lines: list[dict[str, Any]]) -> set[tuple[str, str]]:
    """Return what stood on which screen, marks of a repeat aside."""
    return {(said["room"], said["text"].replace(" (again)", "")) for said in lines if "key" in said}
