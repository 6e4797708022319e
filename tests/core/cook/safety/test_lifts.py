"""Lifts: the chef, a reason, a second person; never poultry, cooling, allergens, the sick.

Who may lift what: the trade's own table, common practice.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.cook import Cook
from core.errors import NotAllowedError, UnknownNameError
from core.facts import LiftStop, StopLifted
from core.model import Finding, FoodClass, Verdict, say
from core.safety.lifting import may_be_lifted
from tests.core.cook.safety.days import food, spoken, started, tap, words


def warm_box() -> Cook:
    """Return a cook with a box whose food was good at 10:00 and warm at 12:30: BIN."""
    cook = spoken(started(), "carmen", "10:00", food("box2", 4.0))[0]
    return spoken(cook, "carmen", "12:30", food("box2", 9.0))[0]


def test_a_lift_wants_the_chef_a_reason_and_a_second_person_s_tap() -> None:
    cook, asked = spoken(warm_box(), "ana", "12:32", LiftStop("box2", "only drinks in it"))
    assert cook.safety.lifted == {}
    assert asked.notices[0].to == ("bo",)  # her backup
    cook, done = tap(cook, "bo", "12:33", 1)
    (lift,) = cook.safety.lifted.values()
    assert lift == StopLifted(lift.verdict, "box2", lift.rule, "only drinks in it", "ana", "bo")
    assert "LIFTED" in words(done.answer)


def test_a_second_person_who_says_no_leaves_it_standing() -> None:
    cook, _ = spoken(warm_box(), "ana", "12:32", LiftStop("box2", "only drinks in it"))
    cook, _ = tap(cook, "bo", "12:33", 2)
    assert cook.safety.lifted == {}


def test_without_a_reason_it_is_refused() -> None:
    cook, refused = spoken(warm_box(), "ana", "12:32", LiftStop("box2", " "))
    assert "Say why" in words(refused.answer)
    assert cook.questions == {}


@pytest.mark.parametrize("who", ["bo", "carmen", "dev", "eli", "client"])
def test_nobody_but_the_chef_lifts(who: str) -> None:
    with pytest.raises(NotAllowedError, match="Ana"):
        spoken(warm_box(), who, "12:32", LiftStop("box2", "it is fine"))


def test_what_was_never_stopped_cannot_be_lifted() -> None:
    with pytest.raises(UnknownNameError):
        spoken(started(), "ana", "12:32", LiftStop("box2", "it is fine"))


def test_a_newer_verdict_is_not_lifted_by_an_older_question() -> None:
    cook, _ = spoken(warm_box(), "ana", "12:32", LiftStop("box2", "only drinks in it"))
    cook = spoken(cook, "carmen", "12:40", food("box2", 14.0))[0]
    cook, late = tap(cook, "bo", "12:41", 1)
    assert cook.safety.lifted == {}
    assert "newer verdict" in words(late.answer)


def test_a_lift_says_nothing_of_the_next_reading() -> None:
    cook, _ = spoken(warm_box(), "ana", "12:32", LiftStop("box2", "only drinks in it"))
    cook, _ = tap(cook, "bo", "12:33", 1)
    _, again = spoken(cook, "carmen", "12:50", food("box2", 9.0))
    assert again.answer is not None
    assert again.answer.verdict is Verdict.BIN


def of(rule: str, verdict: Verdict = Verdict.STOP) -> Finding:
    return Finding("safety", say("x"), verdict, rule=rule)


@pytest.mark.parametrize(
    "rule",
    ["us.A3", "us.poultry", "es.poultry", "ca.whole_poultry", "us.cool_1", "au.cool_2", "es.cool",
     "uk.sick", "house.sick", "co.enclosed", "gas.leak", "fire.grease", "us.thermometer_c",
     "allergen.swap"],
)  # fmt: skip
def test_some_rules_are_lifted_by_nobody(rule: str) -> None:
    assert not may_be_lifted(of(rule))


@pytest.mark.parametrize("verdict", [Verdict.NOT_CONFIRMED, Verdict.YES, Verdict.NO, Verdict.OK])
def test_allergen_words_are_lifted_by_nobody(verdict: Verdict) -> None:
    assert not may_be_lifted(of("house.out", verdict))


def test_where_the_cards_have_poultry_a_box_is_never_lifted() -> None:
    cook = warm_box()
    assert cook.cards is not None
    hen = replace(cook.cards.dish("lamb-rump"), id="hen", name="Hen",
                  piece=replace(cook.cards.dish("lamb-rump").piece,
                                food_class=FoodClass.A3))  # fmt: skip
    cook = replace(cook, cards=replace(cook.cards, dishes=(*cook.cards.dishes, hen)))
    _, refused = spoken(cook, "ana", "12:32", LiftStop("box2", "only drinks in it"))
    assert "Nobody lifts this" in words(refused.answer)
