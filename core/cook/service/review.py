"""The morning after, for the chef alone: six lines, then at most five questions, one at a time.

Each question is answered with a number: a tap that keeps what was measured, or the number itself.
What is kept goes to the house; nothing is learned that nobody approved.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from statistics import fmean

from core.cook.decision import Dated, Decision, booked
from core.cook.learning import kept
from core.cook.service.morning import main_meat, name_of, percent, six_lines, timed
from core.cook.service.silence import AFTER_UNTIL
from core.cook.state import Cook, Open
from core.errors import OutOfRangeError
from core.facts import (
    Choice,
    Choose,
    GiveNumber,
    KeepMeasured,
    Measure,
    PlatesCounted,
    QuestionAnswered,
    QuestionAsked,
    StepReported,
    Wish,
)
from core.model import (
    Answer,
    Call,
    Dish,
    Label,
    Line,
    Qty,
    Sound,
    say,
)

MOST_QUESTIONS = 5
KEY = "review/"
OFF_MIN, OFF_SHARE = 2.0, 0.03
"""A step whose time differs less from its card is as on the card."""


def review_calls(cook: Cook) -> Iterator[Call]:
    """Yield the six lines and the first question, for 11:00 the day after."""
    cards = cook.cards
    chef = cards.chef if cards else None
    if cards is None or chef is None or not _was_cooked(cook):
        return
    at = cards.event.instant(AFTER_UNTIL)
    for n, line in enumerate(six_lines(cook), start=1):
        yield Call(f"{KEY}{n}", at, (chef.id,), line, Sound.ONCE, "review", f"{KEY}{n}")
    first = next(questions(cook), None)
    begun = any(key.startswith(KEY) for key in cook.questions)
    if first is not None and not begun:
        yield Call(first.key, at, (chef.id,), first.lines[0], Sound.ONCE, "review", first.key,
                   choices=tuple(c.line for c in first.choices))  # fmt: skip


def _was_cooked(cook: Cook) -> bool:
    return any(isinstance(e.fact, StepReported | PlatesCounted) for e in cook.entries)


def asked_with(cook: Cook, calls: tuple[Call, ...], now: datetime) -> tuple[Dated, ...]:
    """Return the question that goes out with these calls: the review's first."""
    first = next(questions(cook), None)
    if first is None or all(call.key != first.key for call in calls):
        return ()
    return (Dated(now, first),)


# ------------------------------------------------------------------ five questions


def questions(cook: Cook) -> Iterator[QuestionAsked]:
    """Yield the review's questions that were not asked yet, at most five in all."""
    chef = cook.cards.chef if cook.cards else None
    if chef is None:
        return
    asked = sum(1 for key in cook.questions if key.startswith(KEY))
    for question in _all_questions(cook, chef.id):
        if question.key not in cook.questions and asked < MOST_QUESTIONS:
            asked += 1
            yield question


def _all_questions(cook: Cook, chef: str) -> Iterator[QuestionAsked]:
    yield from _minutes_questions(cook, chef)
    meat = main_meat(cook)
    if meat is not None:
        dish, part = meat
        raw = _raw_kg(cook, dish)
        line = say(
            "{dish}: how many kg after cooking? {raw} raw, card {percent}. A number, or 0.",
            dish=Label(dish.name), raw=Qty(round(raw, 1), "kg"),
            percent=percent(part.cook_yield or 0.0),
        )  # fmt: skip
        yield QuestionAsked(f"{KEY}yield/{part.name}", (chef,), (line,), (), Sound.SILENT)
    yield from _portion_questions(cook, chef)
    if not cook.service.counts:
        line = say("How many plates went out in all? A number, or 0.")
        yield QuestionAsked(f"{KEY}plates", (chef,), (line,), (), Sound.SILENT)


def _minutes_questions(cook: Cook, chef: str) -> Iterator[QuestionAsked]:
    """Yield a question for each step that took longer or shorter than its card says."""
    took: dict[tuple[str, str], list[float]] = {}
    for run, minutes in timed(cook):
        took.setdefault((run.dish, run.step), []).append(minutes)
    off = []
    for (dish, step_id), minutes_all in took.items():
        step = cook.cards.dish(dish).step(step_id) if cook.cards else None
        card = step.ideal_min if step else None
        mean = fmean(minutes_all)
        if card and abs(mean - card) >= max(OFF_MIN, OFF_SHARE * card):
            off.append((abs(mean - card) / card, dish, step_id, card, mean, len(minutes_all)))
    for _, dish, step_id, card, mean, n in sorted(off, reverse=True)[:2]:
        line = say("{dish} {step}: {took}, card {card}. Keep it?", dish=Label(name_of(cook, dish)),
                   step=Label(step_id), took=Qty(round(mean), "min", 0),
                   card=Qty(round(card), "min", 0))  # fmt: skip
        wish = KeepMeasured(Measure.MINUTES, f"{dish}/{step_id}", round(mean, 1), n)
        yield _kept_or_not(f"{KEY}minutes/{dish}/{step_id}", chef, line, wish)


def _portion_questions(cook: Cook, chef: str) -> Iterator[QuestionAsked]:
    """Yield a question for each dish of which kilograms were left: what a head really ate."""
    makes = {m.item: m for m in (cook.plan.make if cook.plan else ()) if m.unit == "kg"}
    fed = cook.service.out or cook.heads
    for dish, left in cook.service.left.items():
        made = makes.get(name_of(cook, dish))
        if made is None or left.unit != "kg" or not fed or left.amount >= made.qty:
            continue
        each = (made.qty - left.amount) / fed
        line = say("{dish}: {left} left of {made}, {each} a head. Keep it?",
                   dish=Label(name_of(cook, dish)), left=Qty(left.amount, "kg"),
                   made=Qty(round(made.qty, 1), "kg"),
                   each=Qty(round(each * 1000), "g", 0))  # fmt: skip
        wish = KeepMeasured(Measure.PORTION, dish, round(each, 4))
        yield _kept_or_not(f"{KEY}portion/{dish}", chef, line, wish)


def _kept_or_not(key: str, chef: str, line: Line, wish: KeepMeasured) -> QuestionAsked:
    choices = (Choice(say("keep it"), wish), Choice(say("leave it")))
    return QuestionAsked(key, (chef,), (line,), choices, Sound.SILENT)


def _raw_kg(cook: Cook, dish: Dish) -> float:
    pieces = sum(x.count for x in (cook.plan.loads if cook.plan else ()) if x.dish == dish.id)
    return pieces * (dish.piece.weight_kg or 0.0)


# ------------------------------------------------------------------ answers


def number_wanted(cook: Cook, person: str) -> Open | None:
    """Return the review's question that waits for a number of this person."""
    waiting = [q for q in cook.open_questions(person) if q.question.key.startswith(KEY)]
    return waiting[-1] if waiting and not waiting[-1].question.choices else None


def number_given(cook: Cook, wish: GiveNumber, by: str, at: datetime, now: datetime) -> Decision:
    """Book the number a review's question asked for, and ask the next; 0 leaves it."""
    open_ = number_wanted(cook, by)
    if open_ is None:
        return Decision(answer=Answer((say("No question of mine waits for a number."),)))
    answered = Dated(at, QuestionAnswered(open_.question.key, 1 if wish.value else 0))
    if not wish.value:
        skipped = Decision((answered,), Answer((say("Left as it is."),)))
        return then_next(cook, skipped, by, now)
    kind, _, subject = open_.question.key.removeprefix(KEY).partition("/")
    if kind == "plates":
        return then_next(cook, _plates_told(cook, answered, wish, at), by, now)
    return then_next(cook, _yield_told(cook, answered, wish, subject, at), by, now)


def _plates_told(cook: Cook, answered: Dated, wish: GiveNumber, at: datetime) -> Decision:
    if not (0 < wish.value <= 20 * max(cook.heads, 1) and wish.value.is_integer()):
        raise OutOfRangeError("plates", f"{wish.value:g}", f"1 to {20 * max(cook.heads, 1)}")
    count = int(wish.value)
    fact = Dated(at, PlatesCounted("", count, count))
    line = say("{n} of {heads} fed.", n=Qty(count, "plates", 0), heads=Qty(cook.heads, "heads", 0))
    return Decision((answered, fact), Answer((line,)))


def _yield_told(
    cook: Cook, answered: Dated, wish: GiveNumber, subject: str, at: datetime
) -> Decision:
    meat = main_meat(cook)
    raw = _raw_kg(cook, meat[0]) if meat else 0.0
    fraction = wish.value / 100 if wish.unit == "%" else wish.value / raw if raw else 0.0
    if not 0.05 <= fraction <= 1.5:
        allowed = f"{0.05 * raw:.1f} to {1.5 * raw:.1f} kg"
        raise OutOfRangeError("weight", f"{wish.value:g} kg", allowed)
    done = kept(cook, KeepMeasured(Measure.YIELD, subject, round(fraction, 4)), at)
    line = say("{what}: yield {value}, kept for the house.", what=Label(subject),
               value=percent(fraction))  # fmt: skip
    return Decision((answered, *done.facts), Answer((line,)))


def then_next(cook: Cook, done: Decision, by: str, now: datetime) -> Decision:
    """Return a decision with the review's next question behind it, if there is one."""
    after = booked(cook, done.facts, by, now)
    following = next(questions(after), None)
    lines = done.answer.lines[:3] if done.answer else ()
    if following is None:
        end = say("That was all.")
        return Decision(done.facts, Answer((*lines, end)), done.notices)
    choices = tuple(c.line for c in following.choices)
    answer = Answer(lines, question=following.lines[0], choices=choices)
    return Decision((*done.facts, Dated(now, following)), answer, done.notices)


def is_review(open_: Open) -> bool:
    """Say whether a question is one of the review's."""
    return open_.question.key.startswith(KEY)


def after_close(cook: Cook, wish: Wish, by: str) -> bool:
    """Say whether a wish may still come when the cook is closed: an answer to the review."""
    waiting = [q for q in cook.open_questions(by) if is_review(q)]
    return isinstance(wish, Choose | GiveNumber) and bool(waiting)
