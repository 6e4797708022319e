"""Cores over time as a cook writes them down: '5 12, 10 19, 20 30, 31 47'."""

from __future__ import annotations

import re
from collections.abc import Sequence

OFF = "off"
"""Behind the last pair of a series that is complete."""

_MOST_PAIRS = 60
_NUMBER = r"-?\d+(?:\.\d+)?"
_TIMED = r"(?:\s*(?:min\.?|mins|m|'))?(?:\s*[:=@]\s*|\s+(?:at|a)\s+|\s+)"
_PAIR = re.compile(rf"\s*({_NUMBER}){_TIMED}({_NUMBER})\s*(?:°|º)?\s*[cC]?\s*")
_COMMA = re.compile(r"(?<=\d),(?=\d)")

Pairs = tuple[tuple[float, float], ...]


def pairs_in(text: str) -> Pairs | None:
    """Return minutes and °C in the order typed; None where the text is not such a list.

    Notes
    -----
    A comma with a space behind it parts two pairs. One without may be a decimal: it is taken for
    one only where it would not make pairs of everything between commas.

    Examples
    --------
    >>> pairs_in("5 12, 10 19, 20 30, 31 47")
    ((5.0, 12.0), (10.0, 19.0), (20.0, 30.0), (31.0, 47.0))
    >>> pairs_in("10 min 19,5 °C")
    ((10.0, 19.5),)
    >>> pairs_in("5 12,10 19,20 30")
    ((5.0, 12.0), (10.0, 19.0), (20.0, 30.0))
    >>> pairs_in("5 12 10 19"), pairs_in("47"), pairs_in("smoke 10 19")
    (((5.0, 12.0), (10.0, 19.0)), None, None)
    """
    for parts in (re.split(r"[,;\n]", text), re.split(r"[;\n]|,\s", _COMMA.sub(".", text))):
        found = _pairs([part for part in parts if part.strip()])
        if found is not None:
            return found
    bare = _COMMA.sub(".", text).split()
    if len(bare) % 2 == 0 and all(re.fullmatch(_NUMBER, word) for word in bare):
        return _pairs([" ".join(bare[i : i + 2]) for i in range(0, len(bare), 2)])
    return None


def _pairs(parts: Sequence[str]) -> Pairs | None:
    if not 1 <= len(parts) <= _MOST_PAIRS:
        return None
    found = [_PAIR.fullmatch(part) for part in parts]
    if not all(found):
        return None
    return tuple((float(m[1]), float(m[2])) for m in found if m)


def series_text(pairs: Pairs, *, off: bool) -> str:
    """Return a series as it is kept.

    Examples
    --------
    >>> series_text(((5, 12), (10, 19.5)), off=True)
    '5:12 10:19.5 off'
    """
    return " ".join([*(f"{m:g}:{c:g}" for m, c in pairs), *([OFF] if off else [])])


def series_of(text: str) -> tuple[Pairs, bool]:
    """Return what `series_text` kept: the pairs, and whether it is complete."""
    words = text.split()
    pairs = (word.partition(":") for word in words if word != OFF)
    return tuple((float(m), float(c)) for m, _, c in pairs), OFF in words


def joined(old: str, new: Pairs, *, off: bool) -> str:
    """Return a series with more pairs in it; one at the same minute is replaced.

    Examples
    --------
    >>> joined("10:19", ((20, 30),), off=False)
    '10:19 20:30'
    """
    pairs = dict(series_of(old)[0]) | dict(new)
    return series_text(tuple(sorted(pairs.items())), off=off)
