"""The crew card: who there is, what they do, when, and who steps in."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from bot.cards import readers as r
from bot.cards.errors import among
from bot.cards.kit import KitCard
from bot.cards.section import Section, Sheet
from core.model import Lead, Person, Role

LANGUAGES = ("en", "es")
_MOST_PEOPLE = 300


@dataclass(frozen=True, slots=True)
class CrewCard:
    """The crew, and the section each person was read from."""

    crew: tuple[Person, ...]
    sections: tuple[Section, ...]

    def ids(self) -> tuple[str, ...]:
        """Return who there is."""
        return tuple(p.id for p in self.crew)


def read_crew(sheet: Sheet) -> CrewCard:
    """Return the crew; what is wrong with it is noted on the sheet."""
    top = sheet.top()
    sections = top.sections("person")[:_MOST_PEOPLE]
    card = CrewCard(tuple(_person(section) for section in sections), sections)
    top.close()
    if not sections:
        top.wrong("", "there is nobody on the crew", "begin each with [[person]] and an id")
    elif not any(p.role is Role.CHEF for p in card.crew):
        top.wrong("", "nobody is the chef", 'one person needs role = "chef": who owns the plan')
    _check_people(card)
    return card


def _person(s: Section) -> Person:
    person_id = s.need("id", r.name, "?")
    person = Person(
        id=person_id,
        name=s.maybe("name", r.text) or person_id,
        role=s.take("role", r.one_of(Role), "crew"),
        leads=s.take("leads", r.names(r.one_of(Lead)), []),
        skills=s.take("skills", r.names(r.text), []),
        languages=s.take("languages", r.names(r.choice(*LANGUAGES)), []),
        shifts=s.take("shifts", r.listed(r.shift), []),
        break_min=s.maybe("break", r.some_time),
        backup=s.maybe("backup", r.name),
        stations=s.take("stations", r.names(r.name), []),
    )
    s.close()
    ordered = sorted(person.shifts)
    for earlier, later in pairwise(ordered):
        if later[0] < earlier[1]:
            s.wrong("shifts", f"two shifts at {later[0]}", "let one end before the next starts")
    return person


def _check_people(card: CrewCard) -> None:
    ids: set[str] = set()
    names: set[str] = set()
    led: dict[Lead, str] = {}
    for person, s in zip(card.crew, card.sections, strict=True):
        if person.id in ids:
            s.wrong("id", f"there is a {person.id} already", "give each person their own id")
        elif person.name.casefold() in names:
            s.wrong("name", f"there is a {person.name} already", "tell them apart in the chat")
        ids.add(person.id)
        names.add(person.name.casefold())
        for lead in person.leads:
            if lead in led:
                s.wrong("leads", f"{led[lead]} leads {lead} already", "one lead for each")
            led.setdefault(lead, person.id)
        if person.backup == person.id:
            s.wrong("backup", "nobody can be their own backup", "name somebody else")
        elif person.backup and person.backup not in card.ids():
            others = tuple(x for x in card.ids() if x != person.id)
            s.wrong("backup", f"there is no person {person.backup}", among(person.backup, others))


def check_places(card: CrewCard, kit: KitCard) -> None:
    """Note every station of a person that the kit has not."""
    for person, s in zip(card.crew, card.sections, strict=True):
        for station in person.stations:
            if not kit.knows(station):
                s.wrong("stations", f"there is no station {station}", among(station, kit.names()))
