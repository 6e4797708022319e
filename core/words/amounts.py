"""Quantities, ratios, sizes, ranges and changes; numbers are read exactly or not at all."""

from __future__ import annotations

from core.words.clock import clock_beside, talks_of_ratios
from core.words.numerals import ORDINALS, TIMES
from core.words.scan import Found, Scan
from core.words.tokens import (
    Ago,
    Delta,
    Fraction,
    Num,
    Ordinal,
    Quantity,
    Range,
    Ratio,
    Size,
    Times,
)

_LENGTHS = frozenset({"cm", "mm", "m", "in", "ft"})
_DURATIONS = {"min": 1.0, "h": 60.0, "s": 1 / 60, "day": 1440.0, "m": 1.0, "": 1.0}
_NUMBERED = frozenset({"load", "batch", "rack", "tray", "box", "tub", "lane", "table", "pit"})
_DOZENS = frozenset({"dozen", "docena", "docenas"})
_MORE = frozenset({"mas", "more", "extra", "coming", "additional"})
_LESS = frozenset({"menos", "less", "fewer"})
_TAILS = frozenset({"st", "nd", "rd", "th", "da", "ra", "ro", "er", "a", "o"})


def _value(scan: Scan, i: int) -> tuple[tuple[float, ...], int]:
    """Return the readings of a number and its atoms: '14', '1.200', '1/2', '1 1/2', 'half'."""
    part = _fraction_value(scan, i)
    if part is not None:
        return (part,), 3
    whole = scan.integer(i)
    part = _fraction_value(scan, i + 1)
    if whole is not None and part is not None and part < 1 and not scan.glued(i + 1):
        return (whole + part,), 4
    if scan.folded(i) in {"half", "medio", "media"}:
        skip = 2 if scan.folded(i + 1) in {"a", "an"} else 1
        return ((0.5,), skip) if scan.unit(i + skip) is not None else ((), 0)
    spaced = _spaced_thousands(scan, i)
    if spaced is not None:
        return spaced, 2
    values = scan.number(i, scan.counted(i + 1))
    if values and scan.folded(i + 1) in _DOZENS:
        return tuple(v * 12 for v in values), 2
    return values, (1 if values else 0)


def _spaced_thousands(scan: Scan, i: int) -> tuple[float, ...] | None:
    """Read '1 200 pax': twelve hundred, or one and two hundred, so both are kept."""
    first, second = scan.integer(i), scan.integer(i + 1)
    if not first or first > 999 or second is None or len(scan.folded(i + 1)) != 3:
        return None
    if scan.glued(i + 1) or scan.counted(i + 2) != "count" or scan.concept(i - 1) in _NUMBERED:
        return None
    return first * 1000.0 + second, float(second)


def _fraction_value(scan: Scan, i: int) -> float | None:
    above, below = scan.integer(i), scan.integer(i + 2)
    if above is None or not below or scan.folded(i + 1) != "/" or not scan.glued(i + 2):
        return None
    return above / below if scan.unit(i + 3) is not None else None


def _and_a_half(scan: Scan, i: int) -> int:
    """Return how many atoms 'y medio' or 'and a half' takes at `i`, 0 if it is not there."""
    if scan.folded(i) == "y" and scan.folded(i + 1) in {"medio", "media"}:
        return 2
    return 3 if [scan.folded(i + k) for k in range(3)] == ["and", "a", "half"] else 0


def read_size(scan: Scan, i: int) -> Found | None:
    """Return '45x60', '20 x 12 cm', '1,2x0,6', '20 por 12'."""
    a, b = scan.number(i, "fine"), scan.number(i + 2, "fine")
    if not a or not b or scan.folded(i + 1) not in {"x", "por", "by"}:
        return None
    if scan.folded(i + 1) != "x" and not (a[0] > 9 and b[0] > 9):
        return None
    unit = scan.unit(i + 3)
    if unit is not None and unit[0] not in _LENGTHS:
        return None
    if scan.concept(i + 3) == "case":
        return None
    count = 3 + (unit[1] if unit else 0)
    return (Size(a[0], b[0], unit[0] if unit else "", scan.text(i, count)),), count


def read_ratio(scan: Scan, i: int) -> Found | None:
    """Return '5:1', '5to1', '5 a 1', 'uno por cinco'."""
    a, b = _parts(scan, i), _parts(scan, i + 2)
    if a is None or b is None:
        return None
    joint = scan.folded(i + 1)
    if joint == ":":
        tight = scan.glued(i + 1) and scan.glued(i + 2)
        found = tight or talks_of_ratios(scan)
    elif joint in {"to", "a", "por"}:
        found = scan.glued(i + 1) or a == 1 or b == 1 or a > b or talks_of_ratios(scan)
        found = found and scan.folded(i - 1) != "de" and scan.unit(i + 3) is None
    else:
        return None
    return ((Ratio(a, b, scan.text(i, 3)),), 3) if found else None


def _parts(scan: Scan, i: int) -> float | None:
    values = scan.number(i)
    if not values and scan.folded(i) in {"una", "un"}:
        values = (1.0,)
    return values[0] if len(values) == 1 and 0 < values[0] <= 1000 else None


def read_range(scan: Scan, i: int) -> Found | None:
    """Return '10-15 min', '10 to 15 min', 'de 10 a 15'."""
    low, high = scan.number(i), scan.number(i + 2)
    if len(low) != 1 or len(high) != 1 or not low[0] < high[0]:
        return None
    joint = scan.folded(i + 1)
    dashed = joint == "-" and scan.glued(i + 1) and scan.glued(i + 2)
    if not dashed and joint not in {"to", "a"}:
        return None
    unit = scan.unit(i + 3)
    count = 3 + (unit[1] if unit else 0)
    return (Range(low[0], high[0], unit[0] if unit else "", scan.text(i, count)),), count


def read_fraction(scan: Scan, i: int) -> Found | None:
    """Return '4/5' that has no unit behind it."""
    a, b = scan.integer(i), scan.integer(i + 2)
    if a is None or b is None or scan.folded(i + 1) != "/" or not scan.glued(i + 1):
        return None
    if not scan.glued(i + 2) or scan.unit(i + 3) is not None:
        return None
    return (Fraction(a, b, scan.text(i, 3)),), 3


def read_delta(scan: Scan, i: int) -> Found | None:
    """Return '+40', '-5', '40 mas', 'minus 5', '+5 min'; a minus before degrees is a cold."""
    sign, start = 1.0, i
    if scan.folded(i) in {"+", "-"} and scan.glued(i + 1) and not scan.glued(i):
        sign, start = (1.0 if scan.folded(i) == "+" else -1.0), i + 1
    elif scan.folded(i) in {"minus", "menos"}:
        sign, start = -1.0, i + 1
    elif scan.folded(i) in {"plus", "add", "suma", "anade"}:
        start = i + 1
    values, taken = _value(scan, start)
    if not values:
        return None
    unit = scan.unit(start + taken)
    end = start + taken + (unit[1] if unit else 0)
    after = scan.folded(end)
    if start == i:
        if after not in _MORE | _LESS or scan.folded(end + 1) in {"media", "cuarto"}:
            return None
        sign, end = (1.0 if after in _MORE else -1.0), end + 1
        if unit is None and scan.unit(end) is not None:  # '5 more min'
            unit = scan.unit(end)
            end += unit[1] if unit else 0
    elif sign < 0 and unit and unit[0] in {"°C", "°F", "°"}:
        text = scan.text(i, end - i)
        return (Quantity(-values[0], unit[0], text),), end - i
    elif after in _MORE and after != "extra":
        end += 1
    return (Delta(sign * values[0], unit[0] if unit else "", scan.text(i, end - i)),), end - i


def read_ago(scan: Scan, i: int) -> Found | None:
    """Return '5 min ago', 'hace 5 min', 'hace media hora', 'an hour ago', 'just now'."""
    pair = (scan.folded(i), scan.folded(i + 1))
    if pair in {("just", "now"), ("ahora", "mismo"), ("right", "now")}:
        return (Ago(0.0, scan.text(i, 2)),), 2
    start = i + 1 if scan.folded(i) == "hace" else i
    long = _hours_and_minutes(scan, start)
    if long is not None and isinstance(long[0][0], Quantity):
        return _long_ago(scan, i, start, long[0][0].value, start + long[1])
    values, taken = _value(scan, start)
    if not values and scan.folded(start) in {"a", "an", "un", "una"} and scan.unit(start + 1):
        values, taken = (1.0,), 1
    if not values:
        return None
    unit, took = scan.unit(start + taken) or ("", 0)
    end = start + taken + took
    half = _and_a_half(scan, end) if unit else 0
    value = values[0] + (0.5 if half else 0.0)
    end += half
    if start == i:
        if scan.folded(end) != "ago":
            return None
        end += 1
    if unit not in _DURATIONS or value * _DURATIONS[unit] > 7 * 1440:
        return None
    return (Ago(value * _DURATIONS[unit], scan.text(i, end - i)),), end - i


def _long_ago(scan: Scan, i: int, start: int, minutes: float, end: int) -> Found | None:
    """Read 'hace 1h30', '1h30 ago'."""
    if start == i:
        if scan.folded(end) != "ago":
            return None
        end += 1
    return (Ago(minutes, scan.text(i, end - i)),), end - i


def read_quantity(scan: Scan, i: int) -> Found | None:
    """Return '14 kg', '2,5 L', '1 1/2 cups', 'medio kilo', '1h30'."""
    found = _hours_and_minutes(scan, i) or _one_of(scan, i)
    if found is not None:
        return found
    values, taken = _value(scan, i)
    unit = scan.unit(i + taken) if values else None
    if unit is None:
        return _bare_unit_and_a_half(scan, i)
    end = i + taken + unit[1]
    half = _and_a_half(scan, end)
    end += half
    value = values[0] + (0.5 if half else 0.0)
    return (Quantity(value, unit[0], scan.text(i, end - i), values[1:]),), end - i


def _bare_unit_and_a_half(scan: Scan, i: int) -> Found | None:
    """Read 'kilo y medio', 'hora y media'."""
    unit = scan.unit(i)
    if unit is None or len(scan.folded(i)) < 4 or not _and_a_half(scan, i + unit[1]):
        return None
    count = unit[1] + _and_a_half(scan, i + unit[1])
    return (Quantity(1.5, unit[0], scan.text(i, count)),), count


def _one_of(scan: Scan, i: int) -> Found | None:
    """Read 'un kilo', 'una taza', 'a cup'; '20 g a litre' is a rate and not for here."""
    if scan.folded(i) not in {"un", "una", "a", "an"} or len(scan.folded(i + 1)) < 3:
        return None
    unit = scan.unit(i + 1)
    if unit is None or scan.unit(i - 1) is not None or scan.number(i - 1):
        return None
    end = i + 1 + unit[1]
    half = _and_a_half(scan, end)
    text = scan.text(i, end + half - i)
    return (Quantity(1.5 if half else 1.0, unit[0], text),), end + half - i


def _hours_and_minutes(scan: Scan, i: int) -> Found | None:
    """Read '1h30', '1 h 30 min', '2h 15m'."""
    hours = scan.integer(i)
    first = scan.unit(i + 1)
    if hours is None or first is None or first[0] != "h":
        return None
    minutes = scan.integer(i + 2)
    if minutes is None or minutes > 59:
        return None
    second = scan.unit(i + 3)
    if second is not None and second[0] in {"min", "m"}:
        count = 3 + second[1]
    elif scan.glued(i + 2):
        count = 3
    else:
        return None
    return (Quantity(hours * 60.0 + minutes, "min", scan.text(i, count)),), count


def read_minutes_a_side(scan: Scan, i: int) -> Found | None:
    """Return '1:45 a side' as minutes."""
    minutes, seconds = scan.integer(i), scan.integer(i + 2)
    if minutes is None or seconds is None or scan.folded(i + 1) != ":" or seconds > 59:
        return None
    after = (scan.folded(i + 3), scan.folded(i + 4))
    if after not in {("a", "side"), ("per", "side"), ("each", "side"), ("por", "lado")}:
        return None
    return (Quantity(minutes + seconds / 60, "min", scan.text(i, 3)),), 3


def read_ordinal(scan: Scan, i: int) -> Found | None:
    """Return '2nd', '2ª', 'la segunda'."""
    if scan.kind(i) == "word" and scan.folded(i) in ORDINALS:
        return (Ordinal(ORDINALS[scan.folded(i)], scan.text(i, 1)),), 1
    value = scan.integer(i)
    if value is None or not 0 < value <= 999 or not scan.glued(i + 1):
        return None
    if scan.kind(i + 1) != "tail" or scan.folded(i + 1) not in _TAILS:
        return None
    return (Ordinal(value, scan.text(i, 2)),), 2


def read_times(scan: Scan, i: int) -> Found | None:
    """Return 'x2', '2x', 'doble', 'half'."""
    word = scan.folded(i)
    if scan.kind(i) == "word" and word in TIMES:
        return (Times(TIMES[word], scan.text(i, 1)),), 1
    if scan.kind(i) == "word" and word[:1] == "x" and word[1:].isdecimal() and len(word) <= 3:
        return (Times(float(word[1:]), scan.text(i, 1)),), 1
    value = scan.number(i)
    tail = scan.kind(i + 1) == "tail" and scan.folded(i + 1) == "x"
    if len(value) == 1 and value[0] <= 100 and tail and not scan.number(i + 2):
        return (Times(value[0], scan.text(i, 2)),), 2
    return None


def read_num(scan: Scan, i: int) -> Found | None:
    """Return a bare number with its other readings."""
    values, taken = _value(scan, i)
    if not values:
        return None
    clock = clock_beside(scan, i) if scan.kind(i) == "number" else None
    return (Num(values[0], scan.text(i, taken), values[1:], clock),), taken
