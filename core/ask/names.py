"""Which of the cards' names is meant: typed words first, concepts for the other language."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from core.ask.said import Said
from core.scaling.measures import folded
from core.words import Word, lex

_EMPTY = frozenset(
    [
        "how_much",
        "how",
        "of",
        "de",
        "the",
        "a",
        "el",
        "la",
        "los",
        "las",
        "for",
        "para",
        "do",
        "we",
        "need",
        "is",
        "are",
        "in",
        "on",
        "what",
        "with",
        "con",
        "and",
        "y",
        "to",
        "event",
        "evento",
        "tonight",
        "hoy",
        "total",
        "now",
        "at",
        "per",
        "?",
        "my",
        "our",
        "all",
        "todo",
        "more",
        "me",
        "have",
        "i",
        "it",
        "there",
    ]
)
"""Words that name nothing."""


@cache
def concepts_of(name: str) -> frozenset[str]:
    """Return the concepts of a name's words, to meet a question in another language."""
    return frozenset(t.canonical for t in lex(name.replace("-", " "), "en") if isinstance(t, Word))


def asked(line: Said) -> tuple[frozenset[str], frozenset[str]]:
    """Return the words that name something, as typed and as concepts."""
    words = [t for t in line.tokens if isinstance(t, Word) and t.canonical not in _EMPTY]
    typed = frozenset(w for t in words for w in folded(t.text).split())
    return typed, frozenset(t.canonical for t in words)


def matching(line: Said, names: Iterable[str]) -> tuple[str, ...]:
    """Return the names that are meant: those with most typed words, else with most concepts."""
    typed, concepts = asked(line)
    scored = [
        (len(typed & set(folded(n.replace("-", " ")).split())), len(concepts & concepts_of(n)), n)
        for n in names
    ]
    best = max(((t, c) for t, c, _ in scored), default=(0, 0))
    if best == (0, 0):
        return ()
    return tuple(dict.fromkeys(n for t, c, n in scored if (t, c) == best))
