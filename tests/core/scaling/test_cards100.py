"""The published way of scaling a 100-portion card, against its own printed examples and cards."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import OutOfRangeError
from core.scaling import cards100
from core.scaling.yields import as_purchased_kg
from tests.published import published

OUNCE_KG = 0.028349523125
CARDS: list[dict[str, Any]] = tomllib.loads(
    Path(__file__).with_name("published_cards.toml").read_text(encoding="utf-8")
)["card"]
ROWS = [(card["id"], row) for card in CARDS for row in card["rows"]]
NAMES = [f"{card}: {row['name']}" for card, row in ROWS]


@published("Armed Forces Recipe Service, General Information No. 1(1), conversion examples")
def test_348_portions_have_a_working_factor_of_3_48() -> None:
    assert cards100.working_factor(348) == 3.48
    assert str(cards100.scaled_weight(1.25 * 16, 3.48)) == "4 lb 5-1/2 oz"


@published("Armed Forces Recipe Service, General Information No. 1(2): amount on hand")
def test_102_pounds_of_a_30_pound_recipe_are_a_factor_of_3_40() -> None:
    assert cards100.factor_on_hand(102, 30) == 3.40


@published("Armed Forces Recipe Service, General Information No. 1(3): portion size")
def test_three_ounce_portions_of_a_four_ounce_card_are_a_factor_of_2_61() -> None:
    factor = cards100.working_factor(348, size=3, standard_size=4)
    assert factor == 2.61
    assert 2 * factor == pytest.approx(5.22, abs=0.005)  # 2 lb of cornstarch


@published("NAVEDTRA 14163, Mess Management Specialist 1 & C, recipe conversion")
def test_333_portions_of_six_gallons_step_down_to_quarter_teaspoons() -> None:
    assert cards100.working_factor(333) == 3.33
    steps = cards100.stepped_volume(6 * 3.33)
    assert steps == ((19, "gal"), (3, "qt"), (1, "pt"), (1, "cup"), (10, "tbsp"), (2.75, "tsp"))


@published("Armed Forces Recipe Service, General Information No. 1: rounding scale")
@pytest.mark.parametrize(
    ("value", "rounded"),
    [
        (0.12, 0.0),
        (0.13, 0.25),
        (0.37, 0.25),
        (0.38, 0.5),
        (0.62, 0.5),
        (0.63, 0.75),
        (0.87, 0.75),
        (0.88, 1.0),
        (0.99, 1.0),
        (5.60, 5.5),
        (2.64, 2.75),
    ],
)
def test_ounces_round_by_the_printed_scale(value: float, rounded: float) -> None:
    assert cards100.quarter(value) == rounded


def test_an_exact_eighth_lies_in_a_gap_of_the_scale_and_goes_up() -> None:
    assert cards100.quarter(0.125) == 0.25  # by hand: two decimals first, half up, is 0.13
    assert cards100.quarter(0.375) == 0.5  # by hand: 0.38
    assert cards100.quarter(0.995) == 1.0  # by hand: 1.00


@published("Armed Forces Recipe Service, General Information No. 1: ounces as decimals of a pound")
@pytest.mark.parametrize(("ounces", "pound"), [(4, 0.25), (10, 0.63), (1, 0.06), (15, 0.94)])
def test_ounces_are_printed_as_decimals_of_a_pound(ounces: int, pound: float) -> None:
    assert cards100.decimal_pound(ounces) == pound


def test_there_are_eleven_published_cards() -> None:
    assert len(CARDS) == 11
    assert len(ROWS) == 90


@published("Armed Forces Recipe Service 1980s-2003 and USDA FNS cards, scaled by AFRS No. 1")
@pytest.mark.parametrize(("card", "row"), ROWS, ids=NAMES)
def test_a_card_of_100_scales_to_250_by_the_published_method(
    card: str, row: dict[str, Any]
) -> None:
    assert str(cards100.scaled_weight(row["oz"], cards100.working_factor(250))) == row["at_250"]


@published("Armed Forces Recipe Service 1980s-2003 and USDA FNS cards, printed weights")
@pytest.mark.parametrize(("card", "row"), ROWS, ids=NAMES)
def test_exact_scaling_stays_within_the_published_tolerance(card: str, row: dict[str, Any]) -> None:
    rounded = cards100.scaled_weight(row["oz"], 2.5)
    kg = (rounded.pounds * 16 + rounded.ounces) * OUNCE_KG
    exact = row["oz"] * OUNCE_KG * 2.5
    # the two-decimal pound and the quarter ounce: 1/4 oz + 0.08 oz for each unit of the factor
    assert kg == pytest.approx(exact, abs=(0.25 + 0.08 * 2.5) * OUNCE_KG)
    assert exact * 1000 == pytest.approx(row["grams_250"], abs=0.15)


@published("Armed Forces Recipe Service cards M 009 (2003), M 008 and M 009 (older): issue weights")
def test_what_a_card_buys_is_its_edible_weight_over_the_yield() -> None:
    pairs = [row for _, row in ROWS if "bought_lb" in row]
    assert len(pairs) >= 5
    for row in pairs:
        bought = as_purchased_kg(row["oz"] / 16, 1 / row["bought_per_edible"])
        assert bought == pytest.approx(row["bought_lb"], rel=0.005)


@published("Armed Forces Recipe Service M 009 (2003) at 250 portions: 13-1/8 lb issued per 100")
def test_the_slaw_at_250_buys_32_81_pounds_of_cabbage() -> None:
    cabbage = next(
        row for card, row in ROWS if card == "slaw_creamy_2003" and "cabbage" in row["name"]
    )
    bought = as_purchased_kg(cabbage["oz"] / 16 * 2.5, 0.8)
    assert bought == pytest.approx(32.81, rel=0.005)


@given(st.floats(0, 4000, allow_nan=False))
def test_rounding_never_moves_an_ounce_by_more_than_an_eighth(value: float) -> None:
    assert abs(cards100.quarter(value) - value) <= 0.125 + 0.0051


@given(st.floats(0, 500, allow_nan=False))
def test_a_stepped_volume_adds_up(gallons: float) -> None:
    size = {"gal": 768, "qt": 192, "pt": 96, "cup": 48, "tbsp": 3, "tsp": 1}
    total = sum(count * size[name] for count, name in cards100.stepped_volume(gallons))
    assert total == pytest.approx(gallons * 768, abs=0.13)


@pytest.mark.parametrize("portions", [0, -5])
def test_nobody_cooks_for_nobody(portions: float) -> None:
    with pytest.raises(OutOfRangeError):
        cards100.working_factor(portions)
