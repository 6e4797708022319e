"""The test kitchen's words: cards begun, listed, shown, copied, retired, started.

Said in a private chat they reach the kitchen; said anywhere else they are answered with where to
say them.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from bot.phrases.heard import Heard, Queried
from bot.phrases.said import Said

_NAME = r"(?P<name>\S.{0,70}?)"
_MANNERS = r"(?:\s+[a-z]{1,4})?\s*[.!?]?"
_CARD_EN, _CARD_ES = r"(?:the\s+)?card", r"(?:la\s+)?ficha"


@dataclass(frozen=True, slots=True)
class KitchenSaid:
    """A wish about cards: `what`, the name it is about, and a second one for a copy."""

    what: str
    name: str = ""
    other: str = ""
    lang: str = ""


def _rule(what: str, lang: str, pattern: str) -> tuple[str, str, re.Pattern[str]]:
    return what, lang, re.compile(rf"^\s*(?:/cook\s+)?{pattern}\s*$", re.IGNORECASE)


_RULES = (
    _rule("new-dish", "en", rf"new\s+(?:dish|recipe|card)\b(?:\s*:)?\s*(?:{_NAME})?"),
    _rule("new-dish", "es", rf"nuev[oa]\s+(?:plato|receta|ficha)\b(?:\s*:)?\s*(?:{_NAME})?"),
    _rule("new-event", "en", rf"new\s+event\b(?:\s*:)?\s*(?:{_NAME})?"),
    _rule("new-event", "es", rf"nuevo\s+evento\b(?:\s*:)?\s*(?:{_NAME})?"),
    _rule("dishes", "en", rf"(?:my\s+|all\s+|the\s+|saved\s+)?(?:dishes|cards){_MANNERS}"),
    _rule("dishes", "es", rf"(?:mis\s+|todas\s+las\s+|las\s+)?fichas{_MANNERS}"),
    _rule("events", "en", rf"(?:my\s+|all\s+|the\s+|saved\s+)?events{_MANNERS}"),
    _rule("events", "es", rf"(?:mis\s+|todos\s+los\s+|los\s+)?eventos{_MANNERS}"),
    _rule("copy-card", "en", rf"copy\s+(?:{_CARD_EN}\s+)?{_NAME}\s+as\s+(?P<other>\S.{{0,70}})"),
    _rule("copy-card", "es", rf"copia\s+(?:{_CARD_ES}\s+)?{_NAME}\s+como\s+(?P<other>\S.{{0,70}})"),
    _rule("retire-card", "en", rf"retire\s+(?:{_CARD_EN}\s+)?{_NAME}"),
    _rule("retire-card", "es", rf"retira\s+{_CARD_ES}\s+{_NAME}"),
    _rule("edit-card", "en", rf"edit\s+(?:{_CARD_EN}\s+)?{_NAME}"),
    _rule("edit-card", "es", rf"edita\s+(?:{_CARD_ES}\s+)?{_NAME}"),
    _rule("card", "en", rf"(?:show\s+)?card\s+{_NAME}"),
    _rule("card", "es", rf"(?:ver\s+|muestra\s+)?ficha\s+{_NAME}"),
)  # fmt: skip


def kitchen_said(text: str) -> KitchenSaid | None:
    """Return what a line wants of the cards; None if it is about something else.

    Examples
    --------
    >>> kitchen_said("new dish lamb rump")
    KitchenSaid(what='new-dish', name='lamb rump', other='', lang='en')
    >>> kitchen_said("copia lamb rump como cuello").other
    'cuello'
    >>> kitchen_said("A off 46")
    """
    for what, lang, pattern in _RULES:
        found = pattern.match(text[:200])
        if found is not None:
            parts = found.groupdict()
            name, other = parts.get("name") or "", parts.get("other") or ""
            return KitchenSaid(what, _tidy(name), _tidy(other), lang)
    return None


def _tidy(name: str) -> str:
    return " ".join(name.strip(" .!?\"'“”").split())


def _reader(what: str) -> Callable[[Said], Heard | None]:
    def read(line: Said) -> Heard | None:
        found = kitchen_said(line.text)
        return Queried(what, found.name) if found is not None and found.what == what else None

    return read


KITCHEN_ROWS: tuple[
    tuple[str, str, tuple[str, ...], str, str, str, Callable[[Said], Heard | None]], ...
] = tuple(
    ("cook", "cards", (), en, es, what, _reader(what))
    for what, en, es in (
        ("new-dish", "new dish lamb rump", "nuevo plato lamb rump"),
        ("new-event", "new event supper", "nuevo evento cena"),
        ("dishes", "dishes", "fichas"),
        ("events", "events", "eventos"),
        ("copy-card", "copy card lamb rump as lamb neck", "copia ficha lamb rump como lamb neck"),
        ("retire-card", "retire card lamb rump", "retira ficha lamb rump"),
        ("edit-card", "edit card lamb rump", "edita ficha lamb rump"),
        ("card", "card lamb rump", "ficha lamb rump"),
    )
)
"""Slash name, group, words, an example in each language, what it makes, and its reader."""

KITCHEN_WORDS = frozenset(row[5] for row in KITCHEN_ROWS)
"""What the rows make: heard elsewhere than alone with the bot, it is answered with where."""
