from __future__ import annotations

import pytest

from core.errors import OutOfRangeError
from core.heat.cold import (
    box_stays_cold_h,
    box_warms_min,
    plank_min,
    temper_min,
    thaw_in_fridge,
    thaw_in_water,
)
from core.heat.cooling import cooling_forecast, pan_minutes
from core.model import Piece
from tests.core.heat.cooks import COLLAR, LAMB
from tests.published import published

AIR_3 = 3.0


def _hours(depth_cm: float, film: float, below: float) -> tuple[float, float]:
    """Return hours from 57 to 21, and from there to 5 °C, in air of 3 °C."""
    first, last = pan_minutes(depth_cm, (21.0, 5.0), 57.0, (film, AIR_3), (below, AIR_3))
    assert first is not None
    assert last is not None
    return first / 60, (last - first) / 60


# by an independent calculation of a slab with two films: k 0.5, rho c 3.8 MJ/(m³ K)
@pytest.mark.parametrize(
    ("film", "below", "first", "second"),
    [(10.0, 0.01, 8.6, 15.7), (10.0, 10.0, 3.6, 6.8), (20.0, 20.0, 2.2, 4.0)],
)
def test_five_centimetres_in_a_refrigerator(
    film: float, below: float, first: float, second: float
) -> None:
    assert _hours(5.0, film, below) == pytest.approx((first, second), abs=0.15)


def test_ten_centimetres_on_a_shelf_take_a_day() -> None:
    assert _hours(10.0, 10.0, 0.01)[0] == pytest.approx(23.0, abs=0.3)


@published("Measured: 53 L of beef stew in one container in a refrigerator, 46 to 10 °C in 84 h")
def test_a_big_pot_in_a_refrigerator_takes_days() -> None:
    # packed and still: a film of 3 all round; 53 L as deep as wide, cooling like a cylinder
    from core.heat.constant import seconds_to

    radius = (53e-3 / (2 * 3.14159)) ** (1 / 3)
    hours = seconds_to(10.0, 46.1, 3.0, radius, 0.5, 0.5 / 3.8e6, 3.0, beta=1.6) / 3600
    assert hours == pytest.approx(84.0, rel=0.15)


@published("Cooked hams cooling in air: film of 5 to 9 W/(m² K) (2006)")
def test_the_assumed_films_of_air_hold_the_measured() -> None:
    from core.tables.heat import heat_table

    low, likely, high = heat_table("rules")["cooling"]["air"]
    assert low <= 5.1 <= likely <= 9.1 <= high


def test_the_tray_of_beans_on_ice_is_met_by_its_band() -> None:
    # a crew's own log: 3.7 cm on ice, stirred: 57 °C at 17:25, 24 at 18:20, 9 at 19:15
    made = cooling_forecast(3.7, on_ice=True, stirred=True, start_c=57.0, air_c=18.0)
    assert made.to_21.fast is not None
    assert made.to_21.slow is not None
    assert made.to_21.fast < 62 < made.to_21.slow
    assert made.to_21.slow <= 120


def test_a_deep_pot_surely_misses_and_a_shallow_one_in_the_cold_surely_makes_it() -> None:
    assert cooling_forecast(20.0, False, False, 90.0, 4.0).two_stage is False
    assert cooling_forecast(3.0, True, True, 90.0, 4.0).two_stage is True


def test_what_only_may_make_it_is_not_called_sure() -> None:
    assert cooling_forecast(6.5, True, True, 90.0, 20.0).two_stage is None


def test_air_warmer_than_the_target_never_gets_there() -> None:
    assert cooling_forecast(5.0, False, False, 90.0, 25.0).two_stage is False
    assert cooling_forecast(5.0, False, False, 90.0, 25.0).to_5.fast is None


def test_deeper_is_slower_and_stirring_and_ice_are_quicker() -> None:
    def slow(depth: float, ice: bool, stirred: bool) -> float:
        made = cooling_forecast(depth, ice, stirred, 90.0, 4.0)
        assert made.to_21.slow is not None
        return made.to_21.slow

    assert slow(4.0, True, True) < slow(8.0, True, True) < slow(16.0, True, True)
    assert slow(8.0, True, True) < slow(8.0, True, False) < slow(8.0, False, False)


@pytest.mark.parametrize("depth", [0.0, -1.0, 200.0, float("nan")])
def test_a_depth_that_cannot_be_is_refused(depth: float) -> None:
    with pytest.raises(OutOfRangeError):
        cooling_forecast(depth, True, True, 90.0, 20.0)


# ------------------------------------------------------------------ thawing, tempering, boxes, ice


@published("USDA-derived thawing advice: refrigerator 24 h for each 2 to 2.5 kg")
def test_a_piece_thaws_in_the_fridge_at_a_day_for_each_2_to_2_and_a_half_kilograms() -> None:
    span = thaw_in_fridge(5.0).span_min
    assert span.low == pytest.approx(5.0 / 2.5 * 24 * 60)
    assert span.high == pytest.approx(5.0 / 2.0 * 24 * 60)


@published("USDA-derived thawing advice: 30 min a pound in cold water, changed every 30 min")
def test_a_block_thaws_in_water_at_half_an_hour_a_pound() -> None:
    thaw = thaw_in_water(0.4536, single_layer=False)
    assert thaw.span_min.high == pytest.approx(30.0, abs=1.0)
    assert thaw.change_min == 30.0


@published("USDA-derived thawing advice: steaks of 2.5 cm in one layer, 45 to 75 min in water")
def test_a_single_layer_of_steaks_agrees_with_planks_equation() -> None:
    span = thaw_in_water(2.3, single_layer=True).span_min
    assert (span.low, span.high) == (45.0, 75.0)
    likely = plank_min(2.5, around_c=12.0, film_w_m2k=150.0)
    assert span.low <= likely <= span.high * 1.1


@published("Plank's equation: shapes of 1, 2 and 3 finite dimensions take 1, 1/2 and 1/3 the time")
def test_planks_equation_by_shape() -> None:
    slab = plank_min(5.0, 10.0, 100.0)
    assert plank_min(5.0, 10.0, 100.0, beta=2.0) == pytest.approx(slab / 3)


def test_a_thick_piece_tempers_slowly() -> None:
    thin, thick = temper_min(COLLAR, 5.0, 12.0, 22.0), temper_min(LAMB, 5.0, 12.0, 22.0)
    assert 25 < thin < thick
    assert temper_min(Piece(thickness_cm=12.0), 5.0, 12.0, 22.0) > 120


# common practice
def test_a_full_cold_box_without_ice_warms_in_an_hour_or_so() -> None:
    span = box_warms_min(5.0, 8.0)
    assert (span.low, span.high) == (60.0, 90.0)
    assert box_warms_min(5.0, 8.0, sun=True).high == 45.0
    assert box_warms_min(5.0, 8.0, outside_c=20.0).high > 90.0
    assert box_stays_cold_h(ice_on_food=False).high == 5.0


def test_a_box_does_not_warm_beyond_the_air_outside() -> None:
    with pytest.raises(OutOfRangeError):
        box_warms_min(5.0, 31.0)
