"""Portions ready against portions wanted, on a grid: which load serves whom is left open.

Late: portion-minutes that guests wait. Held: portion-minutes that food waits past its ideal. No
portion may wait past its limit. Minutes are counted on the grid (five), so both are exact there.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil

from core.planner.engine.shop import Shop
from core.planner.engine.solver import Expr, Var, total, weighted
from core.planner.jobs import Appetite, Group

GRID_MIN = 5


@dataclass
class Supply:
    """The soft part of the model over a shop: two sums to make small."""

    shop: Shop
    grid: int = GRID_MIN
    ready: dict[str, Var] = field(default_factory=dict)
    late: list[Expr] = field(default_factory=list)
    held: list[Expr] = field(default_factory=list)

    def build(self) -> Supply:
        """Write supply and demand of every dish into the model."""
        for dish in sorted(self.shop.problem.appetites):
            appetite = self.shop.problem.appetites[dish]
            groups = [g for g in self.shop.problem.groups if g.served and g.dish == dish]
            if groups and appetite.lumps:
                self._dish(appetite, sorted(groups, key=lambda g: (g.number, g.id)))
        return self

    def _dish(self, appetite: Appetite, groups: list[Group]) -> None:
        first, last = appetite.lumps[0][0], appetite.lumps[-1][0]
        begins = self._on_grid(first - appetite.limit)
        times = list(range(begins, ceil(last / self.grid) * self.grid + self.grid, self.grid))
        served = {g.id: self._by(g, times) for g in groups}
        for place, minute in enumerate(times):
            ready = [served[g.id][place] for g in groups]
            sizes = [g.count for g in groups]
            self._at(appetite, minute, ready, sizes)
        self._after(groups, times[-1] + self.grid)
        for group in groups:
            earliest = self.shop.horizon.tick(first - appetite.limit)
            self.shop.model.add(self.ready[group.id] >= earliest)

    def _on_grid(self, minute: float) -> int:
        return int(minute // self.grid * self.grid)

    def _by(self, group: Group, times: list[int]) -> list[Var]:
        """Return, for each time, whether the load is ready by then."""
        model, horizon = self.shop.model, self.shop.horizon
        ready = self._ready(group)
        flags = []
        for minute in times:
            flag = model.new_bool_var(f"{group.id} by {minute}")
            tick = horizon.tick(minute)
            model.add(ready <= tick).only_enforce_if(flag)
            model.add(ready > tick).only_enforce_if(~flag)
            flags.append(flag)
        for early, later in pairwise(flags):
            model.add_implication(early, later)
        return flags

    def _ready(self, group: Group) -> Var:
        """Return when a load is ready, on a mark of the grid."""
        model, horizon = self.shop.model, self.shop.horizon
        marks = int((horizon.ends - horizon.begins) // self.grid)
        mark = model.new_int_var(0, marks, f"{group.id} mark")
        ready = model.new_int_var(0, self.shop.last, f"{group.id} ready")
        offset = horizon.tick(self._on_grid(horizon.begins + self.grid - 1e-9))
        model.add(ready == mark * self.grid * horizon.ticks + offset)
        for key in ends_of(group):
            model.add(self.shop.end[key] <= ready)
        if len(ends_of(group)) == 1:
            model.add(self.shop.end[ends_of(group)[0]] == ready)
        self.ready[group.id] = ready
        return ready

    def _at(self, appetite: Appetite, minute: int, ready: list[Var], sizes: list[int]) -> None:
        """Short and early portions at one mark, and none older than its limit."""
        model = self.shop.model
        supply, made = weighted(ready, sizes), sum(sizes)
        spare = max(made - appetite.total, 0)  # nobody eats it, so nobody minds its age
        oldest = eaten_by(appetite, minute + appetite.limit) + spare
        if oldest < made:
            model.add(supply <= oldest)
        wanted = eaten_by(appetite, minute)
        if wanted:
            short = model.new_int_var(0, wanted, f"{appetite.dish} short {minute}")
            model.add(short >= wanted - supply)
            self.late.append(self.grid * short)
        free = eaten_by(appetite, minute + appetite.ideal) + spare
        if free < made:
            over = model.new_int_var(0, made, f"{appetite.dish} over {minute}")
            model.add(over >= supply - free)
            self.held.append(self.grid * over)

    def _after(self, groups: list[Group], last: int) -> None:
        """Loads ready only after the last mark make all their guests wait."""
        model, horizon = self.shop.model, self.shop.horizon
        tick = horizon.tick(last)
        for group in groups:
            beyond = model.new_int_var(0, self.shop.last, f"{group.id} beyond")
            model.add(beyond >= self.ready[group.id] - tick)
            self.late.append(group.count * beyond)

    def late_sum(self) -> Expr:
        """Return the portion-minutes guests wait."""
        return total(self.late) if self.late else 0

    def held_sum(self) -> Expr:
        """Return the portion-minutes food waits past its ideal."""
        return total(self.held) if self.held else 0


def ends_of(group: Group) -> list[str]:
    """Return the ops nothing in their group follows."""
    followed = {lag.key for op in group.ops for lag in op.after}
    return [op.key for op in group.ops if op.key not in followed]


def eaten_by(appetite: Appetite, minute: float) -> int:
    """Return the portions wanted up to and at a minute.

    Examples
    --------
    >>> eaten_by(Appetite("steak", ((10, 5), (15, 7)), 0, 30), 12)
    5
    """
    place = bisect_right([m for m, _ in appetite.lumps], minute + 1e-9)
    return sum(portions for _, portions in appetite.lumps[:place])
