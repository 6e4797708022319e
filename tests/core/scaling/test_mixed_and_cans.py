"""Pieces of several sizes on one grate, and cans by their number."""

from __future__ import annotations

import pytest

from core.errors import OutOfRangeError
from core.model import Size
from core.scaling.cans import can_numbered
from core.scaling.mixed import PIECES_AT_MOST, Sort, mixed_loads
from core.scaling.packing import pieces_per_grate
from tests.published import published

GRATE = Size(60, 45)


def test_every_piece_is_on_exactly_one_load() -> None:
    sorts = [Sort(23, Size(20, 12)), Sort(9, Size(9, 9)), Sort(40, Size(20, 5))]
    loads = mixed_loads(GRATE, sorts)
    assert loads is not None
    assert [sum(load[i] for load in loads) for i in range(3)] == [23, 9, 40]


def test_no_load_is_larger_than_the_grate() -> None:
    sorts = [Sort(23, Size(20, 12)), Sort(40, Size(20, 5))]
    for steaks, ears in mixed_loads(GRATE, sorts) or ():
        assert steaks * 22 * 14 + ears * 22 * 7 <= 60 * 45  # by hand: 2 cm of air with each


def test_one_size_alone_lies_at_least_as_close_as_in_rows() -> None:
    loads = mixed_loads(GRATE, [Sort(8, Size(20, 12))])
    assert loads == ((8,),)  # by hand: 4 x 2 of 14 x 22 cm on 60 x 45
    assert pieces_per_grate(GRATE, Size(20, 12)) == 8


def test_a_piece_that_only_fits_turned_is_turned() -> None:
    assert mixed_loads(Size(30, 90), [Sort(1, Size(80, 20)), Sort(1, Size(5, 5))]) == ((1, 1),)


def test_a_piece_larger_than_the_grate_is_not_laid() -> None:
    assert mixed_loads(Size(45, 60), [Sort(1, Size(200, 120)), Sort(1, Size(5, 5))]) is None


@pytest.mark.parametrize("count", [0, PIECES_AT_MOST + 1])
def test_none_or_too_many_pieces_are_refused(count: int) -> None:
    with pytest.raises(OutOfRangeError):
        mixed_loads(GRATE, [Sort(count, Size(5, 5))])


@published("K-State can-size note, 2009: net weights in ounces and pounds")
@pytest.mark.parametrize(
    ("number", "low_oz", "high_oz"),
    [("300", 14, 16), ("303", 16, 16), ("2", 20, 20), ("2-1/2", 26, 30), ("10", 96, 117)],
)
def test_a_can_holds_what_is_printed(number: str, low_oz: float, high_oz: float) -> None:
    can = can_numbered(number)
    assert can is not None
    assert can.net_kg == pytest.approx((low_oz * 0.0283495, high_oz * 0.0283495), rel=1e-4)


def test_a_can_nobody_makes_is_none() -> None:
    assert can_numbered("11") is None
