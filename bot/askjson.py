"""An answer as JSON for machines; `ask --json`. Keys are English, texts in the reader's words.

The names of units are a closed list, so that a script can match on them; what is counted in pieces
or portions is a `count`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import isfinite

from core.model import Answer, Line, Number, Source

Words = Callable[[Line], str]
"""Turns a line into the reader's words."""

Json = dict[str, object]

UNITS: Mapping[str, str] = {  # as core counts → as machines read; every other unit is itself
    "": "count",
    "heads": "count",
    "loads": "count",
    "pcs": "count",
    "pieces": "count",
    "piece": "count",
    "portions": "count",
    "portion": "count",
    "plates": "count",
    "packs": "count",
    "l": "L",
    "ml": "mL",
    "C": "°C",
    "/min": "1/min",
    "per min": "1/min",
}

_DIGITS = 9  # a float's noise is not a number of the answer


def unit_name(unit: str) -> str:
    """Return a unit as machines read it.

    Examples
    --------
    >>> unit_name("pieces"), unit_name("kg")
    ('count', 'kg')
    """
    return UNITS.get(unit, unit)


def number_of(value: float) -> float | int | None:
    """Return a number without a float's noise; None where there is no number, for JSON has none.

    Examples
    --------
    >>> number_of(0.1 + 0.2), number_of(28.0), number_of(float("inf"))
    (0.3, 28, None)
    """
    if not isfinite(value):
        return None
    short = round(float(value), _DIGITS)
    return int(short) if short.is_integer() else short


def numbers_json(numbers: Sequence[Number]) -> list[Json]:
    """Return numbers in the order of the answer; a range adds `low` and `high`."""
    return [_number(number) for number in numbers]


def _number(number: Number) -> Json:
    value = number.value if isinstance(number.value, str) else number_of(number.value)
    found: Json = {"name": number.name, "value": value, "unit": unit_name(number.unit)}
    if number.low is not None and number.high is not None:
        found |= {"low": number_of(number.low), "high": number_of(number.high)}
    return found


def answer_json(answer: Answer, words: Words) -> Json:
    """Return an answer; `question` and `choices` stand there only where it must ask back."""
    found: Json = {
        "verdict": answer.verdict.value if answer.verdict else None,
        "numbers": numbers_json(answer.numbers),
        "read_as": words(answer.read_as) if answer.read_as else None,
        "text": "\n".join(words(line) for line in answer.lines),
        "sources": [_source(source) for source in answer.sources],
    }
    if answer.question is not None:
        found["question"] = words(answer.question)
        found["choices"] = [words(choice) for choice in answer.choices]
    return found


def _source(source: Source) -> Json:
    return {
        "id": source.id,
        "title": source.title,
        "clause": source.clause or None,
        "status": source.status or None,
    }
