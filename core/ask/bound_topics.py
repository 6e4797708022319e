"""Numbers that cannot be: none, less than none, beyond any kitchen, or in a form nobody weighs by.

They are refused in one line before any amount is worked out, so that '1e308 kg' is never read as
308 kg, nor 0 g of steak divided by.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from core.ask.load_topics import size_cm
from core.ask.said import Said, said
from core.ask.topic import AskContext, Rank, Topic
from core.errors import OutOfRangeError
from core.model import Answer, Label, Line, Value
from core.words import Delta, Num, Quantity, Ratio, Size, Times, Token, Word

_POWERS = re.compile(r"(?<![a-z0-9])[-+]?\d+(?:[.,]\d+)?e[-+]?\d+")
_NO_NUMBER = re.compile(
    r"(?<![a-z0-9])[-+]?(?:nan|inf|infinity) ?(?:kg|g|lb|oz|l|ml|gal|h|min|%)\b"
)
_THREE_PARTS = re.compile(r"(?<![\d:])\d+ ?: ?\d+ ?: ?\d+(?![\d:])")

MOST = {
    "mass": (100_000.0, "at most 100 000 kg"),
    "volume": (100_000.0, "at most 100 000 L"),
    "length": (100_000.0, "at most 1 000 m"),
    "time": (525_600.0, "at most a year"),
    "power": (10_000.0, "at most 10 000 kW"),
    "percent": (10.0, "at most 1 000 %"),
    "ppm": (1_000_000.0, "at most 1 000 000"),
}
"""Beyond these no crowd of this kind is fed: a slip of the finger; kg, L, cm, min, kW, parts."""

MOST_COUNTED = 1_000_000.0
MOST_SIDE_CM = 10_000.0
MOST_DEGREES = 2_000.0

_NOT_NONE = ("mass", "volume", "length", "power")
_FED = frozenset({"people", "heads", "portions", "plates", "children", "pieces", "head", "cabbage"})
_KIT = frozenset({"grate", "grill", "rack", "tray", "pit", "tub", "case", "pack", "box", "lane"})
_CUT = frozenset({"cabbage", "head"})
_COUNTED = _FED | _KIT | {"load", "batch", "table"}
_BY_SHARE = ("brine", "salt", "concentrate", "bleach", "sanitiser", "nitrite", "cure", "dry_brine")
_FOR_HOURS = ("charcoal", "embers", "gas", "pellets", "wood", "ice", "water")


@dataclass(frozen=True, slots=True)
class ImpossibleQuestion:
    """What was typed, and what it would have to be."""

    name: str
    typed: str
    allowed: str


def read_impossible(
    tokens: Sequence[Token], text: str, context: AskContext
) -> ImpossibleQuestion | None:
    """Read '1e308 kg', '0 g steak', '-18 L', '5:1:2', '0 grates'."""
    line = said(tokens, text, context)
    return _form(line) or _size_of_it(line) or _none_of_it(line) or _less_than_none(line)


def _form(line: Said) -> ImpossibleQuestion | None:
    folded = line.text.casefold()
    for pattern in (_POWERS, _NO_NUMBER):
        found = pattern.search(folded)
        if found is not None:
            return ImpossibleQuestion("number", found.group(), "written out in figures, like 1200")
    parts = _THREE_PARTS.search(folded)
    if parts is not None and any(isinstance(t, Ratio) for t in line.tokens):
        return ImpossibleQuestion("ratio", parts.group(), "of two parts, like 5:1")
    return None


def _size_of_it(line: Said) -> ImpossibleQuestion | None:
    for kind, (most, allowed) in MOST.items():
        for amount in line.amounts(kind):
            if amount.base > most:
                return ImpossibleQuestion("amount", _typed(line, amount.at), allowed)
    for at, value in line.bare():
        if value > MOST_COUNTED:
            return ImpossibleQuestion("number", _typed(line, at), "at most 1 000 000")
    for token in line.tokens:
        if isinstance(token, Delta) and abs(token.value) > MOST_COUNTED:
            return ImpossibleQuestion("number", token.text, "at most 1 000 000")
        if isinstance(token, Size) and max(_sides_cm(token)) > MOST_SIDE_CM:
            return ImpossibleQuestion("size", token.text, "at most 100 m")
        degrees = isinstance(token, Quantity) and token.unit in {"°C", "°F", "°"}
        if isinstance(token, Quantity) and degrees and abs(token.value) > MOST_DEGREES:
            return ImpossibleQuestion("temperature", token.text, "at most 2 000 degrees")
    return None


def _sides_cm(typed: Size) -> tuple[float, float]:
    size = size_cm(typed)
    return size.width_cm, size.depth_cm


def _none_of_it(line: Said) -> ImpossibleQuestion | None:
    kinds = [*_NOT_NONE, *(["percent"] if line.has(*_BY_SHARE) else [])]
    kinds += ["time"] if line.has(*_FOR_HOURS) else []
    for kind in kinds:
        for amount in line.amounts(kind):
            if amount.base <= 0:
                return ImpossibleQuestion("amount", _typed(line, amount.at), "above 0")
    for at, token in enumerate(line.tokens):
        if isinstance(token, Size) and min(token.a, token.b) <= 0:
            return ImpossibleQuestion("size", token.text, "above 0")
        if isinstance(token, Times) and token.value <= 0:
            return ImpossibleQuestion("number", token.text, "above 0")
        if isinstance(token, Num) and token.value < _fewest(line, at):
            return ImpossibleQuestion("number", _with_noun(line, at), "1 or more")
    return None


def _fewest(line: Said, at: int) -> float:
    """Return what a number must at least be for the noun behind it; half a cabbage is fine."""
    after = line.tokens[at + 1] if at + 1 < len(line.tokens) else None
    noun = after.canonical if isinstance(after, Word) else ""
    if noun in _CUT:
        return 1e-6
    return 1.0 if noun in _COUNTED else float("-inf")


def _less_than_none(line: Said) -> ImpossibleQuestion | None:
    units = {*line.units("mass", "volume", "length", "power"), "%"}
    units |= line.units("time") if line.has(*_FOR_HOURS) else set()
    for token in line.tokens:
        if isinstance(token, Delta) and token.value < 0 and token.unit in units:
            return ImpossibleQuestion("amount", token.text, "above 0")
    for token, after in pairwise(line.tokens):
        kit = isinstance(after, Word) and after.canonical in _KIT
        if kit and isinstance(token, Delta) and token.value < 0 and not token.unit:
            return ImpossibleQuestion("number", f"{token.text} {after.text}", "1 or more")
    return None


def _typed(line: Said, at: int) -> str:
    token = line.tokens[at]
    return token.text if isinstance(token, Num | Quantity) else ""


def _with_noun(line: Said, at: int) -> str:
    noun = line.tokens[at + 1]
    return f"{_typed(line, at)} {noun.text}"


def answer_impossible(question: ImpossibleQuestion, _: AskContext) -> Answer:
    """Answer with what is wrong and what would be right, in one line."""
    fields: dict[str, Value] = {
        "name": question.name,
        "value": Label(question.typed),
        "allowed": question.allowed,
    }
    return Answer((Line(OutOfRangeError.template, fields),))


TOPICS = (Topic("impossible", Rank.IMPOSSIBLE, read_impossible, answer_impossible),)
