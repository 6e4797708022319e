"""The terminal as a front-end: one line typed is one message, one screen shows all rooms.

Colours only where the output is a terminal; piped, it is plain text. Meaning never hangs on
colour: who a line is for and whether it rings is written out.
"""

from __future__ import annotations

import asyncio
import sys
import uuid
from collections.abc import AsyncIterator, Mapping
from contextlib import suppress
from datetime import date, datetime, tzinfo
from typing import TextIO

from rich.console import Console as Screen
from rich.text import Text

from bot.ports import Clock, Incoming, Outgoing, Pace, Receipt, Sent
from core.model import Sound

LONGEST_LINE = 4000  # what is longer is cut; nobody types that
RINGS = {Sound.SILENT: "", Sound.ONCE: "rings", Sound.ALARM: "ALARM"}
STYLE = {Sound.SILENT: "", Sound.ONCE: "bold", Sound.ALARM: "bold reverse"}


class Paper:
    """Writes the story of the day line by line: clock, to whom, what."""

    def __init__(self, out: TextIO, zone: tzinfo, names: Mapping[str, str]) -> None:
        self._screen = Screen(file=out, highlight=False, soft_wrap=True)
        self._zone, self._names = zone, names
        self._day: date | None = None

    def said(self, at: datetime, who: str, text: str) -> None:
        """Write what somebody typed."""
        self._line(at, f"{who}: ", Text(text, style="cyan"))

    def sent(self, at: datetime, room: str, message: Outgoing) -> None:
        """Write what the bot said, to whom, and whether it rings."""
        ring = RINGS[message.sound]
        to = self._to(room) + (f" ({ring})" if ring else "")
        body = Text("\n".join(message.lines), style=STYLE[message.sound])
        self._line(at, f"  → {to}: ", body)
        if message.choices:
            taps = "  ".join(f"[{n}] {words}" for n, words in enumerate(message.choices, 1))
            self._screen.print(Text(" " * 11 + taps))

    def note(self, text: str) -> None:
        """Write a remark that nobody sent."""
        self._screen.print(Text(text, style="italic"))

    def _to(self, room: str) -> str:
        return self._names.get(room.removeprefix("@"), "all") if room.startswith("@") else "all"

    def _line(self, at: datetime, head: str, body: Text) -> None:
        local = at.astimezone(self._zone)
        if self._day is not None and local.date() != self._day:
            self._screen.print(Text(f"---- {local:%Y-%m-%d} ----"))
        self._day = local.date()
        clock = f"{local:%H:%M}  "
        pad = "\n" + " " * 11
        first, *rest = body.plain.split("\n")
        text = Text(clock + head)
        text.append(first + (pad if rest else "") + pad.join(rest), style=body.style)
        self._screen.print(text)


class Console:
    """Implements Chat on the terminal: everything typed comes from one person."""

    network = "console"
    repeats_harmless = False
    pace = Pace()

    def __init__(
        self, who: str, room: str, clock: Clock, paper: Paper, source: TextIO = sys.stdin
    ) -> None:
        self._who, self._room, self._clock, self._paper = who, room, clock, paper
        self._source = source

    async def incoming(self) -> AsyncIterator[Incoming]:
        """Yield each line typed until the end of input."""
        while line := await asyncio.to_thread(self._read):
            text = line.strip()[:LONGEST_LINE]
            if text:
                ext_id = uuid.uuid4().hex
                now = self._clock.now()
                yield Incoming(self.network, ext_id, self._room, self._who, text, now, private=True)

    def _read(self) -> str:
        """Return the next line; '' at the end, and nothing but text whatever bytes came."""
        with suppress(UnicodeDecodeError):
            return self._source.readline()
        return "\n"

    def note(self, text: str) -> None:
        """Write a remark past the outbox, when nothing can be kept."""
        self._paper.note(text)

    async def send(self, room: str, message: Outgoing, key: str) -> Receipt:
        """Write a message; a silent copy of what just rang is not written twice."""
        copy = message.tag is not None and message.tag.kind == "room" and message.tag.keys
        if not (copy and message.sound is Sound.SILENT and not message.picture):
            self._paper.sent(self._clock.now(), room, message)
        return Sent(key)

    async def edit(self, receipt: Sent, message: Outgoing) -> Receipt:
        """Write the new text below: paper cannot be unwritten."""
        self._paper.sent(self._clock.now(), self._room, message)
        return receipt
