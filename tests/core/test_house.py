"""The house's stream: means over cooks, what a new cook takes of them, what is taken back."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from core.facts import (
    CookLearned,
    Entry,
    HouseFact,
    HouseForgot,
    HouseTaken,
    Measure,
    MeasurementTaken,
)
from core.house import House, replay_house, yields_of
from core.model import Ingredient
from core.scaling.yields import chain_of
from tests.core.cook_cases import cards

DAY = datetime(2026, 5, 1, 16, tzinfo=UTC)


def _taken(cook: int, value: float, n: int = 1, kind: Measure = Measure.YIELD) -> MeasurementTaken:
    subject = "lamb rump" if kind is Measure.YIELD else "lamb-rump/smoke"
    return MeasurementTaken(kind, subject, value, "", DAY + timedelta(days=cook), f"cook-{cook}", n)


def _house(*facts: HouseFact) -> House:
    return replay_house(Entry(n, DAY, DAY, "bot", fact) for n, fact in enumerate(facts, 1))


def test_three_logged_cooks_make_the_default_yield_with_its_count_and_date() -> None:
    # by hand: (0.76 + 0.77 + 0.78) / 3
    house = _house(_taken(1, 0.76), _taken(2, 0.77), _taken(3, 0.78))
    known = house.known(Measure.YIELD, "Lamb Rump")
    assert known is not None
    assert known.value == pytest.approx(0.77)
    assert (known.cooks, known.n, known.day) == (3, 3, date(2026, 5, 4))
    assert yields_of(house.taken(cards()))[0].cooks == 3


def test_two_cooks_are_too_few_to_stand_in_place_of_the_card() -> None:
    house = _house(_taken(1, 0.76), _taken(2, 0.78))
    assert yields_of(house.taken(cards())) == ()


def test_a_cook_measured_ten_times_counts_once() -> None:
    house = _house(_taken(1, 0.70, n=10), _taken(2, 0.80))
    known = house.known(Measure.YIELD, "lamb rump")
    assert known is not None
    assert known.value == pytest.approx(0.75)
    assert (known.cooks, known.n) == (2, 11)


def test_a_newer_measurement_of_one_cook_replaces_the_older() -> None:
    house = _house(_taken(1, 0.70), _taken(1, 0.80))
    known = house.known(Measure.YIELD, "lamb rump")
    assert known is not None
    assert known.value == 0.80
    assert known.cooks == 1


def test_what_was_taken_back_no_longer_counts() -> None:
    house = _house(_taken(1, 0.70), _taken(2, 0.80), HouseForgot("cook-1", "yield/lamb rump"))
    known = house.known(Measure.YIELD, "lamb rump")
    assert known is not None
    assert known.value == 0.80


def test_a_cook_takes_only_what_its_cards_are_of() -> None:
    other = replace(_taken(1, 0.5), subject="ostrich")
    taken = _house(other, _taken(2, 0.8)).taken(cards())
    assert [known.subject for known in taken.measured] == ["lamb rump"]


def test_a_house_that_knows_nothing_gives_nothing() -> None:
    assert _house().taken(cards()) == HouseTaken()


def test_a_cook_that_has_told_all_is_remembered() -> None:
    assert _house(CookLearned("cook-1")).done == {"cook-1"}


def test_the_measured_yield_beats_the_card_and_says_whose_it_is() -> None:
    house = _house(_taken(1, 0.76), _taken(2, 0.77), _taken(3, 0.78))
    card = Ingredient("lamb rump", trim=0.1, cook_yield=0.82)
    factor = chain_of(card, yields_of(house.taken(cards()))).cook
    assert factor.fraction == pytest.approx(0.77)
    assert (factor.source.status, factor.cooks) == ("house", 3)
