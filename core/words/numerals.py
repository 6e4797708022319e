"""Digits and number words to numbers; a point or comma before three digits has two readings."""

from __future__ import annotations

import re

MOST_DIGITS = 12  # longer than any number a kitchen types; what is longer is no number

_EN = "zero one two three four five six seven eight nine ten eleven twelve"
_ES = "cero uno dos tres cuatro cinco seis siete ocho nueve diez once doce"
NUMBER_WORDS = {
    "en": {word: n for n, word in enumerate(_EN.split())},
    "es": {word: n for n, word in enumerate(_ES.split())} | {"una": 1},
}
_TEENS_EN = "thirteen fourteen fifteen sixteen seventeen eighteen nineteen"
_TEENS_ES = "trece catorce quince dieciseis diecisiete dieciocho diecinueve"
_TENS_EN = "twenty thirty forty fifty sixty seventy eighty ninety"
_TENS_ES = "veinte treinta cuarenta cincuenta sesenta setenta ochenta noventa"
_TWENTIES_ES = (
    "veintiuno veintidos veintitres veinticuatro veinticinco veintiseis veintisiete veintiocho"
    " veintinueve"
)
_TEENS = {w: n for words in (_TEENS_EN, _TEENS_ES) for n, w in enumerate(words.split(), start=13)}
_TEENS |= {word: n for n, word in enumerate(_TWENTIES_ES.split(), start=21)}
_TEENS |= {"dieciséis": 16, "veintidós": 22, "veintitrés": 23, "veintiséis": 26}
_TENS = {w: n * 10 for words in (_TENS_EN, _TENS_ES) for n, w in enumerate(words.split(), start=2)}
_UNITS = {w: n for words in (_EN, _ES) for n, w in enumerate(words.split()) if 1 <= n <= 9}
_ABOVE_TWELVE = re.compile(
    rf"(?i)\b(?:({'|'.join(_TEENS)})|({'|'.join(_TENS)})(?:(?:\s*-\s*|\s+(?:y\s+)?)({'|'.join(_UNITS)}))?)\b"
)
_BIG_EN = "hundred hundreds thousand thousands million"
_BIG_ES = (
    "mil cien ciento cientos doscientos trescientos cuatrocientos quinientos seiscientos"
    " setecientos ochocientos novecientos millon"
)
BIG_WORDS = frozenset(f"{_BIG_EN} {_BIG_ES}".split())
"""Number words beyond what is read: a number beside one of them is no number by itself."""
_ARTICLES = {"una"}  # a number only in front of 'por', never on its own: 'una caja'

_THREE_AFTER = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:([.,])[0-9]{3})(?:\1[0-9]{3})+")
_BOTH = re.compile(r"[1-9][0-9]{0,2}(?:([.,])[0-9]{3})+(?!\1)[.,][0-9]+")

ORDINALS = {
    "first": 1,
    "primera": 1,
    "primero": 1,
    "primer": 1,
    "second": 2,
    "segunda": 2,
    "segundo": 2,
    "third": 3,
    "tercera": 3,
    "tercero": 3,
    "tercer": 3,
    "fourth": 4,
    "cuarta": 4,
    "fifth": 5,
    "quinta": 5,
    "quinto": 5,
    "last": -1,
    "ultima": -1,
    "ultimo": -1,
}

TIMES = {
    "double": 2.0,
    "doble": 2.0,
    "doblar": 2.0,
    "twice": 2.0,
    "triple": 3.0,
    "half": 0.5,
    "medio": 0.5,
    "media": 0.5,
    "mitad": 0.5,
}


def number_word(word: str, lang: str) -> int | None:
    """Return what a number word means; 'once' is eleven only to a Spanish reader.

    Examples
    --------
    >>> number_word("cinco", "en"), number_word("once", "en"), number_word("once", "es")
    (5, None, 11)
    """
    if word in _ARTICLES:
        return None
    if word == "once" and lang != "es":
        return None
    other = "en" if lang == "es" else "es"
    return NUMBER_WORDS.get(lang, NUMBER_WORDS["en"]).get(word, NUMBER_WORDS[other].get(word))


def digits_for_words(line: str) -> str:
    """Return a line with the number words from 13 to 99 written in digits.

    Examples
    --------
    >>> digits_for_words("load two off, fifty-one"), digits_for_words("A a cuarenta y seis")
    ('load two off, 51', 'A a 46')
    """

    def digits(match: re.Match[str]) -> str:
        if match[1]:
            return str(_TEENS[match[1].lower()])
        return str(_TENS[match[2].lower()] + (_UNITS[match[3].lower()] if match[3] else 0))

    return _ABOVE_TWELVE.sub(digits, line)


def readings(text: str, lang: str, kind: str) -> tuple[float, ...]:
    """Return the number a numeral means, most likely reading first; empty if it is none.

    Parameters
    ----------
    text
        Digits with points and commas.
    lang
        The reader's language: in Spanish a point groups thousands, in English a comma does.
    kind
        `count` where a whole number must be meant ('pax'), `fine` before a unit in which a
        decimal of three places is unlikely (g, mL, min), `coarse` before kg and L, else ''.

    Examples
    --------
    >>> readings("1.200", "es", "count"), readings("1.2", "es", ""), readings("2,5", "en", "")
    ((1200.0,), (1.2,), (2.5,))
    >>> readings("1.200", "es", ""), readings("1.200", "en", "coarse")
    ((1200.0, 1.2), (1.2, 1200.0))
    """
    if sum(c.isdigit() for c in text) > MOST_DIGITS:
        return ()
    if _GROUPED.fullmatch(text):
        return (float(re.sub("[.,]", "", text)),)
    if _BOTH.fullmatch(text):
        whole, _, part = text.replace(",", ".").rpartition(".")
        return (float(f"{whole.replace('.', '')}.{part}"),)
    if text.count(".") + text.count(",") > 1:
        return ()
    decimal = float(text.replace(",", "."))
    if not _THREE_AFTER.fullmatch(text):
        return (decimal,)
    grouped = float(re.sub("[.,]", "", text))
    if kind == "count":
        return (grouped,)
    thousands = kind == "fine" or (kind == "" and ("." in text) is (lang == "es"))
    if kind == "coarse":
        thousands = False
    return (grouped, decimal) if thousands else (decimal, grouped)
