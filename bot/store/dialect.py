"""The two inserts that SQLite and PostgreSQL both have, but SQLAlchemy only under two names."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from sqlalchemy import Connection, Insert
from sqlalchemy.dialects import postgresql, sqlite
from sqlmodel import SQLModel

from bot.store.prepared import Prepared, as_text

_INSERT: Mapping[str, Any] = {"sqlite": sqlite.insert, "postgresql": postgresql.insert}


_AS_SQL = as_text(1)


@cache
def _new(table: type[SQLModel], columns: tuple[str, ...]) -> Prepared:
    return Prepared(lambda dialect: _INSERT[dialect](table).on_conflict_do_nothing(), *columns)


@cache
def _is_new(table: type[SQLModel], columns: tuple[str, ...]) -> Prepared:
    return Prepared(
        lambda dialect: _INSERT[dialect](table).on_conflict_do_nothing().returning(_AS_SQL),
        *columns,
    )


@cache
def _or_set(table: type[SQLModel], key: tuple[str, ...], names: tuple[str, ...]) -> Prepared:
    def made(dialect: str) -> Insert:
        statement: Any = _INSERT[dialect](table)
        news = {name: getattr(statement.excluded, name) for name in names}
        to_set: Insert = statement.on_conflict_do_update(index_elements=list(key), set_=news)
        return to_set

    return Prepared(made, *key, *names) if names else _new(table, key)


def insert_new(
    connection: Connection, table: type[SQLModel], rows: Sequence[Mapping[str, Any]]
) -> None:
    """Insert the rows whose unique keys are not there yet; all have the same columns."""
    if rows:
        _new(table, tuple(rows[0])).run_all(connection, rows)


def is_new(connection: Connection, table: type[SQLModel], row: Mapping[str, Any]) -> bool:
    """Insert a row if its unique key is not there yet; return whether that was so."""
    return _is_new(table, tuple(row)).run(connection, row).first() is not None


def insert_or_set(
    connection: Connection,
    table: type[SQLModel],
    key: Mapping[str, Any],
    values: Mapping[str, Any],
) -> None:
    """Insert a row, or set these values in the row with that key."""
    insert_or_set_all(connection, table, tuple(key), [{**key, **values}])


def insert_or_set_all(
    connection: Connection,
    table: type[SQLModel],
    key: tuple[str, ...],
    rows: Sequence[Mapping[str, Any]],
) -> None:
    """Insert rows of the same columns, or set the others where the key is there already."""
    if rows:
        names = tuple(name for name in rows[0] if name not in key)
        _or_set(table, key, names).run_all(connection, rows)
