"""Cost of a plate, and what the paper carries, by hand from small cards and the examples."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from bot.cards import read_event
from core.errors import OutOfRangeError
from core.model import Batch, Cards, Dish, Event, Ingredient, Kit, MenuItem, Pack, Step
from core.scaling.cost import cheapest, plate_cost, portion_cost, portion_costs
from core.scaling.lists import buy_list
from core.scaling.sheets import buy_by_supplier, load_out_list, prep_sheet, tub_labels

EXAMPLES = Path(__file__).parents[3] / "bot" / "examples"


@pytest.fixture(scope="module")
def harvest() -> Cards:
    return read_event(EXAMPLES / "harvest_supper")


def small(*ingredients: Ingredient, steps: tuple[Step, ...] = ()) -> Cards:
    dish = Dish("d", "Dish", Batch(10, "portions"), ingredients=ingredients, steps=steps)
    menu = (MenuItem("d", spare=0.0),)
    event = Event("e", "E", date(2026, 6, 13), "Europe/London", 100, menu, ())
    return Cards(event, Kit(()), (), (dish,))


COLLAR = Ingredient("collar", qty=2.0, unit="kg", packs=(Pack(12, "kg", 86.40),))


def test_a_collar_portion_costs_1_49() -> None:
    assert portion_cost(7.20, 0.08, 0.190) == pytest.approx(1.487, abs=0.001)  # by hand


def test_trim_of_everything_is_refused() -> None:
    with pytest.raises(OutOfRangeError):
        portion_cost(7.20, 1.0, 0.190)


def test_a_plate_by_what_is_eaten_and_by_what_is_bought() -> None:
    found = plate_cost(small(COLLAR), 100)
    assert found.eaten == pytest.approx(20 * 7.20 / 100)  # by hand: 20 kg at 7.20
    assert found.bought == pytest.approx(2 * 86.40 / 100)  # by hand: two cases
    assert found.unpriced == ()


def test_what_has_no_price_is_named_and_not_guessed() -> None:
    cards = small(COLLAR, Ingredient("saffron", qty=0.001, unit="kg"))
    assert plate_cost(cards, 100).unpriced == ("saffron",)


def test_the_cheapest_pack_prices_what_is_eaten() -> None:
    packs = [Pack(5, "kg", 84.50), Pack(2.5, "kg", 44.00), Pack(1, "kg")]
    assert cheapest("rump", "kg", packs) == pytest.approx(16.90)  # by hand
    assert cheapest("rump", "kg", [Pack(1, "kg")]) is None


def test_portion_costs_make_up_the_plate() -> None:
    cards = small(COLLAR)
    assert portion_costs(cards, 100)["d"] == pytest.approx(plate_cost(cards, 100).eaten)


# ------------------------------------------------------------------ sheets


def test_a_prep_sheet_runs_by_day_and_station(harvest: Cards) -> None:
    lines = prep_sheet(harvest, 320)
    assert [(x.day, x.station) for x in lines] == sorted((x.day, x.station) for x in lines)
    assert min(x.day for x in lines) == -2


def test_goods_stand_with_the_first_step_of_their_card(harvest: Cards) -> None:
    beans = [x for x in prep_sheet(harvest, 320) if x.dish == "White beans"]
    assert [x.do for x in beans if x.goods] == ["soak"]
    assert beans[0].goods[0].qty == pytest.approx(11.2)  # by hand: 28 x 400 g


def test_the_hard_maximum_is_on_the_sheet(harvest: Cards) -> None:
    brine = next(x for x in prep_sheet(harvest, 320) if x.do == "brine")
    assert brine.never_over_min == 150


def test_beans_go_into_four_labelled_tubs(harvest: Cards) -> None:
    tubs = [x for x in tub_labels(harvest, 320) if x.what == "White beans"]
    assert [(x.number, x.of) for x in tubs] == [(1, 4), (2, 4), (3, 4), (4, 4)]
    assert sum(x.total.qty for x in tubs) == pytest.approx(25.2)  # by hand: 28 x 900 g
    assert {round(x.total.qty, 3) for x in tubs} == {6.3}  # by hand


def test_the_last_tub_holds_the_rest() -> None:
    cards = small(COLLAR, steps=(Step("brine", "brine", lot=30, never_over_min=150),))
    tubs = tub_labels(cards, 100)
    assert [x.total.qty for x in tubs] == [30, 30, 30, 10]  # by hand


def test_a_label_lists_allergens_or_says_it_does_not_know() -> None:
    known = Ingredient("feta", qty=1, unit="kg", allergens=("milk",), label_confirmed=True)
    assert tub_labels(small(known), 100)[0].allergens == ("milk",)
    for doubtful in (replace(known, label_confirmed=False), replace(known, allergens=None)):
        assert tub_labels(small(known, replace(doubtful, name="x")), 100)[0].allergens is None


def test_load_out_has_every_tub_once_and_two_of_what_stops_the_job(harvest: Cards) -> None:
    items = load_out_list(harvest, 320)
    assert len({x.id for x in items}) == len(items)
    tubs = [x for x in items if x.group == "food"]
    assert len(tubs) == len(tub_labels(harvest, 320))
    assert {x.count for x in items if x.spare} == {2}


def test_every_line_goes_to_one_supplier(harvest: Cards) -> None:
    groups = buy_by_supplier(harvest, 320, {"pork collar": "butcher", "tahini": "grocer"})
    assert [g.name for g in groups] == ["", "butcher", "grocer"]
    assert sum(len(g.lines) for g in groups) == len(buy_list(harvest, 320))
