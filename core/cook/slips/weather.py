"""Wind, rain and cold as one switch: what it does to fires, fuel and plates, and off again."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.decision import Dated, Decision, Notice, booked
from core.cook.names import listed, thing_of
from core.cook.reports import retimed
from core.cook.slips.asking import LINES, asked, consequence, struck_offers
from core.cook.slips.force import in_force
from core.cook.slips.offered import NEVER_MIN, carried_on, offers
from core.cook.state import Cook, Phase
from core.cook.subjects import plan_of
from core.errors import OutOfRangeError
from core.facts import EndExpected
from core.facts.slips import SwitchWeather, WeatherSet
from core.model import Answer, Lead, Line, Plan, Qty, Rain, Sound, Span, StepRun, Weather, say
from core.model import Clock as At
from core.model.event import Moment
from core.planner.durations import COLD_C, WINDY_KMH, step_length, weather_counts
from core.tables.quantities import row

WIND_KMH = (0.0, 200.0)
AIR_C = (-30.0, 50.0)
WIND_MIN = (15, 25)
COLD_MIN = (10, 15)
RAIN_PCT = 15


def weather_switched(
    cook: Cook, wish: SwitchWeather, by: str, at: datetime, now: datetime
) -> Decision:
    """Book the weather as seen, re-time what waits and runs, and show what it does to plates."""
    _checked(wish)
    seen = _seen(cook, wish)
    fact = Dated(at, WeatherSet(seen.wind_kmh, seen.rain, seen.air_c, wish.start))
    after = booked(cook, (fact,), by, now)
    facts = (fact, *(Dated(now, end) for end in _running(cook, after, now)))
    after = booked(cook, facts, by, now)
    found = offers(after, now)
    head = _head(wish)
    if not found or found[0].late_min > NEVER_MIN or found[0].key != "keep":
        keep = carried_on(after, now)
        first = say("{what}: {plates}.", what=head, plates=consequence(keep, cook))
        lines: tuple[Line, ...] = (first, *_penalty(seen), *_site(wish))
        return asked(
            after, lines[:LINES], facts, found, by, at, notices=_told(cook, wish, seen, by)
        )
    moved = (*struck_offers(cook, at), *(Dated(now, f) for f in retimed(after, now)))
    last = booked(after, moved, by, now)
    first = say("{what}: {plates}.", what=head, plates=consequence(found[0], cook))
    ends = _ends(plan_of(cook), plan_of(last), last)
    lines = tuple(x for x in (first, ends, *_penalty(seen), *_site(wish)) if x is not None)
    return Decision((*facts, *moved), Answer(lines[:LINES]), _told(cook, wish, seen, by))


def _told(cook: Cook, wish: SwitchWeather, seen: WeatherSet, by: str) -> tuple[Notice, ...]:
    """Tell all what rain asks of everybody, and who leads the pits what wind does to them."""
    key = f"weather/{cook.seq}"
    site = _site(wish)
    if site:
        return (Notice(key, ("room",), (say("{what}.", what=_head(wish)), *site), Sound.ONCE),)
    lead = cook.cards.leading(Lead.PIT) if cook.cards else None
    blows = wish.on and wish.wind_kmh is not None and wish.wind_kmh >= WINDY_KMH
    if lead is None or lead.id == by or not blows:
        return ()
    lines = (say("{what}.", what=_head(wish)), *_penalty(seen)[:1])
    return (Notice(key, (lead.id,), lines, Sound.ONCE, kind="finding"),)


def _checked(wish: SwitchWeather) -> None:
    if wish.wind_kmh is not None and not WIND_KMH[0] <= wish.wind_kmh <= WIND_KMH[1]:
        raise OutOfRangeError("wind", f"{wish.wind_kmh:g} km/h", "0 to 200 km/h")
    if wish.air_c is not None and not AIR_C[0] <= wish.air_c <= AIR_C[1]:
        raise OutOfRangeError("air", f"{wish.air_c:g} °C", "-30 to 50 °C")


def _seen(cook: Cook, wish: SwitchWeather) -> WeatherSet:
    """Return all that was seen so far with what is new; switched off, the calm of that kind."""
    was = cook.slips.weather or WeatherSet()
    if not wish.on:
        bare = wish.wind_kmh is None and wish.rain is None and wish.air_c is None
        if bare:
            return WeatherSet()
        return WeatherSet(
            0.0 if wish.wind_kmh is not None else was.wind_kmh,
            Rain.NONE if wish.rain is not None else was.rain,
            None if wish.air_c is not None else was.air_c,
        )
    return WeatherSet(
        was.wind_kmh if wish.wind_kmh is None else wish.wind_kmh,
        was.rain if wish.rain is None else wish.rain,
        was.air_c if wish.air_c is None else wish.air_c,
    )


def _running(cook: Cook, after: Cook, now: datetime) -> list[EndExpected]:
    """Return new ends of what is on a slow fire: what is left takes longer, or less again.

    A load that was probed goes by its thermometer.
    """
    assert cook.cards is not None
    found = []
    for run in plan_of(cook).runs():
        if cook.phase(run.key) is not Phase.RUNNING or not run.on_fire or run.end <= now:
            continue
        if any(r.about == run.key for r in cook.readings):
            continue
        factor = _length(after, run, now) / max(_length(cook, run, now), 1e-6)
        if abs(factor - 1) > 0.01:
            left = (run.end - now) * factor
            found.append(EndExpected(run.key, now + left))
    return found


def _length(cook: Cook, run: StepRun, now: datetime) -> float:
    assert cook.cards is not None
    cards = in_force(cook.cards, cook.slips)
    step = cards.dish(run.dish).steps[run.index]
    stations = cards.kit.matching(step.station or "")
    weather = weather_now(cook, now) if weather_counts(stations, step) else None
    return step_length(step, run.count, 1, weather, fire=True).ideal


def weather_now(cook: Cook, now: datetime) -> Weather:
    """Return the weather of this hour: as seen, else as forecast."""
    assert cook.cards is not None
    event = in_force(cook.cards, cook.slips).event
    past = [w for w in event.weather if event.instant(w.start) <= now]
    rows = sorted(past, key=lambda w: w.start) or sorted(event.weather, key=lambda w: w.start)
    return rows[-1] if past else (rows[0] if rows else Weather(Moment(0, 0, 0)))


def _head(wish: SwitchWeather) -> Line:
    if not wish.on:
        if wish.rain is not None:
            return say("Rain off")
        if wish.air_c is not None:
            return say("Cold off")
        return say("Wind off") if wish.wind_kmh is not None else say("Weather as forecast")
    if wish.rain is not None:
        return say("Rain on")
    if wish.air_c is not None:
        return say("Cold {air}", air=Qty(wish.air_c, "°C", 0))
    return say("Wind {wind}", wind=Qty(wish.wind_kmh or 0.0, "km/h", 0))


def _penalty(seen: WeatherSet) -> tuple[Line, ...]:
    """Return what it costs in smoke and fuel by the rules, where it costs anything."""
    lines = []
    low, high = row("rules", "fire", "wind, more fuel")["range"]
    if seen.wind_kmh is not None and seen.wind_kmh >= WINDY_KMH:
        lines.append(say("Wind: smoke +{time}, fuel +{fuel}. Doors to leeward.",
                         time=Span(*WIND_MIN, "%", 0),
                         fuel=Span(round(low * 100), round(high * 100), "%", 0)))  # fmt: skip
    if seen.rain is Rain.HEAVY:
        lines.append(say("Rain: smoke and fuel +{pct}.", pct=Qty(RAIN_PCT, "%", 0)))
    if seen.air_c is not None and seen.air_c < COLD_C:
        more = row("rules", "fire", "cold, more fuel")["value"]
        lines.append(say("Cold: smoke +{time}, fuel +{fuel}.", time=Span(*COLD_MIN, "%", 0),
                         fuel=Qty(round(more * 100), "%", 0)))  # fmt: skip
    return tuple(lines)


def _site(wish: SwitchWeather) -> tuple[Line, ...]:
    if not wish.on or wish.rain in {None, Rain.NONE}:
        return ()
    return (say("Lids shut; pellets, charcoal, matches covered. Fire stays outside the tent: CO."),)


def _ends(was: Plan, now: Plan, cook: Cook) -> Line | None:
    """Return the loads whose end on a fire moved, the next first."""
    old = {run.key: run for run in was.runs()}
    moved = [
        run for run in now.runs()
        if run.on_fire and run.key in old and run.until_core_c is not None
        and cook.phase(run.key) in {Phase.RUNNING, Phase.WAITING}
        and abs(run.end - old[run.key].end) >= timedelta(minutes=1)
    ]  # fmt: skip
    parts = [
        say("{load} off {was} → {now}", load=thing_of(run, cook.cards),
            was=At(old[run.key].end), now=At(run.end))
        for run in sorted(moved, key=lambda r: r.end)
    ]  # fmt: skip
    return say("{ends}.", ends=listed(list(parts), 3)) if parts else None
