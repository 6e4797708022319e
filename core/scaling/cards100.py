"""Quantity recipe cards of 100 portions, scaled the way the published method does it.

Working factor to two decimals, every weight multiplied, the decimal part of a pound times 16, and
ounces rounded by the printed scale. The scale has gaps (0.12 to 0.13 and so on): a value is rounded
to two decimals first, half up, so that an exact eighth is 0.13 and goes up.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from core.errors import OutOfRangeError
from core.tables.quantities import rows

_QUARTERS = Decimal(4)


def working_factor(portions: float, size: float = 1.0, standard_size: float = 1.0) -> float:
    """Factor on a card of 100 portions.

    Parameters
    ----------
    portions
        Wanted.
    size, standard_size
        Of one portion, wanted and on the card, same unit.

    References
    ----------
    Armed Forces Recipe Service, General Information No. 1.

    Examples
    --------
    >>> working_factor(348), working_factor(348, size=3, standard_size=4)
    (3.48, 2.61)
    """
    if not (portions > 0 and size > 0 and standard_size > 0):
        raise OutOfRangeError("portions", portions, "above 0")
    return float(_half_up(portions * size / standard_size / 100))


def factor_on_hand(on_hand: float, per_card: float) -> float:
    """Factor that uses up what is there.

    Examples
    --------
    >>> factor_on_hand(102, 30)
    3.4
    """
    if not (on_hand >= 0 and per_card > 0):
        raise OutOfRangeError("on hand", on_hand, "0 or more, of a recipe that uses some")
    return float(_half_up(on_hand / per_card))


def _half_up(value: float, places: str = "0.01") -> Decimal:
    # Through repr and 12 digits: 2.625 must go up although its neighbours are binary.
    return Decimal(f"{value:.12g}").quantize(Decimal(places), ROUND_HALF_UP)


def quarter(value: float) -> float:
    """Ounces or teaspoons rounded by the printed scale, to a quarter.

    References
    ----------
    Armed Forces Recipe Service, General Information No. 1: .00-.12 down, .13-.37 to 1/4, .38-.62
    to 1/2, .63-.87 to 3/4, .88-.99 up.

    Examples
    --------
    >>> quarter(5.60), quarter(2.64), quarter(0.125), quarter(3.97)
    (5.5, 2.75, 0.25, 4.0)
    """
    exact = _half_up(value)
    whole = int(exact)
    part = float(exact - whole)
    for step in rows("rounding", "scale"):
        if step["from"] <= part <= step["to"]:
            return whole + float(step["rounds_to"])
    raise OutOfRangeError("amount", value, "0 or more")


@dataclass(frozen=True, slots=True)
class PoundsOunces:
    """A weight as a card prints it."""

    pounds: int
    ounces: float

    def __str__(self) -> str:
        """Return it as printed: '4 lb 5-1/2 oz'."""
        parts = [f"{self.pounds} lb"] if self.pounds else []
        if self.ounces or not self.pounds:
            parts.append(f"{_mixed(self.ounces)} oz")
        return " ".join(parts)


def _mixed(value: float) -> str:
    whole = int(value)
    part = Fraction(value - whole).limit_denominator(4)
    if not part:
        return str(whole)
    return f"{whole}-{part}" if whole else str(part)


def scaled_weight(ounces: float, factor: float) -> PoundsOunces:
    """A card's weight times the factor, rounded by the printed scale.

    Parameters
    ----------
    ounces
        On the card, oz.
    factor
        Of `working_factor`.

    Examples
    --------
    >>> str(scaled_weight(1.25 * 16, 3.48))
    '4 lb 5-1/2 oz'
    """
    if not (ounces >= 0 and factor >= 0):
        raise OutOfRangeError("weight", f"{ounces} oz", "0 or more")
    total = float(f"{ounces * factor:.12g}")
    pounds = int(total // 16)
    rest = quarter(total - pounds * 16)
    if rest >= 16:
        return PoundsOunces(pounds + 1, 0.0)
    return PoundsOunces(pounds, rest)


def decimal_pound(ounces: int) -> float:
    """Ounces as the printed two-decimal part of a pound.

    Examples
    --------
    >>> decimal_pound(10)
    0.63
    """
    for found in rows("rounding", "ounces"):
        if found["ounces"] == ounces:
            return float(found["pound"])
    raise OutOfRangeError("ounces", ounces, "a whole number from 1 to 16")


def stepped_volume(gallons: float) -> tuple[tuple[float, str], ...]:
    """A volume stepped down gallon, quart, pint, cup, tablespoon, teaspoon, the last to a quarter.

    Examples
    --------
    >>> stepped_volume(19.98)
    ((19, 'gal'), (3, 'qt'), (1, 'pt'), (1, 'cup'), (10, 'tbsp'), (2.75, 'tsp'))
    """
    if not gallons >= 0:
        raise OutOfRangeError("volume", f"{gallons} gal", "0 or more")
    rest = Decimal(f"{gallons:.12g}") * 768  # teaspoons
    steps: list[tuple[float, str]] = []
    for size, name in ((768, "gal"), (192, "qt"), (96, "pt"), (48, "cup"), (3, "tbsp")):
        count, rest = divmod(rest, size)
        if count:
            steps.append((int(count), name))
    last = quarter(float(rest))
    if last or not steps:
        steps.append((last, "tsp"))
    return tuple(steps)
