"""Parts, percents and mixtures, against printed worked examples and the laws they must keep."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import OutOfRangeError
from core.scaling import ratios
from tests.published import published

totals = st.floats(0.01, 5000, allow_nan=False)
strengths = st.floats(0.001, 0.25, allow_nan=False)


def test_five_to_one_in_18_litres_is_15_and_3() -> None:
    assert ratios.shares(18, (5, 1)) == (15, 3)  # by hand: six parts of 3 L


def test_the_wedding_brine_is_10_and_2_5() -> None:
    assert ratios.shares(12.5, (4, 1)) == (10, 2.5)  # by hand: five parts of 2.5 L


@given(total=totals, parts=st.lists(st.floats(0.01, 100), min_size=2, max_size=6))
def test_parts_always_add_up_to_the_tub(total: float, parts: list[float]) -> None:
    got = ratios.shares(total, parts)
    assert sum(got) == pytest.approx(total)
    assert len(got) == len(parts)


@given(total=totals, parts=st.lists(st.floats(0.01, 100), min_size=2, max_size=6))
def test_twice_the_tub_is_twice_each_part(total: float, parts: list[float]) -> None:
    twice = ratios.shares(2 * total, parts)
    assert list(twice) == pytest.approx([2 * x for x in ratios.shares(total, parts)])


@pytest.mark.parametrize("parts", [(5,), (5, 0), (5, -1), ()])
def test_parts_of_nothing_are_refused(parts: tuple[float, ...]) -> None:
    with pytest.raises(OutOfRangeError):
        ratios.shares(18, parts)


@given(tub=st.floats(5, 200), meat=st.floats(0, 300))
def test_meat_and_brine_never_run_over(tub: float, meat: float) -> None:
    brine = ratios.brine_beside_meat_l(tub, meat)
    assert brine >= 0
    if brine > 0:
        assert brine + meat * ratios.MEAT_L_PER_KG <= tub * ratios.RIM + 1e-9


def test_an_18_litre_tub_takes_8_litres_over_8_kilograms() -> None:
    assert ratios.brine_beside_meat_l(18, 8) == pytest.approx(8)  # common practice


@published("Brine rule: 5 % of the solution, 10 kg of water; salt = w t / (1 - t), 526.3 g")
def test_five_percent_of_the_solution_takes_526_grams() -> None:
    assert ratios.salt_of_solution_kg(10, 0.05) * 1000 == pytest.approx(526.3, abs=0.05)


def test_six_percent_of_the_water_is_sixty_grams_a_litre() -> None:
    assert ratios.salt_of_water_kg(25, 0.06) == 1.5  # by hand
    assert ratios.salt_of_solution_kg(25, 0.06) == pytest.approx(1.6, abs=0.005)  # by hand


@published("USDA FSIS Directive 7620.3, p. 22, method two; 10 kg meat, 5 kg water, 1.5 %")
def test_equilibrium_counts_the_salt_or_does_not() -> None:
    simple = ratios.salt_at_equilibrium_kg(10, 5, 0.015)
    whole = ratios.salt_at_equilibrium_total_kg(10, 5, 0.015)
    assert simple * 1000 == pytest.approx(225.0, abs=0.05)
    assert whole * 1000 == pytest.approx(228.4, abs=0.05)


@given(water=totals, t=strengths)
def test_salt_of_the_solution_gives_the_strength_back(water: float, t: float) -> None:
    salt = ratios.salt_of_solution_kg(water, t)
    assert salt / (salt + water) == pytest.approx(t)


@given(total=totals, strong=st.floats(100, 350), wanted=st.floats(1, 99))
def test_diluting_keeps_the_salt(total: float, strong: float, wanted: float) -> None:
    concentrate = ratios.concentrate_for(total, strong, wanted)
    assert concentrate * strong == pytest.approx(total * wanted)
    assert concentrate <= total


@given(brine=totals, has=st.floats(0, 0.1), more=st.floats(0, 0.1))
def test_strengthening_reaches_the_strength(brine: float, has: float, more: float) -> None:
    wanted = max(has + more, 0.001)
    salt = ratios.salt_to_add_kg(brine, has, wanted)
    assert (brine * has + salt) / (brine + salt) == pytest.approx(wanted)


@given(brine=totals, has=st.floats(0.05, 0.25), wanted=st.floats(0.001, 0.05))
def test_thinning_reaches_the_strength(brine: float, has: float, wanted: float) -> None:
    water = ratios.water_to_add_kg(brine, has, wanted)
    assert brine * has / (brine + water) == pytest.approx(wanted)


@published("Pearson square, public worked example: 30 % and 12 % fat to 20 % is 8 parts to 10")
def test_the_square_gives_eight_parts_to_ten() -> None:
    assert ratios.pearson_parts(30, 12, 20) == (8, 10)


@published("University meats-evaluation contest problem: 10 % and 25 % to 20 %, 1000 lb")
def test_a_thousand_pounds_split_by_the_square() -> None:
    lean, fat = ratios.shares(1000, ratios.pearson_parts(10, 25, 20))
    assert (round(lean, 1), round(fat, 1)) == (333.3, 666.7)


@published("Worked example: lean game and 30 % fat pork to 15 % fat, 25 lb")
def test_lean_game_takes_its_own_weight_of_fat_pork() -> None:
    assert ratios.shares(25, ratios.pearson_parts(0, 30, 15)) == (12.5, 12.5)


@given(a=st.floats(0, 50), b=st.floats(51, 100), at=st.floats(0.01, 0.99))
def test_the_square_mixes_to_what_was_wanted(a: float, b: float, at: float) -> None:
    wanted = a + (b - a) * at
    parts_a, parts_b = ratios.pearson_parts(a, b, wanted)
    assert (parts_a * a + parts_b * b) / (parts_a + parts_b) == pytest.approx(wanted)


def test_the_square_refuses_what_no_mix_can_reach() -> None:
    with pytest.raises(OutOfRangeError):
        ratios.pearson_parts(30, 12, 40)


def test_the_first_to_run_out_limits_the_recipe() -> None:
    name, times = ratios.limiting({"cabbage": 9, "carrot": 10}, {"cabbage": 14, "carrot": 4})
    assert name == "cabbage"
    assert times == pytest.approx(9 / 14)  # by hand
