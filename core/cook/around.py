"""What a load has around it: its fire's log, lids, wraps, weather, as the heat model takes them.

A load that was moved has the log of each fire while it was in it. Weather is the event's card; a
fire's own thermometer outranks what weather is assumed to do to it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from core.cook.state import Cook
from core.facts import Report, StepReported, Surface
from core.model import Moment, Place, Station, StationKind, Step, StepRun, Weather
from core.planner.durations import step_length, weather_counts

if TYPE_CHECKING:
    from core.heat.pit import Pit

Log = tuple[tuple[datetime, float], ...]

PIT_BACK_MIN = 15.0  # a fire that has fallen is taken to be back so long after the reading
PIT_OFF_K = 10.0  # nearer to its set point than this a fire is in order
_TOLD_MIN = 60.0  # a fire read within so long tells by itself what weather does to it
_AIR_C = 20.0


@dataclass(frozen=True, slots=True)
class Around:
    """The fire for the heat model, and the family of fires under which its lessons are kept."""

    pit: Pit
    fire: str


def around_of(cook: Cook, run: StepRun, now: datetime) -> Around | None:
    """Return what a load that is on, or was, has around it.

    Parameters
    ----------
    cook
        The state.
    run
        A run of a step on a fire.
    now
        The present, or when it came off.

    Returns
    -------
    Around | None
        None without a thickness on the card or a temperature of the fire.
    """
    started = cook.job(run.key).started
    if cook.cards is None or started is None:
        return None
    dish = cook.cards.dish(run.dish)
    step = dish.steps[run.index]
    set_c = run.temp_c if run.temp_c is not None else step.temp_c
    if dish.piece.thickness_cm is None or set_c is None:
        return None
    from core.heat.pit import RECOVERY_MIN, Pit
    from core.heat.prior import kind_of

    station = cook.cards.station(cook.job(run.key).station or run.station or "")
    log = fire_log(cook, run)
    weather = weather_at(cook, now)
    pit = Pit(
        kind=kind_of(station.kind if station else None, set_c, len(step.turns_min)),
        set_c=set_c,
        log=log,
        back_at=now + timedelta(minutes=PIT_BACK_MIN) if is_down(log, set_c) else None,
        wrapped_at=cook.heat.wrapped_at(run.key),
        wrap_c=cook.heat.wrap_c.get(run.key),
        wind_kmh=weather.wind_kmh or 0.0,
        altitude_m=cook.cards.event.altitude_m,
        air_c=_AIR_C if weather.air_c is None else weather.air_c,
        covered=_rests_covered(cook, run),
        lids=_lids(cook, run),
        recovery_min=(station.recovery_min if station else 0.0) or RECOVERY_MIN,
        slower=_slower(step, station, weather, log, now),
    )
    return Around(pit, (station.family or station.id) if station else "")


def fire_log(cook: Cook, run: StepRun) -> Log:
    """Return what the thermometer of a load's fire said while the load was in it."""
    log = [
        (r.at, r.value)
        for station, since, until in _stays(cook, run)
        for r in cook.readings
        if r.place is Place.PIT and r.about == station and since <= r.at
        and (until is None or r.at < until)
    ]  # fmt: skip
    return tuple(sorted([*log, *_changes(cook, run, log)]))


def pit_log(cook: Cook, station: str, since: datetime) -> Log:
    """Return what the thermometer of a fire has said since then."""
    log = [
        (r.at, r.value)
        for r in cook.readings
        if r.place is Place.PIT and r.about == station and r.at >= since
    ]
    return tuple(sorted(log))


def _changes(cook: Cook, run: StepRun, log: list[tuple[datetime, float]]) -> Log:
    """Return the step from a fire that was down to one at its temperature, at each move."""
    moves = [since for _, since, _ in _stays(cook, run)][1:]
    found: list[tuple[datetime, float]] = []
    for at in moves:
        before = [value for when, value in log if when < at]
        if before and is_down(((at, before[-1]),), run.temp_c) and run.temp_c is not None:
            found += [(at, before[-1]), (at + timedelta(minutes=1), run.temp_c)]
    return tuple(found)


def _stays(cook: Cook, run: StepRun) -> list[tuple[str, datetime, datetime | None]]:
    """Return on which station a load was from when until when."""
    started = cook.job(run.key).started
    if started is None:
        return []
    moves = [
        (e.at, e.fact.station)
        for e in cook.entries
        if isinstance(e.fact, StepReported) and e.fact.run == run.key and e.fact.station
        and e.fact.report is Report.MOVE and e.at > started
    ]  # fmt: skip
    first = next(
        (e.fact.station for e in cook.entries
         if isinstance(e.fact, StepReported) and e.fact.run == run.key
         and e.fact.report is Report.START and e.fact.station),
        run.station,
    )  # fmt: skip
    places = [(started, first or ""), *sorted(moves)]
    ends: list[datetime | None] = [at for at, _ in places[1:]]
    return [(station, at, end) for (at, station), end in zip(places, [*ends, None], strict=True)]


def _lids(cook: Cook, run: StepRun) -> tuple[datetime, ...]:
    return tuple(
        sorted(
            at
            for station, since, until in _stays(cook, run)
            for at in cook.heat.lids.get(station, ())
            if since < at and (until is None or at < until)
        )
    )


def is_down(log: Log, set_c: float | None) -> bool:
    """Say whether a fire was last read far off its temperature."""
    return bool(log) and set_c is not None and abs(log[-1][1] - set_c) > PIT_OFF_K


def weather_at(cook: Cook, at: datetime) -> Weather:
    """Return the weather of an hour: the event's card, and over it what was seen on site."""
    forecast = _forecast(cook, at)
    seen, since = cook.slips.weather, cook.slips.weather_since
    if seen is None or since is None or at < since:
        return forecast
    return replace(
        forecast,
        wind_kmh=forecast.wind_kmh if seen.wind_kmh is None else seen.wind_kmh,
        air_c=forecast.air_c if seen.air_c is None else seen.air_c,
        rain=forecast.rain if seen.rain is None else seen.rain,
    )


def _forecast(cook: Cook, at: datetime) -> Weather:
    """Return the hour of the event's card; the first before it begins, a blank one without any."""
    event = cook.cards.event if cook.cards else None
    if event is None or not event.weather:
        return Weather(start=Moment(0, 0, 0))
    known = sorted(event.weather, key=lambda w: event.instant(w.start))
    past = [w for w in known if event.instant(w.start) <= at]
    return past[-1] if past else known[0]


def _slower(
    step: Step, station: Station | None, weather: Weather, log: Log, now: datetime
) -> float:
    """Return how much longer weather makes a step, as the plan has it.

    The card's own time in wind holds at the fire's temperature; a rule of thumb stands only while
    nobody has read what the fire does.
    """
    if station is None or not weather_counts((station,), step):
        return 1.0
    read = any(now - at <= timedelta(minutes=_TOLD_MIN) for at, _ in log)
    if read and step.in_wind_min is None:
        return 1.0
    calm = step_length(step, 1, 1, None, fire=True).ideal
    return step_length(step, 1, 1, weather, fire=True).ideal / calm if calm else 1.0


def _rests_covered(cook: Cook, run: StepRun) -> bool:
    """Say whether the pieces rest under a cover: somebody said so, or in a box."""
    plan = cook.plan
    load = next((x for x in plan.loads if run in x.runs), None) if plan else None
    rests = [r for r in load.runs if r.do == "rest"] if load else []
    runs = [run, *rests]
    if any(cook.heat.surface(r.key) in {Surface.COVERED, Surface.WRAPPED} for r in runs):
        return True
    boxes = {s.id for s in cook.cards.kit.stations if s.kind is StationKind.HOT_BOX} if (
        cook.cards) else set()  # fmt: skip
    return any(r.station in boxes for r in rests)
