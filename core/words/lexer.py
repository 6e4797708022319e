"""One line to tokens: each reader in turn, the longest word phrase last."""

from __future__ import annotations

import re

from core.words.amounts import (
    read_ago,
    read_delta,
    read_fraction,
    read_minutes_a_side,
    read_num,
    read_ordinal,
    read_quantity,
    read_range,
    read_ratio,
    read_size,
    read_times,
)
from core.words.atoms import Atom, atoms, tidy
from core.words.clock import read_time
from core.words.numerals import digits_for_words
from core.words.recognise import LONGEST_PHRASE, language_of, phrase_concept, recognised
from core.words.scan import Found, Reader, Scan
from core.words.tokens import Num, Token, Word

_NUMBERED = frozenset(
    {"load", "batch", "rack", "tray", "box", "hot_box", "cold_box", "tub", "lane", "table"}
    | {"pit", "grill", "probe", "oven", "ring", "pan"}
)
_LETTERS_DIGITS = re.compile(r"([^\W\d_]{3,})([0-9]{1,4})")
_SPOKEN_SIGNS = frozenset("?&=@#")

_READERS: tuple[Reader, ...] = (
    read_ago,
    read_size,
    read_minutes_a_side,
    read_time,
    read_ratio,
    read_delta,
    read_range,
    read_fraction,
    read_quantity,
    read_ordinal,
    read_times,
    read_num,
)


def _numbered(scan: Scan, i: int) -> Found | None:
    """Read 'lote2' and 'box3' as a thing and its number."""
    atom = scan.atoms[i]
    match = _LETTERS_DIGITS.fullmatch(atom.text) if atom.kind == "word" else None
    if match is None:
        return None
    thing = recognised(match[1], scan.lang)
    if thing.canonical not in _NUMBERED:
        return None
    return (thing, Num(float(match[2]), match[2])), 1


def _longest_phrase(scan: Scan, i: int) -> Found | None:
    """Read the longest run of words that has a meaning of its own: 'da la vuelta'."""
    for count in range(LONGEST_PHRASE, 1, -1):
        concept = scan.phrase(i, count)
        if concept is not None:
            return (Word(scan.text(i, count), concept[0], concept[1], known=True),), count
    return None


def _single(scan: Scan, atom: Atom) -> tuple[Token, ...]:
    if atom.kind in {"word", "tail"}:
        return (recognised(atom.text, scan.lang),)
    if atom.kind == "other":
        concept = phrase_concept(atom.folded, scan.lang)
        return (Word(atom.text, concept[0] if concept else atom.text, None, concept is not None),)
    if atom.kind == "sign" and atom.text not in _SPOKEN_SIGNS:
        return ()
    return (Word(atom.text, atom.text),)


def _at(scan: Scan, i: int) -> Found:
    phrase = _longest_phrase(scan, i)
    for reader in _READERS:
        found = reader(scan, i)
        if found is not None and (phrase is None or found[1] >= phrase[1]):
            return found
    return phrase or _numbered(scan, i) or (_single(scan, scan.atoms[i]), 1)


def lex(text: str, lang: str = "en") -> tuple[Token, ...]:
    """Return the tokens of a typed line; never raises, whatever was typed.

    Parameters
    ----------
    text
        One chat line. Only its first 2000 characters and 300 words are read.
    lang
        'en' or 'es', the writer's: decides '1.200' where nothing else does. Words are read in
        both languages, the line's own first.

    Examples
    --------
    >>> lex("5to1 conc 18L")
    (Ratio(a=5.0, b=1.0, text='5to1'), Word(text='conc', canonical='concentrate', lang='en', \
known=True, near=False), Quantity(value=18.0, unit='L', text='18L', alternatives=()))
    >>> lex("+40")
    (Delta(value=40.0, unit='', text='+40'),)
    """
    tidied = tidy(text)
    line = digits_for_words(tidied)
    found = atoms(line)
    scan = Scan(line, found, language_of(tidied) or lang)
    tokens: list[Token] = []
    i = 0
    while i < len(found):
        read, count = _at(scan, i)
        tokens.extend(read)
        i += count
    return tuple(tokens)
