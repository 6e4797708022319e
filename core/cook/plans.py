"""Plans with what is unsafe in them said beside what is late or short."""

from __future__ import annotations

from dataclasses import replace

from core.model import Cards, Plan
from core.planner import plan
from core.safety.hazards import hazards


def planned(cards: Cards, heads: int | None = None) -> Plan:
    """Return the plan for an event with its hazards among the findings, unsafe first."""
    return with_hazards(cards, plan(cards, heads=heads))


def with_hazards(cards: Cards, made: Plan) -> Plan:
    """Return a plan with the hazards of its cards and schedule before its other findings."""
    return replace(made, findings=(*hazards(cards, made), *made.findings))
