"""Whole packs against every mix there is, counted out by brute force."""

from __future__ import annotations

from itertools import product
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import CannotPlanError, OutOfRangeError
from core.model import Pack
from core.scaling.packs import whole_packs

sizes = st.integers(5, 120).map(lambda x: x / 10)
prices = st.integers(1, 5000).map(lambda x: x / 100)


def test_six_cases_of_twelve_cover_62_6() -> None:
    choice = whole_packs(62.6, [Pack(12, "kg", 86.40)])
    assert [(p.amount, n) for p, n in choice.packs] == [(12, 6)]  # by hand
    assert choice.leftover == pytest.approx(9.4)  # by hand
    assert choice.cost == pytest.approx(518.40)  # by hand


def test_an_exact_fit_buys_no_pack_too_many() -> None:
    choice = whole_packs(0.1 * 3, [Pack(0.1, "kg")])
    assert choice.packs[0][1] == 3  # by hand: three tenths are not four packs


def test_the_cheaper_mix_wins_over_the_tidier_one() -> None:
    choice = whole_packs(7, [Pack(5, "kg", 10.0), Pack(2.5, "kg", 11.0)])
    assert [(p.amount, n) for p, n in choice.packs] == [(5, 2)]  # by hand: 20 beats 21


def test_at_one_price_the_least_is_left_over() -> None:
    choice = whole_packs(7, [Pack(5, "kg", 10.0), Pack(3, "kg", 6.0), Pack(4, "kg", 8.0)])
    assert choice.leftover == pytest.approx(0)  # by hand: 4 + 3


def test_without_prices_the_least_is_left_over() -> None:
    choice = whole_packs(9, [Pack(5, "kg"), Pack(4, "kg", 3.0)])
    assert sorted((p.amount, n) for p, n in choice.packs) == [(4, 1), (5, 1)]  # by hand
    assert choice.cost is None


def test_half_a_gram_of_saffron_is_not_a_gram() -> None:
    packs = [Pack(0.0005, "kg", 4.0), Pack(0.001, "kg", 9.0)]
    choice = whole_packs(0.002, packs)
    assert [(p.amount, n) for p, n in choice.packs] == [(0.0005, 4)]  # by hand: 16 beats 18


def test_nothing_needed_is_nothing_bought() -> None:
    assert whole_packs(0, [Pack(5, "kg", 1.0)]).packs == ()


@pytest.mark.parametrize(
    ("need", "packs"),
    [
        (-1, [Pack(5, "kg")]),
        (float("nan"), [Pack(5, "kg")]),
        (5, [Pack(0, "kg")]),
        (5, [Pack(5, "kg"), Pack(5, "L")]),
    ],
)
def test_what_is_no_order_is_refused(need: float, packs: list[Pack]) -> None:
    with pytest.raises(OutOfRangeError):
        whole_packs(need, packs)


@pytest.mark.parametrize(("need", "packs"), [(5, []), (1e9, [Pack(0.01, "kg")])])
def test_what_cannot_be_bought_is_said(need: float, packs: list[Pack]) -> None:
    with pytest.raises(CannotPlanError):
        whole_packs(need, packs)


def every_mix(need: float, packs: list[Pack]) -> list[tuple[float, float]]:
    """Return cost and leftover of every mix that covers the need, counted out."""
    most = [range(ceil(need / p.amount) + 1) for p in packs]
    found = []
    for counts in product(*most):
        bought = sum(round(p.amount * 1000) * n for p, n in zip(packs, counts, strict=True))
        if bought >= round(need * 1000):
            cost = sum(round((p.price or 0) * 100) * n for p, n in zip(packs, counts, strict=True))
            found.append((cost / 100, bought / 1000 - need))
    return found


@given(
    need=st.integers(1, 400).map(lambda x: x / 10),
    packs=st.lists(st.builds(Pack, sizes, st.just("kg"), prices), min_size=1, max_size=3),
)
@settings(max_examples=60, deadline=None)
def test_the_mix_is_the_cheapest_and_then_the_least_left_over(
    need: float, packs: list[Pack]
) -> None:
    choice = whole_packs(need, packs)
    cost, left = min((round(c, 2), round(w, 6)) for c, w in every_mix(need, packs))
    assert choice.cost == pytest.approx(cost)
    assert choice.leftover == pytest.approx(left, abs=1e-6)


@given(
    need=st.integers(1, 400).map(lambda x: x / 10),
    packs=st.lists(st.builds(Pack, sizes, st.just("kg")), min_size=1, max_size=3),
)
@settings(max_examples=40, deadline=None)
def test_unpriced_packs_leave_the_least_over(need: float, packs: list[Pack]) -> None:
    choice = whole_packs(need, packs)
    assert choice.leftover == pytest.approx(min(w for _, w in every_mix(need, packs)), abs=1e-6)
    assert choice.bought == pytest.approx(need + choice.leftover)
