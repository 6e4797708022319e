"""Thermometers that may lie: out of range, disagreeing, dropped, out of order, from the future.

Two that disagree: for cooking and hot food the lower counts, for cold food the higher. A doubtful
thermometer takes back every reading since its last good check; a true report stays in the log.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from core.errors import KitchenError
from core.model import Cards, Clock, Finding, Label, Moment, Place, Profile, Reading, Verdict, say
from core.safety.clocks import Side
from core.safety.degrees import Degrees
from core.safety.rules import finding, the

RANGE_C: Mapping[Place, tuple[float, float]] = {
    Place.CORE: (-30.0, 120.0),
    Place.TUB: (-30.0, 120.0),
    Place.SURFACE: (-30.0, 400.0),
    Place.AIR: (-40.0, 150.0),
    Place.PIT: (-20.0, 650.0),
}
"""What can be in each place (own bounds): outside it is a probe fault or another unit."""

AHEAD = timedelta(minutes=2)
"""How far ahead of the clock a reading may be stamped: phones are a little off."""

TOGETHER = timedelta(minutes=5)
"""Readings this close to each other are of the same moment (common practice)."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A reading that is not believed, and why."""

    reading: Reading
    why: str


def tolerance_c(profile: Profile | None = None) -> float:
    """Return how far off a food thermometer may be, °C: the printed one, used everywhere."""
    del profile  # one number is printed; where a rule book has none it is the cautious one too
    return float(the("other", "us.thermometer_c").row["plus_minus_c"])


def ice_check(read: Degrees) -> Finding:
    """Return whether a thermometer passes in stirred ice slush: 0 °C within its tolerance."""
    rule = the("other", "us.thermometer_f" if read.fahrenheit else "us.thermometer_c")
    if read.fahrenheit:
        good = abs(read.f - 32.0) <= float(rule.row["plus_minus_f"]) + 1e-9
    else:
        good = abs(read.c) <= float(rule.row["plus_minus_c"]) + 1e-9
    if good:
        text = say("{verdict}. {read} in ice.", verdict=Verdict.OK, read=read.words())
        return finding(rule, Verdict.OK, text)
    text = say(
        "{verdict}. Don't use it: {read} in ice. Its readings since the last good check are in"
        " doubt.",
        verdict=Verdict.STOP,
        read=read.words(),
    )
    return finding(rule, Verdict.STOP, text)


def ruling(reads: Sequence[Degrees], side: Side) -> Degrees:
    """Return the reading that counts among several of one thing: the cautious one.

    Examples
    --------
    >>> ruling([Degrees(58.0), Degrees(64.0)], Side.HOT).c
    58.0
    """
    choose = max if side is Side.COLD else min
    return choose(reads, key=lambda read: read.c)


def disagreement(reads: Sequence[Degrees], side: Side, about: str = "") -> Finding | None:
    """Return what to do when thermometers differ by more than both tolerances, else None."""
    coldest, hottest = min(r.c for r in reads), max(r.c for r in reads)
    if hottest - coldest <= 2 * tolerance_c() + 1e-9:
        return None
    counts = ruling(reads, side)
    rule = the("other", "us.thermometer_c")
    text = say(
        "{verdict}. Trust neither: ice slush, half ice half water, stir, 0 °C ±1. Until then {read}"
        " counts.",
        verdict=Verdict.NOT_YET,
        read=counts.words(),
    )
    return finding(rule, Verdict.NOT_YET, text, about=about)


def doubts(readings: Iterable[Reading], now: datetime) -> tuple[Doubt, ...]:
    """Return the readings that cannot be: outside their range, or from the future."""
    found = []
    for reading in readings:
        low, high = RANGE_C[reading.place]
        if reading.unit == "°C" and not low <= reading.value <= high:
            found.append(Doubt(reading, "range"))
        elif reading.at > now + AHEAD:
            found.append(Doubt(reading, "future"))
    return tuple(found)


def in_doubt(
    readings: Iterable[Reading], instrument: str, since: datetime | None
) -> tuple[Doubt, ...]:
    """Return the readings of a dropped or failed thermometer since its last good check.

    `since` None means it was never checked: all of its readings are in doubt.
    """
    return tuple(
        Doubt(reading, "thermometer")
        for reading in readings
        if reading.instrument == instrument and (since is None or reading.at > since)
    )


def believed(
    readings: Iterable[Reading], now: datetime, doubted: Mapping[str, datetime | None]
) -> tuple[Reading, ...]:
    """Return the readings that count, in order of time whatever the order of reporting.

    `doubted` are thermometers in doubt with the instant of their last good check.
    """
    kept = list(readings)
    out = {id(doubt.reading) for doubt in doubts(kept, now)}
    for instrument, since in doubted.items():
        out |= {id(doubt.reading) for doubt in in_doubt(kept, instrument, since)}
    return tuple(sorted((r for r in kept if id(r) not in out), key=lambda r: r.at))


def dropped(readings: Iterable[Reading], instrument: str, checked: datetime | None) -> Finding:
    """Return what a dropped thermometer means: ice first, its readings since the check in doubt."""
    return doubted(instrument, len(in_doubt(readings, instrument, checked)), checked)


def doubted(instrument: str, count: int, checked: datetime | None) -> Finding:
    """Return what a thermometer that cannot be believed means, and for how many readings."""
    rule = the("other", "us.thermometer_c")
    if not instrument:
        text = say(
            "{verdict}. Don't use it: ice slush, 0 °C ±1. Its readings since the last good check"
            " are in doubt.",
            verdict=Verdict.STOP,
        )
    elif checked is None:
        text = say(
            "{verdict}. Don't use {probe}: ice slush, 0 °C ±1. All its {count} readings are in"
            " doubt.",
            verdict=Verdict.STOP,
            probe=Label(instrument),
            count=count,
        )
    else:
        text = say(
            "{verdict}. Don't use {probe}: ice slush, 0 °C ±1. Its {count} readings since {since}"
            " are in doubt.",
            verdict=Verdict.STOP,
            probe=Label(instrument),
            count=count,
            since=Clock(checked),
        )
    return finding(rule, Verdict.STOP, text, about=instrument)


def unproven(about: str) -> Finding:
    """Return what is left of an OK whose thermometer is in doubt."""
    text = say("{verdict}. {about}: read it again, its thermometer is in doubt.",
               verdict=Verdict.UNKNOWN, about=Label(about))  # fmt: skip
    return finding(the("other", "us.thermometer_c"), Verdict.UNKNOWN, text, about=about)


def no_word(probe: str, about: str) -> Finding:
    """Return what a reading says whose thermometer is in doubt: nothing."""
    text = say(
        "{verdict}. {probe} is in doubt: that reading counts for nothing. Ice slush, or another"
        " probe.",
        verdict=Verdict.UNKNOWN,
        probe=Label(probe) if probe else say("Your thermometer"),
    )
    return finding(the("other", "us.thermometer_c"), Verdict.UNKNOWN, text, about=about)


_CHECKED = re.compile(r"(?:T([+-]\d+) )?(\d{1,2}):(\d\d)")


def checked_by_card(cards: Cards, probe: str) -> datetime | None:
    """Return when a card says a thermometer was last in ice; None where it says nothing usable."""
    card = next((p for p in cards.kit.probes if p.id == probe), None)
    found = _CHECKED.fullmatch(card.ice_check) if card and card.ice_check else None
    if found is None:
        return None
    try:
        return cards.event.instant(Moment(int(found[1] or 0), int(found[2]), int(found[3])))
    except (KitchenError, ValueError):  # no such time that day
        return None


def same_moment(readings: Sequence[Reading]) -> tuple[tuple[Reading, ...], ...]:
    """Return readings in order, those of one thing and place within 5 min of each other together.

    A second look with the same thermometer is not a second opinion.
    """
    groups: list[list[Reading]] = []
    for reading in sorted(readings, key=lambda r: (r.about, r.place, r.at)):
        last = groups[-1] if groups else None
        if last is not None and _joins(last, reading):
            last.append(reading)
        else:
            groups.append([reading])
    return tuple(tuple(group) for group in groups)


def _joins(group: list[Reading], reading: Reading) -> bool:
    first = group[0]
    return (
        (first.about, first.place) == (reading.about, reading.place)
        and reading.at - first.at <= TOGETHER
        and bool(reading.instrument)
        and all(reading.instrument != other.instrument for other in group)
    )
