"""A platform on two files: what people type is behind one, what they see behind the other.

A file outlives who writes to it, and what was appended before a kill stays: it is the screen.
"""

from __future__ import annotations

import asyncio
import json
import os
from collections.abc import AsyncIterator, Callable
from pathlib import Path

from bot.ports import Batch, Clock, FactStore, Incoming, Outgoing, Pace, Receipt, Sent
from bot.posts import Front, Opened

POLL_S = 0.005
HARMLESS = {"pair": True, "screen": False}
"""Networks: on the first a repeat shows once, as on Matrix; on the other it shows twice."""


class Wire:
    """Implements Remote."""

    pace = Pace()

    def __init__(
        self, network: str, folder: Path, clock: Clock, since: str | None, tick: Callable[[], None]
    ) -> None:
        self.network, self.repeats_harmless = network, HARMLESS[network]
        self._typed, self._seen = typed(folder, network), seen(folder)
        self._clock, self._read_to, self._tick = clock, int(since or 0), tick
        self._stopped = asyncio.Event()

    async def batches(self) -> AsyncIterator[Batch]:
        while not self._stopped.is_set():
            lines, end = self._new_lines()
            self._tick()
            yield Batch(tuple(map(self._message, lines)), str(end))
            self._read_to = end
            await asyncio.sleep(POLL_S)

    def _new_lines(self) -> tuple[list[str], int]:
        with self._typed.open("rb") as file:
            file.seek(self._read_to)
            new = file.read()
        whole = new[: new.rfind(b"\n") + 1]
        return whole.decode().splitlines(), self._read_to + len(whole)

    def _message(self, line: str) -> Incoming:
        ext_id, text = line.split(" ", 1)
        now = self._clock.now()
        return Incoming(self.network, ext_id, "@ana", "Ana", text, now, private=True, name="Ana")

    async def incoming(self) -> AsyncIterator[Incoming]:
        async for batch in self.batches():
            for message in batch.messages:
                yield message

    async def send(self, room: str, message: Outgoing, key: str) -> Receipt:
        await asyncio.sleep(0)
        self._tick()
        said = {"room": room, "key": key, "text": message.text, "reply_to": message.reply_to}
        tell(self._seen, network=self.network, **said)
        self._tick()
        return Sent(f"there:{key}")

    async def edit(self, receipt: Sent, message: Outgoing) -> Receipt:
        return receipt

    async def fetch(self, ref: str) -> bytes:
        return b""

    async def stop(self) -> None:
        self._stopped.set()


def fronts(
    store: FactStore, folder: Path, clock: Clock, tick: Callable[[], None]
) -> tuple[Front, ...]:
    """Return both networks as front-ends that can be opened."""

    def front(network: str) -> Front:
        async def opened() -> Opened:
            tell(seen(folder), took=network)
            return Opened(Wire(network, folder, clock, await store.cursor(network), tick))

        return Front(network, opened)

    return tuple(map(front, HARMLESS))


def typed(folder: Path, network: str) -> Path:
    """Return where people's lines for a network are."""
    return folder / f"typed-{network}"


def seen(folder: Path) -> Path:
    """Return what stands on the screens, and what copies say of themselves."""
    return folder / "seen"


def tell(file: Path, **said: object) -> None:
    """Append one line, whole, and who said it."""
    handle = os.open(file, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
    os.write(handle, (json.dumps({"pid": os.getpid(), **said}) + "\n").encode())
    os.close(handle)
