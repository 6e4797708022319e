"""Plan and physics agree: every step to a core is timed by card, house or model."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.cards import read_event
from bot.examples import GOLDEN_WEDDING, HARVEST_SUPPER
from core.cook.plans import planned, used_cards
from core.errors import CannotPlanError
from core.facts import HeatKnown, HouseTaken, Known, Measure
from core.heat.card import Conditions, House, core_after, house, time_to_core
from core.heat.prior import kind_of
from core.heat.rise import set_back
from core.heat.timing import timed
from core.model import Cards, Dish, Step
from tests.core.heat.test_learn import _slow_cooks

WEDDING, HARVEST = read_event(GOLDEN_WEDDING), read_event(HARVEST_SUPPER)


def _measured(cards: Cards) -> list[tuple[Cards, Dish, Step]]:
    return [
        (cards, dish, step)
        for dish in cards.dishes
        for step in dish.steps
        if step.until_core_c is not None and step.temp_c and dish.piece.thickness_cm
    ]


STEPS = [case for cards in (WEDDING, HARVEST) for case in _measured(cards)]


def _house(cards: Cards, dish: Dish, step: Step) -> House:
    stations = cards.kit.matching(step.station or "")
    kind = kind_of(stations[0].kind if stations else None, step.temp_c, len(step.turns_min))
    return house(dish.piece, step, kind, dish.batch.amount)


def test_both_examples_have_steps_that_end_at_a_core() -> None:
    assert {d.id for _, d, _ in STEPS} >= {"lamb-rump", "celeriac", "pork-collar"}


@pytest.mark.parametrize(
    ("cards", "dish", "step"), STEPS, ids=[f"{d.id}/{s.id}" for _, d, s in STEPS]
)
def test_the_model_takes_as_long_as_the_card_and_expects_what_it_expects(
    cards: Cards, dish: Dish, step: Step
) -> None:
    tested = _house(cards, dish, step)
    takes = time_to_core(tested, step)
    assert takes is not None
    assert takes.minutes == pytest.approx(step.ideal_min, abs=0.05)
    for check in step.checks:
        assert core_after(tested, step, check.after_min) == pytest.approx(check.expect_c, abs=0.6)


@pytest.mark.parametrize("cards", [WEDDING, HARVEST], ids=["wedding", "harvest"])
def test_the_plan_of_an_example_has_the_models_times_and_looks(cards: Cards) -> None:
    made = planned(cards)
    for run in made.runs():
        if run.until_core_c is None or not run.on_fire:
            continue
        dish = cards.dish(run.dish)
        step = dish.steps[run.index]
        if dish.piece.thickness_cm is None or not step.temp_c or step.instead_of:
            continue
        minutes = (run.end - run.start).total_seconds() / 60
        tested = _house(cards, dish, step)
        windy = Conditions(wind=minutes > (step.ideal_min or 0) + 0.1)
        takes = time_to_core(tested, step, how=windy)
        assert takes is not None
        assert minutes == pytest.approx(takes.minutes, abs=1.0)  # the plan's half-minute grid
        looks = {round(c.expect_c, 1) for c in step.checks}
        assert {round(core_c, 1) for _, core_c in run.checks} <= looks
        assert bool(run.checks) == bool(step.checks)


def test_the_first_pull_of_the_lamb_is_set_back_for_sear_and_rest() -> None:
    # common practice: smoked to 46, seared 5 min, rests to 55-57
    lamb = WEDDING.dish("lamb-rump")
    sear = next(s for s in lamb.steps if s.do == "sear")
    back = set_back(lamb.piece.thickness_cm or 0, sear_min=5.0, sear_c=sear.temp_c or 300.0)
    smoke = next(s for s in lamb.steps if s.do == "smoke")
    assert (smoke.until_core_c or 0) + back.in_all_k == pytest.approx(56.0, abs=1.5)


# ------------------------------------------------------------------ a card without a time


def _untimed(cards: Cards) -> Cards:
    dishes = []
    for dish in cards.dishes:
        steps = tuple(
            replace(s, ideal_min=None, min_min=None, max_min=None, in_wind_min=None, checks=())
            if s.until_core_c is not None and s.do == "smoke" and dish.id != "celeriac"
            else s
            for s in dish.steps
        )
        dishes.append(replace(dish, steps=steps))
    return replace(cards, dishes=tuple(dishes))


def test_a_step_without_minutes_gets_them_from_thickness_start_and_fire() -> None:
    cards, changed = timed(_untimed(WEDDING))
    smoke = next(s for s in cards.dish("lamb-rump").steps if s.do == "smoke")
    assert smoke.ideal_min is not None
    # the tested batch took 62 min; the table's assumptions are right to about a third
    assert 40 < smoke.ideal_min < 95
    assert any(x.dish == "lamb-rump" and x.cooks == 0 for x in changed)


def test_a_step_timed_by_the_model_has_a_look_half_way_with_what_to_expect() -> None:
    cards, _ = timed(_untimed(WEDDING))
    smoke = next(s for s in cards.dish("lamb-rump").steps if s.do == "smoke")
    first = smoke.checks[0]
    assert 0.3 < first.after_min / (smoke.ideal_min or 1) < 0.7
    assert 10 < first.expect_c < 46
    assert smoke.checks[-1].expect_c == 46


def test_such_a_card_can_be_planned() -> None:
    made = planned(_untimed(WEDDING))
    runs = [r for r in made.runs() if r.dish == "lamb-rump" and r.do == "smoke"]
    assert all((r.end - r.start).total_seconds() > 40 * 60 for r in runs)


def test_a_step_nobody_has_timed_and_its_fire_does_not_reach_is_no_plan() -> None:
    lamb = WEDDING.dish("lamb-rump")
    hot = tuple(
        replace(s, ideal_min=None, min_min=None, max_min=None, checks=(), until_core_c=108.0)
        if s.do == "smoke" else s
        for s in lamb.steps
    )  # fmt: skip
    dishes = tuple(replace(d, steps=hot) if d is lamb else d for d in WEDDING.dishes)
    with pytest.raises(CannotPlanError, match="does not bring it to 108 °C"):
        timed(replace(WEDDING, dishes=dishes))


def test_a_step_without_minutes_and_thickness_says_what_its_card_lacks() -> None:
    cards = _untimed(WEDDING)
    lamb = cards.dish("lamb-rump")
    flat = replace(lamb, piece=replace(lamb.piece, thickness_cm=None))
    with pytest.raises(CannotPlanError, match="thickness"):
        timed(replace(cards, dishes=tuple(flat if d is lamb else d for d in cards.dishes)))


def test_a_card_with_all_its_times_is_left_as_it_is() -> None:
    assert used_cards(WEDDING) == (WEDDING, ())
    assert timed(WEDDING) == (WEDDING, ())


# ------------------------------------------------------------------ what the house has learned


def _known(cooks: int) -> HeatKnown:
    known = _slow_cooks(cooks, 1.15)
    smoke = next(s for s in WEDDING.dish("lamb-rump").steps if s.do == "smoke")
    fire = WEDDING.kit.matching(smoke.station or "")[0]
    return replace(known, fire=fire.family or fire.id, cut="lamb-rump", step=smoke.id)


def _smoke(cards: Cards) -> Step:
    return next(s for s in cards.dish("lamb-rump").steps if s.do == "smoke")


def test_after_three_cooks_the_plan_takes_the_houses_time_with_count_and_date() -> None:
    cards, changed = used_cards(WEDDING, HouseTaken((), (_known(3),)))
    step = _smoke(cards)
    # by hand: between the card's 62 and the 71.3 min its cooks took
    assert 63.5 <= (step.ideal_min or 0) <= 71
    assert (changed[0].cooks, changed[0].was_min) == (3, 62.0)
    assert changed[0].day == date(2026, 6, 15)


def test_the_looks_move_along_with_the_houses_time() -> None:
    cards, _ = used_cards(WEDDING, HouseTaken((), (_known(3),)))
    step, was = _smoke(cards), _smoke(WEDDING)
    assert step.checks[-1].after_min == step.ideal_min
    for new, old in zip(step.checks[:-1], was.checks[:-1], strict=True):
        assert new.after_min > old.after_min
        assert new.expect_c == pytest.approx(old.expect_c, abs=2.0)


def test_two_cooks_leave_the_plan_to_the_card() -> None:
    assert used_cards(WEDDING, HouseTaken((), (_known(2),)))[1] == ()


def test_approved_minutes_stand_before_what_the_model_makes_of_them() -> None:
    said = Known(Measure.MINUTES, "lamb-rump/smoke", 66.0, "min", 3, 6, date(2026, 6, 20))
    cards, changed = used_cards(WEDDING, HouseTaken((said,), (_known(3),)))
    assert _smoke(cards).ideal_min == 66.0
    assert changed[0].day == date(2026, 6, 20)
