"""Numbers as a cook reads them: three figures, the unit that suits, the unit that was asked in."""

from __future__ import annotations

from math import floor, log10

from core.ask.said import KG_PER, L_PER
from core.model import Line, Number, Qty, Source, Span, say

_US_WEIGHTS = frozenset({"lb", "oz"})
_US_VOLUMES = frozenset({"gal", "qt", "pt", "cup", "fl oz", "tbsp", "tsp"})


def figures(value: float, count: int = 3) -> float:
    """Return the value to so many significant figures, whole above a thousand.

    Examples
    --------
    >>> figures(6.6667), figures(0.62549), figures(1533.4), figures(0)
    (6.67, 0.625, 1533.0, 0.0)
    """
    if value == 0:
        return 0.0
    places = max(count - 1 - floor(log10(abs(value))), 0)
    return round(value, places)


def weight(kg: float, like: str = "kg") -> Qty:
    """Return a weight in kg or g, or in lb or oz where the question was in those.

    Examples
    --------
    >>> weight(0.28), weight(1.5), weight(0.28, "lb")
    (Qty(value=280.0, unit='g', digits=None), Qty(value=1.5, unit='kg', digits=None), \
Qty(value=9.88, unit='oz', digits=None))
    """
    if like in _US_WEIGHTS:
        unit = "lb" if kg >= KG_PER["lb"] else "oz"
        return Qty(figures(kg / KG_PER[unit]), unit)
    return Qty(figures(kg), "kg") if kg >= 0.9995 else Qty(figures(kg * 1000), "g")


def volume(litres: float, like: str = "L") -> Qty:
    """Return a volume in L or mL, or in the US measure the question was in.

    Examples
    --------
    >>> volume(15.0), volume(0.02), volume(3.785411784, "gal")
    (Qty(value=15.0, unit='L', digits=None), Qty(value=20.0, unit='mL', digits=None), \
Qty(value=1.0, unit='gal', digits=None))
    """
    if like in _US_VOLUMES:
        return Qty(figures(litres / L_PER[like]), like)
    return Qty(figures(litres), "L") if litres >= 0.0995 else Qty(figures(litres * 1000), "mL")


def whose(reading: Line, gallons: str) -> Line:
    """Return the reading with the gallon it took, where one was said."""
    if not gallons:
        return reading
    return say("{reading}, {gallons} measure", reading=reading, gallons=gallons)


def percent(fraction: float) -> Qty:
    """Return a fraction as a percentage."""
    return Qty(figures(fraction * 100), "%")


def count(value: float, of: str = "") -> Qty:
    """Return a whole number of things: 'cases', 'loads', 'portions'; '' where the sentence says.

    Examples
    --------
    >>> count(6, "cases")
    Qty(value=6, unit='cases', digits=0)
    """
    return Qty(round(value), of, 0)


def span(low: Qty, high: Qty) -> Span:
    """Return a range of two quantities in one unit.

    Examples
    --------
    >>> span(Qty(18, "kg"), Qty(20, "kg"))
    Span(low=18, high=20, unit='kg', digits=None)
    """
    return Span(low.value, high.value, high.unit, high.digits)


def weights(low_kg: float, high_kg: float, like: str = "kg") -> Span:
    """Return a range of weights in the unit that suits the larger."""
    unit = weight(high_kg, like).unit
    return Span(figures(low_kg / KG_PER[unit]), figures(high_kg / KG_PER[unit]), unit)


def number(name: str, qty: Qty | Span) -> Number:
    """Return a quantity for machines; a range gives its middle, low and high."""
    if isinstance(qty, Span):
        return Number(name, figures((qty.low + qty.high) / 2), qty.unit, qty.low, qty.high)
    return Number(name, qty.value, qty.unit)


THUMB = Source("CP", "common practice of live-fire catering", "", "rule of thumb")
"""What an answer cites for a rule that stands in no table."""

SUM = Source("sum", "plain arithmetic on what was asked", "", "computed")

CARD = Source("card", "dish card", "", "card")
"""What an answer cites that stands on the event's own cards."""
