"""A better plan than the one in force, if the exact engine knows one.

A cook has a plan at once, by list or repair. What can be bettered is asked of the engine beside it
(`Work` in, a plan out: slow, pure, for another process). Before the day, while nobody has been
called and nothing has begun, a better plan takes its place; during the day the chef is asked. A
plan found for a day that has moved on meanwhile is worth nothing: the work is asked again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from core.cook.change import next_letter, remade
from core.cook.decision import Dated, Decision, Notice
from core.cook.fresh import moved_on
from core.cook.plans import with_hazards
from core.cook.slips.force import basis
from core.cook.state import Cook, Phase
from core.cook.subjects import in_order, key_of, plan_of
from core.errors import CannotPlanError
from core.facts import Apply, Choice, PlanAdopted, QuestionAsked
from core.model import Cards, Clock, Label, Line, Plan, Progress, Qty, Sound, Value, say
from core.planner import changes, check, plan, replan
from core.planner.options import lateness

GAIN_MIN = 2.0
"""On the day nobody is asked to learn other times for less than this."""

OVER_MIN = 15.0
"""Guests served sooner are worth so long a hold past what the card likes, and the chef is told."""

NOTICE_MIN = 5.0
"""An offer has to be read and tapped: nothing in it begins sooner than this."""

LEFT_MIN = 30.0
"""So long after 'leave it' no other plan is offered."""

WHY = say("better plan found")


@dataclass(frozen=True, slots=True)
class Work:
    """What the engine is asked: all that a plan is made from, and how far the log was then."""

    cards: Cards
    plan: Plan
    progress: Progress
    before_the_day: bool
    seq: int


def work_of(cook: Cook, now: datetime) -> Work | None:
    """Return what could be asked of the engine; None where there is nothing to better."""
    if cook.cards is None or cook.plan is None or cook.closed or not _anything_left(cook, now):
        return None
    cards, told = basis(cook, now)
    before = not cook.calls and not cook.jobs
    if before and cook.plan.engine != "list":
        return None
    if not before:
        told = replace(told, now=now + timedelta(minutes=NOTICE_MIN))
    return Work(cards, cook.plan, told, before, cook.seq)


def _anything_left(cook: Cook, now: datetime) -> bool:
    waiting = (i for i in in_order(plan_of(cook)) if cook.phase(key_of(i)) is Phase.WAITING)
    return any(item.start > now and item.do not in {"break", "serve"} for item in waiting)


def better(work: Work) -> Plan | None:
    """Return a sound plan that is better by enough to be worth a word; None if there is none.

    Parameters
    ----------
    work
        The cards, the plan in force and the day so far.

    Notes
    -----
    Takes a second or two. Same work, same plan: one worker, a fixed seed, deterministic limits.
    """
    try:
        stands, found = _before(work) if work.before_the_day else _during(work)
    except CannotPlanError:
        return None
    since = None if work.before_the_day else work.progress.now
    if not found.engine.startswith("cp") or not _gains(work, stands, found):
        return None
    if len(check(work.cards, found, since)) > len(check(work.cards, stands, since)):
        return None
    return with_hazards(work.cards, found)


def _before(work: Work) -> tuple[Plan, Plan]:
    was = work.plan
    made = plan(work.cards, heads=was.heads, plates_at=was.plates_at, engine="cp")
    return was, made


def _during(work: Work) -> tuple[Plan, Plan]:
    stands = replan(work.cards, work.plan, work.progress, letter="?", reason="")
    if lateness(stands) < GAIN_MIN:
        return stands, stands
    found = replan(work.cards, work.plan, work.progress, letter="?", reason="", engine="cp")
    return stands, found


def _gains(work: Work, stands: Plan, found: Plan) -> bool:
    """Return whether guests notice: on the day less late, and no food held far longer than it
    keeps for it; before the day all that a plan costs, worst first.
    """
    if work.before_the_day:
        return tuple(_worth(found)) < tuple(_worth(stands))
    if _over_held(work.cards, found) > max(_over_held(work.cards, stands), OVER_MIN):
        return False
    return lateness(stands) - lateness(found) >= GAIN_MIN


def _over_held(cards: Cards, made: Plan) -> float:
    """Return the most minutes a load is held past what its card likes."""
    likes = {x.id: cards.dish(x.dish).hold.quality_max_min for x in made.loads}
    over = (x.hold_min - (likes[x.id] or x.hold_min) for x in made.loads)
    return max(0.0, *over)


def _worth(made: Plan) -> Iterator[float]:
    """Yield what a plan costs, worst first: minutes late, things held too long, slack under ten."""
    yield float(round(sum(x.count * max(-x.slack_min, 0.0) for x in made.loads)))
    yield float(sum(f.kind == "quality" for f in made.findings))
    yield float(round(sum(max(10.0 - x.slack_min, 0.0) for x in made.loads)))


def stale(cook: Cook, work: Work, found: Plan, now: datetime) -> bool:
    """Return whether the day has moved on since a plan was asked for."""
    begun = work.before_the_day and (bool(cook.calls) or bool(cook.jobs))
    return begun or moved_on(cook, work.seq, found, now)


def proposed(cook: Cook, work: Work, found: Plan, now: datetime) -> Decision:
    """Return the better plan adopted, before the day, or offered to the chef, on it."""
    new = replace(found, letter=next_letter(plan_of(cook).letter))
    if work.before_the_day:
        return _adopted(cook, new, now)
    return _offered(cook, work, new, now)


def _adopted(cook: Cook, new: Plan, now: datetime) -> Decision:
    line = say(
        "PLAN {letter} {clock}: {why}. {what}.",
        letter=Label(new.letter),
        clock=Clock(now),
        why=WHY,
        what=_difference(plan_of(cook), new),
    )
    notice = Notice(
        f"plan/{new.letter}/{cook.seq}",
        ("room",),
        (line,),
        Sound.SILENT,
        picture=f"plan-{new.letter}.png",
        letter=new.letter,
    )
    return Decision((Dated(now, PlanAdopted(new, cook.seq, WHY)),), None, (notice,))


def _offered(cook: Cook, work: Work, new: Plan, now: datetime) -> Decision:
    chef = cook.cards.chef if cook.cards else None
    if chef is None or cook.open_questions(chef.id) or _left(cook, now):
        return Decision()  # one question at a time, and 'leave it' is an answer
    wish = Apply(new.heads, new.plates_at, WHY, plan=new, made_from=work.seq)
    stands = remade(cook, new.heads, new.plates_at, now)
    lines = (_difference(stands, new, now=now), *_moves(cook, new), *_price(stands, new))
    choices = (Choice(say("take it"), wish), Choice(say("leave it")))
    question = QuestionAsked(f"change/better/{cook.seq}", (chef.id,), lines, choices, Sound.ONCE)
    told = Notice(question.key, (chef.id,), lines, Sound.ONCE, tuple(c.line for c in choices),
                  "call")  # fmt: skip
    return Decision((Dated(now, question),), None, (told,))


def _left(cook: Cook, now: datetime) -> bool:
    """Return whether a better plan was offered a short while ago."""
    since = now - timedelta(minutes=LEFT_MIN)
    return any(
        k.startswith("change/better/") and q.asked > since for k, q in cook.questions.items()
    )


def _difference(was: Plan, new: Plan, now: datetime | None = None) -> Line:
    """Return what is won: how late it was and is, or the tightest load's minutes."""
    before, after = lateness(was), lateness(new)
    if before >= GAIN_MIN or now is not None:
        fields: dict[str, Value] = {"was": Qty(round(before), "min", 0)}
        if after < 1.0:
            return say("Another plan: nobody waits, now {was}", **fields)
        return say("Another plan: {late} late, now {was}", late=Qty(round(after), "min", 0),
                   **fields)  # fmt: skip
    tight = [min((x.slack_min for x in p.loads), default=0.0) for p in (was, new)]
    return say(
        "tightest load {now} in hand, was {was}",
        now=Qty(round(tight[1]), "min", 0),
        was=Qty(round(tight[0]), "min", 0),
    )


def _price(stands: Plan, new: Plan) -> tuple[Line, ...]:
    """Return what is held or waits longer for it than its card likes."""
    known = {f.about for f in stands.findings}
    return tuple(f.text for f in new.findings if f.kind == "quality" and f.about not in known)[:2]


def _moves(cook: Cook, new: Plan) -> tuple[Line, ...]:
    """Return how many jobs move, for how many people."""
    change = changes(plan_of(cook), new)
    moved = (*change.elastic, *change.plates, *change.world)
    return (
        say(
            "Moves {jobs} of {people}.",
            jobs=Qty(len(moved), "jobs", 0),
            people=Qty(len(change.concerned), "people", 0),
        ),
    )
