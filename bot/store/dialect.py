"""The two inserts that SQLite and PostgreSQL both have, but SQLAlchemy only under two names."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, literal
from sqlalchemy.dialects import postgresql, sqlite
from sqlmodel import SQLModel


def _insert(connection: Connection, table: type[SQLModel]) -> Any:
    kinds = {"sqlite": sqlite.insert, "postgresql": postgresql.insert}
    return kinds[connection.dialect.name](table)


def insert_new(
    connection: Connection, table: type[SQLModel], rows: Sequence[Mapping[str, Any]]
) -> None:
    """Insert the rows whose unique keys are not there yet."""
    if rows:
        connection.execute(
            _insert(connection, table).on_conflict_do_nothing().inline(), list(map(dict, rows))
        )


def is_new(connection: Connection, table: type[SQLModel], row: Mapping[str, Any]) -> bool:
    """Insert a row if its unique key is not there yet; return whether that was so."""
    statement = _insert(connection, table).values(dict(row)).on_conflict_do_nothing()
    return connection.execute(statement.returning(literal(1))).first() is not None


def insert_or_set(
    connection: Connection,
    table: type[SQLModel],
    key: Mapping[str, Any],
    values: Mapping[str, Any],
) -> None:
    """Insert a row, or set these values in the row with that key."""
    statement = _insert(connection, table).values({**key, **values})
    connection.execute(statement.on_conflict_do_update(index_elements=list(key), set_=dict(values)))


def insert_or_set_all(
    connection: Connection,
    table: type[SQLModel],
    key: str,
    column: str,
    rows: Sequence[Mapping[str, Any]],
) -> None:
    """Insert rows, or set this column where the key is there already."""
    if rows:
        statement = _insert(connection, table)
        connection.execute(
            statement.on_conflict_do_update(
                index_elements=[key], set_={column: getattr(statement.excluded, column)}
            ).inline(),
            list(map(dict, rows)),
        )
