"""Salt in water against the printed scale and density table."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import OutOfRangeError
from core.scaling import brine
from core.tables.quantities import rows
from tests.published import published

LB_PER_KG = 2.2046226218
GAL_L = 3.785411784


@published("'The Salometer and How to Use It': 100 degrees are 26.395 % salt by weight at 60 F")
@pytest.mark.parametrize("row", rows("salometer", "scale"), ids=lambda r: str(r["degrees"]))
def test_degrees_and_percent_are_the_printed_scale(row: Any) -> None:
    assert brine.strength_at(row["degrees"]) * 100 == pytest.approx(row["percent"], abs=0.0006)
    assert brine.salometer_degrees(row["percent"] / 100) == pytest.approx(row["degrees"], abs=0.003)


@published("Salometer tables: 0.022 lb of salt in a gallon of water at 1 degree, 2.986 at 100")
@pytest.mark.parametrize(("degrees", "lb_per_gal"), [(1, 0.022), (100, 2.986)])
def test_pounds_in_a_gallon_of_water_match_the_ends_of_the_table(
    degrees: float, lb_per_gal: float
) -> None:
    t = brine.strength_at(degrees)
    water_kg = GAL_L * 0.99904  # water at 60 F, CRC Handbook
    salt_lb = water_kg * t / (1 - t) * LB_PER_KG
    # The sheet does not say how heavy its gallon of water is: 0.15 % covers 8.32 to 8.345 lb.
    assert salt_lb == pytest.approx(lb_per_gal, abs=0.0045)


@published("CRC Handbook of Chemistry and Physics: density of aqueous NaCl at 20 C")
@pytest.mark.parametrize("row", rows("salometer", "density"), ids=lambda r: str(r["percent"]))
def test_density_is_the_printed_one(row: Any) -> None:
    assert brine.brine_kg_per_l(row["percent"] / 100) == pytest.approx(row["kg_per_l"], abs=5e-5)


@published("CRC Handbook of Chemistry and Physics: solubility of NaCl")
@pytest.mark.parametrize("row", rows("salometer", "saturation"), ids=lambda r: str(r["temp_c"]))
def test_what_dissolves_is_the_printed_amount(row: Any) -> None:
    got = brine.most_that_dissolves(row["temp_c"])
    assert got * 100 == pytest.approx(row["percent"], abs=0.005)


@given(st.floats(0, 0.2))
def test_grams_a_litre_and_percent_are_inverse(t: float) -> None:
    grams = brine.salt_for_volume_kg(1, t) * 1000
    assert brine.strength_of_g_per_l(grams) == pytest.approx(t, abs=1e-6)


@given(st.floats(0, 100))
def test_degrees_and_strength_are_inverse(degrees: float) -> None:
    assert brine.salometer_degrees(brine.strength_at(degrees)) == pytest.approx(degrees, abs=1e-6)


@pytest.mark.parametrize("degrees", [-1, 101, float("nan")])
def test_there_is_no_brine_beyond_saturation(degrees: float) -> None:
    with pytest.raises(OutOfRangeError):
        brine.strength_at(degrees)
