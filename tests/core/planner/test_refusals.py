"""What cannot be planned is said before anything is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.errors import CannotPlanError
from core.model import Batch, Cards, Moment, Pin, Step
from core.planner import check, plan
from core.planner.validate import MOST_HEADS
from tests.core.planner.days import crew, harvest, kit, steak, supper, wedding


def with_steps(*steps: Step) -> Cards:
    return replace(supper(), dishes=(steak(steps=steps),))


@pytest.mark.parametrize("heads", [0, -3])
def test_no_guests_need_no_plan(heads: int) -> None:
    with pytest.raises(CannotPlanError, match="guests need no cooking"):
        plan(supper(), heads=heads)


def test_ten_thousand_guests_are_more_than_one_kitchen() -> None:
    with pytest.raises(CannotPlanError, match=f"{MOST_HEADS} at most"):
        plan(supper(), heads=10_000)


def test_no_grill_is_named() -> None:
    with pytest.raises(CannotPlanError, match="'sear' of Steak needs a grill and the kit has none"):
        plan(replace(supper(), kit=kit(grills=0)))


def test_nobody_with_the_skill_is_named_with_the_step() -> None:
    with pytest.raises(CannotPlanError, match="'sear' of Steak needs 1 with skill grill"):
        plan(replace(supper(), crew=crew(grills=0)))


def test_a_wait_that_must_end_before_it_may() -> None:
    wait = Step("rest", "rest", min_min=20, max_min=10)
    with pytest.raises(CannotPlanError, match="takes 20 min at least, but its max is 10 min"):
        plan(with_steps(*steak().steps[:2], wait))


def test_a_brine_longer_than_its_hard_end() -> None:
    brine = Step("brine", "brine", min_min=160, never_over_min=150)
    with pytest.raises(CannotPlanError, match="never_over is 150 min"):
        plan(with_steps(brine, *steak().steps))


def test_a_gap_that_closes_before_it_opens() -> None:
    smoke = Step("smoke", "smoke", "smoker", ideal_min=45, gap_min=12, gap_max_min=10)
    with pytest.raises(CannotPlanError, match="gap_max"):
        plan(with_steps(smoke, *steak().steps[1:]))


def test_hands_for_longer_than_any_shift() -> None:
    stir = Step("stir", "stir", ideal_min=900, hands=1)
    with pytest.raises(CannotPlanError, match="the longest shift is 780 min"):
        plan(with_steps(stir, *steak().steps))


def test_more_hands_than_people() -> None:
    lift = Step("lift", "lift", ideal_min=5, hands=9)
    with pytest.raises(CannotPlanError, match="needs 9 people and the crew has 3"):
        plan(with_steps(lift, *steak().steps))


def test_a_piece_larger_than_the_fire() -> None:
    with pytest.raises(CannotPlanError, match="not one Steak fits P"):
        plan(replace(supper(), dishes=(steak(fits={"smoker": 0, "grill": 30}),)))


def test_batches_that_would_be_parked_too_long_are_said_with_the_wait() -> None:
    cards = supper()
    whole = tuple(Pin("steak", load=f"L{n}", count=72) for n in range(1, 5))
    event = replace(cards.event, pins=whole)  # by hand: 2 + 2 x 4.5 = 11 min, 10 at most
    alone = replace(cards, event=event, crew=crew(grills=1))
    with pytest.raises(CannotPlanError, match="3 batches to sear keep the last one waiting 11 min"):
        plan(alone)


def test_an_empty_menu() -> None:
    cards = supper()
    with pytest.raises(CannotPlanError, match="menu is empty"):
        plan(replace(cards, event=replace(cards.event, menu=())))


def test_nothing_says_when() -> None:
    cards = supper()
    with pytest.raises(CannotPlanError, match="nothing says when plates go out"):
        plan(replace(cards, event=replace(cards.event, serve=())))


def test_everybody_home_before_it_is_cooked() -> None:
    early = replace(supper(), crew=crew(start=8, end=12))
    with pytest.raises(CannotPlanError):
        plan(early)


def test_loads_wait_for_a_second_round_of_tubs_and_say_so() -> None:
    made = plan(wedding(), heads=100)
    assert made.fits == "no"
    assert {f.kind for f in made.findings if f.about.startswith("lamb-rump/")} >= {"late"}
    assert check(wedding(), made) == ()


def test_work_that_is_too_long_for_anybody_s_day_is_named_with_its_minutes() -> None:
    # by hand: 793 steaks at 45 s are 594.75 min; the one with raw hands has 09:00 to 17:30
    with pytest.raises(
        CannotPlanError, match=r"trim of pork-collar takes 595 min for 793 .* has 510 min"
    ):
        plan(harvest(), heads=900)


def test_a_reason_keeps_its_values_apart_from_its_words() -> None:
    with pytest.raises(CannotPlanError) as caught:
        plan(supper(), heads=0)
    assert caught.value.why == "{heads} guests need no cooking"
    assert caught.value.values == {"heads": 0}


def test_a_dish_by_weight_makes_no_loads_and_still_gets_its_time() -> None:
    sauce = replace(
        steak(),
        fits={},
        batch=Batch(1, "kg"),
        portion=Batch(0.04, "kg"),
        piece=replace(steak().piece, footprint=None),
        steps=(Step("reduce", "reduce", "grill", ideal_min=30, hands=1),),
    )
    made = plan(replace(supper(), dishes=(sauce,)))
    assert made.loads == ()
    assert any(t.id == "steak/reduce" for t in made.tasks)


def test_a_station_that_comes_late_is_used_late() -> None:
    cards = supper()
    stations = tuple(
        replace(s, start=Moment(0, 17, 30)) if s.id == "P1" else s for s in cards.kit.stations
    )
    made = plan(replace(cards, kit=replace(cards.kit, stations=stations)))
    opens = cards.event.instant(Moment(0, 17, 30))
    assert all(x.on >= opens for x in made.loads if x.station == "P1")
