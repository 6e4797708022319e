"""Who is who on platforms with accounts: Directory over the store's people and rooms.

Read into memory when something changes: a look-up must not wait for a disk while a reply is made.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from bot.directory import Address
from bot.ports import CrewRoom, Incoming, PeopleStore, Seat
from core.model import Cards

TOPIC = "/"
"""What stands between a chat and one of its topics in the id of a room."""

HOUSE = "house"
"""The seats of people who own the installation, before and between cooks."""


@dataclass(slots=True)
class Accounts:
    """Implements Directory for every open cook; `running` names them, the newest last."""

    people: PeopleStore
    running: tuple[str, ...] = ()
    _seats: Sequence[Seat] = field(default_factory=tuple)
    _rooms: Sequence[CrewRoom] = field(default_factory=tuple)

    async def refresh(self, running: Sequence[str] | None = None) -> None:
        """Read seats and rooms again; `running` also replaces the open cooks."""
        if running is not None:
            self.running = tuple(running)
        self._seats = await self.people.seats()
        self._rooms = await self.people.rooms()

    # -------------------------------------------------------------- Directory

    def person(self, message: Incoming, cards: Cards | None) -> str | None:
        """Return who an account is in the cook its message is about; None for a stranger."""
        seat = self.seat_of(message, self.cook(message))
        if seat is None or cards is None:
            return None
        return seat.person if seat.person == "client" or cards.person(seat.person) else None

    def cook(self, message: Incoming) -> str | None:
        """Return the cook a room works for; alone, the newest open one the account sits in."""
        room = self.room_of(message)
        if room is not None:
            return room.cook
        if not message.private:
            return None
        mine = [seat.cook for seat in self.seats_of(message) if seat.cook != HOUSE]
        here = [cook for cook in self.running if cook in mine]
        return here[-1] if here else None

    def private(self, cook: str, person: str) -> Address | None:
        """Return where a person opened a chat with us."""
        return next(iter(self.privates(cook, person)), None)

    def privates(self, cook: str, person: str) -> tuple[Address, ...]:
        """Return every chat a person opened with us."""
        mine = (s for s in self._seats if (s.cook, s.person) == (cook, person))
        return tuple(Address(seat.network, seat.room) for seat in mine if seat.room)

    def crew_rooms(self, cook: str) -> tuple[Address, ...]:
        """Return the rooms of the crew."""
        return tuple(Address(r.network, r.room) for r in self._rooms if r.cook == cook)

    def account(self, cook: str, person: str, network: str) -> str | None:
        """Return what a network calls a person."""
        wanted = (cook, person, network)
        mine = (s for s in self._seats if (s.cook, s.person, s.network) == wanted)
        return next((seat.who for seat in mine), None)

    # -------------------------------------------------------------- for the door

    def seats_of(self, message: Incoming) -> tuple[Seat, ...]:
        """Return every seat of the account that speaks."""
        return tuple(s for s in self._seats if (s.network, s.who) == (message.network, message.who))

    def seat_of(self, message: Incoming, cook: str | None) -> Seat | None:
        """Return the account's seat in a cook."""
        return next((s for s in self.seats_of(message) if s.cook == cook), None)

    def seats_for(self, cook: str, person: str) -> tuple[Seat, ...]:
        """Return every account of a person of a cook."""
        return tuple(s for s in self._seats if (s.cook, s.person) == (cook, person))

    def seated(self, cook: str) -> frozenset[str]:
        """Return the people of a cook who are known on some platform."""
        return frozenset(s.person for s in self._seats if s.cook == cook)

    def room_of(self, message: Incoming) -> CrewRoom | None:
        """Return the crew's room a message was said in, or another topic of the same chat."""
        here = (message.network, message.room)
        exact = next((r for r in self._rooms if (r.network, r.room) == here), None)
        if exact is not None or message.private:
            return exact
        beside = self.rooms_beside(message)
        return beside[0] if len({room.cook for room in beside}) == 1 else None

    def rooms_beside(self, message: Incoming) -> tuple[CrewRoom, ...]:
        """Return every crew's room that is a topic of the chat a message was said in."""
        chat = chat_of(message.room)
        return tuple(
            r for r in self._rooms if r.network == message.network and chat_of(r.room) == chat
        )

    def is_crews(self, network: str, room: str) -> bool:
        """Say whether a room works for a cook."""
        return any((r.network, r.room) == (network, room) for r in self._rooms)

    def knows(self, network: str, who: str) -> bool:
        """Say whether an account sits anywhere; before anybody does, everybody may knock."""
        known = {(s.network, s.who) for s in self._seats}
        return not known or (network, who) in known


def chat_of(room: str) -> str:
    """Return the chat a room is in: itself, or what it is a topic of.

    Examples
    --------
    >>> chat_of("-1001/7"), chat_of("-1001"), chat_of("!abc:example.org")
    ('-1001', '-1001', '!abc:example.org')
    """
    return room.partition(TOPIC)[0]
