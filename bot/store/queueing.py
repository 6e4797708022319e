"""What is to be sent goes into the outbox, in the commit of the facts it follows from."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Connection, bindparam, select, update

from bot import codec
from bot.ports import NewSend, Outgoing
from bot.store.dialect import insert_new
from bot.store.engine import tell
from bot.store.instants import us
from bot.store.prepared import Prepared, as_text, in_state
from bot.store.tables import METADATA, Outbox

MOST_REMEMBERED = 1000

OUTBOX, ROOM = METADATA.tables["outbox"], METADATA.tables["room"]

_MOVED = Prepared(
    select(ROOM.c.network, ROOM.c.room, ROOM.c.moved_to).where(ROOM.c.moved_to.is_not(None))
)

_SUPERSEDE = Prepared(
    update(OUTBOX)
    .where(OUTBOX.c.edit_of == bindparam("edited"), in_state(OUTBOX, "owed", "later"))
    .where(
        OUTBOX.c.id
        < select(OUTBOX.c.id).where(OUTBOX.c.key == bindparam("newest")).scalar_subquery()
    )
    .values(state=as_text("superseded"))
)


class Said:
    """Messages by their stored text: most are sent at once and need not be read back from it."""

    def __init__(self) -> None:
        self._known: dict[str, Outgoing] = {}

    def put(self, text: str, message: Outgoing) -> None:
        """Remember a message that was written as this text."""
        if len(self._known) >= MOST_REMEMBERED:
            self._known.clear()
        self._known[text] = message

    def message(self, text: str) -> Outgoing:
        """Return the message that was written as this text."""
        return self._known.get(text) or codec.message_from(text)


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
        "attempts": 0,
        "repeat": False,
        "plain": False,
        "told": False,
    }


def queue(connection: Connection, rows: list[dict[str, Any]]) -> None:
    """Insert what is to be sent; a key that exists is skipped, only the newest edit survives."""
    if not rows:
        return
    moved = {(r.network, r.room): r.moved_to for r in _MOVED.run(connection)}
    if moved:
        for row in rows:
            row["room"] = moved.get((row["network"], row["room"]), row["room"])
    insert_new(connection, Outbox, rows)
    tell(connection, *sorted({f"send:{row['network']}" for row in rows}))
    edits = [row for row in rows if row["edit_of"] is not None]
    _SUPERSEDE.run_all(connection, [{"newest": r["key"], "edited": r["edit_of"]} for r in edits])
