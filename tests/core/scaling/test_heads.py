"""Heads to plates: the split still adds up, few are never short, the chef's number stands."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import OutOfRangeError
from core.model import Batch, Dish, Event, MenuItem
from core.scaling.heads import (
    after_no_shows,
    eaters,
    plates_worth,
    portions_to_make,
    portions_to_prepare,
    spare_plates,
)

STEAK = Dish("steak", "Steak", Batch(10, "pieces"))
RUMP = Dish("rump", "Rump", Batch(4, "pieces"), cuts=5)


def event(heads: int, *menu: MenuItem) -> Event:
    return Event("e", "E", date(2026, 6, 13), "Europe/London", heads, menu, ())


HARVEST = event(
    320,
    MenuItem("steak", heads=282, make=288),
    MenuItem("mushroom", heads=38, make=44),
    MenuItem("salad"),
)


@pytest.mark.parametrize(
    ("heads", "meat", "veg"),
    [(320, 282, 38), (360, 317, 43), (365, 321, 44), (160, 141, 19), (0, 0, 0)],
)
def test_the_split_of_320_follows_the_heads(heads: int, meat: int, veg: int) -> None:
    found = eaters(HARVEST, heads)  # by hand: 38 x heads / 320 rounded up, meat the rest
    assert (found["steak"], found["mushroom"], found["salad"]) == (meat, veg, heads)


def test_eight_more_at_the_wedding_are_58_and_10() -> None:
    party = event(60, MenuItem("lamb", heads=52), MenuItem("celeriac", heads=8))
    assert eaters(party, 68) == {"lamb": 58, "celeriac": 10}  # by hand


def test_two_courses_are_split_each_for_itself() -> None:
    party = event(
        60,
        MenuItem("lamb", heads=52),
        MenuItem("celeriac", heads=8),
        MenuItem("cake", heads=50),
        MenuItem("fruit", heads=10),
    )
    assert eaters(party, 68) == {"lamb": 58, "celeriac": 10, "cake": 56, "fruit": 12}  # by hand


def test_a_share_is_rounded_up() -> None:
    assert eaters(event(100, MenuItem("tofu", share=0.125)), 100) == {"tofu": 13}  # by hand


def test_what_is_cooked_on_demand_has_no_eaters() -> None:
    assert eaters(event(60, MenuItem("plain", make=3, on_demand=True)), 60) == {"plain": 0}


@given(st.integers(0, 3000), st.integers(1, 319))
def test_a_split_always_adds_up(heads: int, few: int) -> None:
    party = event(320, MenuItem("steak", heads=320 - few), MenuItem("veg", heads=few))
    found = eaters(party, heads)
    assert found["steak"] + found["veg"] == heads
    assert min(found.values()) >= 0


@given(st.integers(0, 2000), st.integers(0, 2000))
def test_more_heads_never_mean_fewer_plates(a: int, b: int) -> None:
    low, high = sorted((a, b))
    for name, count in eaters(HARVEST, low).items():
        # the largest group takes the rest, so it may give one up to a small one
        assert eaters(HARVEST, high)[name] >= count - 1


def test_heads_below_nothing_are_refused() -> None:
    with pytest.raises(OutOfRangeError):
        eaters(HARVEST, -1)


# ------------------------------------------------------------------ spare


@pytest.mark.parametrize(
    ("eating", "heads", "spare", "plates"),
    [
        (282, 320, None, 15),  # 5 %, common practice
        (38, 320, None, 5),  # 12 % of few, common practice
        (8, 60, None, 4),  # never under 4, common practice
        (60, 60, 0.10, 6),  # the card's own
        (60, 60, 0.0, 0),
        (0, 60, None, 0),
    ],
)
def test_spare_plates(eating: int, heads: int, spare: float | None, plates: int) -> None:
    assert spare_plates(eating, heads, spare) == plates


def test_the_chefs_number_stands_while_it_feeds_everyone() -> None:
    item = HARVEST.menu[0]
    assert portions_to_make(HARVEST, STEAK, item, 320) == 288
    assert portions_to_make(HARVEST, STEAK, item, 326) == 287 + 1  # by hand: 287 eat, 288 made


def test_beyond_it_the_eaters_win() -> None:
    assert portions_to_make(HARVEST, STEAK, HARVEST.menu[0], 365) == 321  # by hand


def test_slices_stretch_before_more_is_cooked() -> None:
    party = event(60, MenuItem("rump", heads=52, make=56), MenuItem("celeriac", heads=8))
    item = party.menu[0]
    assert portions_to_make(party, RUMP, item, 68) == 56  # by hand: 58 x 4 slices are 47 rumps
    assert portions_to_make(party, RUMP, item, 90) == 78  # by hand: 78 x 4 / 5 is above 56


def test_a_number_for_everyone_grows_with_the_heads() -> None:
    party = event(60, MenuItem("sauce", make=39))
    sauce = Dish("sauce", "Sauce", Batch(1, "kg"), Batch(0.03, "kg"))
    assert portions_to_make(party, sauce, party.menu[0], 120) == 78  # by hand
    assert portions_to_make(party, sauce, party.menu[0], 30) == 39


def test_a_raw_reserve_lies_beyond_what_is_cooked() -> None:
    item = HARVEST.menu[0]
    assert portions_to_prepare(HARVEST, STEAK, item, 320) == 300  # by hand: 282 x 17 / 16
    assert portions_to_prepare(HARVEST, STEAK, item, 320) >= portions_to_make(
        HARVEST, STEAK, item, 320
    )


# ------------------------------------------------------------------ who comes, who eats how much


def test_some_do_not_come() -> None:
    assert after_no_shows(300, 0.05, 0.10) == (270, 285)  # by hand


def test_children_are_half_a_plate() -> None:
    assert plates_worth(100, under_tens=20) == 110  # common practice: 0.5 each
    assert plates_worth(0, 0, over_seventies=4, teenagers=4) == 8  # common practice
