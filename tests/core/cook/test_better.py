"""Better plans: when one is asked for, what becomes of it, and when it is too old."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache

from core.cook import Cook, Decision, decide
from core.cook.better import Work, better, proposed, stale, work_of
from core.cook.decision import Dated, booked
from core.facts import (
    CallMade,
    Choose,
    CookClosed,
    PlanAdopted,
    QuestionAsked,
    StartCook,
)
from core.facts.slips import StationDown, Why
from core.model import Call, Moment, Plan, Progress, Sound, say
from core.planner import check, plan, replan
from core.planner.options import lateness
from tests.core.planner.days import harvest

CHEF = "marisol"


def at(clock: str) -> datetime:
    hour, minute = clock.split(":")
    return harvest().event.instant(Moment(0, int(hour), int(minute)))


def told(cook: Cook, decision: Decision, by: str, now: datetime) -> Cook:
    return booked(cook, decision.facts, by, now)


@cache
def begun() -> Cook:
    """The harvest supper, two days before, first plan only."""
    start = harvest().event.instant(Moment(-2, 10, 0))
    wish = StartCook("x-1", harvest(), {})
    return told(Cook(), decide(Cook(), wish, by=CHEF, at=start, now=start), CHEF, start)


@cache
def without_a_pit() -> Cook:
    """The same at 17:30, a call made, and P1 out of use for 40 min: the repaired plan is late."""
    now = at("17:30")
    call = Call("light/P2/tick", now, ("teo",), say("light"))
    facts = (Dated(now, CallMade(call)), Dated(now, StationDown("P1", Why.BROKEN, at("18:10"))))
    return booked(begun(), facts, "bot", now)


@cache
def asked() -> tuple[Work, Plan]:
    """What the engine was asked then, and an answer: another sound plan from there."""
    work = work_of(without_a_pit(), at("17:30"))
    assert work is not None
    made = replan(work.cards, work.plan, work.progress, letter="?", reason="")
    assert check(work.cards, made, work.progress.now) == ()
    return work, replace(made, engine="cp")


def offered() -> tuple[Cook, Decision]:
    work, found = asked()
    decision = proposed(without_a_pit(), work, found, at("17:30"))
    return told(without_a_pit(), decision, "bot", at("17:30")), decision


def test_what_cannot_be_bettered_is_no_news() -> None:
    work = work_of(begun(), at("10:00"))
    assert work is not None
    assert work.before_the_day
    assert better(work) is None  # the printed day: nothing late, held or tight


def test_nothing_is_asked_about_a_cook_that_is_closed() -> None:
    now = at("17:30")
    closed = booked(begun(), (Dated(now, CookClosed()),), CHEF, now)
    assert work_of(closed, now) is None


def test_a_better_plan_before_the_day_is_sound_and_less_late() -> None:
    listed = plan(harvest(), heads=410)  # one guest too many: a load of one is half an hour late
    work = Work(harvest(), listed, Progress(at("10:00") - timedelta(days=2)), True, 3)
    found = better(work)
    assert found is not None
    assert lateness(found) < lateness(listed) - 20
    assert check(harvest(), found) == ()


def test_what_gains_guests_nothing_is_no_news_on_the_day() -> None:
    work = work_of(without_a_pit(), at("17:30"))
    assert work is not None
    assert better(work) is None  # the repair is as good as it gets


def test_an_offer_begins_nothing_before_it_can_be_read() -> None:
    work, found = asked()
    now = at("17:30")
    was = {run.key: run.start for run in work.plan.runs()}
    moved = [run.start for run in found.runs() if run.start != was.get(run.key)]
    assert min(at for at in moved if at > now) >= now + timedelta(minutes=5)


def test_on_the_day_it_is_offered_to_the_chef_and_not_adopted() -> None:
    _, decision = offered()
    (question,) = [d.fact for d in decision.facts]
    assert isinstance(question, QuestionAsked)
    assert question.to == (CHEF,)
    assert [n.to for n in decision.notices] == [(CHEF,)]


def test_a_tap_adopts_the_very_plan_that_was_shown() -> None:
    cook, _ = offered()
    _, found = asked()
    now = at("17:32")
    taken = decide(cook, Choose(1), by=CHEF, at=now, now=now)
    (adopted,) = [d.fact.plan for d in taken.facts if isinstance(d.fact, PlanAdopted)]
    assert adopted.loads == found.loads
    assert adopted.letter == "B"


def test_only_those_whose_work_moved_are_rung_and_each_once() -> None:
    cook, _ = offered()
    now = at("17:32")
    taken = decide(cook, Choose(1), by=CHEF, at=now, now=now)
    room = [n for n in taken.notices if n.to == ("room",)]
    rung = [n.to[0] for n in taken.notices if n.to != ("room",)]
    assert [n.sound for n in room] == [Sound.SILENT]
    assert len(rung) == len(set(rung))
    assert CHEF not in rung  # who tapped knows
    after = told(cook, taken, CHEF, now)
    assert cook.plan is not None
    assert after.plan is not None
    for person in rung:
        assert _day(cook.plan, person) != _day(after.plan, person)


def _day(plan: Plan, person: str) -> list[tuple[str, datetime, str | None]]:
    jobs = [(r.key, r.start, r.station) for r in plan.runs() if person in r.crew]
    return sorted([*jobs, *((t.id, t.start, t.station) for t in plan.tasks if person in t.crew)])


def test_an_offer_the_day_has_overtaken_is_made_again_and_asked_again() -> None:
    cook, _ = offered()
    now = at("17:33")
    fire = Dated(now, StationDown("G2", Why.BROKEN, at("18:00")))
    later = booked(cook, (fire,), "rafa", now)
    work, found = asked()
    assert stale(later, work, found, now)
    taken = decide(
        later, Choose(1, f"change/better/{without_a_pit().seq}"), by=CHEF, at=now, now=now
    )
    adopted = [d.fact.plan for d in taken.facts if isinstance(d.fact, PlanAdopted)]
    assert found.loads not in [made.loads for made in adopted]


def test_calls_and_questions_make_no_offer_old() -> None:
    work, found = asked()
    now = at("17:34")
    call = Call("serve/tick", now, (CHEF,), say("serve"))
    later = booked(without_a_pit(), (Dated(now, CallMade(call)),), "bot", now)
    assert not stale(later, work, found, now)


def test_an_offer_is_too_old_once_what_it_moves_should_have_begun() -> None:
    work, found = asked()
    assert stale(without_a_pit(), work, found, at("18:30"))


def test_nobody_is_asked_twice_within_half_an_hour() -> None:
    work, found = asked()
    cook, _ = offered()
    now = at("17:33")
    left = told(cook, decide(cook, Choose(2), by=CHEF, at=now, now=now), CHEF, now)
    assert proposed(left, work, found, now).facts == ()


def test_the_chef_has_one_question_at_a_time() -> None:
    work, found = asked()
    now = at("17:31")
    question = QuestionAsked("change/x", (CHEF,), (say("?"),), ())
    busy = booked(without_a_pit(), (Dated(now, question),), "bot", now)
    assert proposed(busy, work, found, now).facts == ()


def test_before_the_day_the_better_plan_is_the_plan() -> None:
    work = work_of(begun(), at("10:00"))
    assert work is not None
    found = replace(work.plan, engine="cp")
    decision = proposed(begun(), work, found, at("10:00") - timedelta(days=2))
    (fact,) = [d.fact for d in decision.facts]
    assert isinstance(fact, PlanAdopted)
    assert (fact.plan.letter, fact.made_from) == ("B", begun().seq)
