"""Sizes, and how much may be said in how short a time."""

from __future__ import annotations

import json
import math
import re
from collections import defaultdict, deque
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from bot.ports import Clock
from tests.doubles.bot_api.text import RefusedError, parsed, refuse, units

LONGEST_TEXT, LONGEST_CAPTION, MOST_ENTITIES = 4096, 1024, 100
LONGEST_DATA, MOST_BUTTONS, MOST_IN_ROW = 64, 100, 8
LONGEST_ANSWER = 200
MOST_COMMANDS, LONGEST_DESCRIPTION = 100, 256
LARGEST_PHOTO, LARGEST_UPLOAD, LARGEST_DOWNLOAD = 10_000_000, 50_000_000, 20_000_000
LONGEST_SIDES, STEEPEST = 10_000, 20
PORTS = frozenset({443, 80, 88, 8443})
COMMAND = re.compile(r"[a-z0-9_]{1,32}")
SECRET = re.compile(r"[A-Za-z0-9_-]{1,256}")

BURST, BURST_S = 3, 3.0
GROUP, GROUP_S = 20, 60.0
ALL, ALL_S = 30, 1.0


class Flood:
    """The windows of 429: per chat, per group, over all."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._sent: defaultdict[object, deque[datetime]] = defaultdict(deque)
        self.refused = 0

    @property
    def now(self) -> datetime:
        return self._clock.now()

    def check(self, chat: int) -> None:
        """Count a message to a chat, or refuse it with the seconds to wait."""
        now = self._clock.now()
        windows = [((chat, "burst"), BURST, BURST_S), ("all", ALL, ALL_S)]
        if chat < 0:
            windows.append(((chat, "minute"), GROUP, GROUP_S))
        waits = [self._wait(key, most, seconds, now) for key, most, seconds in windows]
        if max(waits) > 0:
            self.refused += 1
            after = max(1, math.ceil(max(waits)))
            raise RefusedError(429, f"Too Many Requests: retry after {after}", retry_after=after)
        for key, _, _ in windows:
            self._sent[key].append(now)

    def _wait(self, key: object, most: int, seconds: float, now: datetime) -> float:
        sent = self._sent[key]
        while sent and sent[0] <= now - timedelta(seconds=seconds):
            sent.popleft()
        if len(sent) < most:
            return 0.0
        return (sent[-most] + timedelta(seconds=seconds) - now).total_seconds()


def text_of(html: str, mode: str, longest: int) -> tuple[str, list[dict[str, Any]]]:
    """Return text and entities of a message or caption, if they are within the limits."""
    text, entities = parsed(html) if mode == "HTML" else (html.strip(), [])
    if units(text) > longest:
        raise refuse("message is too long" if longest == LONGEST_TEXT
                     else "message caption is too long")  # fmt: skip
    return text, entities[:MOST_ENTITIES]


def buttons_of(markup: str | None) -> list[list[dict[str, Any]]]:
    """Return an inline keyboard, if it is one."""
    rows: list[list[dict[str, Any]]] = json.loads(markup)["inline_keyboard"] if markup else []
    if sum(map(len, rows)) > MOST_BUTTONS:
        raise refuse("reply markup is too long")
    for row in rows:
        if len(row) > MOST_IN_ROW:
            raise refuse("too many buttons in a row")
        for button in row:
            if not button.get("text", "").strip():
                raise refuse("inline keyboard button text must be non-empty")
            if not 1 <= len(button.get("callback_data", "").encode()) <= LONGEST_DATA:
                raise refuse("BUTTON_DATA_INVALID")
    return rows


def check_photo(content: bytes) -> None:
    """Refuse what is no photo by its size; the sides are read from a PNG's header."""
    if len(content) > LARGEST_PHOTO:
        raise refuse("file is too big")
    if content.startswith(b"\x89PNG") and len(content) >= 24:
        width, height = (int.from_bytes(content[i : i + 4]) for i in (16, 20))
        if width + height > LONGEST_SIDES or max(width, height) > STEEPEST * min(width, height):
            raise refuse("PHOTO_INVALID_DIMENSIONS")


def check_commands(commands: Sequence[dict[str, str]], language: str) -> None:
    """Refuse a menu that is too long or has a name it may not have."""
    if len(commands) > MOST_COMMANDS:
        raise refuse("too many commands")
    if language and not re.fullmatch("[a-z]{2}", language):
        raise refuse("invalid language code specified")
    for command in commands:
        if not COMMAND.fullmatch(command["command"]):
            raise refuse("BOT_COMMAND_INVALID")
        if not 1 <= len(command["description"]) <= LONGEST_DESCRIPTION:
            raise refuse("BOT_COMMAND_DESCRIPTION_INVALID")
