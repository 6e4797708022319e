"""A list schedule made better by the exact engine, or shown to be as good as it gets.

The engine is asked for late, so that a plan is there at once and the solver is loaded only when
wanted. Whatever it says is judged by the independent check before anybody sees it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from core.planner.jobs import Problem, Schedule, Slot
from core.planner.scoring import costs


@dataclass(frozen=True, slots=True)
class Wish:
    """What the engine has to respect: `fixed` slots, starts people know, now, and how long."""

    fixed: Mapping[str, Slot]
    wanted: Mapping[str, float]
    now: float
    deterministic: float
    presolve: bool = True


def sharpened(problem: Problem, first: Schedule, wish: Wish | None = None) -> Schedule | None:
    """Return the engine's schedule, the first one with a proof if nothing beats it, or None.

    None means that there is nothing better to say: no solver here, or nothing found in time. What
    costs nothing at all needs no solver: no aim is ever below nothing.
    """
    if wish is None and not any(costs(problem, first.slots)):
        return replace(first, status="proved")
    try:
        from core.planner.engine.run import on_target
        from core.planner.engine.solver import Effort
    except ImportError:
        return None
    if wish is None:
        found = on_target(problem, first.slots)
    else:
        effort = Effort(deterministic=wish.deterministic, presolve=wish.presolve)
        found = on_target(problem, first.slots, effort, wish.fixed, wish.wanted, wish.now)
    if not found.slots:
        return None
    if wish is None and costs(problem, found.slots) >= costs(problem, first.slots):
        return replace(first, engine="cp", status=found.status, score=found.score)
    return found
