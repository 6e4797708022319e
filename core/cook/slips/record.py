"""Each fact of a slip as one line of the log."""

from __future__ import annotations

from typing import assert_never

from core.cook.names import job_name, listed
from core.cook.state import Cook, items
from core.facts.slips import (
    GoodsShort,
    LoadMoving,
    LotsMissed,
    PersonArrived,
    PersonAway,
    ServedApart,
    SlipFact,
    StationBack,
    StationDown,
    StationLent,
    Supply,
    SupplyFailed,
    SupplyRestored,
    WeatherSet,
    Why,
)
from core.model import Clock, Label, Line, Qty, Rain, Who, say

WHY = {Why.BROKEN: say("broken"), Why.GAS: say("no gas"), Why.POWER: say("no power")}
SUPPLY = {Supply.POWER: say("power"), Supply.WATER: say("water")}
RAIN = {Rain.NONE: say("dry"), Rain.LIGHT: say("light rain"), Rain.HEAVY: say("rain")}


def slip_told(fact: SlipFact, cook: Cook) -> Line:
    """Return what a fact says."""
    match fact:
        case StationDown(station=station, why=why):
            return say("{station} out: {why}", station=Label(station), why=WHY[why])
        case StationBack(station=station):
            return say("{station} back in use", station=Label(station))
        case StationLent(station=station, family=family, start=start):
            return say("{station} stands in for {family} from {clock}", station=Label(station),
                       family=Label(family), clock=Clock(start))  # fmt: skip
        case LoadMoving(run=run, station=station, at=at):
            return say("{load} to go to {station} {clock}", load=_job(run, cook),
                       station=Label(station), clock=Clock(at))  # fmt: skip
        case WeatherSet():
            return say("weather on site: {what}", what=weather_line(fact))
        case SupplyFailed(what=what):
            return say("{what} out", what=SUPPLY[what])
        case SupplyRestored(what=what):
            return say("{what} back", what=SUPPLY[what])
        case PersonAway(person=person, start=start):
            return say("{who} away from {clock}", who=Who(person), clock=Clock(start))
        case PersonArrived(person=person):
            return say("{who} is here", who=Who(person))
        case LotsMissed(runs=runs, pieces=pieces):
            first = _job(runs[0], cook) if runs else say("lot")
            return say("{job}: {n} never done", job=first, n=Qty(pieces, "pcs", 0))
        case GoodsShort(named=named, kg=kg, refused=refused):
            return _goods(named, kg, refused=refused)
        case ServedApart(minutes=minutes):
            return say("served later: {dishes}", dishes=listed([Label(d) for d in minutes], 3))
        case _:
            assert_never(fact)


def weather_line(seen: WeatherSet) -> Line:
    """Return the weather as it was seen."""
    parts: list[Line] = []
    if seen.wind_kmh is not None:
        parts.append(say("wind {wind}", wind=Qty(seen.wind_kmh, "km/h", 0)))
    if seen.rain is not None:
        parts.append(RAIN[seen.rain])
    if seen.air_c is not None:
        parts.append(say("air {air}", air=Qty(seen.air_c, "°C", 0)))
    return listed(list(parts), 3) if parts else say("as forecast")


def _job(key: str, cook: Cook) -> Line:
    item = items(cook.plan).get(key) if cook.plan else None
    return job_name(item, cook.cards) if item is not None else say("{key}", key=Label(key))


def _goods(named: str, kg: float | None, *, refused: bool) -> Line:
    food = Label(named)
    if refused:
        return say("{food} refused at delivery", food=food)
    if kg is None:
        return say("{food} short", food=food)
    return say("{food} short {kg}", food=food, kg=Qty(kg, "kg"))
