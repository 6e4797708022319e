"""Opening a store: one copy only, tables brought up to date, what was in hand owed again."""

from __future__ import annotations

import asyncio
import secrets
from contextlib import ExitStack

from sqlalchemy import Engine

from bot.ports import Clock, StoreError
from bot.store import claiming, wake
from bot.store.engine import BUSY_MS, Place, place, reading, told, writing
from bot.store.lock import OneCopy
from bot.store.schema import bring_up_to_date
from bot.store.sql import SqlStore


async def open_store(url: str, clock: Clock, *, busy_ms: int = BUSY_MS) -> SqlStore:
    """Return the store at an address (or a file name), ready for work.

    Raises
    ------
    StoreError
        If it cannot be used: in use by another copy, no database, newer than this version,
        read-only, damaged, or its server does not answer.
    """
    return await asyncio.to_thread(_opened, place(url), clock, busy_ms)


def _opened(at: Place, clock: Clock, busy_ms: int) -> SqlStore:
    with ExitStack() as undo:
        lock = None
        if at.file is not None:
            lock = OneCopy(at.file)
            undo.callback(lock.release)
        holder = secrets.randbelow(2**31)
        writes = writing(at, busy_ms, holder=holder)
        undo.callback(writes.dispose)
        with told():
            bring_up_to_date(writes, at.file)
            if lock is not None and lock.was_killed:
                _check(writes)
            with writes.begin() as connection:
                claiming.recover(connection)
                if not set(claiming.living(connection)) - {holder}:
                    wake.let_go(connection)
        reads = writes if at.is_memory else reading(at, busy_ms)
        undo.pop_all()
        return SqlStore(at, writes, reads, clock, lock=lock, holder=holder)


def _check(engine: Engine) -> None:
    """Look for damage after a killed process or a power cut."""
    with engine.begin() as connection:
        found = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar()
    if found != "ok":
        raise StoreError(f"the file is damaged ({found})", "Restore the last backup.")
