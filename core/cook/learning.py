"""What a cook teaches the house: kept measurements and pulled loads, owed to the house's stream.

Nothing is remembered to be learned: what a log teaches is computed from it, and what the house
has not got yet is owed. So a crash between two streams loses nothing, and a report taken back
takes its lesson along.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from core.cook.around import around_of
from core.cook.decision import Dated, Decision
from core.cook.forecast import cores_of
from core.cook.state import Cook, Phase
from core.errors import CannotPlanError, OutOfRangeError, UnknownNameError
from core.facts import (
    CookClosed,
    CookLearned,
    HeatLearned,
    HouseFact,
    HouseForgot,
    KeepMeasured,
    Measure,
    MeasurementTaken,
    Report,
    StepReported,
    Undone,
)
from core.house import House, what_of
from core.model import Answer, Cards, Label, Line, Qty, StepRun, say

UNITS = {
    Measure.YIELD: "",
    Measure.TRIM: "",
    Measure.MINUTES: "min",
    Measure.PORTION: "kg",
    Measure.LOAD: "pcs",
    Measure.PACE: "1/min",
}
"""In which unit each measure is kept; a fraction has none."""

_RANGES = {
    Measure.YIELD: (0.05, 6.0),
    Measure.TRIM: (0.05, 1.0),
    Measure.MINUTES: (0.1, 7 * 24 * 60.0),
    Measure.PORTION: (0.005, 3.0),
    Measure.LOAD: (1.0, 5000.0),
    Measure.PACE: (0.1, 60.0),
}
MEASURES = {
    Measure.YIELD: say("cooking yield"),
    Measure.TRIM: say("left after trim"),
    Measure.MINUTES: say("minutes"),
    Measure.PORTION: say("eaten a head"),
    Measure.LOAD: say("a load"),
    Measure.PACE: say("a minute"),
}


def kept(cook: Cook, wish: KeepMeasured, at: datetime) -> Decision:
    """Book a measurement the chef approves; a closed cook may still be measured."""
    if cook.cards is None:
        raise CannotPlanError("nothing is cooking yet")
    low, high = _RANGES[wish.kind]
    if not low <= wish.value <= high or wish.n < 1:
        raise OutOfRangeError(wish.kind.value, f"{wish.value:g}", f"{low:g} to {high:g}")
    subject = _named(cook.cards, wish)
    fact = MeasurementTaken(wish.kind, subject, wish.value, UNITS[wish.kind], at, cook.id, wish.n)
    return Decision((Dated(at, fact),), Answer((_kept_line(fact),)))


def _named(cards: Cards, wish: KeepMeasured) -> str:
    """Return the subject as the cards spell it; a name nobody knows is refused, not kept."""
    goods = {i.name.casefold(): i.name for d in cards.dishes for i in d.ingredients}
    dishes = {name.casefold(): d.id for d in cards.dishes for name in (d.id, d.name)}
    if wish.kind in {Measure.YIELD, Measure.TRIM}:
        found = goods.get(wish.subject.casefold())
        if found is None:
            raise UnknownNameError("ingredient", wish.subject, _listed(goods.values()))
        return found
    dish, _, rest = wish.subject.partition("/")
    head = dishes.get(dish.casefold())
    steps = {s.id for d in cards.dishes if d.id == head for s in d.steps}
    if head is None or (wish.kind is Measure.MINUTES and rest not in steps):
        known = steps or set(dishes.values())
        raise UnknownNameError("dish or step", wish.subject, _listed(known))
    return f"{head}/{rest}" if rest else head


def _listed(names: Iterable[str]) -> str:
    return ", ".join(sorted(set(names))[:6])


def _kept_line(fact: MeasurementTaken) -> Line:
    return say(
        "Kept for the house: {subject}, {kind} {value}.",
        subject=Label(fact.subject),
        kind=MEASURES[fact.kind],
        value=shown(fact.kind, fact.value),
    )


def shown(kind: Measure, value: float) -> Qty:
    """Return a measured value as a cook reads it: fractions in per cent.

    Examples
    --------
    >>> shown(Measure.YIELD, 0.77)
    Qty(value=77, unit='%', digits=None)
    """
    if kind in {Measure.YIELD, Measure.TRIM}:
        return Qty(round(100 * value), "%")
    return Qty(round(value, 3 if kind is Measure.PORTION else 1), UNITS[kind])


# ------------------------------------------------------------------ what the house is owed


def teaches(facts: tuple[Dated, ...]) -> bool:
    """Say whether these facts may change what a cook teaches the house."""
    lessons = (MeasurementTaken, Undone, CookClosed)
    return any(
        isinstance(d.fact, lessons)
        or (isinstance(d.fact, StepReported) and d.fact.report is Report.DONE)
        for d in facts
    )


def owed_to_house(cook: Cook, house: House, now: datetime) -> tuple[Dated, ...]:
    """Return the facts the house's stream lacks of this cook.

    Parameters
    ----------
    cook
        As its log stands.
    house
        As its stream stands.
    now
        The present, at which a withdrawal or a close is booked.

    Returns
    -------
    tuple
        Measurements approved, a lesson for each measured load that was pulled, what no longer
        stands, and, once, that a closed cook has told all.
    """
    had = house.of_cook(cook.id)
    kept_now = {what_of(f.kind, f.subject): f for f in cook.house.kept}
    has: dict[str, HouseFact] = dict(kept_now)
    owed = [Dated(f.at, f) for what, f in kept_now.items() if had.get(what) != f]
    for run in cook.plan.runs() if cook.plan else ():
        known = had.get(run.key)
        lesson = _lesson(cook, run, known if isinstance(known, HeatLearned) else None)
        if lesson is None:
            continue
        has[run.key] = lesson
        if lesson is not known:
            owed.append(Dated(lesson.off, lesson))
    owed += [Dated(now, HouseForgot(cook.id, what)) for what in had if what not in has]
    if cook.closed and cook.id not in house.done:
        owed.append(Dated(now, CookLearned(cook.id)))
    return tuple(owed)


def _lesson(cook: Cook, run: StepRun, known: HeatLearned | None) -> HeatLearned | None:
    """Return what a pulled load teaches; the very fact the house has where nothing has changed."""
    job = cook.job(run.key)
    if job.phase is not Phase.OVER or job.started is None or job.ended is None:
        return None
    cores = cores_of(cook, run)
    rests_on = tuple((r.at, r.value) for r in cores if job.started <= r.at <= job.ended)
    if not rests_on or cook.cards is None:
        return None
    if known is not None and (known.on, known.off, known.cores) == (job.started, job.ended,
                                                                    rests_on):  # fmt: skip
        return known
    around = around_of(cook, run, job.ended)
    if around is None:
        return None
    from core.heat.learn import lesson_of

    dish = cook.cards.dish(run.dish)
    step = dish.steps[run.index]
    try:
        lesson = lesson_of(step, dish.piece, around.pit, cores, job.started, job.ended)
    except OutOfRangeError:
        return None
    if lesson is None:
        return None
    return HeatLearned(
        cook=cook.id,
        run=run.key,
        fire=around.fire,
        cut=run.dish,
        step=step.id,
        kind=around.pit.kind.value,
        on=job.started,
        off=job.ended,
        cores=rests_on,
        told=lesson.told,
        worth=lesson.worth,
    )
