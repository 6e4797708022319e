"""From a TOML value to one of ours, or why not. One function for each kind of key."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from enum import StrEnum
from typing import TypeVar

from bot.cards.errors import WrongError, among, shown
from bot.cards.section import Reader
from core import units
from core.errors import KitchenError
from core.model import Batch, Check, Moment, Pack, Size

T = TypeVar("T")
E = TypeVar("E", bound=StrEnum)

_MOMENT = re.compile(r"(?:T([+-][0-9]{1,2}) )?([0-9]{1,2}):([0-9]{2})")
_FARTHEST_DAY = 60
_LONGEST_LIST = 500

ALLERGENS = (
    # Regulation (EU) 1169/2011, Annex II, its cereals and nuts by name; US: FD&C Act 201(qq).
    *("gluten", "wheat", "rye", "barley", "oats", "spelt", "crustaceans", "eggs", "fish"),
    *("peanuts", "soy", "milk", "celery", "mustard", "sesame", "sulphites", "lupin", "molluscs"),
    *("nuts", "almonds", "hazelnuts", "walnuts", "cashews", "pecans", "brazil-nuts"),
    *("pistachios", "macadamias"),
)


# ------------------------------------------------------------------ words


def text(value: object) -> str:
    """Return words: one line, not empty, not endless."""
    if not isinstance(value, str):
        raise WrongError(f"{shown(value)} is not text", "put it in quotation marks")
    if not value.strip():
        raise WrongError("is empty", "write something or leave the key out")
    if len(value) > 200 or not value.isprintable():
        raise WrongError(f"{shown(value)} is no line of text", "at most 200 characters, one line")
    return value.strip()


def name(value: object) -> str:
    """Return a short name that can be typed in a chat: letters, digits, dashes."""
    word = text(value)
    if not re.fullmatch(r"[A-Za-z0-9](?:[A-Za-z0-9_-]{0,38}[A-Za-z0-9])?", word):
        raise WrongError(
            f"{shown(word)} is no short name", "use letters, digits and dashes, at most 40"
        )
    return word


def choice(*words: str) -> Reader[str]:
    """Return a reader of one word of a few."""

    def read(value: object) -> str:
        if value not in words:
            hint = among(value, words) if isinstance(value, str) else f"one of {' '.join(words)}"
            raise WrongError(f"{shown(value)} is not one of {' '.join(words)}", hint)
        return str(value)

    return read


def one_of(kind: type[E]) -> Reader[E]:
    """Return a reader of a member of a closed vocabulary."""
    word = choice(*kind)
    return lambda value: kind(word(value))


def allergen(value: object) -> str:
    """Return an allergen's name, spelled exactly: nothing is guessed here."""
    if value not in ALLERGENS:
        raise WrongError(f"{shown(value)} is no allergen I know", f"one of {' '.join(ALLERGENS)}")
    return str(value)


def currency(value: object) -> str:
    """Return an ISO 4217 code."""
    if not isinstance(value, str) or not re.fullmatch(r"[A-Z]{3}", value):
        raise WrongError(f"{shown(value)} is no currency code", "three capitals, like EUR")
    from babel.numbers import list_currencies

    if value not in list_currencies():
        raise WrongError(f"{shown(value)} is no currency code", "an ISO 4217 code, like EUR")
    return value


def zone(value: object) -> str:
    """Return the name of a time zone that exists."""
    from zoneinfo import ZoneInfo, available_timezones

    word = text(value)
    try:
        ZoneInfo(word)
    except (KeyError, ValueError, OSError) as bad:  # unknown, a path, a folder
        known = tuple(sorted(available_timezones()))
        raise WrongError(f"{shown(word)} is no time zone", among(word, known)) from bad
    return word


# ------------------------------------------------------------------ bare numbers


def whole(low: int, high: int) -> Reader[int]:
    """Return a reader of a whole number within limits."""

    def read(value: object) -> int:
        right = f"a whole number from {low} to {high}, without quotation marks"
        if not isinstance(value, int) or isinstance(value, bool):
            raise WrongError(f"{shown(value)} is not a whole number", right)
        if not low <= value <= high:
            raise WrongError(f"{shown(value)} is out of range", right)
        return value

    return read


def number(low: float, high: float) -> Reader[float]:
    """Return a reader of a number within limits."""

    def read(value: object) -> float:
        right = f"a number from {low:g} to {high:g}, without quotation marks"
        if not isinstance(value, int | float) or isinstance(value, bool):
            raise WrongError(f"{shown(value)} is not a number", right)
        if not low <= value <= high:  # refuses nan, too
            raise WrongError(f"{shown(value)} is out of range", right)
        return float(value)

    return read


def flag(value: object) -> bool:
    """Return true or false."""
    if not isinstance(value, bool):
        raise WrongError(f"{shown(value)} is neither", "true or false, without quotation marks")
    return value


# ------------------------------------------------------------------ quantities


def quantity(
    convert: Callable[[str], float], low: float, high: float, unit: str, example: str
) -> Reader[float]:
    """Return a reader of a number with its unit, within limits given in the unit we keep."""

    def read(value: object) -> float:
        if not isinstance(value, str):
            raise WrongError(f"{shown(value)} has no unit", f'text with a unit, like "{example}"')
        try:
            converted = convert(value)
        except KitchenError as bad:
            raise WrongError(str(bad).rstrip("."), f'write it like "{example}"') from bad
        if not low <= converted <= high:
            raise WrongError(f"{shown(value)} is out of range", f"{low:g} to {high:g} {unit}")
        return converted

    return read


duration = quantity(units.minutes, 0, 7 * 24 * 60, "min", "90 min")
some_time = quantity(units.minutes, 1 / 60, 7 * 24 * 60, "min", "90 min")
fire_temp = quantity(units.celsius, 30, 1000, "C", "110 C")
food_temp = quantity(units.celsius, -40, 110, "C", "63 C")
air_temp = quantity(units.celsius, -50, 60, "C", "22 C")
speed = quantity(units.speed_kmh, 0, 200, "km/h", "20 km/h")
part = quantity(units.fraction, 0, 1, "(0 to 100 %)", "8 %")
lost = quantity(units.fraction, 0, 0.99, "(0 to 99 %)", "8 %")
left = quantity(units.fraction, 0.01, 5, "(1 to 500 %)", "82 %")
spare = quantity(units.fraction, 0, 5, "(0 to 500 %)", "5 %")
piece_kg = quantity(units.mass_kg, 0.0005, 500, "kg", "190 g")
thickness = quantity(units.length_cm, 0.1, 60, "cm", "2.5 cm")
altitude = quantity(lambda said: units.length_cm(said) / 100, -430, 5000, "m", "1500 m")
litres = quantity(units.volume_l, 0.001, 20_000, "L", "18 L")
power = quantity(units.power_kw, 0.01, 1000, "kW", "12 kW")


def rectangle(value: object) -> Size:
    """Return a rectangle no larger than a yard."""
    if not isinstance(value, str):
        raise WrongError(f"{shown(value)} has no unit", 'text, like "200 x 70 cm"')
    try:
        width, depth = units.rectangle_cm(value)
    except KitchenError as bad:
        raise WrongError(str(bad).rstrip("."), 'write it like "200 x 70 cm"') from bad
    if not (0.5 <= width <= 2000 and 0.5 <= depth <= 2000):
        raise WrongError(f"{shown(value)} is out of range", "0.5 to 2000 cm each way")
    return Size(width, depth)


def batch(value: object) -> Batch:
    """Return an amount of something: pieces, portions, kg or L."""
    right = 'write it like "4 pieces", "1 L" or "162 g"'
    if not isinstance(value, str):
        raise WrongError(f"{shown(value)} has no unit", right)
    try:
        amount, unit = units.amount(value)
    except KitchenError as bad:
        raise WrongError(str(bad).rstrip("."), right) from bad
    if not 0 < amount <= 100_000:
        raise WrongError(f"{shown(value)} is out of range", "above 0 and at most 100000")
    return Batch(amount, unit)


def pack(value: object) -> Pack:
    """Return a pack on offer: ['12 kg', '86.40']; the price may be left out."""
    if not isinstance(value, list) or not 1 <= len(value) <= 2:
        raise WrongError(f"{shown(value)} is no pack", 'size and price, like ["12 kg", "86.40"]')
    size = batch(value[0])
    if len(value) == 1:
        return Pack(size.amount, size.unit)
    price = value[1]
    if not isinstance(price, str) or not re.fullmatch(r"[0-9]{1,7}([.,][0-9]{1,2})?", price):
        raise WrongError(f"{shown(price)} is no price", 'text without a currency, like "86.40"')
    return Pack(size.amount, size.unit, float(price.replace(",", ".")))


# ------------------------------------------------------------------ time


def day(value: object) -> date:
    """Return a date."""
    right = "a date without quotation marks, like 2026-06-13"
    if not isinstance(value, date) or isinstance(value, datetime):
        raise WrongError(f"{shown(value)} is not a date", right)
    if not 2000 <= value.year <= 2100:
        raise WrongError(f"{value.isoformat()} is out of range", "from 2000 to 2100")
    return value


def moment(value: object) -> Moment:
    """Return a wall-clock time on a day counted from the event's."""
    right = '"HH:MM", or "T-1 HH:MM" for the day before'
    found = _MOMENT.fullmatch(value) if isinstance(value, str) else None
    if found is None:
        raise WrongError(f"{shown(value)} is not a time of day", right)
    offset, hour, minute = int(found[1] or 0), int(found[2]), int(found[3])
    if hour > 23 or minute > 59:
        after = 'after midnight is "T+1 00:30"'
        raise WrongError(f"{shown(value)} is not a time of day", f"{right}; {after}")
    if abs(offset) > _FARTHEST_DAY:
        raise WrongError(f"{shown(value)} is too far away", f"at most {_FARTHEST_DAY} days")
    return Moment(offset, hour, minute)


def on_the_day(value: object) -> Moment:
    """Return a wall-clock time of the event's own day."""
    at = moment(value)
    if at.day:
        raise WrongError(f"{shown(value)} is another day", '"HH:MM"')
    return at


def shift(value: object) -> tuple[Moment, Moment]:
    """Return one shift: ['09:00', '17:30']."""
    if not isinstance(value, list) or len(value) != 2:
        raise WrongError(f"{shown(value)} is no shift", 'from and to, like ["09:00", "17:30"]')
    start, end = moment(value[0]), moment(value[1])
    if end <= start:
        raise WrongError(
            f"a shift from {start} to {end} ends before it starts",
            'write "T+1 02:00" for an end after midnight',
        )
    return start, end


def arrival(value: object) -> tuple[Moment, float]:
    """Return one point of a curve: by then so many guests have come."""
    if not isinstance(value, list) or len(value) != 2:
        raise WrongError(f"{shown(value)} is no point", 'time and guests so far: ["11:30", 60]')
    return moment(value[0]), number(0, 20_000)(value[1])


def check(value: object) -> Check:
    """Return one planned look: after so long expect this core."""
    if not isinstance(value, list) or len(value) != 2:
        raise WrongError(f"{shown(value)} is no check", 'minutes and core: ["31 min", "27.9 C"]')
    return Check(duration(value[0]), food_temp(value[1]))


# ------------------------------------------------------------------ lists


def listed(read: Reader[T]) -> Reader[tuple[T, ...]]:
    """Return a reader of a list of what `read` reads."""

    def read_all(value: object) -> tuple[T, ...]:
        if not isinstance(value, list):
            raise WrongError(f"{shown(value)} is not a list", "square brackets around it")
        if len(value) > _LONGEST_LIST:
            raise WrongError(f"has {len(value)} entries", f"at most {_LONGEST_LIST}")
        return tuple(read(item) for item in value)

    return read_all


def names(read: Reader[T]) -> Reader[tuple[T, ...]]:
    """Return a reader of a list in which nothing comes twice."""
    plain = listed(read)

    def read_all(value: object) -> tuple[T, ...]:
        items = plain(value)
        if len(set(items)) < len(items):
            raise WrongError("says something twice", "once is enough")
        return items

    return read_all
