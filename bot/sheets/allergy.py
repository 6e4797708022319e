"""What is in each dish as made, for paper: never a guess, never a clearance.

As long as one label is not read, every allergen that is not surely in a dish is not confirmed;
what is known to be in it stands there all the same.
"""

from __future__ import annotations

from dataclasses import dataclass

from bot.sheets.amounts import Words
from core.allergens import NOTHING_MADE, Made, contains
from core.allergens.contents import Content, served
from core.allergens.words import NAMES
from core.model import Cards, Dish, Verdict


@dataclass(frozen=True, slots=True)
class Contents:
    """What a dish contains and may contain; `unread` are goods whose label nobody has read."""

    dish: str
    contains: tuple[str, ...]
    may_contain: tuple[str, ...]
    unread: tuple[str, ...]

    @property
    def clear(self) -> bool:
        """Return whether every label was read and none of them names anything."""
        return not (self.contains or self.may_contain or self.unread)


def contents_of(cards: Cards, dish: Dish, made: Made = NOTHING_MADE) -> Contents:
    """Return what is known to be in a dish, through every card inside it."""
    found = tuple(contains(cards, dish, token, made) for token in NAMES)
    unsure = tuple(c for c in found if c.verdict is Verdict.NOT_CONFIRMED)
    unread = _unread(found, unsure, dish)
    return Contents(
        dish.name,
        tuple(c.token for c in found if c.verdict is Verdict.YES),
        tuple(c.token for c in unsure if set(c.open) - set(unread)),
        unread,
    )


def _unread(
    found: tuple[Content, ...], unsure: tuple[Content, ...], dish: Dish
) -> tuple[str, ...]:  # fmt: skip
    """Return the goods that leave everything open: one allergen ruled out means there are none."""
    if any(c.verdict is Verdict.NO for c in found):
        return ()
    always = [name for c in unsure[:1] for name in c.open if all(name in u.open for u in unsure)]
    return tuple(always) or (dish.name,)


def menu_contents(cards: Cards, made: Made = NOTHING_MADE) -> tuple[Contents, ...]:
    """Return the contents of every dish on the menu, on demand or not."""
    return tuple(contents_of(cards, dish, made) for dish in served(cards))


def named_of(tokens: tuple[str, ...], words: Words) -> str:
    """Return allergens in the reader's words."""
    return ", ".join(words(NAMES[t]) if t in NAMES else t for t in tokens)
