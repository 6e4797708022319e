"""Where no re-plan is found: what breaks first, and remedies that are true when tried."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from core.errors import CannotPlanError
from core.model import Cards, Clock, Plan, Progress, Qty
from core.planner import Rescue, check, plan, replan, rescue
from core.planner.levers import with_station
from tests.core.planner.days import clock, harvest, wedding
from tests.core.planner.test_replan import at


def rescued(cards: Cards, first: Plan, day: Progress, heads: int | None = None) -> Rescue:
    with pytest.raises(CannotPlanError) as failed:
        replan(cards, first, day, heads=heads, letter="B", reason="")
    return rescue(cards, first, day, failed.value, heads=heads)


def no_grills(cards: Cards) -> Progress:
    now = at(cards, "15:13")
    return Progress(now, down={"G1": (now, None), "G2": (now, None)})


def test_without_a_grill_the_first_plates_are_what_is_missing() -> None:
    cards = harvest()
    found = rescued(cards, plan(cards), no_grills(cards))
    assert found.at is not None
    assert clock(cards, found.at) == "19:00"


def test_the_time_a_fire_has_to_be_hot_by_holds_and_is_the_latest_to_ten_minutes() -> None:
    cards, day = harvest(), no_grills(harvest())
    first = plan(cards)
    by = rescued(cards, first, day).remedies[0].fields["at"]
    assert isinstance(by, Clock)

    def late(minutes: float) -> float:
        back = by.at + timedelta(minutes=minutes)
        tried = replace(day, down={**day.down, "G1": (day.now, back)})
        made = replan(cards, first, tried, letter="B", reason="")
        assert check(cards, made, day.now) == ()
        return max(-x.slack_min for x in made.loads)

    assert late(0) <= 0.75
    assert late(10) > 0.75


def test_a_borrowed_fire_is_offered_only_as_hot_as_it_can_be_lit_from_now() -> None:
    cards, day = harvest(), no_grills(harvest())
    first = plan(cards)
    more = with_station(cards, cards.kit.matching("grill")[0])
    made = replan(more, first, day, letter="B", reason="")
    assert all(x.slack_min >= -0.75 for x in made.loads)
    seared = [r.start for r in made.runs() if r.do == "sear"]
    assert min(seared) >= day.now + timedelta(minutes=45)  # the card's heat-up


def test_more_guests_than_can_be_fed_are_answered_with_how_many_can() -> None:
    cards = wedding()
    first, day = plan(cards), Progress(at(wedding(), "03:36"))
    found = rescued(cards, first, day, heads=365)
    assert found.feeds is not None
    assert found.remedies[0].fields["heads"] == Qty(found.feeds, "", 0)
    for heads, good in ((found.feeds, True), (found.feeds + 1, False)):
        made = replan(cards, first, day, heads=heads, letter="B", reason="")
        assert (max(-x.slack_min for x in made.loads) <= 0.75) is good
