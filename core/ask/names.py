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
    """Return the names that are meant.

    Those with most typed words win, then those with most concepts, which is how a question in
    the other language finds them; last, a name that was typed whole beats a longer one.
    """
    typed, concepts = asked(line)
    scored = [(_score(n, typed, concepts), n) for n in names]
    best = max((score for score, _ in scored), default=(0, 0, False))
    if best[:2] == (0, 0):
        return ()
    return tuple(dict.fromkeys(n for score, n in scored if score == best))


def _score(name: str, typed: frozenset[str], concepts: frozenset[str]) -> tuple[int, int, bool]:
    words = set(folded(name.replace("-", " ")).split())
    return len(typed & words), len(concepts & concepts_of(name)), words <= typed
