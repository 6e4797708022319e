"""Statements that run all the time: made into the driver's own text once, then only given values.

SQLAlchemy takes longer to look a statement up and to sort its values than the database takes to
run it. What decides which index serves (a state, say) must stand in the text itself, see
`in_state`: SQLite plans a statement anew whenever such a value is bound, and PostgreSQL may not
plan with it at all.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from operator import itemgetter
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    CursorResult,
    Executable,
    FromClause,
    literal_column,
)
from sqlalchemy.sql import ClauseElement

Values = Mapping[str, Any]

NOTHING: Values = {}


def in_state(table: FromClause, *states: str) -> ColumnElement[bool]:
    """Return the condition that a row is in one of these states, written out."""
    words = list(map(as_text, states))
    found: ColumnElement[bool] = table.c.state.in_(words)
    return table.c.state == words[0] if len(words) == 1 else found


def as_text(value: str | int) -> ColumnElement[Any]:
    """Return a value of ours as it stands in the text of a statement."""
    return literal_column(repr(value))


class Prepared:
    """A statement, ready to be run with one set of values or with many.

    `columns` names the values of an insert. What differs between the two databases is given as a
    function of the dialect's name.
    """

    def __init__(self, statement: Executable | Callable[[str], Executable], *columns: str) -> None:
        self._statement, self._columns = statement, list(columns) or None
        self._texts: dict[str, tuple[str, Callable[[Values], Any]]] = {}

    def run(self, connection: Connection, values: Values = NOTHING) -> CursorResult[Any]:
        """Run it once and return what it found."""
        text, ordered = self._text(connection)
        return connection.exec_driver_sql(text, ordered(values))

    def run_all(self, connection: Connection, rows: Sequence[Values]) -> None:
        """Run it for each of these; what it finds is not asked for."""
        if not rows:
            return
        text, ordered = self._text(connection)
        values = list(map(ordered, rows))
        if connection.dialect.name == "sqlite":  # its driver needs no help with this
            connection.connection.cursor().executemany(text, values)
        else:
            connection.exec_driver_sql(text, values)

    def _text(self, connection: Connection) -> tuple[str, Callable[[Values], Any]]:
        name = connection.dialect.name
        if name not in self._texts:
            self._texts[name] = self._compiled(connection)
        return self._texts[name]

    def _compiled(self, connection: Connection) -> tuple[str, Callable[[Values], Any]]:
        made = self._statement
        statement = made(connection.dialect.name) if callable(made) else made
        assert isinstance(statement, ClauseElement)
        compiled: Any = statement.compile(dialect=connection.dialect, column_keys=self._columns)
        missing = {column.key: column.default.arg for column in compiled.insert_prefetch}
        bound = {name for name, bind in compiled.binds.items() if not bind.required}
        assert bound <= missing.keys(), f"write {bound} into the text of the statement"
        return str(compiled), _ordered(compiled.positiontup, missing)


def _ordered(names: Sequence[str] | None, missing: Values) -> Callable[[Values], Any]:
    """Return what puts values in the order the driver wants; PostgreSQL's wants their names."""
    if names is None:
        return lambda values: {**missing, **values}
    if missing or len(names) < 2:
        return lambda values: tuple([{**missing, **values}[name] for name in names])
    return itemgetter(*names)
