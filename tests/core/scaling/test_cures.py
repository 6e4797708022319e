"""Nitrite by the federal formulas; the legal limits are hard stops."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import OutOfRangeError
from core.scaling import cures
from core.scaling.cures import Product
from tests.published import published

OUNCE_LB = 1 / 16


@published("USDA FSIS Directive 7620.3, p. 19, worked example: 0.06 lb nitrite, 100 lb, 20 % pump")
def test_a_twenty_percent_pump_gives_120_ppm() -> None:
    assert cures.pumped_ppm(0.06, 1.0, 0.20, 100) == pytest.approx(120)


@published("USDA FSIS Directive 7620.3, p. 19 formula, public worked example: 1266 g of pickle")
def test_a_pickle_with_weaker_cure_gives_148_6_ppm() -> None:
    ppm = cures.pumped_ppm(0.032, 0.0588, 0.10, 1.266)
    assert ppm == pytest.approx(148.6, abs=0.05)


@published("USDA FSIS Directive 7620.3 and 9 CFR 424.22: ounces in a hundred pounds")
@pytest.mark.parametrize(("ounces", "ppm"), [(0.25, 156.25), (1.0, 625.0)])
def test_ounces_in_a_hundred_pounds_are_these_ppm(ounces: float, ppm: float) -> None:
    assert cures.dry_ppm(ounces * OUNCE_LB, 1.0, 100) == pytest.approx(ppm)


@published("USDA FSIS Directive 7620.3: 2 lb nitrite in 100 gal pickle of 1000 lb, 10 % pump")
def test_two_pounds_in_a_hundred_gallons_are_200_ppm() -> None:
    assert cures.pumped_ppm(2, 1.0, 0.10, 1000) == pytest.approx(200)


def test_immersion_counts_meat_and_pickle() -> None:
    ppm = cures.immersion_ppm(0.0144, 0.0625, 5.0, 2.5)
    assert ppm == pytest.approx(120)  # by hand: 0.9 g in 7.5 kg


def test_a_dry_cure_of_1_92_grams_a_kilogram_is_120_ppm() -> None:
    assert cures.dry_ppm(0.00192, 0.0625, 1.0) == pytest.approx(120)  # by hand


@published("9 CFR 424.22(b) and FSIS 7620.3: ingoing nitrite limits")
@pytest.mark.parametrize(
    ("product", "ppm"),
    [
        (Product.COMMINUTED, 156),
        (Product.IMMERSION, 200),
        (Product.DRY, 625),
        (Product.BACON_WET, 120),
        (Product.BACON_DRY, 200),
    ],
)
def test_the_limits_are_the_printed_ones(product: Product, ppm: float) -> None:
    assert cures.limit_of(product).ppm == ppm
    assert not cures.over_limit(ppm, product)
    assert cures.over_limit(ppm + 1, product)


@given(
    ppm=st.floats(1, 700),
    meat=st.floats(0.1, 500),
    nitrite=st.sampled_from([0.0625, 0.0588, 0.006]),
)
def test_cure_and_ppm_are_inverse(ppm: float, meat: float, nitrite: float) -> None:
    assert cures.dry_ppm(cures.dry_cure_kg(ppm, nitrite, meat), nitrite, meat) == pytest.approx(ppm)


@pytest.mark.parametrize("nitrite", [0, -0.1, 6.25, float("nan")])
def test_a_percentage_typed_as_a_fraction_is_refused(nitrite: float) -> None:
    with pytest.raises(OutOfRangeError):
        cures.dry_ppm(0.01, nitrite, 5.0)
