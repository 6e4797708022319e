"""The lists of the law: views of the sheet, never what is asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from core.allergens.contents import NOTHING_MADE, Made, contains, served
from core.allergens.words import NAMES, is_within
from core.model import Cards, Dish, Profile, Verdict
from core.tables import Row, table


@cache
def _lists() -> Mapping[Profile, Row]:
    parts = [part for part in table("allergens").values() if isinstance(part, dict)]
    return {
        Profile(name): part for part in parts if "profiles" in part for name in part["profiles"]
    }


def legal_list(profile: Profile) -> tuple[str, ...]:
    """Return the allergens a rule book makes you name: a view, never what is asked.

    Examples
    --------
    >>> len(legal_list(Profile.UK)), len(legal_list(Profile.US))
    (14, 9)
    """
    return tuple(_lists()[profile]["tokens"])


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One dish on the allergen sheet: what the law lists, and what else is in it."""

    dish: Dish
    listed: Mapping[str, Verdict]
    also: tuple[str, ...]


def allergen_sheet(
    cards: Cards, profile: Profile | None, made: Made = NOTHING_MADE
) -> tuple[SheetRow, ...]:
    """Return the sheet of the menu by the law's list; with no rule book, by every allergen."""
    listed = legal_list(profile) if profile else tuple(NAMES)
    rows = []
    for dish in served(cards):
        verdicts = {token: contains(cards, dish, token, made).verdict for token in listed}
        also = tuple(
            token
            for token in NAMES
            if not any(is_within(token, each) for each in listed)
            and contains(cards, dish, token, made).verdict is Verdict.YES
        )
        rows.append(SheetRow(dish, verdicts, also))
    return tuple(rows)
