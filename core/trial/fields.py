"""What can be asked of a cook at the bench: a field's kind, its names, its question, its taps."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.model import Line

NONE = "none"
"""There is none of it, said by the cook: no brine, no second fire."""

UNKNOWN = "unknown"
"""The cook does not know; the card says so."""


class Kind(StrEnum):
    """What may fill a field."""

    COUNT = "count"
    MASS = "weight"
    LENGTH = "thickness"
    FIRE = "fire temperature"
    CORE = "core temperature"
    MINUTES = "time"
    SERIES = "cores over time"
    PEAK = "core and minutes"
    SEAR = "minutes and fire"
    PORTION = "portion"
    PRICE = "price"
    WORD = "word"
    GOODS = "goods"
    ALLERGENS = "allergens"
    NAME = "name"
    DAY = "day"
    WINDOW = "window"
    SPLIT = "split"
    PACE = "pace"
    EMERGENCY = "emergency card"
    PLACE = "place"


@dataclass(frozen=True, slots=True)
class Tap:
    """An answer that can be tapped: its words on the screen, its value, how it may be typed."""

    line: Line
    value: str
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Field:
    """One thing a card wants to know.

    `words` are what a cook may call it, folded, in both languages; `title` what we call it.
    Without `must` it may stay unknown.
    """

    name: str
    kind: Kind
    words: tuple[str, ...]
    title: Line
    ask: Line
    taps: tuple[Tap, ...] = ()
    must: bool = False
