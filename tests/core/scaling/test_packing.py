"""Packing by rows, both ways."""

from __future__ import annotations

import pytest
import rectpack

from core.errors import OutOfRangeError
from core.model import Batch, Dish, Piece, Size, Station, StationKind
from core.scaling.packing import (
    pieces_in_rows,
    pieces_per_grate,
    pieces_per_load,
    pieces_per_rack,
)
from tests.published import published

STEAK = Size(20, 12)
GRATE = Size(45, 60)


@published("common practice: a crew's worked note, 45 x 60 cm grates, 20 x 12 cm steaks, 2 cm gaps")
def test_steaks_along_the_grate_leave_room_for_six() -> None:
    # by hand: 60 / 22 = 2, 45 / 14 = 3
    assert pieces_in_rows(Size(60, 45), STEAK) == 6


@published("common practice: the same worked note, 'turned, 60 / 14 = 4, 45 / 22 = 2 gives 8'")
def test_turned_steaks_make_it_eight() -> None:
    # by hand: 60 / 14 = 4, 45 / 22 = 2
    assert pieces_per_grate(GRATE, STEAK) == 8


def test_sixty_four_steaks_on_two_grates_are_four_loads() -> None:
    # by hand: 2 grates x 8 = 16 a load; 64 / 16
    assert -(-64 // (2 * pieces_per_grate(GRATE, STEAK))) == 4


@pytest.mark.parametrize(
    ("grate", "piece", "gap_cm", "pieces"),
    [
        (Size(60, 45), Size(60, 45), 0.0, 1),  # by hand: exactly one
        (Size(60, 45), Size(61, 45), 0.0, 0),  # by hand: too long either way
        (Size(10, 10), Size(3, 3), 0.0, 9),  # by hand: 3 x 3
        (Size(10, 10), Size(3, 3), 0.4, 4),  # by hand: 10 / 3.4 = 2
        (Size(30, 20), Size(7, 3), 0.5, 20),  # by hand: 30/3.5 = 8, 20/7.5 = 2 or 4 x 5
        (Size(110, 55), Size(14.5, 11.5), 0.0, 28),  # by hand: 110/14.5 = 7, 55/11.5 = 4
    ],
)
def test_hand_counted_grates(grate: Size, piece: Size, gap_cm: float, pieces: int) -> None:
    assert pieces_per_grate(grate, piece, gap_cm) == pieces


def test_a_strip_kept_free_comes_off_the_longer_side() -> None:
    # by hand: 60 x 0.85 = 51 cm; 51 / 22 = 2, 45 / 14 = 3 or 51 / 14 = 3, 45 / 22 = 2
    assert pieces_per_grate(GRATE, STEAK, keep_free=0.15) == 6


def test_the_packing_library_places_what_we_count() -> None:
    """The rectangles counted are placed by an independent packer (rectpack) on the same grate."""
    packer = rectpack.newPacker(rotation=False)
    packer.add_bin(45, 60)
    for _ in range(pieces_per_grate(GRATE, STEAK)):
        packer.add_rect(22, 14)  # a steak with its gap, turned
    packer.pack()
    assert len(packer.rect_list()) == 8


@pytest.mark.parametrize("bad", [Size(0, 60), Size(-1, 60), Size(float("nan"), 60)])
def test_a_grate_without_size_is_refused(bad: Size) -> None:
    with pytest.raises(OutOfRangeError):
        pieces_per_grate(bad, STEAK)


@pytest.mark.parametrize("keep_free", [-0.1, 1.0, float("nan")])
def test_an_impossible_free_strip_is_refused(keep_free: float) -> None:
    with pytest.raises(OutOfRangeError):
        pieces_per_grate(GRATE, STEAK, keep_free=keep_free)


def test_a_negative_gap_is_refused() -> None:
    with pytest.raises(OutOfRangeError):
        pieces_per_grate(GRATE, STEAK, gap_cm=-1)


def dish(**fits: int) -> Dish:
    return Dish("x", "X", Batch(4, "pieces"), piece=Piece(footprint=STEAK), fits=fits)


SMOKER = Station("P1", StationKind.SMOKER, family="P", size=GRATE, racks=6)


def test_what_was_measured_beats_the_footprint() -> None:
    assert pieces_per_rack(dish(smoker=28), SMOKER) == 28


def test_a_measured_station_beats_its_family_and_kind() -> None:
    assert pieces_per_rack(dish(smoker=28, P=12, P1=11), SMOKER) == 11


def test_all_racks_make_a_load_unless_loaded_rack_by_rack() -> None:
    by_rack = Station("S", StationKind.SMOKER, racks=2, load_by="rack")
    assert pieces_per_load(dish(smoker=12), SMOKER) == 72  # by hand: 6 x 12
    assert pieces_per_load(dish(smoker=28), by_rack) == 28


def test_places_count_where_there_is_no_size() -> None:
    plancha = Station("F", StationKind.GRIDDLE, places=24)
    assert pieces_per_load(dish(), plancha) == 24


def test_nothing_known_is_said_so() -> None:
    assert pieces_per_load(dish(), Station("F", StationKind.RING)) is None
