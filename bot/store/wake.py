"""When each stream next has a call due: a cache over facts, so that a start need not read all.

It errs towards looking: a stream whose facts came without a wake counts as due since for ever.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from sqlalchemy import Connection, bindparam, delete, func, select
from sqlmodel import col

from bot.ports import Wake
from bot.store.dialect import insert_or_set_all
from bot.store.instants import EPOCH, instant, us
from bot.store.prepared import Prepared
from bot.store.tables import Wake as Row

UNKNOWN = Wake(EPOCH)
MOST_REMEMBERED = 10_000

_OVER = Prepared(delete(Row).where(col(Row.stream) == bindparam("of")))
_DUE = Prepared(
    select(col(Row.stream))
    .where(col(Row.at_us) <= bindparam("until_us"))
    .order_by(col(Row.at_us), col(Row.stream))
)
_FOLLOWING = Prepared(select(func.min(col(Row.at_us))))


class Wakes:
    """Stores when streams have something due; what is stored already is not written again."""

    def __init__(self) -> None:
        self._known: dict[str, Wake] = {}

    def forget(self) -> None:
        """Forget everything: a transaction was rolled back."""
        self._known.clear()

    def put(self, connection: Connection, wakes: Mapping[str, Wake]) -> None:
        """Store when these streams have something due."""
        if connection.dialect.name == "sqlite":  # of which we are the one copy
            new = {s: w for s, w in wakes.items() if self._known.get(s) != w}
            self._remember(new)
        else:
            new = dict(wakes)
        due = [{"stream": s, "at_us": us(w.at)} for s, w in new.items() if w.at is not None]
        insert_or_set_all(connection, Row, ("stream",), due)
        _OVER.run_all(connection, [{"of": s} for s, wake in new.items() if wake.at is None])

    def put_each(self, connection: Connection, wakes: Sequence[tuple[str, Wake]]) -> list[None]:
        """Store several corrections."""
        self.put(connection, dict(wakes))
        return [None] * len(wakes)

    def _remember(self, new: Mapping[str, Wake]) -> None:
        if len(self._known) >= MOST_REMEMBERED:
            self._known.clear()
        self._known |= new


def due(connection: Connection, until: datetime) -> list[str]:
    """Return the streams that may have something due by then, the earliest first."""
    return list(_DUE.run(connection, {"until_us": us(until)}).scalars())


def following(connection: Connection) -> datetime | None:
    """Return when the first stream has something due."""
    at_us = _FOLLOWING.run(connection).scalar()
    return None if at_us is None else instant(at_us)
