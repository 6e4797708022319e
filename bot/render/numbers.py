"""Numbers as they are read: the sign for decimals, as many figures as make sense, the unit."""

from __future__ import annotations

from math import floor, isfinite, log10

from bot.render.catalogue import catalogue
from core.model import Qty, Span

_DECIMAL_SIGN = {"en": ".", "es": ","}
_THIN_SPACE = "\u202f"  # groups thousands: a point or comma there is read two ways
_FIGURES = 3
_NO_UNIT = frozenset({"", "count"})
_MEANT = frozenset({"1/min", "1/h"})

_ONE = {
    "heads": "head",
    "loads": "load",
    "pcs": "pc",
    "pieces": "piece",
    "portions": "portion",
    "plates": "plate",
    "jobs": "job",
    "files": "file",
    "cases": "case",
    "packs": "pack",
    "tubs": "tub",
    "trays": "tray",
    "slices": "slice",
    "people": "person",
    "days": "day",
    "bags": "bag",
    "bottles": "bottle",
    "batches": "batch",
    "pans": "pan",
    "cooks": "cook",
    "readings": "reading",
}
"""What is counted, many and one; the rest are units and look the same either way."""


def _places(value: float) -> int:
    """Return how many decimals three figures of a number have; none from a hundred on."""
    if value == 0:
        return 0
    return max(_FIGURES - 1 - floor(log10(abs(value))), 0)


def number_text(value: float, lang: str, digits: int | None = None) -> str:
    """Return a number as the reader writes it.

    Parameters
    ----------
    value
        The number.
    lang
        'en' or 'es': point or comma.
    digits
        Decimals to show, all of them; None for as many as make sense: three figures, none from
        a hundred on, no empty zeros.

    Examples
    --------
    >>> number_text(14.0, "en"), number_text(1.5, "es"), number_text(1.875, "en")
    ('14', '1,5', '1.88')
    >>> number_text(14.0, "en", 1), number_text(172.4, "en"), number_text(1200, "es")
    ('14.0', '172', '1200')
    """
    if not isfinite(value):
        return "?"
    places = _places(value) if digits is None else digits
    text = f"{value:.{places}f}"
    if digits is None and "." in text:
        text = text.rstrip("0").rstrip(".")
    if float(text) == 0:
        text = text.removeprefix("-")
    whole, point, part = text.partition(".")
    if len(whole.removeprefix("-")) > 4:
        whole = f"{int(whole):,}".replace(",", _THIN_SPACE)
    return whole + (_DECIMAL_SIGN.get(lang, ".") if point else "") + part


def unit_text(unit: str, lang: str, one: bool) -> str:
    """Return a unit as it is written, 'load' for one and 'loads' for many in the language."""
    if unit in _NO_UNIT:
        return ""
    plural = unit if unit in _ONE else next((k for k, v in _ONE.items() if v == unit), None)
    if plural is None:
        return catalogue(lang).gettext(unit)
    return catalogue(lang).ngettext(_ONE[plural], plural, 1 if one else 2)


def _joined(number: str, unit: str) -> str:
    if unit in _MEANT:
        return f"{number}/{unit.partition('/')[2]}"
    return f"{number} {unit}" if unit else number


def qty_text(qty: Qty, lang: str) -> str:
    """Return a quantity with its unit.

    Examples
    --------
    >>> qty_text(Qty(1.5, "kg"), "es"), qty_text(Qty(6.0, "1/min"), "en")
    ('1,5 kg', '6/min')
    """
    number = number_text(qty.value, lang, qty.digits)
    return _joined(number, unit_text(qty.unit, lang, number == "1"))


def span_text(span: Span, lang: str) -> str:
    """Return a range with its unit once; a single number where both ends read the same.

    Examples
    --------
    >>> span_text(Span(10, 15, "min"), "en"), span_text(Span(2.0, 2.0, "kg"), "en")
    ('10–15 min', '2 kg')
    """
    low = number_text(span.low, lang, span.digits)
    high = number_text(span.high, lang, span.digits)
    if low == high:
        return qty_text(Qty(span.low, span.unit, span.digits), lang)
    dash = " … " if high.startswith("-") else "–"
    return _joined(f"{low}{dash}{high}", unit_text(span.unit, lang, one=False))
