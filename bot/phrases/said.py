"""A line with its time, its fillers and its doubts taken apart."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.phrases.heard import Ear
from bot.phrases.manners import ASKING_FIRST, CONTRACTED, DENYING, DOUBTING, FILLERS
from core.words import (
    Ago,
    Delta,
    Num,
    Ordinal,
    Quantity,
    Time,
    Token,
    Word,
    language_of,
    lex,
    nearest_instant,
)
from core.words.atoms import folded

_ASKING = frozenset({"how_much", "how_long", "how", "when", "can"})
_LETTERS = frozenset("iyoe")  # words of one letter, however they are written
_TIME_LEADS = frozenset({"at", "from", "as", "since", "a", "desde", "por", "sobre"})


@dataclass(frozen=True, slots=True)
class Said:
    """A typed line: all tokens, those that carry meaning, and the times in it.

    `words` are the tokens without times and fillers, in order. `slash` is the slash name that
    was typed, '' for free words.
    """

    text: str
    ear: Ear
    tokens: tuple[Token, ...]
    words: tuple[Token, ...]
    times: tuple[Time, ...]
    agos: tuple[Ago, ...]
    slash: str = ""

    @property
    def at(self) -> datetime | None:
        """Return when it happened, as stated; the last time said counts ('12:11 as 12:08')."""
        now = self.ear.now
        if self.agos:
            return now - timedelta(minutes=self.agos[-1].minutes)
        return nearest_instant(self.times[-1], now, self.ear.zone) if self.times else None

    @property
    def concepts(self) -> tuple[str, ...]:
        """Return the concepts of the words that carry meaning."""
        return tuple(w.canonical for w in self.words if isinstance(w, Word))

    @property
    def lang(self) -> str:
        """Return the language the line is in."""
        return language_of(self.text) or self.ear.lang

    def has(self, *concepts: str) -> bool:
        """Tell whether any word, filler or not, stands for one of these."""
        return any(isinstance(t, Word) and t.canonical in concepts for t in self.tokens)

    def only(self, *concepts: str) -> bool:
        """Tell whether there are words, all for one of these, and nothing else."""
        return bool(self.words) and all(
            isinstance(w, Word) and w.canonical in concepts for w in self.words
        )

    @property
    def is_question(self) -> bool:
        """Tell whether something is asked rather than told."""
        spoken = [t for t in self.tokens if isinstance(t, Word)]
        if "?" in self.text or any(w.canonical in _ASKING for w in spoken):
            return True
        first = self.tokens[0] if self.tokens else None
        return isinstance(first, Word) and folded(first.text) in ASKING_FIRST

    @property
    def is_doubtful(self) -> bool:
        """Tell whether it is denied, expected or only thought of: then nothing has happened."""
        return bool(self._spoken & DOUBTING) or self._in_a_while or self.is_aimed

    @property
    def is_denied(self) -> bool:
        """Tell whether it is said not to be so."""
        return bool(self._spoken & DENYING)

    @property
    def _spoken(self) -> frozenset[str]:
        return frozenset(folded(t.text) for t in self.tokens if isinstance(t, Word))

    @property
    def is_aimed(self) -> bool:
        """Tell whether a number is where something is to go: 'take A to 46'."""
        pairs = zip(self.tokens, self.tokens[1:], strict=False)
        return any(
            isinstance(a, Word) and folded(a.text) == "to" and isinstance(b, Num | Quantity)
            for a, b in pairs
        )

    @property
    def _in_a_while(self) -> bool:
        """Tell whether it says 'in 5 min', 'en 5 min'."""
        pairs = zip(self.tokens, self.tokens[1:], strict=False)
        return any(
            isinstance(a, Word) and folded(a.text) in {"in", "en"} and _is_duration(b)
            for a, b in pairs
        )


def _is_duration(token: Token) -> bool:
    return isinstance(token, Quantity) and token.unit in {"min", "h", "s", "m"}


def said(text: str, ear: Ear, slash: str = "") -> Said:
    """Return a line taken apart."""
    tokens = lex(text, lang=ear.lang)
    times = tuple(t for t in tokens if isinstance(t, Time))
    agos = tuple(t for t in tokens if isinstance(t, Ago))
    names = _names(ear)
    kept = tuple(
        token
        for i, token in enumerate(tokens)
        if not isinstance(token, Time | Ago)
        and not _leads_to_time(tokens, i)
        and not (isinstance(token, Word) and _is_filler(token, names))
    )
    return Said(text, ear, tokens, kept, times, agos, slash)


def _leads_to_time(tokens: tuple[Token, ...], i: int) -> bool:
    token = tokens[i]
    if not isinstance(token, Word) or i + 1 == len(tokens):
        return False
    leads = token.canonical in _TIME_LEADS or folded(token.text) in _TIME_LEADS
    return leads and isinstance(tokens[i + 1], Time | Ago)


def _is_filler(word: Word, names: frozenset[str]) -> bool:
    plain = folded(word.text)
    if plain in names or (word.text.isupper() and len(word.text) == 1 and plain not in _LETTERS):
        return False
    if plain in CONTRACTED and "'" in word.text.replace("\u2019", "'"):
        return True
    is_sign = not word.known and not any(c.isalnum() for c in plain)
    return (plain in FILLERS and not _means_something(word)) or is_sign


def _means_something(word: Word) -> bool:
    """Tell whether an everyday word is one of the trade's here: 'on', 'me', 'now', 'made'."""
    return word.known and word.canonical not in {"at", "per", "from", "how", "what", "mix"}


def _names(ear: Ear) -> frozenset[str]:
    return frozenset(folded(n) for n in (*ear.loads, *ear.units, *ear.stations))


def number_of(token: Token) -> float | None:
    """Return a bare number that has one reading."""
    return token.value if isinstance(token, Num) and not token.alternatives else None


def is_number(token: Token) -> bool:
    """Tell whether a token counts, measures or places something."""
    return isinstance(token, Num | Quantity | Delta | Ordinal)
