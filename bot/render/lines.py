"""A line with its values as words, in one language or stacked in several."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from datetime import datetime, tzinfo
from typing import assert_never

from bot.render.catalogue import translated
from bot.render.clock import clock_text
from bot.render.numbers import number_text, qty_text, span_text
from core.model import Clock, Label, Line, Qty, Span, Value, Verdict, Who

PUSH_LONGEST = 90  # characters a lock screen shows
_FIELD = re.compile(r"\{([a-z_][a-z0-9_]*)\}")


def plain(text: str) -> str:
    """Return a name on one line, without anything that could steer a screen."""
    steering = ("Cc", "Cf", "Cs", "Zl", "Zp")
    joiners = "\u200d\ufe0f"  # these two only hold an emoji together
    return "".join(
        " " if unicodedata.category(c) in steering and c not in joiners else c for c in text
    )


def render(line: Line, lang: str, zone: tzinfo, now: datetime | None = None) -> str:
    """Return a line as this reader reads it.

    Parameters
    ----------
    line
        Template and values.
    lang
        'en' or 'es'; another is answered in English.
    zone
        The site's zone, for every clock time.
    now
        The present; where given, a time on another day says which.

    Examples
    --------
    >>> from datetime import UTC
    >>> from core.model import say
    >>> render(say("{salt} of {what}", salt=Qty(1.5, "kg"), what=Label("A1")), "en", UTC)
    '1.5 kg of A1'
    """
    return filled(line.text, line.fields, lang, zone, now)


def filled(
    template: str,
    fields: Mapping[str, Value],
    lang: str,
    zone: tzinfo,
    now: datetime | None = None,
) -> str:
    """Return a translated template with its values put in; a value is never read as a template."""

    def put(match: re.Match[str]) -> str:
        name = match[1]
        return value_text(fields[name], lang, zone, now) if name in fields else match[0]

    return _FIELD.sub(put, translated(template, lang))


def value_text(value: Value, lang: str, zone: tzinfo, now: datetime | None = None) -> str:
    """Return one value of a line."""
    match value:
        case Verdict():
            return translated(value.value, lang)
        case Qty():
            return qty_text(value, lang)
        case Span():
            return span_text(value, lang)
        case Clock():
            return clock_text(value.at, lang, zone, now)
        case Label():
            return plain(value.text)
        case Who():
            return plain(value.person)
        case Line():
            return render(value, lang, zone, now)
        case str():
            return plain(translated(value, lang))
        case int():
            return number_text(value, lang, 0)
        case _:
            assert_never(value)


def stacked(
    line: Line, languages: Sequence[str], zone: tzinfo, now: datetime | None = None
) -> tuple[str, ...]:
    """Return a line in each language of a room, one under the other; what reads the same once."""
    return tuple(dict.fromkeys(render(line, lang, zone, now) for lang in languages or ("en",)))


def over_length(
    line: Line, languages: Sequence[str], zone: tzinfo, longest: int = PUSH_LONGEST
) -> tuple[str, ...]:
    """Return the languages in which a push is longer than a lock screen shows."""
    return tuple(lang for lang in languages if len(render(line, lang, zone)) > longest)
