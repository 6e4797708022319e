"""One card file being read: every key handed out once, every mistake noted, none fatal.

A reader turns a TOML value into ours or raises `WrongError`. Reading goes on after a mistake with
the default, so that one look finds them all; whoever reads a card raises at the end.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator
from typing import TypeVar

from bot.cards.errors import CardError, WrongError, among, plain, shown
from bot.cards.lines import Path, key_lines
from core.model import Moment

T = TypeVar("T")
Reader = Callable[[object], T]

_MOST_ERRORS = 200  # of one file; more would be noise


class Sheet:
    """One card file: its text, where its keys stand, its times of day, what is wrong with it."""

    def __init__(self, file: str, text: str) -> None:
        self.file = file
        self.errors: list[CardError] = []
        self.moments: list[tuple[Path, Moment]] = []
        self.defaults: dict[tuple[str, str], object] = {}
        self.data: dict[str, object] = {}
        self.readable = True
        try:
            self.data = tomllib.loads(text)
        except (ValueError, RecursionError) as bad:
            self.readable = False
            self._note_unreadable(text, bad)
        self._lines = dict(key_lines(text)) if self.readable else {}

    def top(self) -> Section:
        """Return the section outside of all tables."""
        return Section(self, (), self.data)

    def line(self, path: Path) -> int:
        """Return the line of a key, or of what holds it."""
        while path and path not in self._lines:
            path = path[:-1]
        return self._lines.get(path, 1)

    def wrong(self, path: Path, what: str, right: str = "") -> None:
        """Note a mistake; of a file that is no TOML there is nothing more to say."""
        if self.readable and len(self.errors) < _MOST_ERRORS:
            key = ".".join(shown(part)[1:-1] for part in path if isinstance(part, str))
            self.errors.append(
                CardError(self.file, self.line(path), key, plain(what), plain(right))
            )

    def _note_unreadable(self, text: str, bad: Exception) -> None:
        where = re.search(r"\(at line (\d+), column \d+\)", str(bad))
        line = int(where[1]) if where else text.count("\n") + 1
        why = re.sub(r" \(at .*\)$", "", str(bad)) if isinstance(bad, ValueError) else "too deep"
        what = f"this is not TOML: {shown(why)[1:-1]}"
        right = 'a line reads key = "value", a table begins with [name] or [[name]]'
        self.errors.append(CardError(self.file, line, "", what, right))


class Section:
    """One table of a card: its keys are taken one by one; what is left over is unknown."""

    def __init__(self, sheet: Sheet, path: Path, data: dict[str, object]) -> None:
        self.sheet, self.path, self._data = sheet, path, data
        self._taken: list[str] = []

    def has(self, key: str) -> bool:
        """Return whether the card gives the key."""
        return key in self._data

    def need(self, key: str, read: Reader[T], instead: T) -> T:
        """Return a key that must be there; `instead` is only to go on reading with."""
        self._announce(key, "needed")
        if key not in self._data:
            self.wrong("", f"{key} is missing", f"every {self.name} needs {key}")
            return instead
        return self._read(key, read, instead)

    def take(self, key: str, read: Reader[T], default: object) -> T:
        """Return a key, or its default, which is written as on a card."""
        self._announce(key, default)
        return self._read(key, read, read(default))

    def maybe(self, key: str, read: Reader[T]) -> T | None:
        """Return a key, or None where the card is silent."""
        self._announce(key, None)
        return self._read(key, read, None)

    def section(self, key: str) -> Section:
        """Return a table within this one, empty where the card has none."""
        value = self._grab(key, {})
        if not isinstance(value, dict):
            self.wrong(key, f"{shown(value)} is not a table", f"begin a table with [{key}]")
            value = {}
        return Section(self.sheet, (*self.path, key), value)

    def sections(self, key: str) -> tuple[Section, ...]:
        """Return the tables of a list of tables."""
        value = self._grab(key, [])
        if not isinstance(value, list) or not all(isinstance(x, dict) for x in value):
            self.wrong(key, "is not a list of tables", f"begin each with [[{key}]]")
            return ()
        return tuple(Section(self.sheet, (*self.path, key, i), x) for i, x in enumerate(value))

    def close(self) -> None:
        """Note every key that nobody took."""
        for key in self._data:
            if key not in self._taken:
                self.wrong(key, "there is no such key here", among(key, tuple(self._taken)))

    def wrong(self, key: str, what: str, right: str = "") -> None:
        """Note a mistake at a key of this section, or at the section itself."""
        self.sheet.wrong((*self.path, key) if key else self.path, what, right)

    @property
    def name(self) -> str:
        """Return how the section is written on the card: '[[step]]', '[hold]' or 'card'."""
        names = [part for part in self.path if isinstance(part, str)]
        if not names:
            return "card"
        return f"[[{names[-1]}]]" if isinstance(self.path[-1], int) else f"[{names[-1]}]"

    def keys(self) -> tuple[str, ...]:
        """Return the keys the card gives here."""
        return tuple(self._data)

    def _announce(self, key: str, default: object) -> None:
        self._taken.append(key)
        self.sheet.defaults.setdefault((self.name, key), default)

    def _grab(self, key: str, instead: object) -> object:
        self._taken.append(key)
        return self._data.get(key, instead)

    def _read(self, key: str, read: Reader[T], instead: T) -> T:
        if key not in self._data:
            return instead
        try:
            value = read(self._data[key])
        except WrongError as bad:
            self.wrong(key, bad.what, bad.right)
            return instead
        self.sheet.moments += (((*self.path, key), m) for m in moments_in(value))
        return value


def exceeds(one: float | None, other: float | None) -> bool:
    """Return whether both are given and the one is above the other."""
    return one is not None and other is not None and one > other


def moments_in(value: object) -> Iterator[Moment]:
    """Yield every wall-clock time in a value."""
    if isinstance(value, Moment):
        yield value
    elif isinstance(value, tuple):
        for part in value:
            yield from moments_in(part)
