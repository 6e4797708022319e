"""Readings of a core sorted into what can be used and what cannot, each with its reason."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import exp

from core.heat.prior import Body, Kind, table_prior
from core.model import Line, Place, Qty, Reading, say

_COLDEST_C = -30.0
_CLOCK_SLACK = timedelta(minutes=1)
_TOGETHER = timedelta(minutes=3)
APART_K = 3.0
"""Two probes further apart than this disagree; common practice for instant-read thermometers."""


@dataclass(frozen=True, slots=True)
class Sorted:
    """Usable readings, the oldest first, and one line for each that is not.

    `apart_k` is how far two instruments of the last few minutes disagree; the lower is used.
    `odd` is the newest reading if no core can have come there from the one before.
    """

    usable: tuple[Reading, ...]
    refused: tuple[Line, ...] = ()
    apart_k: float = 0.0
    odd: Reading | None = None


def _refusal(reading: Reading, start: datetime, now: datetime, fire_c: float) -> Line | None:
    """Return why a reading cannot be of this core now, or None."""
    value = Qty(reading.value, "°C")
    if reading.unit != "°C" or reading.value != reading.value:
        return say(
            "A core is read in °C: {value} left out.", value=Qty(reading.value, reading.unit)
        )
    if reading.at > now + _CLOCK_SLACK:
        return say("{value} is from the future: left out.", value=value)
    if reading.at < start:
        return say("{value} is from before it went on: left out.", value=value)
    if reading.value > max(fire_c, 101.0) + 5 and 32 <= reading.value <= 215:
        read = Qty(round((reading.value - 32) / 1.8), "°C")
        return say("{value} is hotter than the fire: is it {read}, in °F?", value=value, read=read)
    if reading.value > 103 and fire_c <= 320:
        read = Qty(round((reading.value - 32) / 1.8), "°C")
        return say("{value} is no core: is it {read}, in °F?", value=value, read=read)
    if reading.value < _COLDEST_C:
        return say("{value} is no core: left out.", value=value)
    return None


def sort_readings(
    readings: Iterable[Reading], start: datetime, now: datetime, fire_c: float
) -> Sorted:
    """Return what can be used of the readings of one load's core.

    Parameters
    ----------
    readings
        Any readings; those of other places than the core are passed over.
    start, now
        When it went on, and the present.
    fire_c
        The hottest the fire has been, °C.
    """
    usable: list[Reading] = []
    refused: list[Line] = []
    for reading in sorted(readings, key=lambda r: r.at):
        if reading.place is not Place.CORE:
            continue
        why = _refusal(reading, start, now, fire_c)
        if why is not None:
            refused.append(why)
        else:
            usable.append(reading)
    merged, apart = _lower_of_pairs(usable)
    return Sorted(merged, tuple(refused), apart)


def _lower_of_pairs(readings: list[Reading]) -> tuple[tuple[Reading, ...], float]:
    """Return one reading a moment, the lower where two were taken, and the last disagreement."""
    kept: list[Reading] = []
    apart = 0.0
    for reading in readings:
        before = kept[-1] if kept else None
        same_time = before is not None and reading.at - before.at <= _TOGETHER
        other = before is not None and (
            reading.instrument != before.instrument
            or reading.at == before.at
            or reading.value < before.value - APART_K  # no core falls: two probes, or two places
        )
        if before is not None and same_time and other:
            apart = abs(reading.value - before.value)
            kept[-1] = min(before, reading, key=lambda r: r.value)
        else:
            apart = 0.0
            kept.append(reading)
    return tuple(kept), apart


_STEADY_K = 3.0
_QUICK = 1.5  # for a thickness said too large
_HARD = 1.8  # a fire two standard deviations harder than usual
_ROOT = 2.47  # (pi / 2) squared: the slowest mode of a slab whose surface has the fire's heat


def most_per_s(body: Body, kind: Kind) -> float:
    """Return how fast a core can close the gap to its fire at most, a share of it per second.

    Examples
    --------
    >>> from core.heat.prior import body_of
    >>> from core.model import Piece
    >>> steak = body_of(Piece(thickness_cm=2.5), table_prior(Kind.SMOKER), 5.0)
    >>> round(60 * most_per_s(steak, Kind.SMOKER), 3)
    0.062
    """
    films = table_prior(kind).mean[1:3]
    film = _HARD * exp(max(films))
    resist = 1 / film + body.half_m / (_ROOT * body.k)
    return _QUICK * (1 + body.beta) / (body.rho_c * body.half_m * resist)


def believable(found: Sorted, fire_c: float, body: Body, kind: Kind) -> Sorted:
    """Return the readings without those a core in a fire cannot show: it never falls, nor jumps.

    Parameters
    ----------
    found
        Sorted readings.
    fire_c
        The hottest the fire has been, °C.
    body, kind
        The piece and its class of cook, which bound how fast its core can rise. Where a piece is
        turned its coldest place moves, and so may what is read.

    Notes
    -----
    The newest reading stands alone against what came before and is set aside until another says
    the same; two that agree outrank what was read before them.
    """
    kept: list[Reading] = []
    odd: Reading | None = None
    fastest = most_per_s(body, kind)
    slack = 2 * _STEADY_K if kind is Kind.DIRECT else _STEADY_K

    def follows(first: Reading, then: Reading) -> bool:
        risen = then.value - first.value
        seconds = (then.at - first.at).total_seconds()
        most = fastest * max(fire_c - first.value, 0.0) * seconds
        return -slack <= risen <= slack + most

    for reading in found.usable:
        if not kept or follows(kept[-1], reading):
            kept.append(reading)
            odd = None
        elif odd is not None and follows(odd, reading):
            kept = [*(k for k in kept if follows(k, odd)), odd, reading]
            odd = None
        else:
            odd = reading
    return replace(found, usable=tuple(kept), odd=odd)
