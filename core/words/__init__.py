"""Sloppy English and Spanish read into tokens: numbers strictly, trade words with tolerance.

A typo in a trade word is forgiven; a number or an allergen is read exactly or not at all. Where
a number can be read two ways, the token carries both readings and whoever uses it asks.

| File | What it holds |
|---|---|
| `tokens.py` | what a line can be made of: `Num`, `Quantity`, `Ratio`, `Time`, `Word`… |
| `vocabulary.py` | the trade's words, English and Spanish, and the concept each stands for |
| `food_words.py` | the same for what is cooked, and the allergen words that are never guessed |
| `everyday.py` | words that are nobody's typo and tell the language |
| `recognise.py` | one typed word to its concept, forgiving a typo |
| `atoms.py` | a line cut into numbers, words and signs |
| `numerals.py` | digits and number words to numbers, points and commas |
| `scan.py` | a line being read, and its units |
| `clock.py` | the ways to type a time of day |
| `amounts.py` | quantities, ratios, sizes, ranges, changes |
| `lexer.py` | `lex`, which tries the readers in turn |
| `degrees.py` | which scale a bare temperature is on |
"""

from __future__ import annotations

from core.words.clock import nearest_instant
from core.words.degrees import Degrees, core_temperature_c, pit_temperature_c
from core.words.lexer import lex
from core.words.recognise import language_of, recognised
from core.words.tokens import (
    Ago,
    Delta,
    Fraction,
    Num,
    Ordinal,
    Quantity,
    Range,
    Ratio,
    Size,
    Time,
    Times,
    Token,
    Word,
)

__all__ = [
    "Ago",
    "Degrees",
    "Delta",
    "Fraction",
    "Num",
    "Ordinal",
    "Quantity",
    "Range",
    "Ratio",
    "Size",
    "Time",
    "Times",
    "Token",
    "Word",
    "core_temperature_c",
    "language_of",
    "lex",
    "nearest_instant",
    "pit_temperature_c",
    "recognised",
]
