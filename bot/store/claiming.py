"""Taking rows of the outbox in hand: urgent first, one a room, in order within it.

"sending" is committed before the platform is called. A room that waits or is closed holds up
nobody else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import (
    BindParameter,
    Connection,
    Row,
    and_,
    bindparam,
    exists,
    func,
    or_,
    select,
    text,
    update,
)

from bot import codec
from bot.ports import Outgoing, Owed, Sent
from bot.store.dialect import insert_new
from bot.store.engine import HOLDERS, SPACE
from bot.store.instants import instant, us
from bot.store.policy import folded
from bot.store.prepared import Prepared, as_text, in_state
from bot.store.queueing import OUTBOX, ROOM, Said
from bot.store.tables import Outbox

_O = OUTBOX.c
_NETWORK: BindParameter[str] = bindparam("of_network")
_NOW: BindParameter[int] = bindparam("now_us")
_OTHER, _TARGET = OUTBOX.alias("other"), OUTBOX.alias("target")
_SENDING, _OWED = as_text("sending"), as_text("owed")

IN_HAND = exists().where(
    _OTHER.c.network == _O.network, _OTHER.c.room == _O.room, in_state(_OTHER, "sending")
)
_WAITS = exists().where(
    ROOM.c.network == _O.network,
    ROOM.c.room == _O.room,
    ROOM.c.wait_until_us > _NOW,
    ROOM.c.wait_from_us <= _NOW,  # else the clock was put back: do not wait for it
)
_MINE = and_(_O.network == _NETWORK, in_state(OUTBOX, "owed"))

_WAKE_UP = Prepared(
    update(OUTBOX)
    .where(in_state(OUTBOX, "later"), _O.network == _NETWORK)
    .where(
        or_(_O.not_before_us <= _NOW, _O.since_us > _NOW)
    )  # or put off by a clock since put back
    .values(state=_OWED)
)
_CLOSED = Prepared(
    select(ROOM.c.room).where(ROOM.c.network == _NETWORK, ROOM.c.gone_why.is_not(None))
)
_SET_ASIDE = Prepared(
    update(OUTBOX)
    .where(_MINE, _O.room == bindparam("of_room"))
    .values(state=as_text("gone"), why=as_text("the room is closed"), told=~_O.must)
)
_STALE = Prepared(
    select(OUTBOX)
    .where(_MINE, _O.good_until_us < _NOW, ~IN_HAND, ~_WAITS)
    .order_by(_O.queued_us, _O.id)  # a digest is as old as its first
)
_ROW = select(
    *(_O.id, _O.key, _O.network, _O.room, _O.priority, _O.message, _O.edit_of, _O.must),
    *(_O.not_before_us, _O.since_us, _O.queued_us, _O.attempts, _O.repeat),
)
_CLAIMABLE = Prepared(
    _ROW.where(_MINE, ~IN_HAND, ~_WAITS)
    .where(
        or_(
            _O.edit_of.is_(None),
            ~exists().where(
                _TARGET.c.key == _O.edit_of, in_state(_TARGET, "later", "owed", "sending")
            ),
        )
    )
    .where(
        or_(
            _O.priority > bindparam("after_priority"),
            and_(_O.priority == bindparam("after_priority"), _O.id > bindparam("after_id")),
        )
    )
    .order_by(_O.priority, _O.id)
    .limit(bindparam("size"))
    .offset(as_text(0))
    .with_for_update(skip_locked=True, of=OUTBOX)
)
_TAKE = Prepared(
    update(OUTBOX)
    .where(_O.id == bindparam("of_id"))
    .values(state=_SENDING, holder=bindparam("of_holder"))
)
_FOLDED = Prepared(
    update(OUTBOX).where(_O.id == bindparam("of_id")).values(state=as_text("folded"))
)
_RECEIPT = Prepared(
    select(_O.receipt).where(_O.key == bindparam("of_key"), _O.receipt.is_not(None))
)


@dataclass(frozen=True, slots=True)
class Claim:
    """One wish for work."""

    network: str
    now: datetime
    limit: int
    holder: int
    said: Said

    @property
    def known(self) -> dict[str, Any]:
        """Return what the statements ask for."""
        return {"of_network": self.network, "now_us": us(self.now)}


def claim(connection: Connection, claims: Sequence[Claim]) -> list[list[Owed]]:
    """Take rows in hand."""
    return [_claim(connection, one) for one in claims]


def _claim(connection: Connection, want: Claim) -> list[Owed]:
    if connection.dialect.name == "postgresql":
        # copies claim one after the other, or two would each take a row of the same room
        connection.execute(text(f"SELECT pg_advisory_xact_lock({SPACE}, 1)"))
        recover(connection)
    _WAKE_UP.run(connection, want.known)
    closed = _CLOSED.run(connection, want.known).scalars().all()
    _SET_ASIDE.run_all(connection, [{**want.known, "of_room": room} for room in closed])
    _fold(connection, want)
    rows = _first_per_room(connection, want)
    _TAKE.run_all(connection, [{"of_id": row.id, "of_holder": want.holder} for row in rows])
    return [
        _owed(row, want.said.message(row.message), _receipt(connection, row.edit_of))
        for row in rows
    ]


def _first_per_room(connection: Connection, want: Claim) -> list[Row[Any]]:
    """Return the first claimable row of each room, urgent rooms first.

    A page may hold many rows of one room, so pages are read until enough rooms are found.
    """
    found: dict[str, Row[Any]] = {}
    after = {"after_priority": -1, "after_id": 0}
    size = max(want.limit, 10)
    while len(found) < want.limit:
        page = _CLAIMABLE.run(connection, {**want.known, **after, "size": size}).all()
        for row in page:
            found.setdefault(row.room, row)
        if len(page) < size:
            break
        after = {"after_priority": page[-1].priority, "after_id": page[-1].id}
    return list(found.values())[: want.limit]


def _receipt(connection: Connection, key: str | None) -> Sent | None:
    """Return what a message became there, if it arrived: an edit goes to that."""
    found = _RECEIPT.run(connection, {"of_key": key}).scalar() if key is not None else None
    return Sent(found) if found is not None else None


def _owed(row: Row[Any], message: Outgoing, edit_of: Sent | None) -> Owed:
    return Owed(
        row.key,
        row.network,
        row.room,
        message,
        row.attempts,
        bool(row.repeat),
        row.priority,
        edit_of,
        bool(row.must),
        instant(_due_us(row)),
    )


def _due_us(row: Row[Any]) -> int:
    """Return when it should have gone out: when it was told to, not when our pace let it."""
    told = row.not_before_us and not row.since_us
    due_us: int = row.not_before_us if told else row.queued_us
    return due_us


# ------------------------------------------------------------------ past its use


def _fold(connection: Connection, want: Claim) -> None:
    """Make one message of what waited for a room past its use: a digest, never a burst."""
    rooms: dict[str, list[Row[Any]]] = {}
    for row in _STALE.run(connection, want.known):
        rooms.setdefault(row.room, []).append(row)
    for rows in rooms.values():
        if len(rows) > 1:
            _fold_room(connection, rows)


def _fold_room(connection: Connection, rows: list[Row[Any]]) -> None:
    first, last = rows[0], rows[-1]
    one = {name: value for name, value in first._mapping.items() if name != "id"}
    one |= {
        "key": f"fold:{first.id}-{last.id}",
        "message": codec.message_text(folded([codec.message_from(r.message) for r in rows])),
        "priority": min(row.priority for row in rows),
        "must": any(row.must for row in rows),
        "repeat": any(row.repeat for row in rows),
        "edit_of": None,
    }
    insert_new(connection, Outbox, [one])
    _FOLDED.run_all(connection, [{"of_id": row.id} for row in rows])


# ------------------------------------------------------------------ after a crash; what is next


_LIVING = text(
    "SELECT objid::bigint FROM pg_locks JOIN pg_database ON pg_database.oid = database "
    f"WHERE locktype = 'advisory' AND classid = {HOLDERS} AND objsubid = 2 AND granted "
    "AND datname = current_database()"
)
_OWE_AGAIN = (
    update(OUTBOX)
    .where(in_state(OUTBOX, "sending"), _O.holder.not_in(bindparam("living", expanding=True)))
    .values(state="owed", repeat=True, attempts=_O.attempts + 1)
)


def recover(connection: Connection) -> None:
    """Owe again what a dead process had in hand; it may have arrived.

    On PostgreSQL a copy that is alive holds an advisory lock on its number, so what the living
    have in hand is left to them. On SQLite there is one copy, and it asks only when it starts.
    """
    connection.execute(_OWE_AGAIN, {"living": living(connection)})


def living(connection: Connection) -> list[int]:
    """Return the numbers of the copies that are alive; on SQLite none needs one."""
    if connection.dialect.name != "postgresql":
        return []
    return list(connection.execute(_LIVING).scalars())


_NEXT_OWED = Prepared(
    select(func.min(func.coalesce(ROOM.c.wait_until_us, as_text(0))))
    .select_from(OUTBOX)
    .outerjoin(ROOM, and_(ROOM.c.network == _O.network, ROOM.c.room == _O.room))
    .where(_MINE, ~IN_HAND)
)
_NEXT_LATER = Prepared(
    select(func.min(_O.not_before_us)).where(_O.network == _NETWORK, in_state(OUTBOX, "later"))
)


def next_send(connection: Connection, network: str) -> datetime | None:
    """Return when the next row may be sent, or that it may be at once; None if none is owed."""
    times = [
        wanted.run(connection, {"of_network": network}).scalar()
        for wanted in (_NEXT_OWED, _NEXT_LATER)
    ]
    known = [at for at in times if at is not None]
    return instant(min(known)) if known else None
