"""Allergens: by ingredient, from the batch as made, never from a legal list, never guessed.

words.py     words for allergens, matched exactly
contents.py  what a dish as made contains: YES, NO where earned, else NOT CONFIRMED
answers.py   what a question gets, and what a swapped brand does
lists.py     the fourteen, the nine and the others as views; the allergen sheet
"""

from __future__ import annotations

from core.allergens.answers import allergen_answer, swap_answer
from core.allergens.contents import NOTHING_MADE, Made, Swap, contains, dishes_using
from core.allergens.lists import SheetRow, allergen_sheet, legal_list
from core.allergens.words import asked_tokens

__all__ = [
    "NOTHING_MADE",
    "Made",
    "SheetRow",
    "Swap",
    "allergen_answer",
    "allergen_sheet",
    "asked_tokens",
    "contains",
    "dishes_using",
    "legal_list",
    "swap_answer",
]
