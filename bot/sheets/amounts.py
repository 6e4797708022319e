"""How amounts, times and names are written on paper, and what stands on every page."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from bot.render import render
from core.model import Cards, Line, Moment, Qty
from core.scaling.sheets import Amount

Words = Callable[[Line], str]


def words_of(cards: Cards, lang: str) -> Words:
    """Return what turns a line into this reader's words, at this site's time."""
    return lambda line: render(line, lang, cards.event.zone)


def kitchen(value: float, unit: str, words: Words) -> str:
    """Return an amount as a kitchen weighs it: below a kilogram in grams, below a litre in mL."""
    small = {"kg": "g", "L": "mL"}.get(unit)
    if small and abs(value) < 1:
        value, unit = value * 1000, small
    return words(Line("{qty}", {"qty": Qty(value, unit)}))


def plain_number(value: float) -> str:
    """Return a number for a spreadsheet: with a point, no unit.

    Examples
    --------
    >>> plain_number(13.692), plain_number(6.0)
    ('13.692', '6')
    """
    return f"{value:.6g}"


def heads_of(names: tuple[str, ...], words: Words) -> tuple[str, ...]:
    """Return the heads of columns, each a word of ours."""
    return tuple(words(Line("{head}", {"head": name})) if name else "" for name in names)


def amount_of(amount: Amount, words: Words) -> str:
    """Return an amount with its unit."""
    return kitchen(amount.qty, amount.unit, words)


def time_of(minutes: float | None, words: Words) -> str:
    """Return a length of time: hours from two on; nothing for None."""
    if minutes is None:
        return ""
    hours = minutes >= 120
    return kitchen(minutes / 60 if hours else minutes, "h" if hours else "min", words)


def keep_of(below_c: float | None, words: Words) -> str:
    """Return how cold something is kept; nothing for None."""
    return "" if below_c is None else f"≤ {kitchen(below_c, '°C', words)}"


def foot_of(cards: Cards, heads: int, lang: str) -> str:
    """Return what stands at the foot of every page."""
    words = words_of(cards, lang)
    counted = words(Line("{heads}", {"heads": Qty(heads, "heads", 0)}))
    return f"{cards.event.name} · {counted}"


def day_of(cards: Cards) -> datetime:
    """Return the first instant of the event's day, for the date of a document."""
    return cards.event.instant(Moment(0, 0, 0))
