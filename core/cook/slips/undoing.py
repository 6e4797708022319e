"""What is taken back: whoever had been told hears it; what was binned or read stays in the log."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from core.cook.decision import Notice
from core.cook.slips.record import slip_told
from core.cook.slips.telling import told
from core.cook.state import Cook
from core.facts import (
    Entry,
    HeadsChanged,
    PlanAdopted,
    PlatesMoved,
    QuestionAsked,
    ReadingTaken,
    Report,
    SlipFact,
    StepReported,
    VerdictGiven,
)
from core.model import Line, Sound, say


def moves_all(group: Sequence[Entry]) -> bool:
    """Say whether everybody had been told: heads or plates changed."""
    return any(isinstance(e.fact, HeadsChanged | PlatesMoved) for e in group)


def slip_undone(group: Sequence[Entry], cook: Cook) -> Line | None:
    """Return the slip that is taken back, in words; None where it is none."""
    facts = [e.fact for e in group if isinstance(e.fact, SlipFact)]
    plans = [e.fact for e in group if isinstance(e.fact, PlanAdopted)]
    if plans and not moves_all(group):
        return plans[-1].reason
    return slip_told(facts[0], cook) if facts else None


def correction(group: Sequence[Entry]) -> tuple[Line, ...]:
    """Return that a reading, a bin or a verdict stays in the log beside what corrects it."""
    kept = any(
        isinstance(e.fact, ReadingTaken | VerdictGiven)
        or (isinstance(e.fact, StepReported) and e.fact.report is Report.DISCARD)
        for e in group
    )
    return (say("It stays in the log, with this correction."),) if kept else ()


def undo_notices(
    before: Cook, after: Cook, group: Sequence[Entry], lines: tuple[Line, ...], by: str,
    now: datetime,
) -> tuple[Notice, ...]:  # fmt: skip
    """Return the word to exactly those who had been told of what is taken back."""
    key = f"undo/{group[0].seq}"
    if moves_all(group):
        return (Notice(key, ("room",), lines, Sound.ONCE),)
    asked = {p for e in group if isinstance(e.fact, QuestionAsked) for p in e.fact.to} - {by}
    found = tuple(Notice(key, (p,), lines[:1], Sound.ONCE) for p in sorted(asked))
    if any(isinstance(e.fact, PlanAdopted) for e in group) and after.plan is not None:
        each = told(before, after.plan, by, now, undone=True)
        return (*found, *each, Notice(key, ("room",), lines))
    return found
