"""Answers and errors as words: the verdict first, four lines, then the question."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, tzinfo

from bot.render.catalogue import translated
from bot.render.lines import filled, plain, render
from core.errors import CannotPlanError, KitchenError
from core.model import Answer, Clock, Label, Line, Qty, Span, Value, Verdict, say

MOST_LINES = 4


def render_answer(
    answer: Answer, lang: str, zone: tzinfo, now: datetime | None = None
) -> tuple[str, ...]:
    """Return an answer's lines: verdict first, how it was read, at most four; then the question.

    What is beyond four lines is put behind the fourth, never dropped: it may be the caution.
    """
    lines = [render(line, lang, zone, now) for line in answer.lines]
    if answer.verdict is not None:
        lines = _verdict_first(lines, answer.verdict, lang)
    lines += _echo(answer, lines, lang, zone, now)
    if len(lines) > MOST_LINES:
        lines[MOST_LINES - 1 :] = [" ".join(lines[MOST_LINES - 1 :])]
    question = (render(answer.question, lang, zone, now),) if answer.question else ()
    return (*lines, *question)


def _verdict_first(lines: list[str], verdict: Verdict, lang: str) -> list[str]:
    word = translated(verdict.value, lang)
    first = lines[0] if lines else ""
    if first == word or (first.startswith(word) and first[len(word)] in ".,:;!?"):
        return lines
    return [f"{word}. {first}".strip(), *lines[1:]]


def _echo(
    answer: Answer, lines: list[str], lang: str, zone: tzinfo, now: datetime | None
) -> list[str]:
    """Return how the question was read, unless a line says it already or there is no room."""
    if answer.read_as is None or not lines or len(lines) >= MOST_LINES:
        return []
    reading = render(answer.read_as, lang, zone, now)
    if any(reading.casefold() in line.casefold() for line in lines):
        return []
    return [render(say("Read as {reading}.", reading=Label(reading)), lang, zone, now)]


def render_error(
    error: KitchenError, lang: str, zone: tzinfo, now: datetime | None = None
) -> tuple[str, ...]:
    """Return what is wrong, and what would be right, in one line each."""
    text = filled(error.template, _fields(error), lang, zone, now)
    hint = translated(error.hint, lang)
    return (text, hint) if hint else (text,)


def _fields(error: KitchenError) -> Mapping[str, Value]:
    fields = {name: _value(value) for name, value in error.fields.items()}
    if isinstance(error, CannotPlanError):
        values = {name: _value(value) for name, value in error.values.items()}
        return {**fields, "why": Line(error.why, values)}
    return fields


def _value(value: object) -> Value:
    """Return a field of an error as a value of a line: its type where it has one, else text."""
    match value:
        case bool():
            return str(value)
        case Qty() | Span() | Clock() | Label() | Line() | Verdict() | str() | int():
            return value
        case float():
            return Qty(value, "")
        case _:
            return Label(plain(str(value)))
