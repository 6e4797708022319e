"""The table tried row by row; what no row has is a question, or banter."""

from __future__ import annotations

import re

from bot.phrases.heard import Asked, Ear, Heard, Nothing, Queried, Unclear, Wished
from bot.phrases.said import Said, said
from bot.phrases.table import ROWS, SLASHES
from core.facts import GiveReading, ReportStep
from core.model import Label, say
from core.words import Token, Word
from core.words.atoms import LONGEST_LINE, folded

_SLASH = re.compile(r"\s*[/!]([A-Za-z]+)(?:@\w+)?(?:\s+|$)")
_PARTS = re.compile(r"\s*(?:;|\n|,(?=\s)|\s(?:and|then|y|e|luego)\s)\s*", re.IGNORECASE)
_MOST_PARTS = 6
_SMALL_TALK = frozenset({"cool", "ready", "done", "hold", "quick"})
_ALIASES = {"start": "help"}  # what some platforms send when a chat is opened


def parse(text: str, ear: Ear) -> Heard:
    """Return what a line means to this person now; never raises, whatever was typed.

    Examples
    --------
    >>> from datetime import UTC, datetime
    >>> ear = Ear(datetime(2026, 6, 13, 13, 14, tzinfo=UTC), UTC, loads=("A",), units=("A",))
    >>> parse("whats next", ear)
    Queried(what='next', arg='')
    """
    text = text[:LONGEST_LINE].strip()
    if not text:
        return Nothing()
    slashed = _SLASH.match(text)
    if slashed is not None:
        return _after_slash(slashed[1].lower(), text[slashed.end() :], ear)
    return _in_parts(text, ear) or _whole(said(text, ear))


def _after_slash(name: str, rest: str, ear: Ear) -> Heard:
    name = _ALIASES.get(name, name)
    if name not in SLASHES:
        return Queried("help")
    line = said(rest, ear, slash=name)
    rows = [row for row in ROWS if row.slash == name or (name == "check" and row.slash == "temp")]
    for row in rows:
        found = row.read(line)
        if found is not None:
            return found
    return Asked(rest) if rest.strip() and name != "help" else _unfinished(name)


def _unfinished(name: str) -> Heard:
    """Return the question a slash name leaves open when it stands alone."""
    example = next((row for row in ROWS if row.slash == name), None)
    if example is None:
        return Queried("help")
    return Unclear(
        say("/{name} what? Like: {example}", name=Label(name), example=Label(example.en))
    )


def _whole(line: Said) -> Heard:
    for row in ROWS:
        found = row.read(line)
        if found is not None:
            return found
    return Asked(line.text) if _is_business(line) else Nothing()


def _in_parts(text: str, ear: Ear) -> Heard | None:
    """Return 'a1 off, b1 on' as two reports; None unless every part is one by itself."""
    parts = [part for part in _PARTS.split(text) if part.strip()]
    if not 2 <= len(parts) <= _MOST_PARTS:
        return None
    heard = [_whole(said(part, ear)) for part in parts]
    booked = [h for h in heard if isinstance(h, Wished) and _names_itself(h)]
    if len(booked) < len(parts):
        return None
    times = {h.at for h in booked if h.at is not None}
    if len(times) > 1:
        return None
    return Wished(tuple(w for h in booked for w in h.wishes), next(iter(times), None))


def _names_itself(heard: Wished) -> bool:
    """Tell whether a part says what it is about: 'and 50' belongs to the part before."""
    return all(
        (isinstance(w, ReportStep) and bool(w.subject))
        or (isinstance(w, GiveReading) and bool(w.reading.about))
        for w in heard.wishes
    )


def _is_business(line: Said) -> bool:
    """Tell whether a line is about the cook at all, and not banter."""
    ear = line.ear
    names = {folded(part) for _, name in ear.people for part in name.split()}
    names |= {folded(name) for name in (*ear.units, *ear.stations) if len(name) > 1}
    return "?" in line.text or any(_is_trade(t, names) for t in line.tokens)


def _is_trade(token: Token, names: set[str]) -> bool:
    if not isinstance(token, Word):
        return any(c.isdigit() for c in token.text)
    everyday = token.canonical in {"me", "what", "can", "how", "at", "per", "go", "no", "yes", "ok"}
    everyday = everyday or folded(token.text) in _SMALL_TALK
    return (token.known and not everyday) or folded(token.text) in names
