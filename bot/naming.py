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

CREW_CARD = "crew.toml"
_NAME_LINE = re.compile(r"^(\s*name\s*=\s*).*$", re.MULTILINE)
APART = '"kept apart"'


def names_of(cards: Cards) -> dict[str, str]:
    """Return what the crew card calls its people, by id."""
    return {person.id: person.name for person in cards.crew}


def nameless(cards: Cards) -> Cards:
    """Return the cards with everybody called by their id."""
    return replace(cards, crew=tuple(replace(p, name=p.id) for p in cards.crew))


def nameless_texts(texts: Mapping[str, str]) -> dict[str, str]:
    """Return the texts of the cards without the crew's names.

    Examples
    --------
    >>> nameless_texts({"crew.toml": 'id = "bo"\\nname = "Bo"', "kit.toml": 'name = "x"'})
    {'crew.toml': 'id = "bo"\\nname = "kept apart"', 'kit.toml': 'name = "x"'}
    """
    return {
        path: _NAME_LINE.sub(rf"\g<1>{APART}", text) if path.endswith(CREW_CARD) else text
        for path, text in texts.items()
    }


def with_names(cook: Cook, names: Mapping[str, str]) -> Cook:
    """Return a cook whose people are called what they are called."""
    if cook.cards is None or not names:
        return cook
    crew = tuple(replace(p, name=names.get(p.id, p.name)) for p in cook.cards.crew)
    return replace(cook, cards=replace(cook.cards, crew=crew))


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
