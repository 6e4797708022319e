"""Exactly one copy of the process on one SQLite file.

A lock of the operating system on a file beside the database: it dies with the process, SIGKILL
included. POSIX record locks, because a child made by fork does not inherit them: a solver's
worker that outlives a killed bot must not keep the next bot out. Their trap is that they do not
hold within one process, hence `_MINE`.
"""

from __future__ import annotations

import fcntl
import os
from pathlib import Path

from bot.ports import StoreError

_MINE: set[Path] = set()


class OneCopy:
    """Holds the lock from construction to `release`; `was_killed` says how the last one ended."""

    def __init__(self, database: Path) -> None:
        self._path = database.with_name(database.name + ".lock").resolve()
        if self._path in _MINE:
            raise _in_use(str(os.getpid()))
        try:
            self._handle = os.open(self._path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o644)
        except OSError as wrong:
            raise StoreError(
                f"its folder cannot be written ({wrong.strerror})",
                "Make the folder, or make it writable.",
            ) from wrong
        last = os.read(self._handle, 32).decode(errors="replace").strip()
        try:
            fcntl.lockf(self._handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as taken:
            os.close(self._handle)
            raise _in_use(last) from taken
        _MINE.add(self._path)
        self.was_killed = bool(last)
        os.ftruncate(self._handle, 0)
        os.pwrite(self._handle, f"{os.getpid()}\n".encode(), 0)

    def release(self) -> None:
        """Let the next copy in; the file stays, a removed one would split the lock in two."""
        if self._path in _MINE:
            os.ftruncate(self._handle, 0)
            os.close(self._handle)
            _MINE.discard(self._path)


def _in_use(process: str) -> StoreError:
    return StoreError(
        f"another Pitcrier already works on it (process {process or 'unknown'})",
        "Stop that one first, or give this one a database of its own.",
    )
