"""A line as plain words, and whether it weighs or counts: then it is no report of safety."""

from __future__ import annotations

from bot.phrases.manners import POLITE
from bot.phrases.said import Said
from core.ask.clearing import folded
from core.words import Quantity


def plain(line: Said) -> str:
    """Return the words without case, accents, signs, manners and swearing, a space around each."""
    return f" {' '.join(w for w in folded(line.text).split() if w not in POLITE)} "


def weighs(line: Said) -> bool:
    """Tell whether a line has an amount of food or a number of people."""
    units = {"kg", "g", "L", "mL", "lb", "oz"}
    return any(isinstance(t, Quantity) and t.unit in units for t in line.tokens) or line.has(
        "people"
    )
