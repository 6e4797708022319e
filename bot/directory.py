"""Who is who and where they are reached: from a platform's names to person ids and back.

For the console and for rehearsals the crew's own names are the addresses. Front-ends with
accounts fill the same shape from the store's people and rooms.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import Protocol

from bot.ports import Incoming
from core.model import Cards
from core.rights import CLIENT

CREW_ROOM = "crew"


@dataclass(frozen=True, slots=True)
class Address:
    """A room on a network."""

    network: str
    room: str


class Directory(Protocol):
    """Where messages go; who sent them; which cook a room is about."""

    def person(self, message: Incoming, cards: Cards | None) -> str | None:
        """Return the person id of a sender, 'client' for the client, None for a stranger."""
        ...

    def cook(self, message: Incoming) -> str | None:
        """Return the cook a message is about."""
        ...

    def private(self, cook: str, person: str) -> Address | None:
        """Return where a person is reached alone; None if nowhere."""
        ...

    def privates(self, cook: str, person: str) -> tuple[Address, ...]:
        """Return every place where a person is reached alone, the usual one first."""
        ...

    def crew_rooms(self, cook: str) -> tuple[Address, ...]:
        """Return the rooms of the crew."""
        ...

    def account(self, cook: str, person: str, network: str) -> str | None:
        """Return what a network calls a person, to ring them in a room; None if it does not."""
        ...


def folded_name(name: str) -> str:
    """Return a name without case and accents, as it is compared.

    Examples
    --------
    >>> folded_name("Lucía")
    'lucia'
    """
    plain = unicodedata.normalize("NFKD", name.casefold().strip())
    return "".join(c for c in plain if not unicodedata.combining(c))


@dataclass(slots=True)
class NamesDirectory:
    """Implements Directory where people are known by the names on the crew card.

    What is said is about one cook, the newest; what `earlier` ones call out is still heard here.
    """

    network: str
    cook_id: str
    earlier: frozenset[str] = frozenset()

    def turn_to(self, cook_id: str) -> None:
        """Hear what is said as about this cook from now on."""
        self.earlier, self.cook_id = self.earlier | {self.cook_id}, cook_id

    def _here(self, cook: str) -> bool:
        return cook == self.cook_id or cook in self.earlier

    def person(self, message: Incoming, cards: Cards | None) -> str | None:
        """Return the crew member of that name or id, or the client."""
        wanted = folded_name(message.who)
        if wanted in {CLIENT, "cliente"}:
            return CLIENT
        people = cards.crew if cards else ()
        return next((p.id for p in people if wanted in {folded_name(p.name), p.id}), None)

    def cook(self, message: Incoming) -> str | None:
        """Return the one cook there is."""
        return self.cook_id if message.network == self.network else None

    def private(self, cook: str, person: str) -> Address | None:
        """Return the person's own screen."""
        return Address(self.network, f"@{person}") if self._here(cook) else None

    def privates(self, cook: str, person: str) -> tuple[Address, ...]:
        """Return the person's own screen."""
        return tuple(filter(None, (self.private(cook, person),)))

    def crew_rooms(self, cook: str) -> tuple[Address, ...]:
        """Return the crew's one room."""
        return (Address(self.network, CREW_ROOM),) if self._here(cook) else ()

    def account(self, cook: str, person: str, network: str) -> str | None:
        """Return the person's own id."""
        return person if self._here(cook) and network == self.network else None
