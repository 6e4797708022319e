"""The outbox: what is owed, what is in hand, and how it went.

"sending" is committed before the platform is called. Whoever is killed in between leaves a row
that is owed again, marked as one that may have arrived. One row per room is in hand at a time, so
that order holds within a room; a room that waits or is closed holds up nobody else.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import (
    Connection,
    Row,
    and_,
    bindparam,
    case,
    exists,
    func,
    or_,
    select,
    text,
    tuple_,
    update,
)
from sqlalchemy.orm import aliased
from sqlmodel import col

from bot import codec
from bot.ports import NewSend, Owed, Receipt, Sent, Trouble
from bot.store.dialect import insert_new, insert_or_set
from bot.store.engine import HOLDERS, SPACE
from bot.store.instants import instant, us
from bot.store.policy import Fate, Try, fate, folded, plain_parts
from bot.store.tables import Address, Outbox, Room

# ------------------------------------------------------------------ queueing


def queued(send: NewSend, now: datetime) -> dict[str, Any]:
    """Return the row of a new send; made before it is queued, off the writing thread."""
    later = send.not_before is not None and send.not_before > now
    return {
        "key": send.key,
        "network": send.network,
        "room": send.room,
        "priority": send.priority,
        "message": codec.message_text(send.message),
        "edit_of": send.edit_of,
        "must": send.must,
        "state": "later" if later else "owed",
        "not_before_us": us(send.not_before) if send.not_before else 0,
        "good_until_us": us(send.good_until) if send.good_until else None,
        "queued_us": us(now),
    }


def queue(connection: Connection, rows: list[dict[str, Any]]) -> None:
    """Insert what is to be sent; a key that exists is skipped, only the newest edit survives."""
    if not rows:
        return
    moved = _moves(connection, {row["network"] for row in rows})
    for row in rows:
        row["room"] = moved.get((row["network"], row["room"]), row["room"])
    insert_new(connection, Outbox, rows)
    for row in rows:
        if row["edit_of"] is not None:
            _supersede(connection, row["key"], row["edit_of"])


def _supersede(connection: Connection, key: str, edit_of: str) -> None:
    newest = select(col(Outbox.id)).where(col(Outbox.key) == key).scalar_subquery()
    connection.execute(
        update(Outbox)
        .where(col(Outbox.edit_of) == edit_of, col(Outbox.state).in_(["owed", "later"]))
        .where(col(Outbox.id) < newest)
        .values(state="superseded")
    )


def _moves(connection: Connection, networks: set[str]) -> dict[tuple[str, str], str]:
    moved = select(col(Room.network), col(Room.room), col(Room.moved_to)).where(
        col(Room.network).in_(networks), col(Room.moved_to).is_not(None)
    )
    return {(row.network, row.room): row.moved_to for row in connection.execute(moved)}


# ------------------------------------------------------------------ claiming


@dataclass(frozen=True, slots=True)
class Claim:
    """One wish for work."""

    network: str
    now: datetime
    limit: int
    holder: int


def claim(connection: Connection, claims: Sequence[Claim]) -> list[list[Owed]]:
    """Take rows in hand: urgent first, one per room."""
    return [_claim(connection, one) for one in claims]


def _claim(connection: Connection, want: Claim) -> list[Owed]:
    if connection.dialect.name == "postgresql":
        # copies claim one after the other, or two would each take a row of the same room
        connection.execute(text(f"SELECT pg_advisory_xact_lock({SPACE}, 1)"))
        recover(connection)
    _wake_up(connection, want)
    _set_aside_for_closed_rooms(connection, want.network)
    _fold(connection, want)
    rows = _first_per_room(connection, want)
    if rows:
        connection.execute(
            update(Outbox)
            .where(col(Outbox.id).in_([row.id for row in rows]))
            .values(state="sending", holder=want.holder)
        )
    targets = _receipts(connection, {row.edit_of for row in rows if row.edit_of})
    return [_owed(row, targets.get(row.edit_of)) for row in rows]


def _wake_up(connection: Connection, want: Claim) -> None:
    connection.execute(
        update(Outbox)
        .where(col(Outbox.state) == "later", col(Outbox.network) == want.network)
        .where(
            or_(
                col(Outbox.not_before_us) <= us(want.now),
                col(Outbox.since_us) > us(want.now),  # put off by a clock that was put back since
            )
        )
        .values(state="owed")
    )


def _set_aside_for_closed_rooms(connection: Connection, network: str) -> None:
    closed = select(col(Room.room)).where(
        col(Room.network) == network, col(Room.gone_why).is_not(None)
    )
    rooms = list(connection.execute(closed).scalars())
    if rooms:
        connection.execute(
            update(Outbox)
            .where(col(Outbox.network) == network, col(Outbox.room).in_(rooms))
            .where(col(Outbox.state) == "owed")
            .values(state="gone", why="the room is closed", told=~col(Outbox.must))
        )


def _fold(connection: Connection, want: Claim) -> None:
    """Make one message of what waited for a room past its use: a digest, never a burst."""
    stale = (
        select(Outbox)
        .where(col(Outbox.network) == want.network, col(Outbox.state) == "owed")
        .where(col(Outbox.good_until_us) < us(want.now))
        .where(~_in_hand(), ~_waiting(us(want.now)))
        .order_by(col(Outbox.queued_us), col(Outbox.id))  # a digest is as old as its first
    )
    rooms: dict[str, list[Row[Any]]] = {}
    for row in connection.execute(stale):
        rooms.setdefault(row.room, []).append(row)
    for rows in rooms.values():
        if len(rows) > 1:
            _fold_room(connection, rows)


def _fold_room(connection: Connection, rows: list[Row[Any]]) -> None:
    first, last = rows[0], rows[-1]
    one = {name: getattr(first, name) for name in Outbox.model_fields if name != "id"}
    message = folded([codec.message_from(row.message) for row in rows])
    one |= {
        "key": f"fold:{first.id}-{last.id}",
        "message": codec.message_text(message),
        "priority": min(row.priority for row in rows),
        "must": any(row.must for row in rows),
        "repeat": any(row.repeat for row in rows),
        "edit_of": None,
    }
    insert_new(connection, Outbox, [one])
    connection.execute(
        update(Outbox).where(col(Outbox.id).in_([row.id for row in rows])).values(state="folded")
    )


def _first_per_room(connection: Connection, want: Claim) -> list[Row[Any]]:
    """Return the first claimable row of each room, urgent rooms first.

    A page may hold many rows of one room, so pages are read until enough rooms are found.
    """
    found: dict[str, Row[Any]] = {}
    after: tuple[int, int] | None = None
    size = max(2 * want.limit, 50)
    while len(found) < want.limit:
        page = list(connection.execute(_claimable(want, after, size)))
        for row in page:
            found.setdefault(row.room, row)
        if len(page) < size:
            break
        after = (page[-1].priority, page[-1].id)
    return list(found.values())[: want.limit]


def _claimable(want: Claim, after: tuple[int, int] | None, size: int) -> Any:
    target = aliased(Outbox)
    wanted = (
        select(Outbox)
        .where(col(Outbox.network) == want.network, col(Outbox.state) == "owed")
        .where(~_in_hand(), ~_waiting(us(want.now)))
        .where(
            or_(
                col(Outbox.edit_of).is_(None),
                ~exists().where(
                    col(target.key) == col(Outbox.edit_of),
                    col(target.state).in_(["later", "owed", "sending"]),
                ),
            )
        )
        .order_by(col(Outbox.priority), col(Outbox.id))
        .limit(size)
        .with_for_update(skip_locked=True, of=Outbox)
    )
    if after:
        wanted = wanted.where(tuple_(col(Outbox.priority), col(Outbox.id)) > tuple_(*after))
    return wanted


def _in_hand() -> Any:
    other = aliased(Outbox)
    return exists().where(
        col(other.network) == col(Outbox.network),
        col(other.room) == col(Outbox.room),
        col(other.state) == "sending",
    )


def _waiting(now_us: int) -> Any:
    return exists().where(
        col(Room.network) == col(Outbox.network),
        col(Room.room) == col(Outbox.room),
        col(Room.wait_until_us) > now_us,
        col(Room.wait_from_us) <= now_us,  # else the clock was put back: do not wait for it
    )


def _receipts(connection: Connection, keys: Iterable[str]) -> dict[str, Sent]:
    known = list(keys)
    if not known:
        return {}
    wanted = select(col(Outbox.key), col(Outbox.receipt)).where(
        col(Outbox.key).in_(known), col(Outbox.receipt).is_not(None)
    )
    return {row.key: Sent(row.receipt) for row in connection.execute(wanted)}


def _owed(row: Row[Any], edit_of: Sent | None) -> Owed:
    return Owed(
        row.key,
        row.network,
        row.room,
        codec.message_from(row.message),
        row.attempts,
        row.repeat,
        row.priority,
        edit_of,
        row.must,
        instant(max(row.queued_us, row.not_before_us if not row.since_us else 0)),
    )


# ------------------------------------------------------------------ settling


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


def _record_sent(connection: Connection, sent: Sequence[Settlement]) -> None:
    connection.execute(
        update(Outbox)
        .where(col(Outbox.key) == bindparam("of"), col(Outbox.state) == "sending")
        .values(
            state="sent",
            receipt=bindparam("id_there"),
            sent_us=bindparam("now_us"),
            attempts=col(Outbox.attempts) + 1,
            why=None,
        ),
        [
            {"of": s.key, "id_there": s.receipt.id, "now_us": us(s.now)}
            for s in sent
            if isinstance(s.receipt, Sent)
        ],
    )
    _network_is_back(connection, [s.key for s in sent])


def _network_is_back(connection: Connection, keys: Sequence[str]) -> None:
    """Let rooms that only waited for their network go on: something just got through."""
    any_waits = connection.execute(select(col(Room.network)).where(col(Room.backoff)).limit(1))
    if any_waits.first():
        networks = select(col(Outbox.network)).where(col(Outbox.key).in_(keys))
        connection.execute(
            update(Room)
            .where(col(Room.backoff), col(Room.network).in_(networks))
            .values(wait_until_us=0, backoff=False)
        )


def _follow(connection: Connection, settlement: Settlement) -> None:
    row = connection.execute(
        select(Outbox).where(col(Outbox.key) == settlement.key, col(Outbox.state) == "sending")
    ).first()
    if row is None:
        return
    made = Try(row.attempts, row.repeat, row.must, row.plain, row.edit_of is not None)
    then = fate(made, settlement.receipt)
    connection.execute(
        update(Outbox)
        .where(col(Outbox.id) == row.id)
        .values(
            state=then.state,
            repeat=then.repeat,
            why=then.why,
            attempts=row.attempts + then.counts,
        )
    )
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


def defer(connection: Connection, deferrals: Sequence[Deferral]) -> list[None]:
    """Put claimed rows back until later."""
    connection.execute(
        update(Outbox)
        .where(col(Outbox.key) == bindparam("of"), col(Outbox.state) == "sending")
        .values(state="later", not_before_us=bindparam("until_us"), since_us=bindparam("now_us")),
        [{"of": d.key, "until_us": us(d.until), "now_us": us(d.now)} for d in deferrals],
    )
    return [None] * len(deferrals)


# ------------------------------------------------------------------ after a crash; what is next


def recover(connection: Connection) -> int:
    """Owe again what a dead process had in hand; it may have arrived.

    On PostgreSQL a copy that is alive holds an advisory lock on its number, so what the living
    have in hand is left to them.
    """
    lost = col(Outbox.state) == "sending"
    if connection.dialect.name == "postgresql":
        holders = text(
            "SELECT objid::bigint FROM pg_locks JOIN pg_database ON pg_database.oid = database "
            f"WHERE locktype = 'advisory' AND classid = {HOLDERS} AND objsubid = 2 AND granted "
            "AND datname = current_database()"
        )
        living = list(connection.execute(holders).scalars())
        lost = and_(lost, col(Outbox.holder).not_in(living))
    return connection.execute(
        update(Outbox)
        .where(lost)
        .values(state="owed", repeat=True, attempts=col(Outbox.attempts) + 1)
    ).rowcount


def next_send(connection: Connection, network: str) -> datetime | None:
    """Return when the next row may be sent, or that it may be at once; None if none is owed."""
    waits = case((col(Room.wait_until_us).is_(None), 0), else_=col(Room.wait_until_us))
    owed = (
        select(func.min(waits))
        .select_from(Outbox)
        .outerjoin(
            Room,
            and_(col(Room.network) == col(Outbox.network), col(Room.room) == col(Outbox.room)),
        )
        .where(col(Outbox.network) == network, col(Outbox.state) == "owed", ~_in_hand())
    )
    later = select(func.min(col(Outbox.not_before_us))).where(
        col(Outbox.network) == network, col(Outbox.state) == "later"
    )
    times = [connection.execute(q).scalar() for q in (owed, later)]
    known = [t for t in times if t is not None]
    return instant(min(known)) if known else None


def troubles(connection: Connection) -> list[Trouble]:
    """Return what was given up and nobody was told of."""
    wanted = (
        select(Outbox)
        .where(col(Outbox.state).in_(["refused", "gone"]), ~col(Outbox.told))
        .order_by(col(Outbox.id))
    )
    return [
        Trouble(row.key, row.network, row.room, codec.message_from(row.message), row.why or "")
        for row in connection.execute(wanted)
    ]


def told(connection: Connection, keys: Sequence[str]) -> list[None]:
    """Record that somebody was told."""
    connection.execute(update(Outbox).where(col(Outbox.key).in_(keys)).values(told=True))
    return [None] * len(keys)
