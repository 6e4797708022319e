"""How long a step takes: its card, the weather of that hour, how many hands share it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

from core.model import FIRES, Cards, Per, Rain, Station, StationKind, Step, Weather
from core.planner.jobs import up

WINDY_KMH = 20.0
"""From this wind on a card's `in_wind` holds; common practice (20 to 30 km/h, thin steel)."""

WIND_LONGER = 1.20
"""A slow fire without its own `in_wind` takes so much longer; common practice, 15 to 25 %."""

COLD_C = 10.0
COLD_LONGER = 1.12
"""Below 10 °C air an outdoor fire step takes 10 to 15 % longer; common practice."""

RAIN_LONGER = 1.15
"""Heavy rain on the lid costs so much more; common practice."""

_LIDDED = frozenset({StationKind.SMOKER, StationKind.OVEN})  # a sear is over before wind tells


@dataclass(frozen=True, slots=True)
class Length:
    """Minutes of a step: planned, and the bounds a wait may take."""

    ideal: float
    least: float
    most: float
    hard: float


def rough_min(step: Step) -> float:
    """Return the minutes a card gives a step, whichever it names; 0 if none.

    Examples
    --------
    >>> rough_min(Step("rest", "rest", min_min=5, max_min=30))
    5
    """
    for minutes in (step.ideal_min, step.min_min, step.max_min, step.never_over_min):
        if minutes is not None:
            return minutes
    return 0.0


def step_length(step: Step, count: int, hands: int, weather: Weather | None, fire: bool) -> Length:
    """Return how long a step takes, on the half-minute grid.

    Parameters
    ----------
    step
        The card's line; minutes are for a load, a lot or a piece (`per`).
    count
        Pieces in it.
    hands
        People that split a job counted by the piece, 1 or more.
    weather
        Forecast when it runs; None for none given.
    fire
        Whether it is on an outdoor fire, so that weather counts.

    Examples
    --------
    >>> slice_one = Step("slice", "slice", per=Per.PIECE, ideal_min=25 / 60, shared_by=2)
    >>> step_length(slice_one, 56, 2, None, fire=False).ideal
    12.0
    """
    each = count / max(hands, 1) if step.per is Per.PIECE else 1.0
    ideal = rough_min(step) * each
    if fire and weather is not None:
        ideal = _weathered(step, ideal, weather)
    least = ideal if step.min_min is None else min(step.min_min * each, ideal)
    most = inf if step.max_min is None else max(step.max_min * each, least)
    hard = inf if step.never_over_min is None else step.never_over_min * each
    return Length(up(ideal), up(least), up(most) if most < inf else inf, hard)


def _weathered(step: Step, ideal: float, weather: Weather) -> float:
    """Add what wind, cold and rain cost; a measured `in_wind` already holds wind and cold."""
    if weather.rain is Rain.HEAVY and step.until_core_c is not None:
        ideal = _weathered(step, ideal, replace(weather, rain=Rain.NONE))
        return ideal * RAIN_LONGER
    windy = weather.wind_kmh is not None and weather.wind_kmh >= WINDY_KMH
    if windy and step.in_wind_min is not None:
        return step.in_wind_min
    if step.in_wind_min is not None or step.until_core_c is None:
        return ideal
    if windy:
        ideal *= WIND_LONGER
    if weather.air_c is not None and weather.air_c < COLD_C:
        ideal *= COLD_LONGER
    return ideal


def on_fire(stations: tuple[Station, ...]) -> bool:
    """Return whether these stations are fires."""
    return bool(stations) and all(s.kind in FIRES for s in stations)


def weather_counts(stations: tuple[Station, ...], step: Step) -> bool:
    """Return whether wind and cold lengthen a step: slow fires, or the card says so."""
    return step.in_wind_min is not None or any(s.kind in _LIDDED for s in stations)


def in_pieces(cards: Cards, dish_id: str) -> bool:
    """Return whether a dish is counted in pieces, so that it fills racks and makes loads."""
    dish = cards.dish(dish_id)
    return bool(dish.fits) or dish.piece.footprint is not None or dish.batch.unit == "pieces"
