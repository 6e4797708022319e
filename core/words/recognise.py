"""One typed word to its concept. Forgives a typo in a trade word, never in an allergen's."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache, lru_cache

from rapidfuzz.distance import OSA

from core.words.atoms import Atom, atoms, folded, tidy
from core.words.everyday import PLAIN
from core.words.food_words import ALLERGENS
from core.words.numerals import NUMBER_WORDS, ORDINALS, TIMES
from core.words.tokens import Word
from core.words.vocabulary import TRADE, Row, spellings

LANGS = ("en", "es")
LONGEST_PHRASE = 4  # words
_LONGEST_WORD = 24  # letters; a longer one is no typo of ours


@cache
def _table(lang: str) -> Mapping[str, str]:
    """Return folded spelling -> concept; an allergen's row wins where a spelling is in both."""
    rows: Iterable[tuple[str, Row]] = [*TRADE.items(), *ALLERGENS.items()]
    return {spelling: concept for concept, row in rows for spelling in spellings(row, lang)}


@cache
def _typo_targets() -> tuple[tuple[str, str, str], ...]:
    """Return (spelling, concept, lang) of every single trade word long enough for a typo."""
    return tuple(
        (spelling, concept, lang)
        for lang in LANGS
        for concept, row in TRADE.items()
        for spelling in spellings(row, lang)
        if len(spelling) >= 4 and spelling.isalpha()
    )


@cache
def _allergen_words() -> frozenset[str]:
    return frozenset(
        word
        for lang in LANGS
        for row in ALLERGENS.values()
        for spelling in spellings(row, lang)
        for word in spelling.split()
    )


@cache
def _never_a_typo() -> frozenset[str]:
    everyday = PLAIN["en"] | PLAIN["es"] | frozenset(TIMES) | frozenset(ORDINALS)
    return everyday | frozenset(w for lang in LANGS for s in _table(lang) for w in s.split())


def _edits_forgiven(word: str) -> int:
    return 2 if len(word) >= 9 else 1


def _is_typo_of(word: str, spelling: str) -> int | None:
    """Return how many edits apart, or None when that is too many to be a slip of the thumb.

    In a short word only swapped or doubled letters are forgiven: 'road' is not 'load'.
    """
    if word[0] != spelling[0]:
        return None
    edits = OSA.distance(word, spelling, score_cutoff=_edits_forgiven(word))
    if edits > _edits_forgiven(word):
        return None
    short = min(len(word), len(spelling)) < 6
    if short and sorted(word) != sorted(spelling) and _undoubled(word) != _undoubled(spelling):
        return None
    return int(edits)


def _undoubled(word: str) -> str:
    return "".join(c for i, c in enumerate(word) if i == 0 or word[i - 1] != c)


@lru_cache(maxsize=4096)  # bounded: what is typed is anybody's
def _near(word: str) -> tuple[str, str] | None:
    """Return (concept, lang) of the one trade word this is a typo of, or None."""
    if not 4 <= len(word) <= _LONGEST_WORD or not word.isalpha() or word in _never_a_typo():
        return None
    best: dict[int, set[tuple[str, str]]] = {}
    for spelling, concept, lang in _typo_targets():
        edits = _is_typo_of(word, spelling)
        if edits is not None:
            best.setdefault(edits, set()).add((concept, lang))
    if not best or _could_be_allergen(word, min(best)):
        return None
    candidates = best[min(best)]
    if len({concept for concept, _ in candidates}) > 1:
        return None
    return min(candidates)


def _could_be_allergen(word: str, edits: int) -> bool:
    """Tell whether an allergen word is as close: then the word is left alone, and asked about."""
    return any(
        OSA.distance(word, allergen, score_cutoff=edits) <= edits for allergen in _allergen_words()
    )


def phrase_concept(words: str, lang: str) -> tuple[str, str] | None:
    """Return (concept, lang) of a spelling as it stands, the reader's language first."""
    for tried in (lang, *(other for other in LANGS if other != lang)):
        concept = _table(tried).get(words) if tried in LANGS else None
        if concept is not None:
            return concept, tried
    return None


def recognised(text: str, lang: str = "en") -> Word:
    """Return a single word with the concept it stands for.

    Examples
    --------
    >>> recognised("chiken").canonical, recognised("salmeura", "es").canonical
    ('chicken', 'brine')
    >>> recognised("sesmae").known, recognised("sesame").canonical
    (False, 'sesame')
    """
    word = folded(text)
    exact = phrase_concept(word, lang)
    if exact is not None:
        return Word(text, exact[0], exact[1], known=True)
    near = _near(word)
    if near is not None:
        return Word(text, near[0], near[1], known=True, near=True)
    return Word(text, word)


def _votes(found: tuple[Atom, ...], lang: str) -> int:
    """Return how many words are this language's and not the other's."""
    other = "en" if lang == "es" else "es"
    return sum(
        1
        for word in (a.folded.rstrip("0123456789") for a in found if a.kind in {"word", "tail"})
        if len(word) > 1 and _speaks(word, lang) and not _speaks(word, other)
    )


def _speaks(word: str, lang: str) -> bool:
    known = word in PLAIN[lang] or word in _table(lang)
    return known or (word != "once" and word in NUMBER_WORDS[lang])


def language_of(text: str) -> str | None:
    """Return 'en' or 'es' where the words say so, None where they say neither or both.

    Examples
    --------
    >>> language_of("cuando aliño"), language_of("whats next"), language_of("A 46")
    ('es', 'en', None)
    """
    line = tidy(text)
    found = atoms(line)
    spanish, english = _votes(found, "es"), _votes(found, "en")
    spanish += any(sign in line for sign in "¿¡ñÑáÁéÉíÍóÓúÚ")
    if spanish == english:
        return None
    return "es" if spanish > english else "en"
