"""What fits on a station, what may share it, one temperature at a time, and lit in time."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from core.model import FIRES, Station, StationKind
from core.planner.check.day import SLACK_MIN, Day, Job, Violation
from core.scaling.packing import pieces_per_rack

_SAME_K = 5.0
_A_DAY_MIN = 12 * 60  # a fire lit for one day's work is out the next
_LIMITED = FIRES | {StationKind.TUB}


def station_violations(day: Day) -> Iterator[Violation]:
    """Yield what is wrong with where things are."""
    for job in day.jobs:
        yield from _where(day, job)
        yield from _fits(day, job)
    for station in day.cards.kit.stations:
        stays = [j for j in day.jobs if j.station == station.id]
        if station.kind in _LIMITED:
            yield from _pairs(day, station, stays)
            yield from _full(day, station, stays)
        if station.kind in FIRES:
            yield from _lit(day, station, stays)
        yield from _opens(day, station, stays)
    for family in dict.fromkeys(s.family or s.id for s in day.cards.kit.stations):
        yield from _pooled(day, family)


def _where(day: Day, job: Job) -> Iterator[Violation]:
    """It is where its card wants it, unless a pin says otherwise."""
    if job.step.station is None or job.station is None or not day.judged(job):
        return
    allowed = {s.id for s in day.cards.kit.matching(job.step.station)} | {job.step.station}
    for pin in day.cards.event.pins:
        if pin.dish == job.dish and pin.station is not None:
            allowed |= {s.id for s in day.cards.kit.matching(pin.station)}
    if job.station not in allowed:
        yield Violation("station", job.key, f"on {job.station}, not {job.step.station}")


def _fits(day: Day, job: Job) -> Iterator[Violation]:
    station = day.station(job)
    if station is None or station.kind not in FIRES or not job.load:
        return
    per_rack = pieces_per_rack(day.dish(job.dish), station)
    if per_rack is not None and job.count > per_rack * max(station.racks, 1):
        yield Violation("fits", job.key, f"{job.count} on {station.id}")


def _racks(day: Day, station: Station, job: Job) -> int:
    if station.load_by != "rack":
        return 1
    per_rack = pieces_per_rack(day.dish(job.dish), station)
    return -(-job.count // per_rack) if per_rack and job.load else 1


def _room(station: Station) -> int:
    if station.kind is StationKind.RING:
        return station.places or 1
    if station.kind is StationKind.TUB or station.load_by != "rack":
        return 1
    return max(station.racks, 1)


def _pairs(day: Day, station: Station, stays: list[Job]) -> Iterator[Violation]:
    """Two stays: apart by the swap, at one temperature, and not while the fire recovers."""
    for one, other in combinations(sorted(stays, key=lambda j: (j.start, j.key)), 2):
        if not day.judged(other):
            continue
        hot, then = one.step.temp_c, other.step.temp_c
        mixed = hot is not None and then is not None and abs(hot - then) > _SAME_K
        if other.start < one.end - SLACK_MIN and mixed:
            yield Violation("temperature", other.key, f"{one.key} is at {hot} °C beside it")
        elif mixed and other.start < one.end + _change_min(station, hot, then) - SLACK_MIN:
            yield Violation("temperature", other.key, f"no time to change from {hot} °C")
        apart = other.start - one.start
        recovers = station.recovery_min if station.load_by == "rack" else 0.0
        if station.kind in FIRES and SLACK_MIN < apart < recovers - SLACK_MIN:
            yield Violation("recovery", other.key, f"{apart:.1f} min after {one.key}")


def _change_min(station: Station, hot: float | None, then: float | None) -> float:
    """Minutes to bring a fire to another temperature: a part of its heat-up for each degree.

    Common practice: some 250 K in one heat-up, half as long again to fall.
    """
    if hot is None or then is None:
        return 0.0
    rate = station.heat_up_min / 250 * (1.0 if then > hot else 1.5)
    return abs(then - hot) * rate


def _full(day: Day, station: Station, stays: list[Job]) -> Iterator[Violation]:
    """At no moment more than it has room for; a place is taken until it is turned."""
    room = _room(station)
    for job in stays:
        if not day.judged(job):
            continue
        beside = [
            o
            for o in stays
            if o.start <= job.start + SLACK_MIN and o.end + station.swap_min > job.start + SLACK_MIN
        ]
        used = sum(_racks(day, station, o) for o in beside)
        if used > room:
            others = ", ".join(o.key for o in beside if o is not job)
            yield Violation("room", job.key, f"{station.id} also holds {others}")


def _lit(day: Day, station: Station, stays: list[Job]) -> Iterator[Violation]:
    """Every use has a lighting before it, by the heat-up."""
    lights = sorted(
        day.minute(t.start) for t in day.plan.tasks if t.do == "light" and t.station == station.id
    )
    for job in stays:
        if not day.judged(job) or station.heat_up_min <= 0:
            continue
        by = job.start - station.heat_up_min + SLACK_MIN
        if not any(job.start - _A_DAY_MIN <= lit <= by for lit in lights):
            yield Violation("lit", job.key, f"{station.id} is not hot")


def _opens(day: Day, station: Station, stays: list[Job]) -> Iterator[Violation]:
    if station.start is None:
        return
    opens = day.minute(day.cards.event.instant(station.start))
    for job in stays:
        if day.judged(job) and job.start < opens - SLACK_MIN:
            yield Violation("opens", job.key, f"{station.id} is not there yet")


def _pooled(day: Day, family: str) -> Iterator[Violation]:
    """No more in the cold than its litres, in a hot box than its places, at any start."""
    mine = [s for s in day.cards.kit.stations if (s.family or s.id) == family]
    cold = all(s.kind in {StationKind.FRIDGE, StationKind.COLD_BOX} for s in mine)
    hot = all(s.kind is StationKind.HOT_BOX for s in mine)
    room = [(s.litres or 0.0) * s.fill_max if cold else float(s.places or 0) for s in mine]
    known = any(s.litres for s in mine) if cold else any(s.places for s in mine)
    if not (cold or hot) or not known:
        return
    names = {family, mine[0].kind.value, *(s.id for s in mine)}
    stays = [(j, _amount(day, j, cold=cold)) for j in day.jobs if j.step.station in names]
    for job, _ in stays:
        here = [
            n
            for o, n in stays
            if o.start <= job.start + SLACK_MIN and o.end > job.start + SLACK_MIN
        ]
        if day.judged(job) and sum(here) > sum(room) + 1:
            unit = "litres" if cold else "places"
            yield Violation(unit, job.key, f"{sum(here):.0f} of {sum(room):.0f} in {family}")


def _amount(day: Day, job: Job, *, cold: bool) -> float:
    if not cold:
        return float(job.count)
    return job.count * (day.dish(job.dish).piece.weight_kg or 0.0)
