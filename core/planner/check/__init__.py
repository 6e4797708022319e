"""An independent judge of plans: every rule again from the cards, none of the scheduler's code.

| File | What it holds |
|---|---|
| `day.py` | the plan and the cards side by side, in minutes; `Violation` |
| `chains.py` | every step there, in order, gaps, lengths, hard maxima, plates, pins |
| `stations.py` | what fits, what shares, one temperature, swap, lit in time |
| `people.py` | skill, shift, raw hands, nobody in two places |
| `numbers.py` | pieces add up, needed, ready and slack are what they say |
"""

from __future__ import annotations

from datetime import datetime

from core.model import Cards, Plan
from core.planner.check.chains import chain_violations
from core.planner.check.day import Day, Violation
from core.planner.check.numbers import number_violations
from core.planner.check.people import people_violations
from core.planner.check.stations import station_violations


def check(cards: Cards, plan: Plan, since: datetime | None = None) -> tuple[Violation, ...]:
    """Return everything in a plan that breaks the cards; empty if it is sound.

    Parameters
    ----------
    cards
        What was taken.
    plan
        What is judged.
    since
        Only what starts from here on is judged: the past is as it was, good or bad.
    """
    day = Day(cards, plan, since)
    found = [
        *chain_violations(day),
        *station_violations(day),
        *people_violations(day),
        *number_violations(day),
    ]
    return tuple(sorted(set(found), key=lambda v: (v.rule, v.about, v.text)))


__all__ = ["Violation", "check"]
