"""What is assumed where a card is silent, read off the readers themselves."""

from __future__ import annotations

import json

from bot.cards.crew import read_crew
from bot.cards.dish import read_dish_sheet
from bot.cards.event import read_event_sheet
from bot.cards.kit import read_kit
from bot.cards.section import Sheet

# One of each table, so that every key is asked for once.
_EVENT = "[[menu]]\n[[serve]]\n[[pin]]\n[[guest]]\n[[weather]]\n"
_KIT = "[[station]]\n[[probe]]\n"
_CREW = "[[person]]\n"
_DISH = "[[ingredient]]\n[[step]]\n"


def keys() -> dict[tuple[str, str, str], object]:
    """Return every key a card may have: file, table and key, with its default.

    None stands for unset, the word 'needed' for a key without which the table says nothing.
    """
    found: dict[tuple[str, str, str], object] = {}
    event, kit, crew = Sheet("event.toml", _EVENT), Sheet("kit.toml", _KIT), Sheet("", _CREW)
    dish = Sheet("", _DISH)
    read_event_sheet(event)
    read_kit(kit)
    read_crew(crew)
    read_dish_sheet(dish, "dish")
    for file, sheet in (
        ("event.toml", event),
        ("kit.toml", kit),
        ("crew.toml", crew),
        ("dish", dish),
    ):
        found |= {(file, table, key): value for (table, key), value in sheet.defaults.items()}
    return found


def defaults() -> tuple[str, ...]:
    """Return a line for every key that has a default.

    Examples
    --------
    >>> [line for line in defaults() if "slack_per_hour" in line]
    ['event.toml card: slack_per_hour = "10 min"']
    """
    return tuple(
        f"{file} {table}: {key} = {_written(value)}"
        for (file, table, key), value in keys().items()
        if value is not None and value != "needed"
    )


def _written(value: object) -> str:
    """Return a default as it would stand on a card; JSON and TOML write these alike."""
    return json.dumps(value)
