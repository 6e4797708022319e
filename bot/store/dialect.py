"""The two inserts that SQLite and PostgreSQL both have, but SQLAlchemy only under two names.

Each statement is built once; building one takes longer than running it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from sqlalchemy import Connection, Insert, literal
from sqlalchemy.dialects import postgresql, sqlite
from sqlmodel import SQLModel

_INSERT: Mapping[str, Any] = {"sqlite": sqlite.insert, "postgresql": postgresql.insert}


@cache
def _new(dialect: str, table: type[SQLModel]) -> Insert:
    statement: Insert = _INSERT[dialect](table).on_conflict_do_nothing().inline()
    return statement


@cache
def _is_new(dialect: str, table: type[SQLModel]) -> Any:
    return _INSERT[dialect](table).on_conflict_do_nothing().returning(literal(1))


@cache
def _or_set(
    dialect: str, table: type[SQLModel], key: tuple[str, ...], names: tuple[str, ...]
) -> Insert:
    statement: Any = _INSERT[dialect](table)
    news = {name: getattr(statement.excluded, name) for name in names}
    if not news:
        return _new(dialect, table)
    made: Insert = statement.on_conflict_do_update(index_elements=list(key), set_=news).inline()
    return made


def insert_new(
    connection: Connection, table: type[SQLModel], rows: Sequence[Mapping[str, Any]]
) -> None:
    """Insert the rows whose unique keys are not there yet."""
    if rows:
        connection.execute(_new(connection.dialect.name, table), list(map(dict, rows)))


def is_new(connection: Connection, table: type[SQLModel], row: Mapping[str, Any]) -> bool:
    """Insert a row if its unique key is not there yet; return whether that was so."""
    return (
        connection.execute(_is_new(connection.dialect.name, table), dict(row)).first() is not None
    )


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
        statement = _or_set(connection.dialect.name, table, key, names)
        connection.execute(statement, list(map(dict, rows)))
