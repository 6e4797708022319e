"""What an event's plan costs: late, badly held, spare time eaten, early; in that order.

Every load has its own guests and its own time to be ready (`target`), slack included. Loads that
could be swapped keep their order anyway, so nothing is lost by saying whose is whose.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf

from core.planner.engine.shop import Shop
from core.planner.engine.solver import Expr, Var, total
from core.planner.jobs import Group, Op
from core.planner.scoring import finishing

NEAR_MIN = 30.0
"""Calls within this time are as good as said."""

NEAR_COST, NEAR_ONCE, FAR_COST = 200, 2000, 20
"""For each minute that a near call moves, for moving it at all, and for a minute of a far one."""


@dataclass
class Targets:
    """The aims of a shop of loads with targets, as sums to make small."""

    shop: Shop
    late: list[Expr] = field(default_factory=list)
    bad: list[Expr] = field(default_factory=list)
    eaten: list[Expr] = field(default_factory=list)
    early: list[Expr] = field(default_factory=list)
    moved: list[Expr] = field(default_factory=list)

    def build(self) -> Targets:
        """Write what every load and every wait costs into the model."""
        for group in self.shop.problem.groups:
            for op in group.ops:
                self._wait(op)
                self._tied(op)
            if group.served:
                self._load(group)
        return self

    def aims(self) -> tuple[Expr, ...]:
        """Return the sums, worst first."""
        rows = (self.late, self.bad, self.eaten, self.early, self.moved)
        return tuple(total(row) if row else 0 for row in rows)

    def keep(self, wanted: Mapping[str, float], now: float) -> None:
        """Price every start that moves against what people were told; near ones most."""
        horizon, model = self.shop.horizon, self.shop.model
        for key, minute in sorted(wanted.items()):
            if key not in self.shop.start or key in self.shop.fixed:
                continue
            tick = horizon.tick(minute)
            away = self._over(self.shop.start[key] - tick, f"{key} later")
            ahead = self._over(tick - self.shop.start[key], f"{key} sooner")
            near = now <= minute <= now + NEAR_MIN
            self.moved.append((NEAR_COST if near else FAR_COST) * (away + ahead))
            if near:
                moved = model.new_bool_var(f"{key} moved")
                model.add(away + ahead <= self.shop.last * moved)
                self.moved.append(NEAR_ONCE * moved)

    def _over(self, amount: Expr, name: str) -> Var:
        """Return a variable that is at least an amount and never below nothing."""
        over = self.shop.model.new_int_var(0, self.shop.last, name)
        self.shop.model.add(over >= amount)
        return over

    def _wait(self, op: Op) -> None:
        """A wait past how it eats best, or cut below how it was planned."""
        length = self.shop.length[op.key]
        if not op.flexible or isinstance(length, int):
            return
        horizon = self.shop.horizon
        if op.most < inf:
            over = self._over(length - horizon.long(op.most), f"{op.key} too long")
            self.bad.append(op.count * over)
        if op.least < op.ideal:
            cut = self._over(horizon.long(op.ideal) - length, f"{op.key} cut")
            self.bad.append(op.count * cut)

    def _tied(self, op: Op) -> None:
        """Work before plates that begins after its time."""
        if op.start is None or op.pinned or op.key in self.shop.fixed:
            return
        tick = self.shop.horizon.tick(op.start)
        after = self._over(self.shop.start[op.key] - tick, f"{op.key} pressed")
        self.bad.append(op.count * after)

    def _load(self, group: Group) -> None:
        horizon, count = self.shop.horizon, max(group.count, 1)
        own = [op.key for op in group.ops]
        finish = finishing(self.shop.problem, group)
        ready = self._latest(own, f"{group.id} cooked")
        done = self._latest([*own, *finish], f"{group.id} ready") if finish else ready
        needed, target = horizon.tick(group.needed_by), horizon.tick(group.target)
        self.late.append(count * self._over(done - needed, f"{group.id} late"))
        self.eaten.append(count * self._over(ready - target, f"{group.id} slack eaten"))
        self.early.append(count * self._over(target - ready, f"{group.id} early"))
        if group.floor > -inf:
            floor = horizon.tick(group.floor)
            if self.shop.strict and own[0] not in self.shop.insisted:
                self.shop.model.add(ready >= floor)
            self.bad.append(count * self._over(floor - ready, f"{group.id} held too long"))

    def _latest(self, keys: list[str], name: str) -> Var:
        if len(keys) == 1:
            return self.shop.end[keys[0]]
        latest = self.shop.model.new_int_var(0, self.shop.last, name)
        self.shop.model.add_max_equality(latest, [self.shop.end[key] for key in keys])
        return latest
