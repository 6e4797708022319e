"""Backups while the bot runs, and putting one back.

A backup is always one SQLite file that can be used as it is: of SQLite a page-for-page copy, of
PostgreSQL the same rows read in one transaction. So either can be restored to either.
"""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, Engine, MetaData, Table, insert, select, text

from bot.ports import StoreError
from bot.store.copies import copied, whole
from bot.store.engine import Place, files_beside, place, reading, told, writing
from bot.store.lock import OneCopy
from bot.store.schema import bring_up_to_date, revision

CHUNK = 1000
SHA256_LETTERS = 64


@told()
def backed_up(at: Place, to: Path) -> Path:
    """Write a consistent copy of a database, in use or not."""
    if at.is_memory:
        raise StoreError("it is only in memory", "Start with a file to have something to keep.")
    if at.file is None:
        with whole(to) as part:
            _rows_copied(reading(at), writing(Place(place(str(part)).url, part)))
    elif at.file.exists():
        copied(at.file, to)
    else:
        raise StoreError(f"there is no {at.file.name}", "Name the file the bot works on.")
    _files_copied(files_beside(at), files_beside(place(str(to))))
    return to


@told()
def restored(backup: Path, url: str) -> None:
    """Put a backup into a database that is empty; never over newer truth."""
    if not backup.is_file():
        raise StoreError(f"there is no backup {backup.name}", "Name the file of the backup.")
    at = place(url)
    lock = OneCopy(at.file) if at.file else None
    try:
        if at.file is not None:
            if at.file.exists():
                raise _not_empty()
            copied(backup, at.file)
        else:
            _rows_copied(reading(place(str(backup))), writing(at))
        _files_copied(files_beside(place(str(backup))), files_beside(at))
    finally:
        if lock:
            lock.release()


def _files_copied(source: Path, target: Path) -> None:
    """Copy the files that are not there yet; one of a name never changes, the name is its hash."""
    for file in source.glob("??/*"):
        there = target / file.relative_to(source)
        if len(file.name) == SHA256_LETTERS and not there.exists():
            there.parent.mkdir(parents=True, exist_ok=True)
            with whole(there) as part:
                part.write_bytes(file.read_bytes())


def _not_empty() -> StoreError:
    return StoreError(
        "there is something in it already", "Restore to a new one, and look at both first."
    )


def _rows_copied(source: Engine, target: Engine) -> None:
    try:
        step = revision(source)
        if step is None:
            raise StoreError("there is nothing in it", "Name the database the bot works on.")
        if revision(target) is not None:
            raise _not_empty()
        bring_up_to_date(target, None, step)
        with source.begin() as reader, target.begin() as writer:
            tables = MetaData()
            tables.reflect(writer)
            for table in tables.sorted_tables:
                if table.name != "alembic_version":
                    _copy(reader, writer, table)
    finally:
        source.dispose()
        target.dispose()


def _copy(reader: Connection, writer: Connection, table: Table) -> None:
    found = reader.execution_options(yield_per=CHUNK).execute(select(table))
    for rows in found.mappings().partitions(CHUNK):
        writer.execute(insert(table), [dict(row) for row in rows])
    if writer.dialect.name == "postgresql" and table.name in {"inbox", "outbox"}:
        counted = f"pg_get_serial_sequence('{table.name}', 'id')"
        writer.execute(
            text(f"SELECT setval({counted}, GREATEST(1, (SELECT max(id) FROM {table.name})))")
        )
