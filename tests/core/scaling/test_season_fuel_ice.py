"""Doses, fires and ice against the trade's worked numbers and the laws they follow."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import OutOfRangeError
from core.scaling import fuel, ice, season
from tests.published import published

# ------------------------------------------------------------------ doses; common practice


def test_rub_for_fourteen_kilograms() -> None:
    found = season.dose("rub", 14)
    assert found.kg == pytest.approx(0.280)  # by hand: 20 g/kg
    assert found.salt_kg == pytest.approx(0.084)  # by hand: 30 %
    assert found.low_kg == pytest.approx(0.252)  # by hand: 18 g/kg
    assert found.high_kg == pytest.approx(0.350)  # by hand: 25 g/kg


def test_the_house_dose_is_used_where_there_is_one() -> None:
    assert season.dose("no-salt rub", 57, g_per_kg=12).kg == pytest.approx(0.684)  # by hand


def test_forty_eight_plain_steaks_take_110_grams_of_salt() -> None:
    grams = season.dose("dry brine", 48 * 0.19, g_per_kg=12).kg * 1000
    assert grams == pytest.approx(110, rel=0.01)  # by hand: 9.12 kg x 12 g


@published("Armed Forces Recipe Service M 008: 15 lb bought, 12 lb shredded, 4 lb dressing")
def test_a_head_of_cabbage_keeps_about_four_fifths() -> None:
    found = season.dressing_for_heads(1)
    assert found.shredded_kg / found.head_kg == pytest.approx(12 / 15, rel=0.02)
    assert 4 / 12 < found.creamy_kg / found.shredded_kg < 0.42  # the card is drier than the usual


def test_fourteen_heads_take_5_3_kilograms() -> None:
    assert season.dressing_for_heads(14).creamy_kg == pytest.approx(5.3, rel=0.01)


def test_sauce_by_the_head() -> None:
    assert season.per_head_g(14, 365) == pytest.approx(38.36, abs=0.005)  # by hand
    assert season.per_head_g(14.08, 360) == pytest.approx(39.1, abs=0.05)  # by hand


def test_bleach_for_a_bucket() -> None:
    assert season.bleach_ml(10, 0.05, 100) == pytest.approx(20)  # by hand: 1 g of chlorine


@given(st.floats(0.1, 1000), st.floats(0.01, 0.2), st.floats(1, 5000))
def test_a_bucket_has_the_chlorine_it_was_asked_for(
    water: float, bleach: float, ppm: float
) -> None:
    ml = season.bleach_ml(water, bleach, ppm)
    assert ml * bleach * 1000 == pytest.approx(water * ppm)  # mg in, mg there


@pytest.mark.parametrize(
    ("water", "bleach", "ppm"), [(0, 0.05, 100), (10, 0, 100), (10, 5, 100), (10, 0.05, 0)]
)
def test_no_bucket_of_nothing(water: float, bleach: float, ppm: float) -> None:
    with pytest.raises(OutOfRangeError):
        season.bleach_ml(water, bleach, ppm)


@given(st.sampled_from(["rub", "no-salt rub", "dry brine", "mop"]), st.floats(0, 500))
def test_doses_grow_straight_with_the_meat(key: str, kg: float) -> None:
    once, twice = season.dose(key, kg), season.dose(key, 2 * kg)
    assert twice.kg == pytest.approx(2 * once.kg)
    assert once.low_kg <= once.kg + 1e-12
    assert once.kg <= once.high_kg + 1e-12


# ------------------------------------------------------------------ fires; common practice


@pytest.mark.parametrize(
    ("grate_m2", "hours", "bare_kg"),
    [
        (0.72, 3, 11.52),  # by hand: 0.72 x (8 + 4 + 4)
        (0.72, 2, 8.64),  # by hand: the wedding's grill
        (1.8, 2, 21.6),  # by hand: the harvest's two
        (0.72, 0.5, 5.76),  # by hand: the start alone
    ],
)
def test_charcoal_by_area_and_hours(grate_m2: float, hours: float, bare_kg: float) -> None:
    fire = fuel.charcoal_for(grate_m2, hours)
    assert fire.bare_kg == pytest.approx(bare_kg)
    assert fire.kg == pytest.approx(bare_kg * 1.2)


def test_wind_takes_18_to_20_kilograms() -> None:
    fire = fuel.charcoal_for(0.72, 3)
    assert (round(fire.windy_low_kg), round(fire.windy_high_kg)) == (18, 20)


def test_wind_and_cold_add_up() -> None:
    assert fuel.weather_factor(0, 20) == 1
    assert fuel.weather_factor(25, 20) > 1
    assert fuel.weather_factor(25, 5) > fuel.weather_factor(25, 20)


def test_nine_kilograms_of_gas_at_twelve_kilowatts() -> None:
    found = fuel.bottle_hours(9, 12)
    assert found.paper_h == pytest.approx(10.3, abs=0.05)  # by hand: 9 / 0.876
    assert found.plan_h == pytest.approx(8, abs=0.3)


@published("Fuel tables: propane 50.0 MJ/kg gross")
def test_the_gas_rule_follows_from_the_heating_value() -> None:
    per_kwh = 3.6 / 50.0  # kg of propane in a kWh of heat
    assert fuel.bottle_hours(1, 1).kg_per_h == pytest.approx(per_kwh, rel=0.02)


@given(st.floats(0.01, 500), st.floats(0.1, 100))
def test_a_bottle_burns_what_is_in_it(gas: float, power: float) -> None:
    found = fuel.bottle_hours(gas, power)
    assert found.kg_per_h * found.paper_h == pytest.approx(gas)
    assert found.plan_h < found.paper_h


@pytest.mark.parametrize("hours", [0, -1, 49, float("nan")])
def test_a_fire_that_cannot_be_is_refused(hours: float) -> None:
    with pytest.raises(OutOfRangeError):
        fuel.charcoal_for(0.72, hours)


# ------------------------------------------------------------------ ice and water


@published(
    "Heat of fusion of ice 333.55 kJ/kg; 20 kg at 3.5 kJ/(kg K) from 20 to 4 C melts 3.36 kg"
)
def test_twenty_kilograms_of_food_melt_3_36_of_ice() -> None:
    assert ice.ice_to_cool_kg(20, 20, 4) == pytest.approx(3.36, abs=0.005)


def test_boiling_beans_melt_about_their_own_weight() -> None:
    melted = ice.ice_to_cool_kg(20, 95, 5, heat_kj_per_kg_k=3.8)
    assert melted == pytest.approx(20.5, abs=0.05)  # by hand: 6.84 MJ / 333.55


@given(st.floats(0, 500), st.floats(20, 99), st.floats(0, 19))
def test_ice_takes_up_just_the_heat(food: float, start: float, end: float) -> None:
    melted = ice.ice_to_cool_kg(food, start, end)
    assert melted * 333.55 == pytest.approx(food * 3.5 * (start - end))


def test_food_is_not_cooled_upwards() -> None:
    with pytest.raises(OutOfRangeError):
        ice.ice_to_cool_kg(20, 4, 20)


def test_ice_for_boxes_and_drinks() -> None:
    assert ice.ice_per_box_kg(50, 8, spare=False) == pytest.approx(5)  # common practice
    assert ice.ice_per_box_kg(50, 8) == pytest.approx(6.5)  # by hand: 30 % more
    assert ice.drinks_ice_kg(100) == (100, 150)  # common practice
    assert ice.drinks_ice_kg(100, hot=True) == (200, 300)  # common practice


def test_water_to_drink_and_to_wash() -> None:
    assert ice.drinking_water_l(17, 320, 4) == pytest.approx(17 * 4 + 320 * 2)  # by hand
    assert ice.washing_water_l(320) == (480, 640)  # by hand: 1.5 to 2 L
    assert ice.handwash_l(3) == (60, 60)  # by hand: 20 L each, and as much waste


def test_serviceware_is_whole() -> None:
    found = ice.serviceware(321, 1)
    assert found["plates"] == 354  # by hand: 353.1 rounded up
    assert found["cups"] == 642  # by hand: two in the first hour
