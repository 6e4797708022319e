"""The cards as they stand now: the weather as seen, who is there, what does another's work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from core.cook.slips.book import SlipsBook
from core.cook.state import Cook, Phase, progress
from core.errors import CannotPlanError
from core.facts.slips import StationLent, WeatherSet
from core.model import (
    Cards,
    Event,
    Moment,
    Person,
    Progress,
    Service,
    Station,
    StationKind,
    Weather,
)

SEARS = StationKind.GRILL


def in_force(cards: Cards, book: SlipsBook) -> Cards:
    """Return the cards with everything the crew has told us since they were taken."""
    event = cards.event
    if book.weather is not None and book.weather_since is not None:
        event = replace(event, weather=_weather(event, book.weather, book.weather_since))
    if book.split is not None:
        event = _split(event, book.split)
    if book.apart:
        event = replace(event, serve=_apart(event, book.apart))
    kit = cards.kit
    if book.lent:
        stations = tuple(_lent(s, book.lent.get(s.id), cards) for s in kit.stations)
        kit = replace(kit, stations=stations)
    crew = tuple(_there(p, book.away.get(p.id), event) for p in cards.crew)
    return replace(cards, event=event, kit=kit, crew=crew)


def _split(event: Event, split: Mapping[str, int]) -> Event:
    """Say who eats what as it was told, not as the card's shares would have it."""
    menu = tuple(
        replace(item, heads=split[item.dish]) if item.dish in split else item for item in event.menu
    )
    was = sum(item.heads or 0 for item in event.menu if item.dish in split)
    heads = event.heads - was + sum(split.values())
    return replace(event, menu=menu, heads=heads)


def moment(event: Event, at: datetime) -> Moment:
    """Return an instant as a wall-clock moment counted from the event's day, whole minutes."""
    local = event.local(at)
    return Moment((local.date() - event.day).days, local.hour, local.minute)


def _weather(event: Event, seen: WeatherSet, since: datetime) -> tuple[Weather, ...]:
    """Put what was seen in place of the forecast from then on; what was not said stays."""
    begins = moment(event, since)
    rows = sorted(event.weather, key=lambda row: row.start)
    before = [row for row in rows if row.start < begins]
    now = replace(before[-1], start=begins) if before else Weather(begins)
    after = [row for row in rows if row.start > begins]
    return (*before, *(_seen(row, seen) for row in (now, *after)))


def _seen(row: Weather, seen: WeatherSet) -> Weather:
    return replace(
        row,
        wind_kmh=row.wind_kmh if seen.wind_kmh is None else seen.wind_kmh,
        rain=row.rain if seen.rain is None else seen.rain,
        air_c=row.air_c if seen.air_c is None else seen.air_c,
    )


def _apart(event: Event, minutes: Mapping[str, float]) -> tuple[Service, ...]:
    """Give dishes that go out later a service of their own, behind the rows that are there."""
    menu = [item.dish for item in event.menu]
    rows: list[Service] = []
    late: list[Service] = []
    for row in event.serve:
        dishes = row.dishes or tuple(menu)
        later = [d for d in dishes if minutes.get(d)] if not row.leftovers else []
        kept = tuple(d for d in dishes if d not in later)
        if later and kept:
            rows.append(replace(row, dishes=kept))
            late += [_later(event, row, dish, minutes[dish]) for dish in later]
        else:
            rows.append(row)
    return (*rows, *late)


def _later(event: Event, row: Service, dish: str, minutes: float) -> Service:
    return replace(
        row,
        dishes=(dish,),
        start=_moved(event, row.start, minutes),
        until=_moved(event, row.until, minutes) if row.until else None,
        curve=tuple((_moved(event, at, minutes), heads) for at, heads in row.curve),
    )


def _moved(event: Event, at: Moment, minutes: float) -> Moment:
    return moment(event, event.instant(at) + timedelta(minutes=minutes))


def _lent(station: Station, lent: StationLent | None, cards: Cards) -> Station:
    """Return a pit that sears: a grill of that family, hot from `start` on."""
    if lent is None:
        return station
    start = moment(cards.event, lent.start)
    return replace(station, kind=SEARS, family=lent.family, start=start, heat_up_min=0.0)


def _there(person: Person, away: tuple[datetime, datetime | None] | None, event: Event) -> Person:
    """Return somebody with the hours they are not there cut out of their shifts."""
    if away is None:
        return person
    start, until = away
    whole = (event.instant(Moment(-3, 0, 0)), event.instant(Moment(1, 23, 59)))
    shifts = [(event.instant(a), event.instant(b)) for a, b in person.shifts] or [whole]
    left: list[tuple[datetime, datetime]] = []
    for begins, ends in shifts:
        if begins < start:
            left.append((begins, min(ends, start)))
        if until is not None and until < ends:
            left.append((max(begins, until), ends))
    if not left:  # never there: a shift of no length, for no shift at all means always
        left = [(shifts[0][0], shifts[0][0])]
    return replace(person, shifts=tuple((moment(event, a), moment(event, b)) for a, b in left))


def basis(cook: Cook, now: datetime, *, decided: bool = False) -> tuple[Cards, Progress]:
    """Return the cards and the day so far that a plan is made from.

    With `decided`, what waits for somebody's tap is left out: single reports move nothing by it.
    """
    if cook.cards is None:
        raise CannotPlanError("nothing is cooking yet")
    book = cook.slips.decided() if decided else cook.slips
    told = progress(cook, now)
    moving = {k: m for k, m in book.moving.items() if cook.phase(k) is Phase.RUNNING}
    return in_force(cook.cards, book), replace(
        told,
        down={k: (o.since, o.until) for k, o in book.down.items()},
        moved={**{k: m.station for k, m in moving.items()}, **told.moved},
        expected_end={**{k: m.end for k, m in moving.items()}, **told.expected_end},
    )
