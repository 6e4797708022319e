"""What an event wants to know, as it is kept: dates, menus, windows, paces, emergency cards."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from core.model import Label, Line, say
from core.trial.days import day_said, window_said
from core.trial.fields import Kind
from core.trial.goods import WordsError
from core.words.atoms import folded

_PARTS = re.compile(r";|\n|,|\s(?:and|y|e)\s", re.IGNORECASE)
_PART = re.compile(
    r"^(?:(?P<before>\d{1,5})\s*x?\s+)?(?P<name>\D.*?)"
    r"(?:\s*[:=x]?\s*(?P<n>\d{1,5})(?P<pct>\s*%)?(?:\s*(?:pax|heads|people|personas))?)?"
    r"(?:\s+(?:for\s+)?(?:all|everyone|todos|para todos))?$",
    re.IGNORECASE,
)
_FIRST_YEAR, _LAST_YEAR = 2000, 2100
_PACE = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s*(?:a|per|al|por|/)?\s*(?:min\w*)?", re.IGNORECASE)
MOST_PER_MIN = 100.0
MOST_HEADS = 20_000


@dataclass(frozen=True, slots=True)
class Context:
    """What an answer may name: saved dishes and events by folded name, and today."""

    today: date | None = None
    dishes: Mapping[str, str] = field(default_factory=dict)
    likes: Mapping[str, str] = field(default_factory=dict)


Kept = tuple[str, tuple[Line, ...]]


def event_value(kind: Kind, text: str, context: Context) -> Kept | None:
    """Return an answer as an event keeps it; None if it is none.

    Raises
    ------
    WordsError
        If it names what is not there, or cannot be.
    """
    match kind:
        case Kind.DAY:
            return _day(text, context)
        case Kind.WINDOW:
            window = window_said(text)
            return ("-".join(part for part in window if part), ()) if window else None
        case Kind.SPLIT:
            return _split(text, context)
        case Kind.PACE:
            return _pace(text)
        case Kind.PLACE:
            return named(text, context.likes, say("I know no event '{name}'. There is: {known}."))
        case _:
            return _emergency(text)


def _day(text: str, context: Context) -> Kept | None:
    today = context.today
    if today is None:
        return None
    day = day_said(text, today)
    if day is None:
        return None
    if day < today or not _FIRST_YEAR <= day.year <= _LAST_YEAR:
        raise WordsError(say("{day} is over.", day=Label(day.isoformat())))
    return day.isoformat(), ()


def _split(text: str, context: Context) -> Kept | None:
    """Return dishes and how many eat them, 'lamb-rump=52;salad='; no number is everybody."""
    kept: dict[str, str] = {}
    for part in (" ".join(p.split()) for p in _PARTS.split(text)):
        if not part:
            continue
        found = _PART.match(part)
        if found is None:
            return None
        name = named(found["name"], context.dishes,
                     say("I know no dish '{name}'. There is: {known}."))  # fmt: skip
        many = found["n"] or found["before"] or ""
        if found["pct"]:
            many += " %"
        kept[name[0]] = many
    return (";".join(f"{dish}={many}" for dish, many in kept.items()), ()) if kept else None


def named(name: str, known: Mapping[str, str], unknown: Line) -> Kept:
    """Return what a name stands for: as it is called, or the only one it is a part of.

    Raises
    ------
    WordsError
        If nothing is called so, or more than one thing.
    """
    wanted = folded(name).strip(" .!?:")
    if wanted in known:
        return known[wanted], ()
    words = wanted.replace("-", " ").split()
    near = {value for called, value in known.items() if words and _has(called, words)}
    if len(near) == 1:
        return near.pop(), ()
    listed = ", ".join(dict.fromkeys(known.values())) or "-"
    raise WordsError(Line(unknown.text, {"name": Label(name[:40]), "known": Label(listed[:200])}))


def _has(called: str, words: list[str]) -> bool:
    """Say whether every word begins one of a name's words."""
    own = called.replace("-", " ").split()
    return all(any(each.startswith(word) for each in own) for word in words)


def _pace(text: str) -> Kept | None:
    found = _PACE.fullmatch(text.strip())
    if found is None:
        return None
    pace = float(found[1].replace(",", "."))
    if not 0.01 <= pace <= MOST_PER_MIN:
        raise WordsError(say("{pace} guests a minute cannot be.", pace=Label(found[1])))
    return f"{pace:g}", ()


def _emergency(text: str) -> Kept | None:
    """Return number, address and gate; who gives first aid is a name and not kept here."""
    parts = [" ".join(part.split())[:100] for part in text.replace("|", " ").split(",")]
    parts = [part for part in parts if part]
    if len(parts) < 2 or not re.fullmatch(r"\+?[\d ]{2,20}", parts[0]):
        return None
    gate = parts[-1] if len(parts) > 2 else ""
    address = ", ".join(parts[1:-1] if gate else parts[1:])
    return "|".join((parts[0], address, gate)), ()
