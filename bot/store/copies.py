"""A copy of an SQLite file as it stands, in use or not."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path


def copied(file: Path, to: Path) -> Path:
    """Write one consistent state of the file; the copy appears whole or not at all."""
    with (
        whole(to) as part,
        closing(sqlite3.connect(file)) as source,
        closing(sqlite3.connect(part)) as target,
    ):
        source.backup(target)  # all pages at once; in WAL no writer is held up by it
        target.execute("PRAGMA journal_mode = DELETE")  # one file, no side files
    return to


@contextmanager
def whole(to: Path) -> Iterator[Path]:
    """Give a passing name to write to; it becomes `to` when all of it is on the disk."""
    part = to.with_name(f"{to.name}.part")
    part.unlink(missing_ok=True)
    try:
        yield part
        _sync(part)
        part.replace(to)
        _sync(to.parent)
    finally:
        part.unlink(missing_ok=True)


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
