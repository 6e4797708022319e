"""The polish: loads keep the order in which they are eaten, to the tick.

With first in, first out settled, a load owns its portions; what it costs to be early or late is a
curve with no dips, and every portion counts to the tick instead of to five minutes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import floor

from core.planner.engine.shop import Shop
from core.planner.engine.solver import Expr, Var, total
from core.planner.engine.supply import ends_of
from core.planner.jobs import Appetite, Group, Slot

_EPS = 1e-6


@dataclass
class Fifo:
    """Late and held of a shop whose loads are served in the order of a schedule."""

    shop: Shop
    slots: Mapping[str, Slot]
    late: list[Expr] = field(default_factory=list)
    held: list[Expr] = field(default_factory=list)

    def build(self) -> Fifo:
        """Write what every load's own portions cost into the model."""
        for dish in sorted(self.shop.problem.appetites):
            appetite = self.shop.problem.appetites[dish]
            groups = [g for g in self.shop.problem.groups if g.served and g.dish == dish]
            self._dish(appetite, groups)
        return self

    def _dish(self, appetite: Appetite, groups: list[Group]) -> None:
        order = sorted(
            groups, key=lambda g: (max(self.slots[op.key].end for op in g.ops), g.number, g.id)
        )
        lumps = list(appetite.lumps)
        before: Var | None = None
        for group in order:
            ready = self._ready(group)
            if before is not None:
                self.shop.model.add(before <= ready)
            before = ready
            own, lumps = take(lumps, group.count)
            self._cost(appetite, group, ready, own)

    def _ready(self, group: Group) -> Var:
        keys = ends_of(group)
        if len(keys) == 1:
            return self.shop.end[keys[0]]
        ready = self.shop.model.new_int_var(0, self.shop.last, f"{group.id} ready")
        self.shop.model.add_max_equality(ready, [self.shop.end[key] for key in keys])
        return ready

    def _cost(
        self, appetite: Appetite, group: Group, ready: Var, own: list[tuple[float, int]]
    ) -> None:
        model, horizon = self.shop.model, self.shop.horizon
        for minute, portions in own:
            tick = horizon.tick(minute)
            late = model.new_int_var(0, self.shop.last, f"{group.id} late {minute}")
            model.add(late >= ready - tick)
            self.late.append(portions * late)
            free = tick - horizon.long(appetite.ideal)
            early = model.new_int_var(0, self.shop.last, f"{group.id} held {minute}")
            model.add(early >= free - ready)
            self.held.append(portions * early)
        if own:
            oldest = horizon.tick(own[-1][0]) - floor(appetite.limit * horizon.ticks + _EPS)
            model.add(ready >= oldest)

    def late_sum(self) -> Expr:
        """Return portion-ticks late."""
        return total(self.late) if self.late else 0

    def held_sum(self) -> Expr:
        """Return portion-ticks held past the ideal."""
        return total(self.held) if self.held else 0


def take(
    lumps: list[tuple[float, int]], count: int
) -> tuple[list[tuple[float, int]], list[tuple[float, int]]]:
    """Return the first `count` portions of the lumps, and what is left of them.

    Examples
    --------
    >>> take([(10, 5), (15, 7)], 8)
    ([(10, 5), (15, 3)], [(15, 4)])
    """
    own: list[tuple[float, int]] = []
    rest = list(lumps)
    while count and rest:
        minute, portions = rest.pop(0)
        eaten = min(count, portions)
        own.append((minute, eaten))
        count -= eaten
        if portions > eaten:
            rest.insert(0, (minute, portions - eaten))
    return own, rest
