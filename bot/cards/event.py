"""The event card: when, for how many, what goes out and when, what the chef insists on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from bot.cards import readers as r
from bot.cards.crew import LANGUAGES
from bot.cards.errors import WrongError, shown
from bot.cards.section import Section, Sheet, exceeds
from core.errors import ClockError
from core.model import (
    Emergency,
    Event,
    GuestNeed,
    HouseLimits,
    MenuItem,
    Moment,
    Pin,
    Profile,
    Rain,
    Service,
    Travel,
    Weather,
)

_MOST_HEADS = 20_000
_NO_DAY = date(2000, 1, 1)


@dataclass(frozen=True, slots=True)
class EventCard:
    """An event, and the sections its parts were read from."""

    event: Event
    sheet: Sheet
    top: Section
    menu: tuple[Section, ...]
    serve: tuple[Section, ...]
    pins: tuple[Section, ...]


def read_event_sheet(sheet: Sheet) -> EventCard:
    """Return the event; what is wrong with it is noted on the sheet."""
    top = sheet.top()
    menu, serve, pins = top.sections("menu"), top.sections("serve"), top.sections("pin")
    event_id = top.need("id", r.name, "?")
    event = Event(
        id=event_id,
        name=top.maybe("name", r.text) or event_id,
        day=top.need("date", r.day, _NO_DAY),
        tz=top.need("tz", r.zone, "UTC"),
        heads=top.need("heads", r.whole(1, _MOST_HEADS), 1),
        menu=tuple(_menu_item(section) for section in menu),
        serve=tuple(_service(section) for section in serve),
        profile=top.maybe("profile", r.one_of(Profile)),
        tables=top.maybe("tables", r.whole(1, 2000)),
        languages=top.take("languages", r.names(r.choice(*LANGUAGES)), ["en"]),
        currency=top.take("currency", r.currency, "EUR"),
        calls=top.take("calls", r.choice("both", "room", "person"), "both"),
        sunset=top.maybe("sunset", r.on_the_day),
        slack_per_hour_min=top.take("slack_per_hour", r.duration, "10 min"),
        slack_min=top.maybe("slack", r.duration),
        pins=tuple(_pin(section) for section in pins),
        guests=tuple(_guest(section) for section in top.sections("guest")),
        weather=tuple(_weather(section) for section in top.sections("weather")),
        house=_house(top.section("house")),
        travel=_travel(top.section("travel")),
        emergency=_emergency(top.section("emergency")),
        altitude_m=top.take("altitude", r.altitude, "0 m"),
    )
    top.close()
    card = EventCard(event, sheet, top, menu, serve, pins)
    _check_event(card)
    return card


def _menu_item(s: Section) -> MenuItem:
    item = MenuItem(
        dish=s.need("dish", r.name, ""),
        heads=s.maybe("heads", r.whole(0, _MOST_HEADS)),
        share=s.maybe("share", r.part),
        spare=s.maybe("spare", r.spare),
        make=s.maybe("make", r.whole(0, _MOST_HEADS)),
        on_demand=s.take("on_demand", r.flag, False),
    )
    s.close()
    if item.heads is not None and item.share is not None:
        s.wrong("share", "is given beside heads", "either heads or share")
    if item.make is not None and item.spare is not None:
        s.wrong("spare", "is given beside make", "make says it all")
    if item.make is not None and item.heads is not None and item.make < item.heads:
        s.wrong("make", f"{item.make} portions for {item.heads} heads", "at least as many")
    return item


def _service(s: Section) -> Service:
    service = Service(
        start=s.need("from", r.moment, Moment(0, 0, 0)),
        until=s.maybe("by", r.moment),
        dishes=s.take("dishes", r.names(r.name), []),
        per_min=s.maybe("per_min", r.number(0.01, 500)),
        curve=s.take("curve", r.listed(r.arrival), []),
        at_once=s.take("at_once", r.flag, False),
        leftovers=s.take("leftovers", r.flag, False),
    )
    s.close()
    if service.until is not None and service.until <= service.start and s.has("from"):
        s.wrong("by", f"{service.until} is not after {service.start}", "last plates after first")
    paces = [key for key in ("per_min", "curve", "at_once") if s.has(key)]
    if len(paces) > 1:
        s.wrong(paces[1], f"is given beside {paces[0]}", "one of per_min, curve, at_once")
    elif not paces and not service.leftovers:
        s.wrong("", "has no pace", "one of per_min, curve, at_once = true")
    for (early, fewer), (late, more) in pairwise(service.curve):
        if late <= early or more < fewer:
            s.wrong("curve", f"falls back at {late}", "later and later, more and more guests")
    if service.curve and service.curve[-1][1] == 0:
        s.wrong("curve", "nobody comes", "guests so far, the last point all of them")
    return service


def _pin(s: Section) -> Pin:
    pin = Pin(
        dish=s.need("dish", r.name, ""),
        load=s.maybe("load", _load),
        step=s.maybe("step", r.name),
        start=s.maybe("start", r.moment),
        name=s.maybe("name", r.name),
        count=s.maybe("count", r.whole(1, 10_000)),
        station=s.maybe("station", r.name),
    )
    s.close()
    if not any(s.has(key) for key in ("start", "name", "count", "station")):
        s.wrong("", "insists on nothing", "give start, name, count or station")
    if s.has("start") and not s.has("step"):
        s.wrong("start", "of which step?", 'step = "smoke"')
    if s.has("name") and not s.has("load"):
        s.wrong("name", "of which load?", 'load = "L1"')
    if s.has("count") and not s.has("load"):
        s.wrong("count", "of which load?", 'load = "L1"')
    return pin


def _load(value: object) -> str:
    """Return the number of a load: L1, L2... in order of going on."""
    word = r.name(value)
    if not (word[0] == "L" and word[1:].isascii() and word[1:].isdigit() and word[1] != "0"):
        raise WrongError(f"{shown(word)} is no load", "L1 is the first of the dish to go on")
    return word


def _guest(s: Section) -> GuestNeed:
    guest = GuestNeed(
        needs=s.need("needs", r.text, ""),
        heads=s.take("heads", r.whole(1, _MOST_HEADS), 1),
        table=s.maybe("table", r.text),
        vulnerable=s.take("vulnerable", r.flag, False),
    )
    s.close()
    return guest


def _weather(s: Section) -> Weather:
    weather = Weather(
        start=s.need("from", r.moment, Moment(0, 0, 0)),
        air_c=s.maybe("air", r.air_temp),
        wind_kmh=s.maybe("wind", r.speed),
        gust_kmh=s.maybe("gust", r.speed),
        rain=s.take("rain", r.one_of(Rain), "none"),
    )
    s.close()
    if exceeds(weather.wind_kmh, weather.gust_kmh):
        s.wrong("gust", "is less than the wind", "gusts are the strongest of it")
    return weather


def _house(s: Section) -> HouseLimits:
    house = HouseLimits(
        hot_min_c=s.maybe("hot_min", r.food_temp),
        cold_max_c=s.maybe("cold_max", r.food_temp),
        table_max_min=s.maybe("table_max", r.some_time),
    )
    s.close()
    if exceeds(house.cold_max_c, house.hot_min_c):
        s.wrong("hot_min", "is not above cold_max", "hot is hotter than cold")
    return house


def _travel(s: Section) -> Travel:
    travel = Travel(
        load_out=s.maybe("load_out", r.moment),
        drive_min=s.maybe("drive", r.duration),
        off_site=s.maybe("off_site", r.moment),
    )
    s.close()
    if travel.load_out and travel.off_site and travel.off_site <= travel.load_out:
        s.wrong("off_site", "is not after load_out", "first in, then out")
    return travel


def _emergency(s: Section) -> Emergency | None:
    if not s.keys():
        for key in ("number", "address", "gate", "first_aider"):
            s.maybe(key, r.text)
        return None
    emergency = Emergency(
        number=s.need("number", r.text, ""),
        address=s.need("address", r.text, ""),
        gate=s.maybe("gate", r.text) or "",
        first_aider=s.maybe("first_aider", r.text) or "",
    )
    s.close()
    return emergency


def _check_event(card: EventCard) -> None:
    event, top = card.event, card.top
    if not event.menu:
        top.wrong("", "there is nothing to eat", "begin each with [[menu]] and dish")
    if not event.serve:
        top.wrong("", "there is no service", "begin it with [[serve]], from and a pace")
    if not event.languages:
        top.wrong("languages", "is empty", "at least one of en, es")
    if top.has("slack") and top.has("slack_per_hour"):
        top.wrong("slack_per_hour", "is given beside slack", "one lump, or so much an hour")
    seen: set[str] = set()
    for item, s in zip(event.menu, card.menu, strict=True):
        if item.dish and item.dish in seen:
            s.wrong("dish", f"{item.dish} is on the menu already", "once is enough")
        seen.add(item.dish)
        if item.heads is not None and item.heads > event.heads and top.has("heads"):
            s.wrong("heads", f"{item.heads} of {event.heads} guests", "at most the event's heads")
    for early, late in pairwise(event.weather):
        if late.start <= early.start:
            top.wrong("weather", f"{late.start} is not after {early.start}", "in order of time")
    if sum(guest.heads for guest in event.guests) > event.heads:
        top.wrong("guest", "there are more of them than heads", "check heads")
    _check_pins(card)


def _check_pins(card: EventCard) -> None:
    """Note what two pins say differently."""
    names: set[tuple[str, str]] = set()
    said: set[tuple[str, str | None, str | None, str]] = set()
    for pin, s in zip(card.event.pins, card.pins, strict=True):
        if pin.name is not None:
            if (pin.dish, pin.name) in names:
                s.wrong("name", f"there is a load {pin.name} already", "a name for each load")
            names.add((pin.dish, pin.name))
        for key in ("start", "name", "count", "station"):
            what = (pin.dish, pin.load, pin.step if key == "start" else None, key)
            if s.has(key) and what in said:
                s.wrong(key, "is pinned twice", "one pin for each")
            if s.has(key):
                said.add(what)


def check_clock(card: EventCard, sheets: tuple[Sheet, ...]) -> None:
    """Note every time of day that the clocks skip at the event's place, on any card."""
    if card.event.day == _NO_DAY or not card.top.has("tz"):
        return
    for sheet in sheets:
        for path, moment in sheet.moments:
            try:
                card.event.instant(moment)
            except ClockError as bad:
                sheet.wrong(path, str(bad).rstrip("."), bad.hint)
