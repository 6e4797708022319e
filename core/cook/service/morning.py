"""The six lines of the morning after: plates, waste, yields, times, slips, calls."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.service.counts import plates_cooked
from core.cook.state import Cook
from core.facts import (
    HeadsChanged,
    LateReported,
    Measure,
    PlatesMoved,
    Report,
    ServiceHeld,
    SlipFact,
    StepReported,
)
from core.model import Dish, Ingredient, Label, Line, Qty, Step, StepRun, say


def six_lines(cook: Cook) -> tuple[Line, ...]:
    """Return plates, waste, yields, times, slips and calls: a line each."""
    return (_plates(cook), _waste(cook), _yields(cook), _times(cook), _slips(cook), _calls(cook))


def _plates(cook: Cook) -> Line:
    heads, made = Qty(cook.heads, "heads", 0), Qty(plates_cooked(cook), "plates", 0)
    if cook.service.counts:
        return say("Plates: {out} out of {made} made, {heads} promised.", made=made, heads=heads,
                   out=Qty(cook.service.out, "", 0))  # fmt: skip
    return say("Plates: {made} made, {heads} promised. Nobody counted.", made=made, heads=heads)


def _waste(cook: Cook) -> Line:
    parts: list[Line] = [
        say("{dish} {amount}", dish=Label(name_of(cook, dish)), amount=Qty(left.amount, left.unit))
        for dish, left in cook.service.left.items()
        if left.unit != "plates" or dish
    ]
    facts = [e.fact for e in cook.entries if isinstance(e.fact, StepReported)]
    binned = sum(f.count or 0 for f in facts if f.report is Report.DISCARD)
    if binned:
        parts.append(say("binned {n}", n=Qty(binned, "pcs", 0)))
    return say("Left: {what}.", what=_listed(parts)) if parts else say("Left: nothing was counted.")


def _yields(cook: Cook) -> Line:
    found = [m for m in cook.house.kept if m.kind is Measure.YIELD]
    if found:
        parts = [say("{what} {value}", what=Label(m.subject), value=percent(m.value))
                 for m in found]  # fmt: skip
        return say("Yields: {what}.", what=_listed(parts))
    card = main_meat(cook)
    if card is None:
        return say("Yields: nothing to weigh on these cards.")
    _, part = card
    return say("Yields: not weighed. Card: {what} {value}.", what=Label(part.name),
               value=percent(part.cook_yield or 0.0))  # fmt: skip


def _times(cook: Cook) -> Line:
    parts = [
        say("{dish} {unit} {took}, card {card}", dish=Label(name_of(cook, run.dish)),
            unit=Label(run.unit), took=Qty(round(took), "min", 0),
            card=Qty(round(_card_min(cook, run) or 0), "min", 0))
        for run, took in timed(cook)
        if _card_min(cook, run)
    ]  # fmt: skip
    return say("Times: {what}.", what=_listed(parts, 2)) if parts else say("Times: none ticked.")


def _slips(cook: Cook) -> Line:
    facts = [e.fact for e in cook.entries]
    heads = [f for f in facts if isinstance(f, HeadsChanged)]
    plates = [f for f in facts if isinstance(f, PlatesMoved)]
    late = sum(isinstance(f, LateReported) for f in facts)
    others = sum(isinstance(f, SlipFact | ServiceHeld) for f in facts)
    parts: list[Line] = []
    if heads:
        parts.append(say("heads {was} → {heads}", was=Qty(heads[0].was, "", 0),
                         heads=Qty(heads[-1].heads, "", 0)))  # fmt: skip
    if plates:
        parts.append(
            say(
                "plates {was} → {at}",
                was=_clock(cook, plates[0].was),
                at=_clock(cook, plates[-1].at),
            )
        )
    if late:
        parts.append(say("late {n} times", n=late))
    if others:
        parts.append(say("{n} more", n=others))
    return say("Slips: {what}.", what=_listed(parts)) if parts else say("Slips: none told.")


def _clock(cook: Cook, at: datetime) -> Label:
    """Return an instant of the event's own day: said the day after, it is no 'yesterday'."""
    return Label(f"{cook.cards.event.local(at):%H:%M}" if cook.cards else f"{at:%H:%M}")


def _calls(cook: Cook) -> Line:
    made = [m for m in cook.calls.values() if m.call.kind in {"start", "end", "tick", "limit"}]
    first = [m for m in made if m.call.rung == 0]
    missed = sum(m.answered_by is None for m in first)
    climbed = len({m.call.about for m in made if m.call.rung})
    return say("Calls: {n}, not ticked {missed}, climbed {climbed}.", n=len(first), missed=missed,
               climbed=climbed)  # fmt: skip


def _listed(parts: list[Line], most: int = 4) -> Line:
    names = [f"part{n}" for n in range(min(len(parts), most))]
    text = " · ".join(f"{{{name}}}" for name in names) + (" …" if len(parts) > most else "")
    return Line(text, dict(zip(names, parts, strict=False)))


def name_of(cook: Cook, dish: str) -> str:
    """Return a dish's name as on the tape; the id itself when it is none."""
    dishes = cook.cards.dishes if cook.cards else ()
    return next((d.name for d in dishes if d.id == dish), dish)


def percent(fraction: float) -> Qty:
    """Return a fraction in per cent."""
    return Qty(round(100 * fraction), "%", 0)


# ------------------------------------------------------------------ what was measured


FORGOTTEN = 1.6
"""A step that took so many times its card was not long: nobody ticked its end in time."""


def timed(cook: Cook) -> list[tuple[StepRun, float]]:
    """Return the runs on fires whose start and end were both told, with their minutes."""
    found = []
    for run in cook.plan.runs() if cook.plan else ():
        job = cook.job(run.key)
        if not run.on_fire or job.started is None or job.ended is None:
            continue
        minutes = (job.ended - job.started) / timedelta(minutes=1)
        card = _card_min(cook, run)
        if card is None or minutes <= FORGOTTEN * card:
            found.append((run, minutes))
    return found


def _step(cook: Cook, run: StepRun) -> Step | None:
    return cook.cards.dish(run.dish).step(run.step) if cook.cards else None


def _card_min(cook: Cook, run: StepRun) -> float | None:
    step = _step(cook, run)
    return step.ideal_min if step else None


def main_meat(cook: Cook) -> tuple[Dish, Ingredient] | None:
    """Return the dish with the most pieces in loads, and its ingredient that has a yield."""
    cards, plan = cook.cards, cook.plan
    if cards is None or plan is None:
        return None
    counts: dict[str, int] = {}
    for load in plan.loads:
        counts[load.dish] = counts.get(load.dish, 0) + load.count
    for dish_id in sorted(counts, key=lambda d: -counts[d]):
        dish = cards.dish(dish_id)
        part = next((i for i in dish.ingredients if i.cook_yield is not None), None)
        if part is not None and dish.piece.weight_kg is not None:
            return dish, part
    return None
