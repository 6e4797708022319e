"""Event and dish cards: TOML files to `core.model.Cards`, or every mistake in them.

| File | What it holds |
|---|---|
| `errors.py` | one mistake (`CardError`), all of them (`CardsError`), "did you mean" |
| `lines.py` | on which line of a text each key stands |
| `section.py` | one table being read: keys taken one by one, mistakes noted, leftovers unknown |
| `readers.py` | from a TOML value to one of ours, a function for each kind of key |
| `kit.py`, `crew.py`, `event.py`, `dish.py`, `steps.py` | one kind of card each |
| `files.py` | what may be opened at all |
| `whole.py` | an event's cards held against each other |
| `writing.py` | cards as TOML again |
| `defaults.py` | what is assumed where a card is silent |
"""

from __future__ import annotations

from bot.cards.defaults import defaults
from bot.cards.errors import CardError, CardsError
from bot.cards.whole import (
    cards_of,
    check,
    check_text,
    dish_in,
    read_dish,
    read_event,
    read_texts,
)

__all__ = [
    "CardError",
    "CardsError",
    "cards_of",
    "check",
    "check_text",
    "defaults",
    "dish_in",
    "read_dish",
    "read_event",
    "read_texts",
]
