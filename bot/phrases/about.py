"""What a report is about, what is left over once it is known, and what must be asked."""

from __future__ import annotations

from bot.phrases.heard import Unclear
from bot.phrases.said import Said
from bot.phrases.subjects import CONTAINERS, Named, all_of
from core.model import Label, Line, say
from core.words import Token, Word
from core.words.atoms import folded

_PASSING = frozenset({"a", "core", "temp", "reads", "mark", "hot", "now", "ok", "pieces", "clear"})
_FIRST_TO_LAST = ("unit", "load", "tub", "step", "dish", "station", "kind")
_MOST_CHOICES = 4


def subject_of(things: tuple[Named, ...]) -> Named | None:
    """Return what a report is about: food before the station it is on, one tub before its step."""
    for sort in _FIRST_TO_LAST:
        for one in things:
            if one.sort == sort or (sort == "tub" and one.kind == "tub" and one.sort == "station"):
                return one
    return None


def loads_of(things: tuple[Named, ...]) -> tuple[Named, ...]:
    """Return every load or batch named: 'A and B off' is two."""
    return tuple({t.name: t for t in things if t.sort in {"unit", "load"}}.values())


def left_over(line: Said, used: frozenset[int]) -> list[tuple[int, Token]]:
    """Return the words that are neither spoken for nor small talk of a report."""
    return [
        (i, w)
        for i, w in enumerate(line.words)
        if i not in used
        and not (isinstance(w, Word) and (w.canonical in _PASSING or w.canonical in CONTAINERS))
        and not (isinstance(w, Word) and is_person(w, line))
    ]


def is_person(word: Word, line: Said) -> bool:
    """Tell whether a word is somebody's name."""
    return any(folded(word.text) in {folded(i), folded(n)} for i, n in line.ear.people)


def names(texts: list[str] | tuple[str, ...]) -> tuple[Line, ...]:
    """Return names as choices, four at most."""
    return tuple(say("{name}", name=Label(text)) for text in texts[:_MOST_CHOICES])


def which(line: Said, things: tuple[Named, ...]) -> Unclear | None:
    """Return the question when several dishes, or stations, may be meant."""
    dishes = list(dict.fromkeys(t.name for t in things if t.sort == "dish"))
    above = any(t.sort in {"unit", "load", "step"} for t in things)
    if len(dishes) > 1 and not above:
        spoken = dict(line.ear.dishes)
        return Unclear(say("Which dish?"), names([spoken[d] for d in dishes]))
    kinds = [t for t in things if t.sort == "kind"]
    if kinds and len(kinds) == len(things):
        stations = all_of(line.ear, kinds[0].kind)
        return Unclear(say("Which one?"), names(stations)) if stations else None
    return None
