"""Volume to weight: printed pairs, spreads, and salts that are never trusted by the cup."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import OutOfRangeError
from core.scaling.measures import (
    US_CUP_L,
    Food,
    food_in,
    food_named,
    foods,
    in_unit,
    rub_kg,
    salt_range,
    weighed,
)
from tests.published import published


@published("Armed Forces Recipe Service M 009 (2003): 4 gal 1 qt of shredded cabbage is 10-1/2 lb")
def test_four_gallons_and_a_quart_of_cabbage() -> None:
    cabbage = food_named("cabbage")
    assert cabbage is not None
    got = weighed(cabbage, 68 * US_CUP_L, "shredded")
    assert got.kg == pytest.approx(4.763, rel=0.01)


@published("Armed Forces Recipe Service M 009 (2003): 1-3/4 cups of sugar are 12-1/3 oz")
def test_a_cup_and_three_quarters_of_sugar() -> None:
    sugar = food_named("azúcar")
    assert sugar is not None
    assert weighed(sugar, 1.75 * US_CUP_L).kg == pytest.approx(0.3496, rel=0.01)


@published("USDA SR26 NDB 19334: brown sugar 220 g a cup packed, 145 g unpacked")
@pytest.mark.parametrize(("state", "grams"), [("packed", 220), ("unpacked", 145)])
def test_a_word_for_the_state_picks_its_row(state: str, grams: float) -> None:
    sugar = food_named("brown sugar")
    assert sugar is not None
    assert weighed(sugar, US_CUP_L, state).kg * 1000 == pytest.approx(grams)


def test_without_the_word_the_spread_covers_both() -> None:
    sugar = food_named("brown sugar")
    assert sugar is not None
    got = weighed(sugar, US_CUP_L)
    assert got.low_kg <= 0.145  # USDA SR26 19334, unpacked
    assert got.high_kg >= 0.220  # the same, packed


def test_a_cup_of_liquid_is_surer_than_one_of_flour() -> None:
    milk, flour = food_named("milk"), food_named("harina")
    assert milk is not None
    assert flour is not None
    sure, loose = weighed(milk, US_CUP_L), weighed(flour, US_CUP_L)
    assert (sure.high_kg - sure.low_kg) / sure.kg < (loose.high_kg - loose.low_kg) / loose.kg


@published("Salt-maker chart: coarse kosher salts from 2.8 to 4.8 g a teaspoon; table salt 6")
def test_a_spoon_of_salt_may_weigh_twice_another() -> None:
    low, high = salt_range(US_CUP_L / 48)
    assert low * 1000 == pytest.approx(2.8, abs=0.05)
    assert high * 1000 >= 6.0


@pytest.mark.parametrize("name", ["salt", "kosher salt", "sal gorda", "flaky salt"])
def test_no_salt_is_ever_turned_from_a_volume(name: str) -> None:
    assert food_named(name) is not None
    assert in_unit(name, 1.0, "L", "kg") is None
    assert in_unit(name, 1.0, "kg", "L") is None


def test_a_name_is_matched_whole_or_not_at_all() -> None:
    assert food_named("suggar") is None
    assert food_named("sugar free gum") is None


def test_the_longest_name_in_a_sentence_wins() -> None:
    found = food_in("how heavy is a cup of brown sugar")
    assert found is not None
    assert found.key == "sugar_brown"


def test_pieces_do_not_become_kilograms() -> None:
    assert in_unit("egg", 12, "pieces", "kg") is None
    assert in_unit("no such thing", 1, "L", "kg") is None


def test_a_cup_of_rub_is_130_grams_give_or_take_15_percent() -> None:
    got = rub_kg(3 * US_CUP_L)
    assert got.kg == pytest.approx(0.390)  # common practice
    assert got.low_kg == pytest.approx(0.3315)
    assert got.high_kg == pytest.approx(0.4485)


@pytest.mark.parametrize("volume", [-1.0, float("nan")])
def test_less_than_nothing_is_refused(volume: float) -> None:
    with pytest.raises(OutOfRangeError):
        weighed(foods()[0], volume)


@given(st.sampled_from(foods()), st.floats(0, 1000))
def test_twice_the_volume_is_twice_the_weight(food: Food, volume: float) -> None:
    once, twice = weighed(food, volume), weighed(food, 2 * volume)
    assert twice.kg == pytest.approx(2 * once.kg)
    assert once.low_kg <= once.kg <= once.high_kg


@given(st.sampled_from([f for f in foods() if f.kind != "salt"]), st.floats(0.1, 100))
def test_there_and_back_is_the_same(food: Food, kg: float) -> None:
    litres = in_unit(food.key, kg, "kg", "L")
    assert litres is not None
    # what comes back was rounded to a tenth of a millilitre, which is much of a light herb
    assert in_unit(food.key, litres, "L", "kg") == pytest.approx(kg, rel=1e-3, abs=2e-4)
