"""What to make and buy: against the bundled events, worked out by hand, and against themselves."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.cards import read_event
from core.errors import CannotPlanError
from core.model import Batch, Buy, Cards, Dish, Event, Ingredient, Kit, MenuItem, Pack, Piece
from core.scaling.expand import batches_for, menu_needs, needs_of
from core.scaling.lists import bought, buy_list, leftover_portions, make_list

EXAMPLES = Path(__file__).parents[3] / "bot" / "examples"


@pytest.fixture(scope="module")
def wedding() -> Cards:
    return read_event(EXAMPLES / "golden_wedding")


def cards_of(*dishes: Dish, heads: int = 100, menu: tuple[MenuItem, ...] = ()) -> Cards:
    items = menu or (MenuItem(dishes[0].id, spare=0.0),)
    event = Event("e", "E", date(2026, 6, 13), "Europe/London", heads, items, ())
    return Cards(event, Kit(()), (), dishes)


def made(cards: Cards, item: str, heads: int, of: str) -> float:
    return next(m.qty for m in make_list(cards, heads) if m.item == item and m.of == of)


def need(cards: Cards, item: str, heads: int) -> Buy:
    return next(b for b in buy_list(cards, heads) if b.item == item)


# ------------------------------------------------------------------ the wedding, by hand


def test_the_brine_is_one_part_concentrate_and_four_of_water(wedding: Cards) -> None:
    conc = made(wedding, "Brine concentrate", 60, "lamb-rump")
    water = made(wedding, "water", 60, "lamb-rump")
    assert conc == pytest.approx(2.52)  # by hand: 56 rumps / 4 x 0.9 L / 5
    assert water == pytest.approx(10.08)  # by hand: the other four parts
    whole = made(wedding, "Brine concentrate + water", 60, "lamb-rump")
    assert whole == pytest.approx(12.6)  # by hand: 14 x 0.9 L


def test_fifty_six_rumps_are_bought_untrimmed(wedding: Cards) -> None:
    rump = need(wedding, "lamb rump", 60)
    assert rump.need == pytest.approx(13.692)  # by hand: 14 x 978 g
    assert rump.need * 0.9 == pytest.approx(12.3, abs=0.05)  # by hand: 56 x 220 g is 12.32 kg


@pytest.mark.parametrize(
    ("item", "kg"), [("new potatoes", 6.6), ("leeks", 4.95), ("buttermilk", 0.9075)]
)
def test_the_salad_is_eight_and_a_quarter_batches(wedding: Cards, item: str, kg: float) -> None:
    assert need(wedding, item, 60).need == pytest.approx(kg)  # by hand: 66 portions, x 8.25


def test_both_sauces_together_are_two_kilograms(wedding: Cards) -> None:
    total = sum(m.qty for m in make_list(wedding, 60) if m.item in {"Green sauce F", "Green sauce"})
    inner = made(wedding, "Green sauce", 60, "green-sauce-f")
    assert total - inner == pytest.approx(2.03, abs=0.005)  # by hand: 8.25 x 246 g


def test_eight_more_guests_buy_no_more_lamb(wedding: Cards) -> None:
    assert need(wedding, "lamb rump", 68).need == need(wedding, "lamb rump", 60).need


def test_salt_in_the_concentrate_reaches_the_buy_list(wedding: Cards) -> None:
    assert need(wedding, "fine salt", 60).need == pytest.approx(0.63)  # by hand: 2.52 L x 250 g


def test_nobody_buys_water(wedding: Cards) -> None:
    assert "water" not in {b.item for b in buy_list(wedding, 60)}


# ------------------------------------------------------------------ the harvest, by hand


@pytest.fixture(scope="module")
def harvest() -> Cards:
    return read_event(EXAMPLES / "harvest_supper")


def test_the_collar_comes_in_six_cases_that_give_348_steaks(harvest: Cards) -> None:
    row = need(harvest, "pork collar", 320)
    assert row.need == pytest.approx(300 * 0.19 / 0.92, rel=0.001)  # by hand: 62 kg
    assert [count for _, count in row.packs] == [6]
    assert 300 + leftover_portions(row, 0.92, 0.19) == 348  # by hand: 66.2 kg / 190 g


def test_the_collar_brine_is_57_litres_in_six_parts(harvest: Cards) -> None:
    conc = made(harvest, "Collar brine concentrate", 320, "pork-collar")
    water = made(harvest, "water", 320, "pork-collar")
    assert conc == pytest.approx(9.5)  # by hand: 300 x 190 mL / 6
    assert water == pytest.approx(47.5)  # by hand: the other five parts
    assert need(harvest, "fine salt", 320).need == pytest.approx(2.85)  # by hand: 9.5 L x 300 g


@pytest.mark.parametrize(
    ("item", "kg"),
    [
        ("aubergines", 33.6),
        ("dry white beans", 11.2),
        ("red onion", 3.36),
        ("parsley", 1.68),
        ("portobello", 7.04),
    ],
)
def test_the_harvest_salad_is_28_batches(harvest: Cards, item: str, kg: float) -> None:
    assert need(harvest, item, 320).need == pytest.approx(kg)  # by hand: 336 portions, x 28


def test_the_dressing_and_the_filling_are_made_ahead(harvest: Cards) -> None:
    dressing = made(harvest, "Tahini-lemon dressing", 320, "aubergine-bean-salad")
    filling = made(harvest, "Lentil filling", 320, "portobello-lentil")
    assert dressing == pytest.approx(9.24)  # by hand: 28 x 330 g
    assert filling == pytest.approx(4.4)  # by hand: 44 x 100 g


def test_45_more_guests_are_321_steaks_from_the_same_six_cases(harvest: Cards) -> None:
    steaks = next(m.qty for m in make_list(harvest, 365) if m.item == "Pork collar")
    assert steaks == 321  # by hand: 365 less 38 x 365 / 320, rounded up, which is 44
    assert [count for _, count in need(harvest, "pork collar", 365).packs] == [6]


# ------------------------------------------------------------------ how cards are taken apart


def test_parts_always_add_up_to_the_mark() -> None:
    brine = Dish(
        "b",
        "B",
        Batch(1, "pieces"),
        ingredients=(
            Ingredient("concentrate", parts=1, fill_to_l=0.9),
            Ingredient("water", parts=5, fill_to_l=0.9),
        ),
    )
    needs = list(needs_of(cards_of(brine), brine, 10))
    assert [round(n.qty, 9) for n in needs] == [1.5, 7.5]  # by hand: 9 L in six parts


def test_a_filler_takes_what_the_liquids_leave() -> None:
    dish = Dish(
        "s",
        "S",
        Batch(1, "L"),
        ingredients=(
            Ingredient("vinegar", qty=0.2, unit="L"),
            Ingredient("salt", qty=0.25, unit="kg"),
            Ingredient("water", fill_to_l=1.0),
        ),
    )
    needs = {n.name: n.qty for n in needs_of(cards_of(dish), dish, 2)}
    assert needs["water"] == pytest.approx(1.6)  # by hand: 2 x (1 - 0.2)


def test_cards_in_a_circle_are_refused() -> None:
    a = Dish("a", "A", Batch(1, "kg"), Batch(0.1, "kg"), ingredients=(inside("b"),))
    b = Dish("b", "B", Batch(1, "kg"), ingredients=(inside("a"),))
    with pytest.raises(CannotPlanError, match="inside itself"):
        list(menu_needs(cards_of(a, b), 10))


def inside(card: str) -> Ingredient:
    return Ingredient(card, card=card, qty=0.5, unit="kg")


def test_a_batch_by_weight_needs_to_know_its_portion() -> None:
    with pytest.raises(CannotPlanError, match="how big a portion"):
        batches_for(Dish("s", "S", Batch(1, "kg")), 10)


def test_pieces_and_weight_meet_through_the_weight_of_a_piece() -> None:
    dish = Dish("s", "S", Batch(1.9, "kg"), Batch(1, "pieces"), piece=Piece(weight_kg=0.19))
    assert batches_for(dish, 10) == pytest.approx(1.0)  # by hand


def test_a_bottle_in_litres_covers_a_need_in_kilograms() -> None:
    oil = bought("olive oil", 1.0, "kg", (Pack(1, "L", 8.0),))
    assert oil.packs == ((Pack(1, "L", 8.0), 2),)  # a litre is 0.913 kg, USDA SR26 04053
    assert oil.leftover == pytest.approx(0.826)  # by hand: 2 x 0.913 - 1


def test_salt_is_never_bought_by_the_litre() -> None:
    assert bought("salt", 1.0, "kg", (Pack(1, "L", 1.0),)).packs == ()


def test_pieces_are_bought_whole() -> None:
    assert bought("eggs", 4.2, "pieces", (Pack(30, "pieces"),)).need == 5


def test_the_same_good_in_two_dishes_is_one_line() -> None:
    salt = Ingredient("Salt", qty=0.01, unit="kg")
    a = Dish("a", "A", Batch(1, "portions"), ingredients=(salt,))
    b = Dish("b", "B", Batch(1, "portions"), ingredients=(replace(salt, name="salt"),))
    menu = (MenuItem("a", spare=0.0), MenuItem("b", spare=0.0))
    lines = buy_list(cards_of(a, b, menu=menu), 100)
    assert [(x.item, round(x.need, 9)) for x in lines] == [("Salt", 2.0)]


def test_six_cases_leave_forty_eight_steaks() -> None:
    row = bought("collar", 57.6 / 0.92, "kg", (Pack(12, "kg"),))
    assert row.packs[0][1] == 6  # by hand: 62.6 kg in cases of 12
    assert leftover_portions(row, 0.92, 0.18) == 48  # by hand: 66.24 kg / 180 g - 320


# ------------------------------------------------------------------ laws


@given(portions=st.integers(1, 5000), times=st.integers(2, 9))
@settings(max_examples=60, deadline=None)
def test_what_is_needed_grows_straight_with_the_portions(portions: int, times: int) -> None:
    dish = Dish(
        "d",
        "D",
        Batch(8, "portions"),
        ingredients=(
            Ingredient("potato", qty=0.8, unit="kg"),
            Ingredient("conc", parts=1, fill_to_l=0.9),
            Ingredient("water", parts=4, fill_to_l=0.9),
        ),
    )
    cards = cards_of(dish)
    once = [n.qty for n in needs_of(cards, dish, batches_for(dish, portions))]
    more = [n.qty for n in needs_of(cards, dish, batches_for(dish, portions * times))]
    assert more == pytest.approx([q * times for q in once], rel=1e-9)


@given(heads=st.integers(1, 3000))
@settings(max_examples=40, deadline=None)
def test_packs_always_cover_the_need(heads: int) -> None:
    dish = Dish(
        "d",
        "D",
        Batch(10, "portions"),
        ingredients=(
            Ingredient("collar", qty=2.065, unit="kg", packs=(Pack(12, "kg"), Pack(5, "kg"))),
        ),
    )
    row = buy_list(cards_of(dish, heads=heads), heads)[0]
    have = sum(pack.amount * count for pack, count in row.packs)
    assert have >= row.need - 1e-9
    assert have - row.need == pytest.approx(row.leftover, abs=1e-9)
