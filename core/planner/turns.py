"""First ready, first eaten: which guests a load is for follows from when it is ready.

Loads are built for the guests their number stands for. Where one has overtaken another, it feeds
the earlier guests, and both are needed, and held, as it then comes.
"""

from __future__ import annotations

from dataclasses import replace

from core.model import Tied
from core.planner.assemble import Result
from core.planner.jobs import Group
from core.planner.loading import timed


def in_turn(result: Result) -> Result:
    """Return a result whose loads are needed in the order in which they are ready."""
    served = [g for g in result.problem.groups if g.served]
    again: dict[str, Group] = {}
    for dish in dict.fromkeys(g.dish for g in served):
        again.update(_dish_in_turn(result, [g for g in served if g.dish == dish]))
    if all(again[g.id] == g for g in served):
        return result
    groups = tuple(again.get(g.id, g) for g in result.problem.groups)
    return replace(result, problem=replace(result.problem, groups=groups))


def _dish_in_turn(result: Result, groups: list[Group]) -> dict[str, Group]:
    dish = result.kitchen.cards.dish(groups[0].dish)
    demand = result.kitchen.demand_of(dish)
    tied = any(op.tied is Tied.PLATES for g in groups for op in result.ops_of(g))
    if demand.at_once or tied:  # its last work is timed for these very guests
        return {g.id: g for g in groups}
    each = dish.portion.amount if dish.portion and dish.portion.unit == "pieces" else 1.0
    ready = {g.id: max(result.slot(op).end for op in result.ops_of(g)) for g in groups}
    found: dict[str, Group] = {}
    before = 0
    for group in sorted(groups, key=lambda g: (ready[g.id], g.number)):
        found[group.id] = timed(group, demand, each, before, dish.hold.quality_max_min)
        before += group.count
    return found
