"""What fits beside what is there already."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest

from core.planner.board import Board, Booking, fits_place
from core.planner.jobs import Group, Hand, Op, Place, Problem, Slot, Touch
from tests.core.planner.shops import op

GRILL = Place("G", "G", fire=True, hotter=10, cooler=15)
RACKS = Place("S", "S", room=2, fire=True, turn=5, recovery=10)


def stay(start: float, end: float, temp: float | None = 200, use: int = 1) -> Booking:
    return Booking(start, end, f"{start}", temp, use)


@pytest.mark.parametrize(
    ("start", "temp", "fits"),
    [
        (20, 200, True),  # straight after, same fire
        (19, 200, False),  # still on
        (25, 260, False),  # 10 min hotter, only 5 there
        (30, 260, True),
        (30, 150, False),  # 15 min cooler, only 10 there
        (35, 150, True),
        (20, None, True),  # whatever it burns at
    ],
)
def test_one_fire_one_load_one_temperature(start: float, temp: float | None, fits: bool) -> None:
    assert fits_place(GRILL, [stay(0, 20)], stay(start, start + 20, temp)) is fits


def test_two_racks_side_by_side_and_no_third() -> None:
    both = [stay(0, 60), stay(15, 75)]
    assert fits_place(RACKS, both[:1], both[1])
    assert not fits_place(RACKS, both, stay(30, 90))


def test_a_rack_is_taken_until_it_is_turned() -> None:
    both = [stay(0, 60), stay(15, 75)]
    assert not fits_place(RACKS, both, stay(62, 122))
    assert fits_place(RACKS, both, stay(65, 125))


def test_racks_go_in_together_or_after_the_fire_is_back() -> None:
    assert fits_place(RACKS, [stay(0, 60)], stay(0, 60))
    assert not fits_place(RACKS, [stay(0, 60)], stay(4, 64))
    assert fits_place(RACKS, [stay(0, 60)], stay(10, 70))


def test_racks_never_share_two_temperatures() -> None:
    assert not fits_place(RACKS, [stay(0, 60, 110)], stay(20, 80, 160))


def test_a_fire_that_is_down_takes_nothing() -> None:
    broken = replace(GRILL, down=((30, 60),))
    assert not fits_place(broken, [], stay(20, 40))
    assert fits_place(broken, [], stay(60, 80))


def board(*ops: Op, **problem: object) -> Board:
    hands = {name: Hand(name, ((0, 100),)) for name in ("ana", "bo")}
    group = Group("g", "g", 1, "", 1, ops)
    whole = Problem((group,), {"G": GRILL}, hands, 0.0, hours=((0, 100),))
    return Board(replace(whole, **problem))  # type: ignore[arg-type]


def test_hands_are_found_where_they_are_free_and_on_shift() -> None:
    one = op("one", 20, hands=1, able=("ana", "bo"))
    two = op("two", 20, hands=1, able=("ana",))
    table = board(one, two)
    table.put(one, Slot(40, 60, None, ("ana",)))
    assert table.fit(two, 50, 70) is None
    found = table.latest(two, 20, 0, 55)
    assert found is not None
    assert (found.start, found.crew) == (20, ("ana",))  # by hand: right before she is busy
    assert table.latest(two, 20, 85, 99) is None  # nobody is there after 100


def test_hands_at_moments_leave_the_rest_of_the_step_free() -> None:
    long = op("long", 60, touches=(Touch(0, 5, 1, ("ana",)), Touch(50, 5, 1, ("ana",))))
    short = op("short", 30, hands=1, able=("ana",))
    table = board(long, short)
    slot = table.fit(long, 0, 60)
    assert slot is not None
    table.put(long, slot)
    found = table.earliest(short, 30, 0)
    assert found is not None
    assert found.start == 5


def test_the_person_whose_station_it_is_comes_first() -> None:
    sear = op("sear", 5, ("G",), hands=1, able=("ana", "bo"))
    hands = {"ana": Hand("ana", ((0, 100),)), "bo": Hand("bo", ((0, 100),), 0, frozenset({"G"}))}
    found = board(sear, hands=hands).fit(sear, 0, 5)
    assert found is not None
    assert found.crew == ("bo",)


def test_a_pool_holds_only_so_many_litres() -> None:
    one = op("one", 30, uses=(("fridge", 60),))
    two = op("two", 30, uses=(("fridge", 60),))
    table = board(one, two, pools={"fridge": 100})
    table.put(one, Slot(10, 40))
    assert table.fit(two, 20, 50) is None
    found = table.earliest(two, 30, 0)
    assert found is not None
    assert found.start == 40


def test_what_is_taken_off_leaves_no_trace() -> None:
    sear = op("sear", 20, ("G",), hands=1, able=("ana",), temp_c=200.0)
    table = board(sear)
    slot = table.fit(sear, 0, 20)
    assert slot is not None
    table.put(sear, slot)
    table.take(sear)
    assert table.fit(sear, 10, 30) is not None
    assert table.slots == {}


def test_nothing_starts_where_nobody_is_there() -> None:
    smoke = op("smoke", 20, ("G",), attended=True)
    table = board(smoke, hours=((50, 60),))
    found = table.earliest(smoke, 20, 0)
    assert found is not None
    assert found.start == 50
    assert table.latest(smoke, 20, -inf, 49) is None
