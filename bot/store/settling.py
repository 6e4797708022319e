"""How sends went, and what follows for the row and for its room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, bindparam, null, select, update
from sqlmodel import col

from bot import codec
from bot.ports import NewSend, Outgoing, Receipt, Sent, Trouble
from bot.store.dialect import insert_new, insert_or_set
from bot.store.engine import tell
from bot.store.instants import us
from bot.store.people import ERASED
from bot.store.policy import Fate, Try, fate, plain_parts
from bot.store.prepared import Prepared, as_text, in_state
from bot.store.queueing import OUTBOX, queued
from bot.store.tables import Address, Outbox, Room


@dataclass(frozen=True, slots=True)
class Settlement:
    """How one send went."""

    key: str
    receipt: Receipt
    now: datetime


def settle(connection: Connection, settlements: Sequence[Settlement]) -> list[None]:
    """Record how sends went and what follows."""
    sent = [s for s in settlements if isinstance(s.receipt, Sent)]
    if sent:
        _record_sent(connection, sent)
    for other in settlements:
        if not isinstance(other.receipt, Sent):
            _follow(connection, other)
    return [None] * len(settlements)


_SENT = Prepared(
    update(Outbox)
    .where(col(Outbox.key) == bindparam("of"), in_state(OUTBOX, "sending"))
    .values(
        state=as_text("sent"),
        receipt=bindparam("id_there"),
        sent_us=bindparam("now_us"),
        attempts=col(Outbox.attempts) + as_text(1),
        why=null(),
    )
)
_ANY_BACKOFF = Prepared(
    select(col(Room.network)).where(col(Room.backoff)).limit(as_text(1)).offset(as_text(0))
)


def _record_sent(connection: Connection, sent: Sequence[Settlement]) -> None:
    arrived = [
        {"of": s.key, "id_there": s.receipt.id, "now_us": us(s.now)}
        for s in sent
        if isinstance(s.receipt, Sent)
    ]
    _SENT.run_all(connection, arrived)
    _network_is_back(connection, [s.key for s in sent])


def _network_is_back(connection: Connection, keys: Sequence[str]) -> None:
    """Let rooms that only waited for their network go on: something just got through."""
    if _ANY_BACKOFF.run(connection).first():
        networks = select(col(Outbox.network)).where(col(Outbox.key).in_(keys))
        connection.execute(
            update(Room)
            .where(col(Room.backoff), col(Room.network).in_(networks))
            .values(wait_until_us=0, backoff=False)
        )


_IN_HAND = Prepared(
    select(OUTBOX).where(OUTBOX.c.key == bindparam("of"), in_state(OUTBOX, "sending"))
)
_BECOMES = Prepared(
    update(OUTBOX)
    .where(OUTBOX.c.id == bindparam("of_id"))
    .values({name: bindparam(f"{name}_new") for name in ("state", "repeat", "why", "attempts")})
)


def _follow(connection: Connection, settlement: Settlement) -> None:
    row = _IN_HAND.run(connection, {"of": settlement.key}).first()
    if row is None:
        return
    made = Try(row.attempts, bool(row.repeat), bool(row.must), bool(row.plain), bool(row.edit_of))
    then = fate(made, settlement.receipt)
    new = {"state_new": then.state, "repeat_new": then.repeat, "why_new": then.why}
    _BECOMES.run(connection, {"of_id": row.id, "attempts_new": row.attempts + then.counts, **new})
    _follow_in_room(connection, row, then, settlement.now)
    if then.state == "split":
        _queue_parts(connection, row, settlement.now)


def _follow_in_room(connection: Connection, row: Row[Any], then: Fate, now: datetime) -> None:
    room = {"network": row.network, "room": row.room}
    if then.wait_s:
        until = us(now) + round(then.wait_s * 1e6)
        waits = {"wait_from_us": us(now), "wait_until_us": until, "backoff": then.backoff}
        insert_or_set(connection, Room, room, waits)
    if then.closes:
        insert_or_set(connection, Room, room, {"gone_why": then.why or "closed"})
    if then.moves_to is not None:
        _move(connection, row.network, row.room, then.moves_to)


def _move(connection: Connection, network: str, old: str, new: str) -> None:
    """Give a room its new id everywhere, in this one transaction."""
    insert_or_set(connection, Room, {"network": network, "room": old}, {"moved_to": new})
    cook = connection.execute(
        select(col(Room.cook)).where(col(Room.network) == network, col(Room.room) == old)
    ).scalar()
    if cook is not None:  # else the new room was opened when the platform told of the move
        insert_or_set(connection, Room, {"network": network, "room": new}, {"cook": cook})
    connection.execute(
        update(Outbox)
        .where(col(Outbox.network) == network, col(Outbox.room) == old)
        .where(col(Outbox.state).in_(["owed", "later", "sending"]))
        .values(room=new)
    )
    connection.execute(
        update(Address)
        .where(col(Address.network) == network, col(Address.room) == old)
        .values(room=new)
    )
    tell(connection, "people:")


def _queue_parts(connection: Connection, row: Row[Any], now: datetime) -> None:
    parts = plain_parts(codec.message_from(row.message))
    rows = [
        queued(
            NewSend(f"{row.key}/{n}", row.network, row.room, part, row.priority, must=row.must), now
        )
        for n, part in enumerate(parts, 1)
    ]
    insert_new(connection, Outbox, [{**made, "plain": True} for made in rows])


@dataclass(frozen=True, slots=True)
class Deferral:
    """A row that our own pace puts back."""

    key: str
    until: datetime
    now: datetime


_PUT_BACK = Prepared(
    update(OUTBOX)
    .where(OUTBOX.c.key == bindparam("of"), in_state(OUTBOX, "sending"))
    .values(
        state=as_text("later"),
        not_before_us=bindparam("until_us"),
        since_us=bindparam("now_us"),
    )
)


def defer(connection: Connection, deferrals: Sequence[Deferral]) -> list[None]:
    """Put claimed rows back until later."""
    put_back = [{"of": d.key, "until_us": us(d.until), "now_us": us(d.now)} for d in deferrals]
    _PUT_BACK.run_all(connection, put_back)
    return [None] * len(deferrals)


_UNTOLD = Prepared(
    select(OUTBOX).where(in_state(OUTBOX, "refused", "gone"), ~OUTBOX.c.told).order_by(OUTBOX.c.id)
)


def troubles(connection: Connection) -> list[Trouble]:
    """Return what was given up and nobody was told of."""
    return [
        Trouble(
            row.key,
            row.network,
            row.room,
            codec.message_from(row.message),
            row.why or "",
            closed=row.state == "gone",
            unsure=row.state == "refused" and bool(row.repeat),
        )
        for row in _UNTOLD.run(connection)
    ]


def told(connection: Connection, keys: Sequence[str]) -> list[None]:
    """Record that somebody was told."""
    connection.execute(update(Outbox).where(col(Outbox.key).in_(keys)).values(told=True))
    return [None] * len(keys)


_KNOWN_THERE = Prepared(
    select(col(Outbox.message))
    .where(col(Outbox.network) == bindparam("of"), col(Outbox.receipt) == bindparam("id_there"))
    .order_by(col(Outbox.id).desc())  # of an edited message the newest edition
    .limit(as_text(1))
    .offset(as_text(0))
)


def sent_message(connection: Connection, network: str, receipt: str) -> Outgoing | None:
    """Return the message we sent that the platform knows by this id; None if none, or erased."""
    found = _KNOWN_THERE.run(connection, {"of": network, "id_there": receipt}).scalar()
    return None if found in {None, ERASED} else codec.message_from(found)
