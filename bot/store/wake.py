"""When each stream next has a call due: a cache over facts, so that a start need not read all.

It errs towards looking: a stream whose facts came without a wake counts as due since for ever.

On PostgreSQL several copies ring: each takes some streams in hand, skipping what another one is
just taking. What it has taken is its own until it has written when the stream wakes next, or for
a few seconds if it dies. Should a lease run out too early, two copies ring the same stream and
the second one's facts are refused: a lease spares work, the sequence number keeps the truth.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection, Select, and_, bindparam, delete, func, or_, select, update
from sqlmodel import col

from bot.ports import Due, Wake
from bot.store.dialect import insert_or_set_all
from bot.store.engine import tell
from bot.store.instants import EPOCH, instant, us
from bot.store.prepared import Prepared, as_text
from bot.store.tables import Wake as Row

UNKNOWN = Wake(EPOCH)
MOST_REMEMBERED = 10_000

LEASE = timedelta(seconds=3)
"""How long a dead copy's streams wait for another one; a page of them takes far less to ring."""

_OVER = Prepared(delete(Row).where(col(Row.stream) == bindparam("of")))
_DUE = Prepared(
    select(col(Row.stream))
    .where(col(Row.at_us) <= bindparam("until_us"))
    .order_by(col(Row.at_us), col(Row.stream))
)
_FOLLOWING = Prepared(select(func.min(col(Row.at_us))))
_FREE_FOLLOWING = Prepared(
    select(func.min(col(Row.at_us))).where(col(Row.leased_until_us) == as_text(0))
)
_LEASED_FOLLOWING = Prepared(
    select(func.min(func.greatest(col(Row.at_us), col(Row.leased_until_us)))).where(
        col(Row.leased_until_us) > as_text(0)
    )
)


def _page() -> Select[str, int]:
    """Return what finds the streams due by `until_us` behind one of them, the earliest first."""
    after = or_(
        col(Row.at_us) > bindparam("after_us"),
        and_(col(Row.at_us) == bindparam("after_us"), col(Row.stream) > bindparam("after_stream")),
    )
    return (
        select(col(Row.stream), col(Row.at_us))
        .where(col(Row.at_us) <= bindparam("until_us"), after)
        .order_by(col(Row.at_us), col(Row.stream))
        .limit(bindparam("most"))
        .offset(as_text(0))
    )


_PAGE = Prepared(_page())
_UNTAKEN = (
    _page()
    .where(col(Row.leased_until_us) <= bindparam("until_us"))
    .with_for_update(skip_locked=True)
    .cte("untaken")
)
_TAKE = Prepared(
    update(Row)
    .where(col(Row.stream) == _UNTAKEN.c.stream)
    .values(leased_until_us=bindparam("lease_us"))
    .returning(col(Row.stream), col(Row.at_us))
)


@dataclass(frozen=True, slots=True)
class Look:
    """One wish for streams to ring: so many that are due by now, behind one that was given."""

    now: datetime
    most: int
    after: Due | None = None

    @property
    def known(self) -> dict[str, int | str]:
        """Return what the statements ask for."""
        after = self.after or Due("", EPOCH - timedelta(microseconds=1))
        return {
            "until_us": us(self.now),
            "after_us": us(after.at),
            "after_stream": after.stream,
            "most": self.most,
        }


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
        due = {s: us(w.at) for s, w in new.items() if w.at is not None}
        rows = [{"stream": s, "at_us": at, "leased_until_us": 0} for s, at in due.items()]
        insert_or_set_all(connection, Row, ("stream",), rows)
        if due:
            tell(connection, f"wake:{min(due.values())}")
        _OVER.run_all(connection, [{"of": s} for s, wake in new.items() if wake.at is None])

    def put_each(self, connection: Connection, wakes: Sequence[tuple[str, Wake]]) -> list[None]:
        """Store several corrections."""
        self.put(connection, dict(wakes))
        return [None] * len(wakes)

    def _remember(self, new: Mapping[str, Wake]) -> None:
        if len(self._known) >= MOST_REMEMBERED:
            self._known.clear()
        self._known |= new


def let_go(connection: Connection) -> None:
    """End every lease: nobody else is alive to hold one."""
    connection.execute(update(Row).where(col(Row.leased_until_us) > 0).values(leased_until_us=0))


def due(connection: Connection, until: datetime) -> list[str]:
    """Return the streams that may have something due by then, the earliest first."""
    return list(_DUE.run(connection, {"until_us": us(until)}).scalars())


def page(connection: Connection, look: Look) -> list[Due]:
    """Return streams that are due, where there is one copy of us."""
    return [Due(row.stream, instant(row.at_us)) for row in _PAGE.run(connection, look.known)]


def take(connection: Connection, looks: Sequence[Look]) -> list[list[Due]]:
    """Take streams that are due in hand, skipping those that another copy has."""
    return [_taken(connection, look) for look in looks]


def _taken(connection: Connection, look: Look) -> list[Due]:
    rows = _TAKE.run(connection, {**look.known, "lease_us": us(look.now + LEASE)})
    taken = [Due(row.stream, instant(row.at_us)) for row in rows]
    return sorted(taken, key=lambda due: (due.at, due.stream))


def following(connection: Connection) -> datetime | None:
    """Return when the first stream has something due that nobody has in hand."""
    if connection.dialect.name == "sqlite":
        found = [_FOLLOWING.run(connection).scalar()]
    else:
        found = [ask.run(connection).scalar() for ask in (_FREE_FOLLOWING, _LEASED_FOLLOWING)]
    return min((instant(at_us) for at_us in found if at_us is not None), default=None)
