"""What a schedule is worth to guests: portion-minutes late and held, and changes of temperature.

First ready, first eaten: sorting portions so afterwards never costs more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from core.planner.jobs import SAME_FIRE_K, Appetite, Group, Problem, Slot

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
