"""Loads, lots and batches."""

from __future__ import annotations

from datetime import date

import pytest

from core.errors import OutOfRangeError
from core.model import (
    Batch,
    Dish,
    Event,
    Ingredient,
    MenuItem,
    Per,
    Piece,
    Station,
    StationKind,
    Step,
)
from core.scaling.loads import (
    full_first,
    lots_of,
    pieces_of_portions,
    pieces_per_tub,
    pieces_to_cook,
)
from tests.published import published

RUMP = Dish(
    "lamb",
    "Lamb",
    Batch(4, "pieces"),
    portion=Batch(1, "pieces"),
    cuts=5,
    piece=Piece(0.22),
    ingredients=(
        Ingredient("concentrate", parts=1, fill_to_l=0.9, eaten=False),
        Ingredient("water", parts=4, fill_to_l=0.9, eaten=False),
    ),
)
COLLAR = Dish(
    "pork",
    "Pork",
    Batch(10, "pieces"),
    piece=Piece(0.19),
    ingredients=(Ingredient("water", parts=5, fill_to_l=1.9, eaten=False),),
)
BRINE = Step("brine", "brine", station="tub", per=Per.LOT)


def test_two_racks_of_28_take_the_wedding_s_56() -> None:
    assert full_first(56, 28) == (28, 28)  # by hand


def test_the_partial_load_is_last_and_shown() -> None:
    assert full_first(321, 72) == (72, 72, 72, 72, 33)  # by hand: 4 x 72 = 288, 33 left


@pytest.mark.parametrize(("count", "capacity"), [(-1, 3), (3, 0)])
def test_impossible_counts_are_refused(count: int, capacity: int) -> None:
    with pytest.raises(OutOfRangeError):
        full_first(count, capacity)


def test_no_pieces_make_no_load() -> None:
    assert full_first(0, 72) == ()


@published(
    "common practice: a harvest supper's worked day, 57 L and 57 kg in 5 tubs of 30 L (74 %)"
)
def test_three_hundred_collars_need_five_tubs() -> None:
    tubs = tuple(Station(f"tub{n}", StationKind.TUB, litres=30) for n in range(1, 6))
    assert len(lots_of(COLLAR, BRINE, 300, tubs)) == 5


@published("common practice: a wedding's worked day, 56 rumps in two 18 L tubs at 67 %")
def test_fifty_six_rumps_need_two_tubs() -> None:
    tubs = tuple(Station(f"tub{n}", StationKind.TUB, litres=18) for n in (1, 2))
    assert len(lots_of(RUMP, BRINE, 56, tubs)) == 2


def test_a_lot_on_the_card_beats_the_tub() -> None:
    step = Step("brine", "brine", station="tub", per=Per.LOT, lot=28)
    assert lots_of(RUMP, step, 56, (Station("tub1", StationKind.TUB, litres=500),)) == (28, 28)


def test_a_lot_in_kilos_is_counted_by_the_piece() -> None:
    step = Step("chill", "chill", per=Per.LOT, lot=4.4, lot_unit="kg")
    assert lots_of(RUMP, step, 50) == (20, 20, 10)  # by hand: 4.4 / 0.22 = 20


def test_without_weight_or_litres_all_go_at_once() -> None:
    assert lots_of(Dish("x", "X", Batch(1, "L")), BRINE, 40) == (40,)
    assert pieces_per_tub(RUMP, Station("t", StationKind.TUB)) is None


def test_two_slabs_a_portion() -> None:
    slabs = Dish("c", "C", Batch(8, "pieces"), portion=Batch(2, "pieces"))
    assert pieces_of_portions(slabs, 10) == 20  # by hand


def test_a_number_made_stands_for_the_heads_it_feeds() -> None:
    rows = (MenuItem("lamb", heads=52, make=56), MenuItem("veg", heads=8))
    party = Event("x", "X", date(2026, 6, 13), "Europe/London", 60, rows, ())
    assert pieces_to_cook(party, RUMP, rows[0], 60) == 56
