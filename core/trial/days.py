"""Dates and times as a cook says them: '13 June', 'sábado', '14:00-15:30', '2pm'."""

from __future__ import annotations

import re
from datetime import date, timedelta

from core.model import say
from core.words.atoms import folded

_MONTHS = (
    ("january", "enero"), ("february", "febrero"), ("march", "marzo"), ("april", "abril"),
    ("may", "mayo"), ("june", "junio"), ("july", "julio"), ("august", "agosto"),
    ("september", "septiembre"), ("october", "octubre"), ("november", "noviembre"),
    ("december", "diciembre"),
)  # fmt: skip
_WEEKDAYS = (
    ("monday", "lunes"), ("tuesday", "martes"), ("wednesday", "miercoles"),
    ("thursday", "jueves"), ("friday", "viernes"), ("saturday", "sabado"), ("sunday", "domingo"),
)  # fmt: skip
WEEKDAYS = (
    say("Monday"), say("Tuesday"), say("Wednesday"), say("Thursday"), say("Friday"),
    say("Saturday"), say("Sunday"),
)  # fmt: skip
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_NUMBERS = re.compile(r"(\d{1,2})[/.](\d{1,2})(?:[/.](\d{4}|\d{2}))?\.?")
_DAY_MONTH = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th)?\s*(?:of|de)?\s*([a-z]{3,10})\.?(?:\s*(?:de)?\s*(\d{4}))?"
)
_MONTH_DAY = re.compile(r"([a-z]{3,10})\.?\s+(\d{1,2})(?:st|nd|rd|th)?,?(?:\s*(\d{4}))?")
_SKIPPED = re.compile(r"^(?:on|the|el|next|this|proximo|este|date|fecha|dia)\s+")
_CLOCK = r"(\d{1,2})(?:[:.h](\d{2}))?\s*(am|pm)?"
_WINDOW = re.compile(
    rf"(?:from|de|desde|at|a las|las)?\s*{_CLOCK}\s*h?"
    rf"(?:\s*(?:-|–|to|till|until|a|hasta)\s*(?:las\s*)?{_CLOCK}\s*h?)?"
)
_EVENING_UP_TO = 7  # 'plates at 6:30' is the evening (trade's reading of a bare hour)


def day_said(text: str, today: date) -> date | None:
    """Return the date that is meant, today or later where no year is said; None if it is none.

    Examples
    --------
    >>> today = date(2026, 5, 4)
    >>> day_said("13 June", today), day_said("sábado", today)
    (datetime.date(2026, 6, 13), datetime.date(2026, 5, 9))
    >>> day_said("13/6", today), day_said("1 de mayo", today)
    (datetime.date(2026, 6, 13), datetime.date(2027, 5, 1))
    >>> day_said("31/6", today) is None
    True
    """
    said = folded(text).strip(" .!?")
    while (shorter := _SKIPPED.sub("", said)) != said:
        said = shorter
    if said in {"tomorrow", "manana"}:
        return today + timedelta(days=1)
    if said in {"today", "hoy"}:
        return today
    for ahead in range(1, 8):
        each = today + timedelta(days=ahead)
        if said in _WEEKDAYS[each.weekday()]:
            return each
    return _dated(said, today)


def _dated(said: str, today: date) -> date | None:
    if found := _ISO.fullmatch(said):
        return _made(int(found[1]), int(found[2]), int(found[3]))
    if found := _NUMBERS.fullmatch(said):
        day, month = int(found[1]), int(found[2])
        if month > 12 >= day:
            day, month = month, day
        return _in_year(day, month, found[3], today)
    if (found := _DAY_MONTH.fullmatch(said)) and (month := _month(found[2])):
        return _in_year(int(found[1]), month, found[3], today)
    if (found := _MONTH_DAY.fullmatch(said)) and (month := _month(found[1])):
        return _in_year(int(found[2]), month, found[3], today)
    return None


def _month(word: str) -> int:
    """Return the number of a month by its name or a beginning of it; 0 for no month."""
    for number, names in enumerate(_MONTHS, 1):
        if any(name.startswith(word) for name in names):
            return number
    return 0


def _in_year(day: int, month: int, year: str | None, today: date) -> date | None:
    if year is not None:
        return _made(int(year) + (2000 if len(year) == 2 else 0), month, day)
    for each in range(today.year, today.year + 5):
        found = _made(each, month, day)  # the 29th of February waits for its year
        if found is not None and found >= today:
            return found
    return None


def _made(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def window_said(text: str) -> tuple[str, str | None] | None:
    """Return when plates go out, 'HH:MM' from and until; None if it is no time of day.

    Examples
    --------
    >>> window_said("14:00-15:30"), window_said("2pm"), window_said("de 14 a 15")
    (('14:00', '15:30'), ('14:00', None), ('14:00', '15:00'))
    >>> window_said("6:30 to 8"), window_said("25:00")
    (('18:30', '20:00'), None)
    """
    found = _WINDOW.fullmatch(folded(text).strip(" .!?"))
    if found is None:
        return None
    start = _clock(found[1], found[2], found[3])
    if start is None or not found[4]:
        return (start, None) if start else None
    end = _clock(found[4], found[5], found[6] or found[3])
    if end is not None and end <= start and int(found[4]) <= 12:
        end = _clock(found[4], found[5], "pm")
    return (start, end) if end is not None and end > start else None


def _clock(hour: str, minute: str | None, half: str | None) -> str | None:
    h, m = int(hour), int(minute or 0)
    if half == "pm" and h < 12:
        h += 12
    elif half == "am" and h == 12:
        h = 0
    elif half is None and 0 < h <= _EVENING_UP_TO:
        h += 12
    return f"{h:02}:{m:02}" if h < 24 and m < 60 else None
