"""What a schedule is worth to guests: portion-minutes late and held, and changes of temperature.

First ready, first eaten: sorting portions so afterwards never costs more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import inf

from core.planner.jobs import SAME_FIRE_K, Appetite, Group, Op, Problem, Slot

_EPS = 1e-6


@dataclass(frozen=True, slots=True)
class Worth:
    """Late and held in portion-minutes, change-overs, and portions older than their limit."""

    late: float
    held: float
    changes: int
    over_limit: int = 0

    def key(self) -> tuple[float, float, float, int]:
        """Return it for comparing: less is better; over the limit is worst."""
        return float(self.over_limit), round(self.late, 3), round(self.held, 3), self.changes

    @property
    def one_number(self) -> float:
        """Return 1000 late + 20 held + 300 changes, for comparing schedulers."""
        return 1000 * self.late + 20 * self.held + 300 * self.changes


def worth(problem: Problem, slots: Mapping[str, Slot]) -> Worth:
    """Return what a schedule is worth, portion by portion."""
    late = held = 0.0
    over = 0
    for dish, appetite in problem.appetites.items():
        groups = [g for g in problem.groups if g.served and g.dish == dish]
        for portions, ready, eaten in meals(appetite, groups, slots):
            late += portions * max(ready - eaten, 0.0)
            held += portions * max(eaten - appetite.ideal - ready, 0.0)
            over += portions if eaten - ready > appetite.limit + _EPS else 0
    return Worth(late, held, changes_of(problem, slots), over)


def meals(
    appetite: Appetite, groups: list[Group], slots: Mapping[str, Slot]
) -> Iterator[tuple[int, float, float]]:
    """Yield (portions, minute ready, minute wanted), first in first out; spare is left out."""
    ready = sorted((max(slots[op.key].end for op in g.ops), g.number, g.count) for g in groups)
    lumps = list(appetite.lumps)
    for minute, _, count in ready:
        left = count
        while left and lumps:
            wanted, portions = lumps[0]
            eaten = min(left, portions)
            yield eaten, minute, wanted
            left -= eaten
            if eaten == portions:
                lumps.pop(0)
            else:
                lumps[0] = (wanted, portions - eaten)


def changes_of(problem: Problem, slots: Mapping[str, Slot]) -> int:
    """Return how often a fire goes to another temperature."""
    uses: dict[str, list[tuple[float, float]]] = {}
    for key, op in problem.ops().items():
        place = slots[key].place
        if op.temp_c is not None and place is not None:
            uses.setdefault(place, []).append((slots[key].start, op.temp_c))
    changes = 0
    for row in uses.values():
        temps = [temp for _, temp in sorted(row)]
        changes += sum(abs(a - b) > SAME_FIRE_K for a, b in pairwise(temps))
    return changes


def costs(problem: Problem, slots: Mapping[str, Slot]) -> tuple[float, float, float, float]:
    """Return what a schedule costs an event: late, badly held, slack eaten, early; piece-minutes.

    Late past when it is needed; badly held is a wait past its most or cut below its plan, plates
    work begun late, food ready before it can keep; then slack used up, then readiness too soon.
    """
    late = bad = eaten = early = 0.0
    for group in problem.groups:
        for op in group.ops:
            bad += op.count * _badly(op, slots[op.key])
        if not group.served:
            continue
        own = max(slots[op.key].end for op in group.ops)
        done = max([own, *(slots[key].end for key in finishing(problem, group))])
        late += group.count * max(done - group.needed_by, 0.0)
        eaten += group.count * max(own - group.target, 0.0)
        early += group.count * max(group.target - own, 0.0)
        bad += group.count * max(group.floor - own, 0.0) if group.floor > -inf else 0.0
    return round(late, 3), round(bad, 3), round(eaten, 3), round(early, 3)


def finishing(problem: Problem, group: Group) -> list[str]:
    """Return a load's plates-tied ops that stand in a group of their own."""
    return [
        op.key
        for other in problem.groups
        if other.finish and other.dish == group.dish
        for op in other.ops
        if op.load == group.name
    ]


def _badly(op: Op, slot: Slot) -> float:
    length = slot.end - slot.start
    if op.flexible:
        over = length - op.most if op.most < inf else 0.0
        return max(over, 0.0) + max(op.ideal - length, 0.0)
    if op.start is not None and not op.pinned:
        return max(slot.start - op.start, 0.0)
    return 0.0
