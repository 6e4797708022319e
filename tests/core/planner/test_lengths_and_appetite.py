"""How long steps take, and when portions are eaten."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from core.errors import CannotPlanError
from core.model import Event, MenuItem, Moment, Per, Service, Step, Weather
from core.planner import plan
from core.planner.demand import demand
from core.planner.durations import COLD_LONGER, WIND_LONGER, step_length
from core.planner.jobs import down, up
from core.planner.origin import Origin
from tests.core.planner.days import clock, run, supper
from tests.published import published

SMOKE = Step("smoke", "smoke", "smoker", until_core_c=50, ideal_min=40, in_wind_min=45)
BREEZE = Weather(Moment(0, 9, 0), air_c=15, wind_kmh=8)
WIND = Weather(Moment(0, 17, 0), air_c=15, wind_kmh=22)
COLD = Weather(Moment(0, 17, 0), air_c=8, wind_kmh=5)


def test_a_card_s_own_time_in_wind_holds_when_it_blows() -> None:
    assert step_length(SMOKE, 72, 1, BREEZE, fire=True).ideal == 40
    assert step_length(SMOKE, 72, 1, WIND, fire=True).ideal == 45


@published("common practice: wind 20-30 km/h +15-25 % of time, below 10 C +10-15 %, thin steel")
def test_without_it_wind_and_cold_take_their_usual_toll() -> None:
    plain = replace(SMOKE, in_wind_min=None)
    assert 1.15 <= WIND_LONGER <= 1.25
    assert 1.10 <= COLD_LONGER <= 1.15
    assert step_length(plain, 72, 1, WIND, fire=True).ideal == 48  # by hand: 40 x 1.2
    assert step_length(plain, 72, 1, COLD, fire=True).ideal == 45  # by hand: 44.8, to the half


@published("common practice: a worked wedding, 56 rumps x 25 s between two carvers = 11 min 40")
def test_a_job_by_the_piece_is_shared() -> None:
    carve = Step("carve", "slice", per=Per.PIECE, ideal_min=25 / 60, hands=1, shared_by=2)
    assert step_length(carve, 56, 2, None, fire=False).ideal == 12  # 11:40 up to the half minute


def test_times_are_rounded_so_that_nothing_is_cut_short() -> None:
    assert (up(4.1), up(4.5), down(4.9)) == (4.5, 4.5, 4.5)  # by hand


def event(**service: object) -> Event:
    row = replace(Service(Moment(0, 19, 0)), **service)  # type: ignore[arg-type]
    return Event("x", "X", date(2026, 10, 9), "Europe/Madrid", 320, (MenuItem("m"),), (row,))


@published("common practice: a worked supper, 6 guests a minute, 282 of 320 eat meat: 72 by 19:13")
def test_a_pace_feeds_the_first_load_by_thirteen_past() -> None:
    eaten = demand("m", 282, 320, Origin(event(per_min=6.0)))
    assert eaten.minute_of(72) - eaten.start == pytest.approx(13.6, abs=0.05)
    assert eaten.end - eaten.start == pytest.approx(53.3, abs=0.05)  # printed: last firsts 19:53


def test_a_curve_grows_with_the_heads() -> None:
    curve = ((Moment(0, 19, 0), 60.0), (Moment(0, 20, 0), 320.0))
    eaten = demand("m", 640, 640, Origin(event(curve=curve)))
    assert eaten.eaten_by(eaten.start) == 120  # by hand: 60 of 320, doubled
    assert eaten.minute_of(640) == eaten.end


def test_platters_go_out_all_at_once() -> None:
    eaten = demand("m", 52, 60, Origin(event(at_once=True)))
    assert eaten.minute_of(1) == eaten.minute_of(52) == eaten.start


def test_a_service_with_an_end_is_even() -> None:
    eaten = demand("m", 100, 100, Origin(event(until=Moment(0, 20, 0))))
    assert eaten.minute_of(50) - eaten.start == 30  # by hand


def test_a_dish_that_goes_out_nowhere_is_refused() -> None:
    with pytest.raises(CannotPlanError, match="nothing says when m goes out"):
        demand("m", 1, 1, Origin(event(dishes=("other",))))


def test_minutes_are_true_across_the_night_the_clocks_change() -> None:
    party = replace(event(), day=date(2026, 10, 25))  # Madrid goes back an hour at 03:00
    origin = Origin(party)
    assert origin.minute(Moment(0, 4, 0)) - origin.minute(Moment(0, 1, 0)) == 240  # by hand
    assert origin.day(0)[1] - origin.day(0)[0] == 25 * 60


def test_a_smoke_through_the_night_the_clocks_change_keeps_its_length() -> None:
    cards = supper()
    early = replace(cards.event, day=date(2026, 11, 1))  # Los Angeles goes back at 02:00
    made = plan(replace(cards, event=early))
    smoke = run(made, "steak/L1/smoke")
    assert smoke.end - smoke.start == timedelta(minutes=45)


def test_looks_at_the_core_stretch_with_the_wind() -> None:
    from tests.core.planner.days import harvest

    made = run(plan(harvest()), "pork-collar/a1/smoke")
    last = made.checks[-1]
    assert clock(harvest(), last[0]) == "17:55"  # the card's 40 min look, at 45 in wind
    assert last[1] == 50.0
