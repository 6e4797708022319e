"""What safety adds to a report or a reading: cooked or not, parked too long, two that disagree."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from core.cook.decision import Dated, Decision, Notice, booked
from core.cook.safety.clocks import deadline_of, standing
from core.cook.safety.gaps import gap_closed
from core.cook.safety.probes import FOOD, disagreed, is_doubtful, trusted
from core.cook.safety.record import thing
from core.cook.safety.said import given
from core.cook.safety.watch import day_of, served_pink
from core.cook.state import Cook, items
from core.facts import (
    ApprovePink,
    Choice,
    QuestionAsked,
    ReadingTaken,
    Report,
    StepReported,
)
from core.model import Answer, Clock, Finding, Line, Qty, Reading, Sound, Task, Verdict, say
from core.safety.clocks import Side
from core.safety.degrees import Degrees
from core.safety.food import food_of_dish
from core.safety.holding import time_label
from core.safety.probes import disagreement, no_word, same_moment
from core.safety.stages import may_wait
from core.safety.watch import cooked_findings

MOST_LINES = 4
GRAVE = frozenset({Verdict.STOP, Verdict.BIN, Verdict.NOT_YET, Verdict.UNKNOWN})


def with_safety(cook: Cook, decision: Decision, by: str, at: datetime, now: datetime) -> Decision:
    """Return a decision on a report or reading with what safety has to say of it."""
    if not decision.facts or cook.cards is None:
        return decision
    after = booked(cook, decision.facts, by, now)
    doubted = _doubted(after, decision, at)
    if doubted is not None:
        return doubted
    decision = _twice_read(cook, after, decision, by, at)
    found = [f for f in _found(after, decision) if not _said(after, f)]
    facts = tuple(given(at, each) for each in found)
    heard = _to_tell(cook, found)
    lines = [each.text for each in heard]
    lines += [] if lines else _labels(cook, after, decision)
    pinks = _asks_pink(after, found, at)
    answer = _with(decision.answer, heard, lines)
    notices = (*decision.notices, *_notices(after, heard, by), *pinks.notices)
    return Decision((*decision.facts, *facts, *pinks.facts), answer, notices)


def _with(answer: Answer | None, found: list[Finding], lines: list[Line]) -> Answer | None:
    if answer is None or not lines:
        return answer
    if not found:
        return replace(answer, lines=(*answer.lines, *lines)[:MOST_LINES])
    kept = answer.lines[: MOST_LINES - len(lines[:2])]
    verdict = answer.verdict or found[0].verdict
    return replace(answer, lines=(*lines[:2], *kept), verdict=verdict)


def _found(after: Cook, decision: Decision) -> Iterator[Finding]:
    """Yield what the new facts bring up: a stop for a late second fire, cooked or not."""
    for dated in decision.facts:
        fact = dated.fact
        if isinstance(fact, StepReported) and fact.report is Report.START:
            closed = gap_closed(after, fact.run)
            if closed is not None:
                yield closed
    keys = _touched(decision)
    loads = after.plan.loads if after.plan else ()
    for load in loads:
        if not keys & {run.key for run in load.runs} or after.cards is None:
            continue
        for found in cooked_findings(day_of(after, after.cards, _last(after)), load):
            if found.about in keys:
                yield found


def _touched(decision: Decision) -> set[str]:
    """Return the runs that a decision ends or reads."""
    keys = {
        d.fact.run
        for d in decision.facts
        if isinstance(d.fact, StepReported) and d.fact.report is Report.DONE
    }
    return keys | {d.fact.reading.about for d in decision.facts if isinstance(d.fact, ReadingTaken)}


def _last(cook: Cook) -> datetime:
    return cook.entries[-1].heard


def _said(cook: Cook, found: Finding) -> bool:
    """Say whether this is the last word on a thing already."""
    about = [v for v in cook.verdicts if (v.about, v.rule) == (found.about, found.rule)]
    return bool(about) and about[-1].verdict is found.verdict


def _to_tell(cook: Cook, found: list[Finding]) -> list[Finding]:
    """Return what is told: grave things; of whole beef and lamb each rule only once a dish."""
    told = {(v.rule, v.about.split("/", 1)[0]) for v in cook.verdicts}
    return [
        f
        for f in found
        if f.verdict in GRAVE
        and ((f.rule, f.about.split("/", 1)[0]) not in told or not _may_wait(cook, f.about))
    ]


def _may_wait(cook: Cook, about: str) -> bool:
    dishes = cook.cards.dishes if cook.cards else ()
    dish = next((d for d in dishes if d.id == about.split("/", 1)[0]), None)
    return dish is not None and may_wait(food_of_dish(dish))


def _notices(cook: Cook, found: list[Finding], by: str) -> tuple[Notice, ...]:
    """Tell the chef of a stop that a report has brought up, unless it is the chef's own."""
    chef = cook.cards.chef if cook.cards else None
    stops = tuple(f.text for f in found if f.verdict in {Verdict.STOP, Verdict.BIN})
    if not stops or chef is None or chef.id == by:
        return ()
    return (Notice(f"after/{cook.seq}", (chef.id,), stops, Sound.ALARM, kind="finding"),)


# ------------------------------------------------------------------ thermometers


def _doubted(after: Cook, decision: Decision, at: datetime) -> Decision | None:
    """Return a reading by a thermometer in doubt: kept as it was told, and good for nothing."""
    first = decision.facts[0].fact
    if not isinstance(first, ReadingTaken) or not is_doubtful(after, first.reading):
        return None
    reading = first.reading
    found = no_word(reading.instrument, reading.about)
    noted = say("{what} {value} {clock}.", what=thing(reading.about, after),
                value=Qty(reading.value, reading.unit), clock=Clock(reading.at))  # fmt: skip
    answer = Answer((found.text, noted), found.verdict)
    return Decision((decision.facts[0], given(at, found)), answer)


def _twice_read(cook: Cook, after: Cook, decision: Decision, by: str, at: datetime) -> Decision:
    """Return the decision with thermometers doubted that disagree on the same thing now."""
    new = [d.fact.reading for d in decision.facts if isinstance(d.fact, ReadingTaken)]
    for reading in new:
        if not reading.instrument or reading.place not in FOOD:
            continue
        group = _same(after, reading)
        if len(group) < 2:
            continue
        side = Side.COLD if max(r.value for r in group) < 15 else Side.HOT
        found = disagreement([Degrees(r.value) for r in group], side, reading.about)
        if found is not None:
            answer = decision.answer or Answer(())
            lines = (found.text, *answer.lines[:1])
            facts = (*decision.facts, *disagreed(cook, found, group, by, at))
            return Decision(facts, replace(answer, lines=lines, verdict=found.verdict),
                            decision.notices)  # fmt: skip
    return decision


def _same(cook: Cook, reading: Reading) -> tuple[Reading, ...]:
    told = [r for r in trusted(cook) if r.about == reading.about and r.instrument]
    groups = same_moment(told)
    return next((g for g in groups if any(r is reading or r == reading for r in g)), ())


# ------------------------------------------------------------------ labels, pink


def _labels(cook: Cook, after: Cook, decision: Decision) -> list[Line]:
    """Return what to write on food that now has time instead of temperature."""
    ticked = {d.fact.run for d in decision.facts if isinstance(d.fact, StepReported)}
    plan = items(after.plan) if after.plan else {}
    serves = any(isinstance(plan.get(k), Task) and plan[k].do == "serve" for k in ticked)
    known = {each.key for each in standing(cook)}
    new = [each for each in standing(after) if each.key not in known] if serves else []
    if not new:
        return []
    first = min(new, key=lambda each: deadline_of(after, each))
    by = deadline_of(after, first)
    minutes = (by - first.since).total_seconds() / 60
    return [say("Label what stands out: {label}.", label=time_label(first.since, minutes))]


def _asks_pink(cook: Cook, found: list[Finding], at: datetime) -> Decision:
    """Ask the chef, once a dish, whether they answer for serving it pink."""
    cards = cook.cards
    chef = cards.chef if cards else None
    for each in found:
        dish_id = each.about.split("/", 1)[0]
        key = f"pink/{dish_id}"
        dish = next((d for d in cards.dishes if d.id == dish_id), None) if cards else None
        waits = dish is not None and served_pink(dish) and dish_id not in cook.safety.pink
        if (
            not waits
            or chef is None
            or key in cook.questions
            or each.verdict is not Verdict.NOT_YET
        ):
            continue
        picks = (Choice(say("I approve it pink"), ApprovePink(dish_id)),
                 Choice(say("cook it through")))  # fmt: skip
        lines = (each.text, say("Who answers for it? Clock {clock}.", clock=Clock(at)))
        question = QuestionAsked(key, (chef.id,), lines, picks, Sound.ONCE)
        notice = Notice(key, (chef.id,), lines, Sound.ONCE, tuple(p.line for p in picks),
                        kind="finding")  # fmt: skip
        return Decision((Dated(at, question),), None, (notice,))
    return Decision()
