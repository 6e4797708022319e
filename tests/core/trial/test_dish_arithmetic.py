"""Yields and costs of a captured test, held against printed arithmetic."""

from __future__ import annotations

from typing import Any

import pytest

from core.tables.quantities import rows
from core.trial.dish import Weights, dish_of, portion_of_test, weights_of
from core.trial.dish_fields import DISH_FIELDS
from core.trial.reading import Filled, Sheet, read_answer
from tests.published import published

FIELDS = {field.name: field for field in DISH_FIELDS}


def typed(**answers: str) -> dict[str, str]:
    """Return what a cook's answers fill, each typed under its question."""
    values: dict[str, str] = {}
    for name, text in answers.items():
        read = read_answer(text, Sheet(DISH_FIELDS, values, FIELDS[name]))
        assert isinstance(read, Filled), (name, text)
        values |= read.values
    return values


def measured(values: dict[str, str]) -> Weights:
    weights = weights_of(values)
    assert weights is not None
    return weights


@published("Armed Forces Recipe Service M 008: 15 lb A.P. cabbage yields 12 lb finely shredded")
def test_15_pounds_bought_and_12_trimmed_are_a_yield_of_80_percent() -> None:
    said = typed(bought="15 lb", trimmed="12 lb", rested="12 lb")
    assert 1 - measured(said).trim == pytest.approx(0.80, rel=0.001)


@published("Bakery and Business Math (open textbook), ch. 25: 32 oz of pears at 78 % are 41.03 oz")
def test_a_portion_set_trimmed_is_divided_by_the_trim_alone() -> None:
    said = typed(pieces="1", bought="100 oz", trimmed="78 oz", rested="78 oz")
    portion = portion_of_test({**said, **typed(portion="32 oz raw")})
    assert portion is not None
    assert portion.bought / 0.028349523125 == pytest.approx(41.03, abs=0.01)  # NIST: 1 oz in kg


PRINTED = [r for r in rows("cooking_yields", "edible") if r["raw_g"] >= 100]


@published("USDA National Nutrient Database SR26, household weights: raw and cooked edible grams")
@pytest.mark.parametrize("row", PRINTED, ids=lambda r: str(r["ndb"]))
def test_a_captured_yield_is_the_printed_one(row: Any) -> None:
    said = typed(bought=f"{row['raw_g']:g} g", trimmed="no trim", rested=f"{row['cooked_g']:g} g")
    assert 100 * measured(said).cook_yield == pytest.approx(row["percent"], abs=0.06)


def test_the_bench_note_of_a_collar() -> None:
    said = typed(bought="826 g", trimmed="760 g", rested="592 g")
    assert measured(said).cook_yield == pytest.approx(0.779, abs=5e-4)  # by hand: 592 / 760
    assert measured(said).trim == pytest.approx(0.0799, abs=5e-5)  # by hand: 66 / 826


def test_a_portion_costs_the_same_whichever_way_round_it_is_set() -> None:
    # by hand: collar 7.20 a kg, trim 8 %, yield 78 %: 190 g raw is 1.49; 150 g cooked is
    # 150 / 0.78 = 192 g raw, / 0.92 = 209 g bought, 1.505
    collar = typed(pieces="4", bought="1000 g", trimmed="920 g", rested="717.6 g", price="7.20")
    raw = portion_of_test({**collar, **typed(portion="190 g raw")})
    cooked = portion_of_test({**collar, **typed(portion="150 g cooked")})
    assert raw is not None
    assert cooked is not None
    assert raw.cost == pytest.approx(1.487, abs=5e-4)
    assert (round(cooked.raw * 1000), round(cooked.bought * 1000)) == (192, 209)
    assert cooked.cost == pytest.approx(1.505, abs=5e-4)
    same = portion_of_test({**collar, **typed(portion=f"{cooked.raw * 1000:.2f} g raw")})
    assert same is not None
    assert same.cost == pytest.approx(cooked.cost, rel=1e-4)


@published("USDA table of cooking yields, release 2 (2014): NDB 13948, flank steak, grilled, 81 %")
def test_the_cook_loss_is_never_divided_out_of_a_raw_portion() -> None:
    said = typed(pieces="1", bought="1 kg", trimmed="no trim", rested="810 g", price="10")
    raw = portion_of_test({**said, **typed(portion="200 g raw")})
    assert raw is not None
    assert raw.cost == pytest.approx(2.00)  # by hand: 0.2 kg at 10
    assert raw.cooked == pytest.approx(0.162)  # by hand: 0.2 x 0.81


def test_what_the_cook_does_not_know_is_not_on_the_card() -> None:
    said = typed(
        **{
            "pieces": "4",
            "bought": "1 kg",
            "trimmed": "no trim",
            "thickness": "3 cm",
            "fire": "grill",
            "pit": "250",
            "start": "5",
            "cores": "4 30, 8 55",
            "rested": "800 g",
            "class": "don't know",
            "hold": "skip",
            "allergens": "labels not read",
            "portion": "1 piece",
        }
    )
    dish = dish_of({**said, "name": "chop"}, "chop")
    assert dish.piece.food_class is None
    assert dish.hold.quality_max_min is None
    assert dish.ingredients[0].allergens is None
    assert not dish.ingredients[0].label_confirmed
