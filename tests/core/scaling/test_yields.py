"""The yield chain: published pairs of bought and edible, and what beats what."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import OutOfRangeError
from core.model import Ingredient, Source
from core.scaling.yields import (
    Chain,
    Factor,
    Measured,
    State,
    as_purchased_kg,
    bought_kg,
    chain_of,
    edible_kg,
    portions_of,
    thumb_loss,
)
from core.tables.quantities import rows
from tests.published import published

CARD = Source("card", "card")
COLLAR = Chain(Factor(0.92, CARD), Factor(0.78, CARD))
LB_KG = 0.45359237


@published("Armed Forces Recipe Service cards, AP and EP printed side by side")
@pytest.mark.parametrize("row", rows("produce", "cards"), ids=lambda r: r["item"])
def test_bought_and_edible_on_the_cards_agree_with_the_printed_percent(row: Any) -> None:
    bought = as_purchased_kg(row["ep_lb"], row["percent"] / 100)
    assert bought == pytest.approx(row["ap_lb"], rel=0.002)  # one decimal of a percent is printed


@published("Armed Forces Recipe Service, General Information No. 6 and 7: EP x factor = AP")
@pytest.mark.parametrize(
    "row", [r for r in rows("produce", "trim") if "ap_per_ep" in r], ids=lambda r: r["item"]
)
def test_the_printed_factor_is_the_inverse_of_the_yield(row: Any) -> None:
    assert as_purchased_kg(1, row["card_percent"] / 100) == pytest.approx(
        row["ap_per_ep"], abs=0.005
    )


@published("Armed Forces Recipe Service M 008: 15 lb A.P. cabbage yields 12 lb finely shredded")
def test_15_pounds_of_cabbage_are_12_shredded() -> None:
    assert edible_kg(15, 0.80) == pytest.approx(12, rel=0.01)


@published("Bakery and Business Math (open textbook), ch. 25: 32 oz of pears at 78 %")
def test_32_ounces_of_pears_are_bought_as_41_03() -> None:
    assert as_purchased_kg(32, 0.78) == pytest.approx(41.03, abs=0.01)


@published("USDA National Nutrient Database SR26, NDB 10083 and 10087, household weights")
@pytest.mark.parametrize(("ndb", "left"), [(10083, 57.8), (10087, 52.5)])
def test_a_hundred_pounds_of_bone_in_butt(ndb: int, left: float) -> None:
    row = next(r for r in rows("cooking_yields", "edible") if r["ndb"] == ndb)
    assert edible_kg(100, row["cooked_g"] / row["raw_g"]) == pytest.approx(left, abs=0.2)


@published("USDA SR26: raw and cooked weights; the ratio must be the one that is carried")
@pytest.mark.parametrize("row", rows("cooking_yields", "edible"), ids=lambda r: str(r["ndb"]))
def test_edible_yields_are_cooked_over_raw(row: Any) -> None:
    assert 100 * row["cooked_g"] / row["raw_g"] == pytest.approx(row["percent"], abs=0.06)


@published("USDA Table of Cooking Yields for Meat and Poultry, release 2 (2014), table 1")
@pytest.mark.parametrize(
    ("ndb", "percent"), [(13806, 69), (13953, 84), (10013, 77), (5062, None), (23188, 85.7)]
)
def test_cooking_yields_are_the_printed_ones(ndb: int, percent: float | None) -> None:
    found = [r for r in rows("cooking_yields", "cooking") if r.get("ndb") == ndb]
    assert [r["percent"] for r in found] == ([percent] if percent else [])


@published("USDA Table of Cooking Yields (2014): the mean lies within the range it is printed with")
@pytest.mark.parametrize(
    "row", [r for r in rows("cooking_yields", "cooking") if "low" in r], ids=lambda r: r["cut"]
)
def test_the_mean_lies_in_its_range(row: Any) -> None:
    assert row["low"] <= row["percent"] <= row["high"]


@published("USDA SR26: refuse and edible part of raw meat")
@pytest.mark.parametrize("row", rows("refuse", "meat"), ids=lambda r: r["item"])
def test_refuse_and_edible_make_a_hundred(row: Any) -> None:
    assert row["refuse_percent"] + row["edible_percent"] == 100


# ------------------------------------------------------------------ raw and cooked portions


def test_a_portion_set_raw_is_divided_by_trim_alone() -> None:
    kg = bought_kg(320, 0.180, State.TRIMMED, COLLAR)
    assert kg == pytest.approx(62.6, abs=0.05)  # by hand: 57.6 / 0.92


def test_a_portion_set_cooked_is_divided_by_both() -> None:
    kg = bought_kg(1, 0.150, State.COOKED, COLLAR)
    assert kg * 1000 == pytest.approx(209, abs=0.5)  # by hand: 150 / 0.78 / 0.92


def test_six_cases_are_368_steaks() -> None:
    assert portions_of(72, 0.180, State.TRIMMED, COLLAR) == 368  # by hand: 66.24 / 0.18


def test_what_was_bought_is_all_there() -> None:
    assert bought_kg(1, 2.0, State.BOUGHT, COLLAR) == 2.0


@given(
    portions=st.integers(1, 5000),
    grams=st.integers(20, 900),
    state=st.sampled_from(State),
)
def test_buying_for_a_number_of_portions_gives_at_least_them(
    portions: int, grams: int, state: State
) -> None:
    kg = bought_kg(portions, grams / 1000, state, COLLAR)
    assert portions_of(kg, grams / 1000, state, COLLAR) == portions


@given(st.floats(0.01, 1000), st.floats(0.05, 1.0))
def test_buying_and_trimming_are_inverse(edible: float, fraction: float) -> None:
    assert edible_kg(as_purchased_kg(edible, fraction), fraction) == pytest.approx(edible)


@pytest.mark.parametrize("fraction", [0, -0.1, 6.1, float("nan")])
def test_a_yield_of_nothing_is_refused(fraction: float) -> None:
    with pytest.raises(OutOfRangeError):
        as_purchased_kg(1.0, fraction)


# ------------------------------------------------------------------ where a factor comes from


def test_the_house_beats_the_card_and_says_over_how_many_cooks() -> None:
    good = Ingredient("collar", trim=0.08, cook_yield=0.78)
    chain = chain_of(good, (Measured("Collar", State.COOKED, 0.77, 3),))
    assert (chain.cook.fraction, chain.cook.source.status, chain.cook.cooks) == (0.77, "house", 3)
    assert chain.trim.fraction == pytest.approx(0.92)
    assert chain.trim.source.status == "card"


def test_a_card_without_a_cooking_yield_says_so() -> None:
    assert chain_of(Ingredient("leek")).cook.source.title == "not on the card"


def test_rules_of_thumb_are_named_as_such() -> None:
    low, high = thumb_loss("pulled pork", "left")
    assert (low.fraction, high.fraction) == (0.45, 0.50)  # common practice
    assert low.source.status == "rule of thumb"
