"""What else goes in, and the allergens on the labels: read exactly or not at all."""

from __future__ import annotations

import re
from collections.abc import Mapping

from core.allergens.words import asked_tokens
from core.errors import KitchenError
from core.model import Ingredient, Label, Line, say
from core.safety.food import plain
from core.trial.fields import NONE, UNKNOWN
from core.units import amount
from core.words.atoms import folded

_MOST_GOODS = 40
_UNIT = r"(?:kg|g|mg|lb|oz|l|ml|cl|pieces?|pcs|piezas?)"
_BEHIND = re.compile(rf"^(?P<name>\D.*?)\s+(?P<qty>\d+(?:[.,]\d+)?\s*{_UNIT})$", re.IGNORECASE)
_BEFORE = re.compile(
    rf"^(?P<qty>\d+(?:[.,]\d+)?\s*{_UNIT})\s+(?:of\s+|de\s+)?(?P<name>\D.*)$", re.IGNORECASE
)
_PARTS = re.compile(r";|\n|,(?!\d)|\s(?:and|y|e)\s", re.IGNORECASE)
_AFTER_NUMBER = re.compile(r"(?<=\d)\s*(?=[^\d.,\s])")
_SPANISH = {"pieza": "piece", "piezas": "pieces"}

CARD_WORDS: Mapping[str, str] = {
    "egg": "eggs", "peanut": "peanuts", "almond": "almonds", "hazelnut": "hazelnuts",
    "walnut": "walnuts", "cashew": "cashews", "pecan": "pecans", "brazil_nut": "brazil-nuts",
    "pistachio": "pistachios", "macadamia": "macadamias",
    **{same: same for same in (
        "milk", "fish", "crustaceans", "molluscs", "nuts", "gluten", "wheat", "spelt", "rye",
        "barley", "oats", "soy", "sesame", "celery", "mustard", "lupin", "sulphites")},
}  # fmt: skip
"""From the allergen table's token to the word a card writes."""


class WordsError(KitchenError):
    """Words in an answer that nobody can place; `line` says which and what would be right."""

    template = "{text}"

    def __init__(self, line: Line) -> None:
        self.line = line
        super().__init__(text=line.text)


def goods_text(text: str) -> tuple[str, tuple[Line, ...]] | None:
    """Return goods as they are kept, 'rub=0.0088 kg;oil=0.02 L'; None where none is named.

    Raises
    ------
    WordsError
        Where a part has no amount: it is asked, never guessed.

    Examples
    --------
    >>> goods_text("rub 8.8 g, 20 ml oil")[0]
    'rub=0.0088 kg;oil=0.02 L'
    """
    parts = [" ".join(part.split()) for part in _PARTS.split(text) if part.strip()]
    if not parts or len(parts) > _MOST_GOODS:
        return None
    kept: list[str] = []
    for part in parts:
        found = _BEHIND.match(part) or _BEFORE.match(part)
        if found is None:
            if not any(c.isdigit() for c in text):
                return None
            raise WordsError(say("How much {what}? Like: rub 8.8 g", what=Label(part[:40])))
        words = [_SPANISH.get(w, w) for w in _AFTER_NUMBER.split(found["qty"], maxsplit=1)]
        try:
            value, unit = amount(" ".join(words))
        except KitchenError as bad:
            raise WordsError(say("How much {what}? Like: rub 8.8 g",
                                 what=Label(part[:40]))) from bad  # fmt: skip
        name = re.sub(r"[=;\"\\]", " ", found["name"]).strip()[:80]
        kept.append(f"{name}={value:.6g} {unit}")
    return ";".join(kept), ()


def goods_of(value: str) -> tuple[Ingredient, ...]:
    """Return the goods that were kept; their allergens are not known."""
    if value in {"", NONE, UNKNOWN}:
        return ()
    found = []
    for part in value.split(";"):
        name, _, qty = part.partition("=")
        number, _, unit = qty.partition(" ")
        found.append(Ingredient(name, qty=float(number), unit=unit))
    return tuple(found)


def allergens_text(text: str) -> tuple[str, tuple[Line, ...]] | None:
    """Return allergens as a card names them, 'milk;mustard'.

    Raises
    ------
    WordsError
        Where a word is no allergen exactly as spelled.

    Examples
    --------
    >>> allergens_text("milk, mustard")[0], allergens_text("leche y mostaza")[0]
    ('milk;mustard', 'milk;mustard')
    """
    found: list[str] = []
    for part in (" ".join(p.split()) for p in _PARTS.split(text)):
        if not part:
            continue
        tokens = [CARD_WORDS[t] for t in asked_tokens(part) if t in CARD_WORDS]
        whole = len(plain(part).split()) <= 2
        if not tokens or not whole:
            raise WordsError(say("'{word}' is no allergen I know. Spell it as on the label.",
                                 word=Label(part[:30])))  # fmt: skip
        found += [t for t in tokens if t not in found]
    return (";".join(found), ()) if found else None


def allergens_of(value: str) -> tuple[str, ...] | None:
    """Return a card's allergens; None where the labels were not read."""
    if value in {"", UNKNOWN}:
        return None
    return () if value == NONE else tuple(value.split(";"))


def slug(name: str) -> str:
    """Return a short name for a file: letters, digits, dashes; 'dish' where nothing is left.

    Examples
    --------
    >>> slug("Lamb rump, Aña's"), slug("¡¿!?")
    ('lamb-rump-anas', 'dish')
    """
    words = re.sub(r"[^a-z0-9]+", "-", folded(name)).strip("-")[:40].strip("-")
    return words or "dish"
