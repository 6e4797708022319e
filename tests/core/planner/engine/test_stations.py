"""Kitchens side by side."""

from __future__ import annotations

from core.planner.engine.stations import guests_of, stations
from tests.core.planner.shops import evening


def test_a_thousand_guests_are_one_kitchen() -> None:
    assert stations(evening(3)) == (evening(3),)


def test_three_thousand_are_dealt_out_whole() -> None:
    whole = evening(9)
    parts = stations(whole)
    assert len(parts) == 3  # by hand: 2880 guests, 1200 at most
    assert sum(guests_of(p) for p in parts) == guests_of(whole)
    assert sorted(k for p in parts for k in p.ops()) == sorted(whole.ops())
    assert sorted(h for p in parts for h in p.hands) == sorted(whole.hands)
    assert sum(p.places["smoker"].room for p in parts) == whole.places["smoker"].room


def test_every_kitchen_feeds_as_many_as_it_cooks_for() -> None:
    for part in stations(evening(9)):
        for dish, appetite in part.appetites.items():
            assert appetite.total == sum(g.count for g in part.groups if g.dish == dish)


def test_every_kitchen_has_its_own_hands_for_every_touch() -> None:
    for part in stations(evening(9)):
        for op in part.ops().values():
            for touch in op.touches:
                assert set(touch.able) <= set(part.hands)
                assert len(touch.able) >= touch.hands
