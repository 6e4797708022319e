"""The quantity tables: every row has a source that is named, a status, and honest numbers."""

from __future__ import annotations

from typing import Any

import pytest
import scipy.constants

from core.scaling.measures import LITRES, US_CUP_L, foods
from core.tables import table
from core.tables.quantities import NAMES, row, rows, source_of
from core.units import mass_kg, volume_l
from tests.published import published

STATUSES = {"C", "C2", "M", "computed", "rule of thumb"}
ALL = [
    (name, section, index, found)
    for name in NAMES
    for section, part in table(f"quantities_{name}").items()
    if isinstance(part, dict) and "rows" in part
    for index, found in enumerate(part["rows"])
]


@pytest.mark.parametrize("name", NAMES)
def test_every_file_is_described_and_sourced(name: str) -> None:
    whole = table(f"quantities_{name}")
    assert whole["sources"]
    assert all(len(title) > 20 for title in whole["sources"].values())


def test_every_row_names_a_known_source_and_how_sure_it_is() -> None:
    assert len(ALL) > 500
    for name, section, index, found in ALL:
        where = f"{name}.{section}[{index}]"
        assert found["status"] in STATUSES, where
        assert source_of(name, found).title, where


def test_every_source_is_used() -> None:
    for name in NAMES:
        used = {part for n, _, _, r in ALL if n == name for part in r["source"].split("+")}
        assert set(table(f"quantities_{name}")["sources"]) <= used, name


def test_keys_are_unique_within_a_section() -> None:
    for name in NAMES:
        for section, part in table(f"quantities_{name}").items():
            if isinstance(part, dict) and "rows" in part:
                keys = [r["key"] for r in part["rows"] if "key" in r]
                assert len(set(keys)) == len(keys), (name, section)


def test_a_missing_key_is_a_bug() -> None:
    with pytest.raises(KeyError):
        row("rules", "season", "no such thing")


def test_ranges_run_upwards() -> None:
    for name, section, index, found in ALL:
        for key, value in found.items():
            pair = isinstance(value, list) and len(value) == 2
            if pair and all(isinstance(x, int | float) for x in value):
                assert value[0] <= value[1], (name, section, index, key)


# ------------------------------------------------------------------ densities


def test_there_are_at_least_150_ingredients_with_a_weight() -> None:
    assert len(foods()) >= 150


def test_no_two_foods_answer_to_one_name() -> None:
    names = [name for food in foods() for name in food.also]
    assert len(set(names)) == len(names)


def test_densities_are_those_of_food() -> None:
    for food in foods():
        for measure in food.measures:
            # whipped, chopped and leafy things are airy; nothing in a kitchen is heavier than honey
            assert 0.03 < measure.kg_per_l < 1.6, food.key


@published("USDA SR26 against Armed Forces Recipe Service cards: weight and measure side by side")
@pytest.mark.parametrize(
    ("key", "printed", "ounces", "cups"),
    [
        ("cabbage_green", "cup, shredded", 168.0, 68),  # M 009: 4 gal 1 qt
        ("carrot_raw", "cup grated", 46.0, 11.875),  # M 009: 2 qt 3-7/8 cup
        ("sugar_granulated", "cup", 12.3333, 1.75),  # M 009
        ("vinegar_distilled", "cup", 8.3333, 1.0),  # M 009
        ("catsup", "cup", 178.0, 21.0),  # L 092: 1 gal 1-1/4 qt
        ("flour_ap", "cup", 20.0, 4.5),  # L 010
        ("onion_raw", "cup, sliced", 48.0, 12.0),  # L 010
        ("cornstarch", "cup", 32.0, 7.0),  # L 079
        ("water", "cup 8 fl oz", 536.0, 64.0),  # L 092: 4 gal
    ],
)
def test_cups_agree_with_the_pairs_on_military_cards(
    key: str, printed: str, ounces: float, cups: float
) -> None:
    food = next(f for f in foods() if f.key == key)
    measure = next(m for m in food.measures if m.printed == printed)
    # 2 %: the cards round their measures to an eighth of a cup
    assert measure.grams * cups == pytest.approx(ounces * 28.349523125, rel=0.02)


# ------------------------------------------------------------------ units


@published("NIST SP 430, Household Weights and Measures, table 1: 3 tsp, 16 tbsp, 8 fl oz = 1 cup")
def test_household_measures_make_up_a_cup() -> None:
    assert LITRES["tsp"] * 3 == pytest.approx(LITRES["tbsp"], rel=1e-12)
    assert LITRES["tbsp"] * 16 == pytest.approx(LITRES["cup"], rel=1e-12)
    assert LITRES["floz"] * 8 == pytest.approx(LITRES["cup"], rel=1e-12)


def test_our_cup_is_that_of_two_libraries() -> None:
    # scipy.constants and pint both go back to NIST; a sixteenth of a gallon is a cup
    gallon_l = scipy.constants.gallon * 1000
    assert gallon_l / 16 == pytest.approx(US_CUP_L, rel=1e-9)
    assert volume_l("1 cup") == pytest.approx(US_CUP_L, rel=1e-9)


def test_the_imperial_gallon_is_that_of_two_libraries() -> None:
    from core.ask.said import IMPERIAL

    assert scipy.constants.gallon_imp * 1000 == pytest.approx(IMPERIAL["gal"], rel=1e-9)
    assert volume_l("1 imperial gal") == pytest.approx(IMPERIAL["gal"], rel=1e-9)
    assert volume_l("1 imperial pt") == pytest.approx(IMPERIAL["pt"], rel=1e-9)


def test_what_a_question_converts_by_is_what_the_border_converts_by() -> None:
    from core.ask.said import CM_PER, KG_PER, L_PER
    from core.units import length_cm

    for unit, factor in KG_PER.items():
        assert mass_kg(f"1 {unit}") == pytest.approx(factor, rel=1e-9), unit
    for unit, factor in L_PER.items():
        assert volume_l(f"1 {unit}") == pytest.approx(factor, rel=1e-9), unit
    for unit, factor in CM_PER.items():
        assert length_cm(f"1 {unit}") == pytest.approx(factor, rel=1e-9), unit


def test_pounds_and_ounces_are_those_of_scipy() -> None:
    from core.ask.said import KG_PER

    assert KG_PER["lb"] == pytest.approx(scipy.constants.pound, rel=1e-12)
    assert KG_PER["oz"] == pytest.approx(scipy.constants.ounce, rel=1e-12)


# ------------------------------------------------------------------ cans, scoops, pans, fuel


@published("K-State Research and Extension can-size note (2009)")
@pytest.mark.parametrize(
    ("can", "cups"), [("No. 300", "1-3/4"), ("No. 2-1/2", "3-1/2"), ("No. 10", "12 to 13")]
)
def test_cans_hold_the_printed_cups(can: str, cups: str) -> None:
    assert next(r["cups"] for r in rows("cans", "cans") if r["can"] == can) == cups


@published("ICN 'Basics at a Glance': scoops are numbered by how many fill a quart")
@pytest.mark.parametrize(("number", "cups"), [(6, 2 / 3), (8, 1 / 2), (12, 1 / 3), (16, 1 / 4)])
def test_a_scoop_number_is_how_many_fill_a_quart(number: int, cups: float) -> None:
    assert 4 / number == pytest.approx(cups)
    level = next(r["level"] for r in rows("cans", "scoops") if r["number"] == number)
    top, _, bottom = level.removesuffix(" cup").partition("/")
    assert int(top) / int(bottom) == pytest.approx(cups)


@published("Steam-equipment operator manual: a full 12 x 20 x 2.5 in pan holds 240 fl oz")
def test_a_full_pan_gives_sixty_portions_of_four_ounces() -> None:
    pan = next(r for r in rows("pans", "us") if r["size"] == "full 12x20" and r["deep_in"] == 2.5)
    assert pan["usable_floz"] / 4 == 60


@pytest.mark.parametrize("found", rows("pans", "us"), ids=lambda r: f"{r['size']} {r['deep_in']}")
def test_no_pan_is_used_above_its_brim(found: Any) -> None:
    # by hand: 32 fl oz to the quart
    assert found["usable_floz"] < found["brim_qt"] * 32


@published("ENplus A1: at least 4.6 kWh/kg")
def test_pellets_of_4_6_kilowatt_hours_are_16_56_megajoules() -> None:
    found = next(r for r in rows("fuel", "fuels") if r["fuel"] == "wood pellets, ENplus A1")
    assert found["net_mj_per_kg_min"] == pytest.approx(4.6 * scipy.constants.hour / 1000)


@published("Fuel tables: propane 91,500 Btu/gal gross, 84,250 net; the two differ by 1.086")
def test_gross_and_net_propane_are_kept_apart() -> None:
    found = {r["fuel"]: r for r in rows("fuel", "fuels") if r["fuel"].startswith("propane")}
    ratio = found["propane, HHV"]["btu_per_gal"] / found["propane, LHV"]["btu_per_gal"]
    assert ratio == pytest.approx(1.086, abs=0.0005)
    gross = 21500 * scipy.constants.Btu_IT / scipy.constants.pound / 1e6
    assert found["propane, HHV"]["gross_mj_per_kg"] == pytest.approx(gross, rel=0.005)


# ------------------------------------------------------------------ what is for people


@published("Published almanac crowd chart (25, 50, 100 people)")
def test_charts_for_a_hundred_are_four_times_those_for_25() -> None:
    pairs = [r for r in rows("portions", "charts") if "per_25" in r and "unit" in r]
    assert len(pairs) > 10
    for found in pairs:
        # a fifth: the chart rounds its smallest column up to whole loaves and gallons
        assert 4 * found["per_25"] == pytest.approx(found["per_100"], rel=0.2), found["item"]
