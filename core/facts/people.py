"""People who come to a crew after its card was written."""

from __future__ import annotations

from dataclasses import dataclass

from core.model import Person


@dataclass(frozen=True, slots=True)
class AddPerson:
    """Take somebody onto the crew; their name stands beside the log, the wish has their id."""

    person: Person


@dataclass(frozen=True, slots=True)
class PersonAdded:
    """Somebody is on the crew from now on."""

    person: Person


PeopleWish = AddPerson
PeopleFact = PersonAdded
