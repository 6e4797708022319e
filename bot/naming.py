"""Names of people, kept out of the chain of facts: put in when a cook is read, taken out before.

Facts carry person ids. A card's names go to the store's people beside the log, where they can be
erased; whoever is erased is called by their id from then on.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from core.cook import Cook
from core.model import Cards, Label, Line, Value, Who

FIRST_AIDER = "first aider"
"""What the person on the emergency card is called in the log: they need not be on the crew."""

APART = '"kept apart"'
_CREW_NAME = re.compile(r"^(\s*name\s*=\s*).*$", re.MULTILINE)
_FIRST_AIDER = re.compile(r"^(\s*first_aider\s*=\s*).*$", re.MULTILINE)
NAME_LINES = {"crew.toml": _CREW_NAME, "event.toml": _FIRST_AIDER}


def names_of(cards: Cards) -> dict[str, str]:
    """Return what the cards call people, by id."""
    crew = {person.id: person.name for person in cards.crew}
    card = cards.event.emergency
    return {**crew, FIRST_AIDER: card.first_aider} if card and card.first_aider else crew


def called(cards: Cards, names: Mapping[str, str]) -> Cards:
    """Return the cards with people called by these names; who is not among them as before."""
    crew = tuple(replace(p, name=names.get(p.id, p.name)) for p in cards.crew)
    card = cards.event.emergency
    if card is not None and card.first_aider:
        card = replace(card, first_aider=names.get(FIRST_AIDER, card.first_aider))
    return replace(cards, crew=crew, event=replace(cards.event, emergency=card))


def nameless(cards: Cards) -> Cards:
    """Return the cards with everybody called by their id."""
    return called(cards, {person: person for person in names_of(cards)})


def nameless_texts(texts: Mapping[str, str]) -> dict[str, str]:
    """Return the texts of the cards without anybody's name.

    Examples
    --------
    >>> nameless_texts({"crew.toml": 'id = "bo"\\nname = "Bo"', "kit.toml": 'name = "x"'})
    {'crew.toml': 'id = "bo"\\nname = "kept apart"', 'kit.toml': 'name = "x"'}
    """
    return {path: _without(path, text) for path, text in texts.items()}


def _without(path: str, text: str) -> str:
    line = NAME_LINES.get(path.rsplit("/", 1)[-1])
    return line.sub(rf"\g<1>{APART}", text) if line else text


def with_names(cook: Cook, names: Mapping[str, str]) -> Cook:
    """Return a cook whose people are called what they are called."""
    return cook if cook.cards is None else replace(cook, cards=called(cook.cards, names))


def named(line: Line, names: Mapping[str, str]) -> Line:
    """Return a line that calls people by name.

    Examples
    --------
    >>> from core.model import say
    >>> named(say("Ask {who}.", who=Who("ana")), {"ana": "Ana"}).fields["who"]
    Label(text='Ana')
    """
    fields = {key: _named(value, names) for key, value in line.fields.items()}
    return Line(line.text, fields) if fields != line.fields else line


def _named(value: Value, names: Mapping[str, str]) -> Value:
    match value:
        case Who(person):
            return Label(names.get(person, person))
        case Line():
            return named(value, names)
        case _:
            return value
