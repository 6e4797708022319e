"""What a cook's log owes the house: each lesson once, by evidence, taken back with its report."""

from __future__ import annotations

import pytest

from core.cook import Cook
from core.cook.decision import Dated
from core.cook.learning import owed_to_house, shown, teaches
from core.errors import NotAllowedError, OutOfRangeError, UnknownNameError
from core.facts import (
    CloseCook,
    CookLearned,
    Entry,
    GiveReading,
    HeatLearned,
    HouseFact,
    HouseForgot,
    KeepMeasured,
    Measure,
    MeasurementTaken,
    Report,
    StepReported,
    Undo,
)
from core.house import House, replay_house
from core.model import Place, Qty, Reading
from core.rights import check_right
from tests.core.cook_cases import at, said, started, wish


def _pulled(value: float = 27.9) -> Cook:
    cook = said(started(), "A", "on", "12:08")
    reading = Reading(value, Place.CORE, at("12:39"), "bo", "A")
    cook = wish(cook, GiveReading(reading), "bo", "12:39")[0]
    return said(cook, "A", "off", "13:10")


def _house(owed: tuple[Dated, ...]) -> House:
    entries = [Entry(n, d.at, d.at, "bot", d.fact) for n, d in enumerate(owed, 1)]
    return replay_house(entries)


def _owed(cook: Cook, house: House | None = None) -> list[HouseFact]:
    found = owed_to_house(cook, house or House(), at("13:11"))
    return [d.fact for d in found if isinstance(d.fact, HouseFact)]


def test_a_pulled_load_owes_one_lesson_with_its_evidence() -> None:
    (fact,) = _owed(_pulled())
    assert isinstance(fact, HeatLearned)
    assert (fact.cut, fact.step, fact.kind) == ("lamb-rump", "smoke", "smoker")
    assert (fact.on, fact.off) == (at("12:08"), at("13:10"))
    assert fact.cores == ((at("12:39"), 27.9),)


def test_what_the_house_has_is_not_owed_again() -> None:
    cook = _pulled()
    house = _house(owed_to_house(cook, House(), at("13:11")))
    assert _owed(cook, house) == []


def test_a_load_still_on_its_fire_owes_nothing() -> None:
    cook = said(started(), "A", "on", "12:08")
    assert _owed(cook) == []


def test_a_report_taken_back_takes_its_lesson_along() -> None:
    cook = _pulled()
    house = _house(owed_to_house(cook, House(), at("13:11")))
    back = wish(cook, Undo(), "bo", "13:12")[0]
    assert _owed(back, house) == [HouseForgot(cook.id, "lamb-rump/A/smoke")]


def test_a_closed_cook_says_once_that_it_has_told_all() -> None:
    cook = wish(_pulled(), CloseCook(), "ana", "17:30")[0]
    facts = _owed(cook)
    assert facts[-1] == CookLearned(cook.id)
    house = _house(owed_to_house(cook, House(), at("17:31")))
    assert _owed(cook, house) == []


def test_an_approved_measurement_is_owed_in_the_cards_own_spelling() -> None:
    cook = wish(started(), KeepMeasured(Measure.YIELD, "LAMB rump", 0.81), "ana", "16:00")[0]
    assert _owed(cook) == [
        MeasurementTaken(Measure.YIELD, "lamb rump", 0.81, "", at("16:00"), cook.id)
    ]


def test_the_newest_of_two_measurements_of_a_cook_counts() -> None:
    cook = wish(started(), KeepMeasured(Measure.YIELD, "lamb rump", 0.81), "ana", "16:00")[0]
    cook = wish(cook, KeepMeasured(Measure.YIELD, "lamb rump", 0.79), "ana", "16:05")[0]
    (fact,) = _owed(cook)
    assert isinstance(fact, MeasurementTaken)
    assert fact.value == 0.79


def test_minutes_are_kept_of_a_step_that_exists() -> None:
    cook = wish(started(), KeepMeasured(Measure.MINUTES, "lamb-rump/smoke", 66.0), "ana", "16:00")
    assert any(isinstance(d.fact, MeasurementTaken) for d in cook[1].facts)
    with pytest.raises(UnknownNameError):
        wish(started(), KeepMeasured(Measure.MINUTES, "lamb-rump/boil", 66.0), "ana", "16:00")


@pytest.mark.parametrize("value", [0.0, -1.0, 7.0, float("nan")])
def test_a_yield_that_cannot_be_is_refused(value: float) -> None:
    with pytest.raises(OutOfRangeError):
        wish(started(), KeepMeasured(Measure.YIELD, "lamb rump", value), "ana", "16:00")


def test_only_the_chef_keeps_for_the_house() -> None:
    what = KeepMeasured(Measure.YIELD, "lamb rump", 0.8)
    check_right(started(), what, "ana")
    for person in ("bo", "carmen", "dev", "eli"):
        with pytest.raises(NotAllowedError):
            check_right(started(), what, person)


def test_only_what_can_teach_makes_anybody_look() -> None:
    now = at("12:08")
    assert not teaches((Dated(now, StepReported("lamb-rump/A/smoke", Report.START)),))
    assert teaches((Dated(now, StepReported("lamb-rump/A/smoke", Report.DONE)),))


def test_a_fraction_is_shown_in_per_cent() -> None:
    assert shown(Measure.YIELD, 0.774) == Qty(77, "%")
    assert shown(Measure.MINUTES, 66.04) == Qty(66.0, "min")
