"""A lane that is lost: what the others serve against what is asked of them at the peak."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from core.cook.decision import Dated, Decision, Notice
from core.cook.names import listed
from core.cook.state import Cook
from core.model import (
    Answer,
    Cards,
    Clock,
    Label,
    Lead,
    Line,
    Number,
    Qty,
    Sound,
    Station,
    StationKind,
    Value,
    Who,
    say,
)
from core.planner.demand import demand
from core.planner.origin import Origin

BOXED_PER_MIN = 8.0
"""A lane that hands out closed boxes; common practice, 8 to 10 a minute."""

BREAKS_MIN = 10.0
STEP_MIN = 1.0


@dataclass(frozen=True, slots=True)
class Crush:
    """The most guests waiting, when that is, and the peak asked of the lanes, a minute."""

    waiting: float
    at: datetime
    peak_per_min: float


def crush(cards: Cards, heads: int, per_min: float, shift_min: float, now: datetime) -> Crush:
    """Return the longest line of the main dish at lanes that serve so many a minute.

    Parameters
    ----------
    cards
        With the arrival curve or the pace.
    heads
        People fed in all.
    per_min
        Of the lanes that are left, plates a minute, above 0.
    shift_min
        Minutes plates have moved from the card.
    now
        What has been served before is not counted again.

    Notes
    -----
    A line grows by what arrives more than is served: counted minute by minute.
    """
    clock = Origin(cards.event)
    dish = max(cards.event.menu, key=lambda m: (m.heads or 0, m.share or 0.0)).dish
    from core.scaling.heads import eaters

    portions = float(eaters(cards.event, heads)[dish])
    flow = demand(dish, portions, heads, clock, shift_min)
    minute, line = max(flow.start, clock.minute_at(now)), 0.0
    worst, worst_at, peak = 0.0, minute, 0.0
    while minute < flow.end + STEP_MIN:
        asked = flow.eaten_by(minute + STEP_MIN) - flow.eaten_by(minute)
        peak = max(peak, asked / STEP_MIN)
        line = max(line + asked - per_min * STEP_MIN, 0.0)
        minute += STEP_MIN
        if line > worst + 1e-9:
            worst, worst_at = line, minute
    return Crush(worst, clock.instant(worst_at), peak)


def lane_down(
    cook: Cook, after: Cook, lane: Station, facts: tuple[Dated, ...], by: str,
    now: datetime,
) -> Decision:  # fmt: skip
    """Return what losing a lane costs in guests waiting, and what holds it."""
    cards = cook.cards
    assert cards is not None
    lanes = [s for s in cards.kit.stations if s.kind is StationKind.LANE]
    left = [s for s in lanes if s.id not in after.slips.down]
    served = sum(s.per_min or 0.0 for s in left)
    if not left or served <= 0:
        lines: tuple[Line, ...] = (
            say("{lane} out: no lane is left. Hold the tables.", lane=Label(lane.id)),
        )
        return Decision(facts, Answer(lines), _front(cook, lines, by))
    numbers, lines = _lines(cook, cards, lane, left, served, now)
    return Decision(facts, Answer(lines, numbers=numbers), _front(cook, lines, by))


def _lines(
    cook: Cook, cards: Cards, lane: Station, left: list[Station], served: float, now: datetime
) -> tuple[tuple[Number, ...], tuple[Line, ...]]:
    shift = 0.0
    if cook.plates_at is not None and cards.event.serve:
        first = min(cards.event.instant(s.start) for s in cards.event.serve if not s.leftovers)
        shift = (cook.plates_at - first).total_seconds() / 60
    worst = crush(cards, cook.heads, served, shift, now)
    names = Label(" + ".join(s.id for s in left))
    numbers = (
        Number("lanes", round(served, 1), "1/min"),
        Number("peak", round(worst.peak_per_min, 1), "1/min"),
        Number("waiting", ceil(worst.waiting - 0.5), "count"),
        Number("waiting_at", worst.at.isoformat(), "time"),
    )
    both: dict[str, Value] = {
        "lanes": names,
        "served": Qty(served, "1/min", 1),
        "peak": Qty(worst.peak_per_min, "1/min", 1),
    }
    if worst.waiting < 1:
        return numbers, (say("{lanes} do {served}, the peak is {peak}: no line.", **both),)
    first_line = say("{lanes} do {served}, the peak is {peak}: line grows to {n} by {clock}.",
                     **both, n=Qty(round(worst.waiting), "count", 0),
                     clock=Clock(worst.at))  # fmt: skip
    last = left[-1]
    boxed = served - (last.per_min or 0.0) + BOXED_PER_MIN
    after = crush(cards, cook.heads, boxed, shift, now)
    holds = (
        say("{lane} to closed boxes, {rate}: holds.", lane=Label(last.id),
            rate=Qty(BOXED_PER_MIN, "1/min", 0))
        if after.waiting < 1
        else say("{lane} to closed boxes, {rate}: line {n}.", lane=Label(last.id),
                 rate=Qty(BOXED_PER_MIN, "1/min", 0),
                 n=Qty(round(after.waiting), "count", 0))
    )  # fmt: skip
    people = [Who(p.id) for p in cards.crew if lane.id in p.stations]
    who = listed(people, 3) if people else say("Its people")
    breaks = worst.at + timedelta(minutes=BREAKS_MIN)
    rest = say("{who} → sauce and bread. No breaks before {clock}.", who=who, clock=Clock(breaks))
    return numbers, (first_line, holds, rest)


def _front(cook: Cook, lines: tuple[Line, ...], by: str) -> tuple[Notice, ...]:
    """Tell who leads the front, unless it was they who said so."""
    cards = cook.cards
    lead = (cards.leading(Lead.FRONT) or cards.chef) if cards else None
    if lead is None or lead.id == by:
        return ()
    return (Notice(f"lane/{cook.seq}", (lead.id,), lines, Sound.ONCE, kind="finding"),)
