"""Tubs and trays: '4/5 fuera' is four of the five lots of a step, and the fifth stays open."""

from __future__ import annotations

from bot.phrases.about import left_over
from bot.phrases.deeds import Deed
from bot.phrases.heard import Ear, Heard, Unclear, Wished
from bot.phrases.said import Said
from bot.phrases.subjects import named, step_of
from core.facts import Report, ReportStep
from core.model import Qty, say
from core.words import Fraction


def read_fraction(line: Said, deed: Deed) -> Heard | None:
    """Return so many lots of a step as done; a question where no step has that many."""
    part = next((w for w in line.words if isinstance(w, Fraction)), None)
    if part is None or deed.report is not Report.DONE or not 0 < part.a <= part.b:
        return None
    things = named(line, deed.used)
    used = deed.used.union(*(t.used for t in things))
    if any(not isinstance(w, Fraction) for _, w in left_over(line, used)):
        return None
    steps = [t.name for t in things if t.sort == "step"] or _steps_in_lots(line.ear, part.b)
    lots = _meant(line.ear, steps[0], part.b) if len(steps) == 1 else []
    if len(lots) != part.b:
        left = Qty(part.b - part.a, "count", 0)
        return Unclear(say("{done} of {all} of what? {left} still in, nothing ticked.",
                           done=part.a, all=part.b, left=left))  # fmt: skip
    new = part.a - sum(key in line.ear.over for key in lots)
    return Wished((ReportStep(steps[0], "", Report.DONE, new),), line.at) if new > 0 else None


def _lots_of(ear: Ear, step: str) -> list[str]:
    return [k for k in ear.tasks if step_of(k) == step and not _has_load(k, ear)]


def _meant(ear: Ear, step: str, count: int) -> list[str]:
    """Return the lots of a step; those begun, where more of them have been planned since."""
    lots = _lots_of(ear, step)
    return lots if len(lots) == count else [k for k in lots if k in ear.running | ear.over]


def _has_load(key: str, ear: Ear) -> bool:
    return key.count("/") > 1 and key.split("/")[1] in ear.loads


def _steps_in_lots(ear: Ear, count: int) -> list[str]:
    """Return the steps that are done in so many lots, those under way first."""
    steps = {step_of(key) for key in ear.tasks} - {""}
    many = {step for step in steps if len(_meant(ear, step, count)) == count}
    begun = {step for step in many if any(k in ear.running for k in _lots_of(ear, step))}
    return sorted(begun or many)
