"""What platforms gave us: heard once, handled once, set aside after the third failure."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, fields, replace
from datetime import datetime
from typing import Any, TypeVar

from sqlalchemy import Connection, bindparam, null, select, update
from sqlmodel import col

from bot import codec
from bot.ports import Attached, Heard, Incoming
from bot.store.dialect import insert_or_set, is_new
from bot.store.instants import us
from bot.store.prepared import Prepared, as_text, in_state
from bot.store.tables import METADATA, Cursor, Inbox, Room

MOST_ATTEMPTS = 3

INBOX = METADATA.tables["inbox"]


@dataclass(frozen=True, slots=True)
class Hearing:
    """What one reading of a platform gave."""

    messages: Sequence[Incoming]
    cursor: tuple[str, str] | None
    at: datetime


def clean(message: Incoming) -> Incoming:
    """Return a message whose text a database can hold: no NUL, no half characters."""
    attached = tuple(_storable(file) for file in message.attached)
    return replace(_storable(message), attached=attached)


T = TypeVar("T", Incoming, Attached)


def _storable(value: T) -> T:
    texts: dict[str, Any] = {
        name: held.encode("utf-8", "replace").decode().replace("\0", "\ufffd")
        for name in (f.name for f in fields(value))
        if type(held := getattr(value, name)) is str
    }
    return replace(value, **texts)


_REOPEN = Prepared(
    update(Room)
    .where(col(Room.network) == bindparam("of_network"), col(Room.room) == bindparam("of_room"))
    .where(col(Room.gone_why).is_not(None))
    .values(gone_why=null())
)
_UNHANDLED = Prepared(
    select(Inbox)
    .where(in_state(INBOX, "new"), col(Inbox.body).is_not(None))
    .order_by(col(Inbox.id))
    .limit(bindparam("most"))
    .offset(as_text(0))
)
_STILL_OPEN = Prepared(
    select(col(Inbox.id))
    .where(col(Inbox.id) == bindparam("of_id"), in_state(INBOX, "new"))
    .with_for_update()
)
_DONE = Prepared(
    update(Inbox).where(col(Inbox.id) == bindparam("of_id")).values(state=as_text("done"))
)


def hear(connection: Connection, hearings: Sequence[Hearing]) -> list[int]:
    """Store what was heard and how far it was read; a room that speaks is open again."""
    return [_hear(connection, hearing) for hearing in hearings]


def _hear(connection: Connection, hearing: Hearing) -> int:
    new = 0
    for message in map(clean, hearing.messages):
        row = {
            "network": message.network,
            "ext_id": message.ext_id,
            "room": message.room,
            "who": message.who,
            "body": codec.heard_text(message),
            "heard_us": us(hearing.at),
        }
        new += is_new(connection, Inbox, row)
    for network, room in {(m.network, m.room) for m in hearing.messages}:
        _REOPEN.run(connection, {"of_network": network, "of_room": room})
    if hearing.cursor:
        network, token = hearing.cursor
        insert_or_set(connection, Cursor, {"network": network}, {"token": token})
    return new


_UNHANDLED_ON = Prepared(
    select(Inbox)
    .where(in_state(INBOX, "new"), col(Inbox.body).is_not(None))
    .where(col(Inbox.network) == bindparam("of_network"))
    .order_by(col(Inbox.id))
    .limit(bindparam("most"))
    .offset(as_text(0))
)


def unhandled(
    connection: Connection, limit: int, networks: Collection[str] | None = None
) -> list[Heard]:
    """Return what is not done, oldest first; of these networks, or of all."""
    if networks is None:
        rows = list(_UNHANDLED.run(connection, {"most": limit}))
    else:
        each = [{"most": limit, "of_network": network} for network in sorted(networks)]
        found = [row for one in each for row in _UNHANDLED_ON.run(connection, one)]
        rows = sorted(found, key=lambda row: row.id)[:limit]
    return [Heard(row.id, codec.heard_from(row.body), row.attempts) for row in rows]


def cursor(connection: Connection, network: str) -> str | None:
    """Return how far a platform was read."""
    found = connection.execute(select(col(Cursor.token)).where(col(Cursor.network) == network))
    return found.scalar()


def still_open(connection: Connection, ids: Collection[int]) -> set[int]:
    """Return which of these rows are not done, and keep other copies off them."""
    return {n for n in sorted(ids) if _STILL_OPEN.run(connection, {"of_id": n}).first()}


def close(connection: Connection, ids: Collection[int]) -> None:
    """Mark rows done."""
    _DONE.run_all(connection, [{"of_id": n} for n in ids])


def failed(connection: Connection, inbox_id: int, why: str) -> None:
    """Count a failure; after the third the row is set aside."""
    row = connection.execute(
        update(Inbox)
        .where(col(Inbox.id) == inbox_id, col(Inbox.state) == "new")
        .values(attempts=col(Inbox.attempts) + 1, why=why)
        .returning(col(Inbox.attempts))
    ).first()
    if row and row.attempts >= MOST_ATTEMPTS:
        connection.execute(update(Inbox).where(col(Inbox.id) == inbox_id).values(state="aside"))
