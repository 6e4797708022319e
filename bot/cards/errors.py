"""What is wrong with a card: which file, line and key, and what would be right."""

from __future__ import annotations

from dataclasses import dataclass

from core.errors import KitchenError


@dataclass(frozen=True, slots=True, order=True)
class CardError:
    """One mistake in one card; `line` counts from 1, `key` is '' where no key is to blame."""

    file: str
    line: int
    key: str
    what: str
    right: str = ""

    def __str__(self) -> str:
        """Return it as the one line that `pitcrier check` prints."""
        parts = [f"{self.file}:{self.line}", self.key, self.what]
        text = ": ".join(part for part in parts if part)
        return f"{text}; {self.right}" if self.right else text


class CardsError(KitchenError):
    """Cards that cannot be taken; `errors` are all of their mistakes, in reading order."""

    template = "{first}"
    hint = "'pitcrier check' prints every mistake in the cards."

    def __init__(self, errors: tuple[CardError, ...]) -> None:
        self.errors = errors
        super().__init__(first=errors[0])


class WrongError(Exception):
    """A value is not what its key wants; says what would be."""

    def __init__(self, what: str, right: str = "") -> None:
        self.what, self.right = what, right
        super().__init__(what)


def plain(text: str) -> str:
    """Return the text on one line, without what could steer a terminal."""
    return "".join(c if c.isprintable() else "?" for c in text)


def shown(value: object) -> str:
    """Return a value for an error line: short even where the card is hostile."""
    text = plain(repr(value) if not isinstance(value, str) else f'"{value}"')
    return text if len(text) <= 40 else f"{text[:37]}..."


def nearest(name: str, known: tuple[str, ...]) -> str | None:
    """Return the known name that was probably meant."""
    from rapidfuzz import process
    from rapidfuzz.distance import DamerauLevenshtein

    found = process.extractOne(
        name.casefold()[:60],
        {k: k.casefold() for k in known},
        scorer=DamerauLevenshtein.normalized_similarity,
        score_cutoff=0.6,
    )
    return found[2] if found else None


def among(name: str, known: tuple[str, ...]) -> str:
    """Return the hint for a name nobody knows: the nearest, else what there is."""
    if near := nearest(name, known):
        return f"did you mean {near}?"
    some = ", ".join(known[:12])
    return f"there is: {some}{', ...' if len(known) > 12 else ''}" if known else "there is none"
