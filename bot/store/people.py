"""Who is who and which room works for which cook: outside the chain of hashes, so erasable.

Facts carry person ids only. What ties an id to a name, an account and the words they typed stands
here and in the inbox and outbox, and goes when somebody asks for it to go.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Connection, delete, select, update
from sqlmodel import col

from bot import codec
from bot.ports import CrewRoom, Invitation, Outgoing, Seat
from bot.store.dialect import insert_or_set
from bot.store.engine import tell
from bot.store.instants import instant, us
from bot.store.tables import Address, Inbox, Invite, Outbox, Person, Room
from bot.store.threads import Reads, Writer

ERASED = codec.message_text(Outgoing(()))


class People:
    """Names, addresses and rooms; reached as `store.people`."""

    def __init__(self, reader: Reads, writer: Writer) -> None:
        self._read, self._write = reader, writer

    async def name(self, cook: str, person: str, name: str) -> None:
        """Store what a person id is called."""
        await self._write.do(_name, (cook, person, name))

    async def names(self, cook: str) -> dict[str, str]:
        """Return the names of a cook's person ids."""
        wanted = select(col(Person.person), col(Person.name)).where(col(Person.cook) == cook)
        return await self._read.do(lambda c: {r.person: r.name for r in c.execute(wanted)})

    async def seat(self, seat: Seat) -> None:
        """Store how a platform calls a person; a newer private room replaces the old one."""
        await self._write.do(_seat, seat)

    async def unseat(self, seat: Seat) -> None:
        """Forget how a platform calls a person of a cook."""
        await self._write.do(_unseat, seat)

    async def seats(self) -> Sequence[Seat]:
        """Return everybody who can be reached, for all cooks."""
        wanted = select(Address).order_by(
            col(Address.cook), col(Address.person), col(Address.network), col(Address.who)
        )
        return await self._read.do(
            lambda c: [Seat(r.cook, r.person, r.network, r.who, r.room) for r in c.execute(wanted)]
        )

    async def open_room(self, room: CrewRoom) -> None:
        """Let a room work for a cook; it works for one at a time."""
        await self._write.do(_open_room, room)

    async def leave_room(self, network: str, room: str) -> None:
        """Let a room work for no cook."""
        await self._write.do(_leave_room, (network, room))

    async def rooms(self) -> Sequence[CrewRoom]:
        """Return the rooms that work for a cook."""
        wanted = select(Room).where(col(Room.cook).is_not(None), col(Room.moved_to).is_(None))
        return await self._read.do(
            lambda c: sorted(
                (CrewRoom(r.network, r.room, r.cook) for r in c.execute(wanted)),
                key=lambda r: (r.cook, r.network, r.room),
            )
        )

    async def invite(self, code: str, invitation: Invitation) -> None:
        """Store a one-time code, as a hash; a person's older codes fall away."""
        await self._write.do(_invite, (_hashed(code), invitation))

    async def accept(self, code: str, now: datetime) -> Invitation | None:
        """Use a code up and return what it stood for; None for a wrong, used or old one."""
        found = await self._write.do(_accept, _hashed(code))
        return found if found is not None and now < found.until else None

    async def erase(self, network: str, who: str) -> None:
        """Erase an account: its names, its addresses, every word it typed and was told alone."""
        await self._write.do(_erase, (network, who))

    async def forget_words(self, before: datetime) -> None:
        """Erase the words of messages heard and sent before this; that they were stays known."""
        await self._write.do(_forget_words, before)


def _name(connection: Connection, names: Sequence[tuple[str, str, str]]) -> list[None]:
    for cook, person, name in names:
        insert_or_set(connection, Person, {"cook": cook, "person": person}, {"name": name})
        tell(connection, f"people:{cook}")
    return [None] * len(names)


def _seat(connection: Connection, seats: Sequence[Seat]) -> list[None]:
    for seat in seats:
        key = {"network": seat.network, "who": seat.who, "cook": seat.cook}
        known = {"room": seat.room} if seat.room is not None else {}
        insert_or_set(connection, Address, key, {"person": seat.person, **known})
        tell(connection, f"people:{seat.cook}")
    return [None] * len(seats)


def _unseat(connection: Connection, seats: Sequence[Seat]) -> list[None]:
    for seat in seats:
        connection.execute(
            delete(Address).where(
                col(Address.network) == seat.network,
                col(Address.who) == seat.who,
                col(Address.cook) == seat.cook,
            )
        )
        tell(connection, f"people:{seat.cook}")
    return [None] * len(seats)


def _hashed(code: str) -> str:
    return hashlib.sha256(code.encode()).hexdigest()


def _invite(connection: Connection, invites: Sequence[tuple[str, Invitation]]) -> list[None]:
    for code, given in invites:
        same = (col(Invite.cook) == given.cook, col(Invite.person) == given.person)
        connection.execute(delete(Invite).where(*same))
        row = {"cook": given.cook, "person": given.person, "until_us": us(given.until)}
        insert_or_set(connection, Invite, {"code": code}, row)
    return [None] * len(invites)


def _accept(connection: Connection, codes: Sequence[str]) -> list[Invitation | None]:
    accepted: list[Invitation | None] = []
    for code in codes:
        row = connection.execute(select(Invite).where(col(Invite.code) == code)).first()
        connection.execute(delete(Invite).where(col(Invite.code) == code))
        accepted.append(Invitation(row.cook, row.person, instant(row.until_us)) if row else None)
    return accepted


def _open_room(connection: Connection, rooms: Sequence[CrewRoom]) -> list[None]:
    for room in rooms:
        key = {"network": room.network, "room": room.room}
        insert_or_set(connection, Room, key, {"cook": room.cook, "moved_to": None})
        tell(connection, f"people:{room.cook}")
    return [None] * len(rooms)


def _leave_room(connection: Connection, rooms: Sequence[tuple[str, str]]) -> list[None]:
    for network, room in rooms:
        connection.execute(
            update(Room)
            .where(col(Room.network) == network, col(Room.room) == room)
            .values(cook=None)
        )
        tell(connection, "people:")
    return [None] * len(rooms)


def _erase(connection: Connection, accounts: Sequence[tuple[str, str]]) -> list[None]:
    for network, who in accounts:
        mine = (col(Address.network) == network, col(Address.who) == who)
        seats = list(connection.execute(select(Address).where(*mine)))
        for seat in seats:
            connection.execute(
                delete(Person).where(
                    col(Person.cook) == seat.cook, col(Person.person) == seat.person
                )
            )
            connection.execute(
                update(Outbox)
                .where(col(Outbox.network) == network, col(Outbox.room) == seat.room)
                .where(col(Outbox.state).not_in(["owed", "later", "sending"]))
                .values(message=ERASED)
            )
        connection.execute(delete(Address).where(*mine))
        tell(connection, *(f"people:{seat.cook}" for seat in seats))
        connection.execute(
            update(Inbox)
            .where(col(Inbox.network) == network, col(Inbox.who) == who)
            .values(body=None, who="", state="done")
        )
    return [None] * len(accounts)


def _forget_words(connection: Connection, instants: Sequence[datetime]) -> list[None]:
    before_us = us(max(instants))
    connection.execute(
        update(Inbox)
        .where(col(Inbox.heard_us) < before_us, col(Inbox.state) != "new")
        .values(body=None)
    )
    connection.execute(
        update(Outbox)
        .where(col(Outbox.queued_us) < before_us)
        .where(col(Outbox.state).not_in(["owed", "later", "sending"]))
        .values(message=ERASED)
    )
    return [None] * len(instants)
