"""Names, addresses and rooms in memory; implements PeopleStore."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from bot.ports import CrewRoom, Invitation, Seat


class MemoryPeople:
    def __init__(self) -> None:
        self._names: dict[tuple[str, str], str] = {}
        self._seats: dict[tuple[str, str, str], Seat] = {}
        self._rooms: dict[tuple[str, str], CrewRoom] = {}
        self._codes: dict[str, Invitation] = {}

    async def name(self, cook: str, person: str, name: str) -> None:
        self._names[cook, person] = name

    async def names(self, cook: str) -> dict[str, str]:
        return {person: name for (of, person), name in self._names.items() if of == cook}

    async def seat(self, seat: Seat) -> None:
        key = (seat.network, seat.who, seat.cook)
        was = self._seats.get(key)
        kept = was.room if was else None
        self._seats[key] = replace(seat, room=kept if seat.room is None else seat.room)

    async def unseat(self, seat: Seat) -> None:
        self._seats.pop((seat.network, seat.who, seat.cook), None)

    async def seats(self) -> Sequence[Seat]:
        return sorted(self._seats.values(), key=lambda s: (s.cook, s.person, s.network, s.who))

    async def open_room(self, room: CrewRoom) -> None:
        self._rooms[room.network, room.room] = room

    async def leave_room(self, network: str, room: str) -> None:
        self._rooms.pop((network, room), None)

    async def rooms(self) -> Sequence[CrewRoom]:
        return sorted(self._rooms.values(), key=lambda r: (r.cook, r.network, r.room))

    async def invite(self, code: str, invitation: Invitation) -> None:
        mine = (invitation.cook, invitation.person)
        kept = {c: i for c, i in self._codes.items() if (i.cook, i.person) != mine}
        self._codes = {**kept, code: invitation}

    async def accept(self, code: str, now: datetime) -> Invitation | None:
        found = self._codes.pop(code, None)
        return found if found and now < found.until else None

    async def erase(self, network: str, who: str) -> None:
        for key, seat in list(self._seats.items()):
            if (seat.network, seat.who) == (network, who):
                self._names.pop((seat.cook, seat.person), None)
                del self._seats[key]
