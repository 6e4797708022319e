"""Connections: how SQLite and PostgreSQL are opened, and what their errors mean to a cook."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.pool import StaticPool

from bot.ports import StoreError

SPACE = 0x706974
"""Sets our advisory locks apart from those of others on the same PostgreSQL."""

HOLDERS = SPACE + 1
"""Under this number each living copy holds a lock on its own."""

CHANNEL = "pitcrier"
"""On it copies tell each other what they have committed."""

NOTICED = """
    SELECT set_config('tcp_keepalives_idle', '2', false),
           set_config('tcp_keepalives_interval', '1', false),
           set_config('tcp_keepalives_count', '2', false)
"""
"""A machine that falls silent loses its locks at the server within 4 s, not after two hours."""

BUSY_MS = 5000
"""How long SQLite waits for somebody else's lock before it gives up."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where the database is: an address, and the file if it is one."""

    url: URL
    file: Path | None

    @property
    def is_memory(self) -> bool:
        """Return whether it is an SQLite database without a file."""
        return self.url.get_backend_name() == "sqlite" and self.file is None


def files_beside(at: Place) -> Path:
    """Return where files are kept: beside the database; for a server in the working folder."""
    return at.file.with_name(f"{at.file.name}.files") if at.file else Path("pitcrier.files")


def place(url: str) -> Place:
    """Return the place a user named: an address, or just a file name."""
    try:
        parsed = make_url(url if "://" in url else f"sqlite:///{url}")
        backend = parsed.get_backend_name()
    except (ArgumentError, NoSuchModuleError) as wrong:
        raise _no_such_place() from wrong
    if backend == "postgresql":
        return Place(parsed.set(drivername="postgresql+psycopg"), None)
    if backend != "sqlite":
        raise _no_such_place()
    named = parsed.database if parsed.database not in {None, "", ":memory:"} else None
    return Place(parsed.set(drivername="sqlite"), Path(named) if named else None)


def _no_such_place() -> StoreError:
    return StoreError(
        "its address is not understood",
        "Give a file name, or postgresql://user@host/name.",
    )


def writing(at: Place, busy_ms: int = BUSY_MS, *, holder: int | None = None) -> Engine:
    """Return an engine whose transactions may write; on SQLite they lock when they begin.

    On PostgreSQL its one connection shows that `holder` is alive, as long as it is.
    """
    if at.url.get_backend_name() == "postgresql":
        return _postgres(at, holder)
    return _sqlite(
        at,
        "BEGIN IMMEDIATE",
        f"busy_timeout = {busy_ms}",
        "journal_mode = WAL",
        "synchronous = FULL",  # outdoors, on a generator: the last commit must survive a cut
        "foreign_keys = ON",
    )


def reading(at: Place, busy_ms: int = BUSY_MS) -> Engine:
    """Return an engine for reads of one consistent state, beside a writer at work."""
    if at.url.get_backend_name() == "postgresql":
        return _postgres(at).execution_options(
            isolation_level="REPEATABLE READ", postgresql_readonly=True
        )
    return _sqlite(at, "BEGIN", f"busy_timeout = {busy_ms}", "query_only = ON")


def _postgres(at: Place, holder: int | None = None) -> Engine:
    # keepalive: a dead network is noticed in about 10 s, not in two hours
    alive = {"keepalives_idle": 5, "keepalives_interval": 2, "keepalives_count": 3}
    engine = create_engine(
        at.url, pool_size=1, max_overflow=0, pool_pre_ping=True, connect_args=alive
    )
    if holder is not None:

        @event.listens_for(engine, "connect")
        def opened(connection: Any, record: Any) -> None:
            record.info["holder"] = holder
            connection.execute(NOTICED)
            # shared: a session that the server has not yet noticed to be dead does not keep us out
            connection.execute(f"SELECT pg_advisory_lock_shared({HOLDERS}, {holder})")
            connection.commit()

    return engine


def tell(connection: Connection, *news: str) -> None:
    """Tell other copies, once this transaction is on the disk; on SQLite there are none."""
    if news and connection.dialect.name == "postgresql":
        told = [f"{connection.info.get('holder', 0)}:{one}" for one in news]
        connection.exec_driver_sql(
            f"SELECT pg_notify('{CHANNEL}', told) FROM unnest(%(told)s::text[]) AS told",
            {"told": told},
        )


def let_go(engine: Engine) -> None:
    """Close an engine's connections; other copies see at once that we are gone."""
    if engine.dialect.name == "postgresql":
        with suppress(DBAPIError), engine.connect() as connection:
            connection.execute(text("SELECT pg_advisory_unlock_all()"))
    engine.dispose()


def _sqlite(at: Place, begin: str, *pragmas: str) -> Engine:
    # one connection of its own per engine, always used from one thread at a time
    engine = create_engine(at.url, poolclass=StaticPool, connect_args={"check_same_thread": False})

    @event.listens_for(engine, "connect")
    def opened(connection: Any, _: Any) -> None:
        # the driver's own BEGIN comes after the SELECT and loses updates; ours comes first
        connection.isolation_level = None
        for pragma in pragmas:
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def began(connection: Connection) -> None:
        connection.connection.cursor().execute(begin)  # as the driver's own would be

    return engine


@contextmanager
def told() -> Iterator[None]:
    """Turn a database's or a disk's error into what it means."""
    try:
        yield
    except OSError as wrong:
        raise StoreError(
            f"the disk says '{wrong.strerror}'", "Free some space or check the folder."
        ) from wrong
    except Exception as wrong:
        means = meaning(wrong)
        raise means from (None if means is wrong else wrong)


_MEANINGS = (
    ("database or disk is full", "the disk is full", "Free some space, then say it again."),
    ("disk I/O error", "the disk does not take or give data", "Free some space or check the disk."),
    ("readonly database", "the file or its folder is read-only", "Make both writable."),
    ("locked", "another program holds it locked", "Close that program, then say it again."),
    ("not a database", "the file is not a database", "Name another file."),
    ("malformed", "the file is damaged", "Restore the last backup."),
    ("unable to open", "the file cannot be opened", "Check that its folder exists and is ours."),
)


def meaning(wrong: BaseException) -> BaseException:
    """Return what a database error means as a StoreError; any other error as it is."""
    if isinstance(wrong, DBAPIError):
        wrong = wrong.orig or wrong
    elif not isinstance(wrong, sqlite3.Error):
        return wrong
    if isinstance(wrong, sqlite3.IntegrityError) or _is_conflict(wrong):
        return wrong
    for sign, why, remedy in _MEANINGS:
        if sign in str(wrong):
            return StoreError(why, remedy)
    if isinstance(wrong, sqlite3.Error):
        return StoreError(f"the database says '{wrong}'", "Look in the log of the program.")
    return StoreError("the database server does not answer", "Check that it runs, then try again.")


def _is_conflict(wrong: BaseException) -> bool:
    return type(wrong).__name__ in {"UniqueViolation", "SerializationFailure", "DeadlockDetected"}
