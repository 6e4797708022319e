"""Words with values in them: what the core says, before any language."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from core.model.vocabulary import Verdict


@dataclass(frozen=True, slots=True)
class Qty:
    """A number with its unit as a cook reads it; `digits` after the point, None for 'as is'."""

    value: float
    unit: str
    digits: int | None = None


@dataclass(frozen=True, slots=True)
class Span:
    """A range with its unit: '10-15 min'."""

    low: float
    high: float
    unit: str
    digits: int | None = None


@dataclass(frozen=True, slots=True)
class Clock:
    """An instant to be spoken as site time: '18:30'."""

    at: datetime


@dataclass(frozen=True, slots=True)
class Label:
    """A dish, tub, load or person name: never translated."""

    text: str


@dataclass(frozen=True, slots=True)
class Who:
    """A person, by id: a line that may become a fact names nobody."""

    person: str


@dataclass(frozen=True, slots=True)
class Line:
    """One sentence: an English template and the values in it. The edge translates and formats.

    `text` is the gettext message id with `{name}` fields. Values keep their meaning (`Qty`,
    `Clock`, `Label`, a nested `Line`, a `Verdict`), so that 1.5 kg is '1,5 kg' to a Spanish reader.
    A plain str field is itself a message id and gets translated; use `Label` for names.
    """

    text: str
    fields: Mapping[str, Value] = field(default_factory=dict)


Value = Qty | Span | Clock | Label | Who | Line | Verdict | str | int


def say(text: str, /, **fields: Value) -> Line:
    """Return a `Line`; the one place where templates are written, so catalogues can find them.

    Examples
    --------
    >>> say("{salt} salt", salt=Qty(1.5, "kg"))
    Line(text='{salt} salt', fields={'salt': Qty(value=1.5, unit='kg', digits=None)})
    """
    return Line(text, fields)


@dataclass(frozen=True, slots=True)
class Source:
    """Where a number or verdict comes from; `status` is C, C2, M, house, card, rule of thumb."""

    id: str
    title: str
    clause: str = ""
    status: str = ""


@dataclass(frozen=True, slots=True)
class Number:
    """One number of an answer for machines; `name` snake_case English, an ISO string for a time."""

    name: str
    value: float | str
    unit: str
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer: verdict or number first, at most four lines, one question with its choices."""

    lines: tuple[Line, ...]
    verdict: Verdict | None = None
    numbers: tuple[Number, ...] = ()
    read_as: Line | None = None
    question: Line | None = None
    choices: tuple[Line, ...] = ()
    sources: tuple[Source, ...] = ()
