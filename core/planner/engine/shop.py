"""The hard part of the model: starts, lags, stations, pools and hands of a problem.

Times are whole ticks: minutes where every length is whole, half minutes else. Identical loads on
one fire keep their order: without that nothing is ever proved.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations, pairwise
from math import inf

from core.planner.engine.hands import limit_hands
from core.planner.engine.horizon import Horizon
from core.planner.engine.solver import Domain, Literal, Model, Stay, Var
from core.planner.jobs import SAME_FIRE_K, Op, Place, Problem, Slot


@dataclass
class Shop:
    """A model with its variables by op. What is `fixed` has its slot and nothing to decide."""

    problem: Problem
    horizon: Horizon
    fixed: Mapping[str, Slot] = field(default_factory=dict)
    model: Model = field(default_factory=Model)
    start: dict[str, Var] = field(default_factory=dict)
    end: dict[str, Var] = field(default_factory=dict)
    length: dict[str, Var | int] = field(default_factory=dict)
    stay: dict[str, Stay] = field(default_factory=dict)
    on: dict[tuple[str, str], Var] = field(default_factory=dict)
    breaks: dict[str, Var] = field(default_factory=dict)
    changes: list[Literal] = field(default_factory=list)
    strict: bool = True

    @property
    def last(self) -> int:
        """Return the horizon in ticks."""
        return self.horizon.long(inf)

    def build(self) -> Shop:
        """Write every hard constraint into the model."""
        ops = self.problem.ops()
        for key in sorted(ops):
            self._op(ops[key])
        for key in sorted(ops):
            self._lags(ops[key])
        for name in sorted(self.problem.places):
            self._place(self.problem.places[name])
        for pool in sorted(self.problem.pools):
            self._pool(pool, self.problem.pools[pool])
        self.breaks = limit_hands(self.problem, self.horizon, self.model, self.start, self.fixed)
        self._alike()
        return self

    def _op(self, op: Op) -> None:
        start = self.model.new_int_var_from_domain(self._when(op), f"s {op.key}")
        end = self.model.new_int_var(0, self.last, f"e {op.key}")
        length = self._length(op)
        if op.key in self.fixed:
            self.model.add(end == self.horizon.tick(self.fixed[op.key].end))
        self.start[op.key], self.end[op.key], self.length[op.key] = start, end, length
        self.stay[op.key] = self.model.new_interval_var(start, length, end, f"i {op.key}")
        self._choices(op)

    def _when(self, op: Op) -> Domain:
        """Return the ticks at which an op may start."""
        slot = self.fixed.get(op.key)
        if slot is not None:
            tick = self.horizon.tick(slot.start)
            return Domain(tick, tick)
        if op.pinned and op.start is not None:
            tick = self.horizon.tick(op.start)
            return Domain(tick, tick)
        low = self.horizon.tick(op.opens) if op.opens > -inf else 0
        high = self.horizon.tick(op.closes) if op.closes < inf else self.last
        if op.start is not None:
            low = max(low, self.horizon.tick(op.start))
        inside = Domain(low, max(high, low))
        if not op.attended or not self.problem.hours:
            return inside
        there = [
            [self.horizon.tick(a), self.horizon.tick(b)]
            for a, b in self.problem.hours
            if b >= self.horizon.begins and a <= self.horizon.ends
        ]
        both = inside.intersection_with(Domain.from_intervals(there))
        return inside if both.is_empty() else both

    def _length(self, op: Op) -> Var | int:
        if op.key in self.fixed:
            slot = self.fixed[op.key]
            return self.horizon.tick(slot.end) - self.horizon.tick(slot.start)
        if not op.flexible:
            return self.horizon.long(op.ideal)
        least = self.horizon.long(op.least)
        strict = self.strict and op.key not in self.insisted
        most = self.horizon.long(min(op.most, op.hard) if strict else op.hard)
        if op.key not in self._followed:  # the last rest: what comes after it is holding
            most = self.horizon.long(max(op.ideal, op.least))
        return self.model.new_int_var(least, max(most, least), f"d {op.key}")

    def _choices(self, op: Op) -> None:
        for name in op.places:
            self.on[op.key, name] = self.model.new_bool_var(f"{op.key} on {name}")
        slot = self.fixed.get(op.key)
        if slot is not None and slot.place in op.places:
            self.model.add(self.on[op.key, slot.place] == 1)
        if op.places:
            self.model.add_exactly_one(self.on[op.key, name] for name in op.places)

    def _lags(self, op: Op) -> None:
        at_once = [lag for lag in op.after if lag.most - lag.least < 1e-3 and lag.key in self.end]
        several = len(at_once) > 1 and op.flexible
        if several:  # a wait fed by several begins when the last of them ends
            ends = [self.end[lag.key] + self.horizon.long(lag.least) for lag in at_once]
            self.model.add_max_equality(self.start[op.key], ends)
        for lag in op.after:
            if lag.key not in self.end or (lag.key in self.fixed and op.key in self.fixed):
                continue
            gap = self.start[op.key] - self.end[lag.key]
            self.model.add(gap >= self.horizon.long(lag.least))
            if lag.most < inf and not (several and lag in at_once):
                self.model.add(gap <= self.horizon.long(lag.most))

    def _optional(self, op: Op, place: str) -> Stay:
        if len(op.places) == 1:
            return self.stay[op.key]
        return self.model.new_optional_interval_var(
            self.start[op.key],
            self.length[op.key],
            self.end[op.key],
            self.on[op.key, place],
            f"{op.key} at {place}",
        )

    def _place(self, place: Place) -> None:
        ops = [op for op in self._sorted() if place.id in op.places]
        if not ops:
            return
        opens = self.horizon.tick(place.opens) if place.opens > -inf else 0
        for op in ops:
            if opens and op.key not in self.fixed:
                self.model.add(self.start[op.key] >= opens).only_enforce_if(
                    self.on[op.key, place.id]
                )
        downs = [self.horizon.stay(self.model, a, b, f"{place.id} down") for a, b in place.down]
        stays = [self._optional(op, place.id) for op in ops]
        if place.room == 1:
            self.model.add_no_overlap([*stays, *downs])
            if place.turn or len({op.temp_c for op in ops}) > 1:
                self._sequence(place, ops)
        else:
            self._share(place, ops, downs)

    def _share(self, place: Place, ops: list[Op], downs: list[Stay]) -> None:
        """Racks side by side: room for all, one temperature, and time for the fire to recover."""
        if place.room < sum(op.use for op in ops):
            stays = [self._turned(op, place) for op in ops]
            needs = [*(op.use for op in ops), *(place.room for _ in downs)]
            self.model.add_cumulative([*stays, *downs], needs, place.room)
        if not place.fire:
            return
        for one, other in combinations(ops, 2):
            if one.key in self.fixed and other.key in self.fixed:
                continue
            if _changes(one, other):
                self._apart(place, one, other)
            elif place.recovery:
                self._recovers(place, one, other)

    def _turned(self, op: Op, place: Place) -> Stay:
        """Return an op's stay on a rack, until the rack is free for the next."""
        turn = self.horizon.long(place.turn)
        name = f"{op.key} turned at {place.id}"
        end = self.end[op.key] + turn
        length = self.length[op.key] + turn
        if len(op.places) == 1:
            return self.model.new_interval_var(self.start[op.key], length, end, name)
        return self.model.new_optional_interval_var(
            self.start[op.key], length, end, self.on[op.key, place.id], name
        )

    def _apart(self, place: Place, one: Op, other: Op) -> None:
        """Two temperatures: one is over, and the fire changed, before the other begins."""
        first = self.model.new_bool_var(f"{one.key} before {other.key}")
        both = [self.on[one.key, place.id], self.on[other.key, place.id]]
        for a, b, literal in ((one, other, first), (other, one, ~first)):
            gap = self.horizon.long(place.change_over(a.temp_c, b.temp_c))
            self.model.add(self.start[b.key] >= self.end[a.key] + gap).only_enforce_if(
                [*both, literal]
            )

    def _recovers(self, place: Place, one: Op, other: Op) -> None:
        """Two racks go in at once, or so far apart that the fire is back."""
        way = [self.model.new_bool_var(f"{one.key} {other.key} {n}") for n in range(3)]
        both = [self.on[one.key, place.id], self.on[other.key, place.id]]
        gap = self.horizon.long(place.recovery)
        a, b = self.start[one.key], self.start[other.key]
        self.model.add_exactly_one(way)
        self.model.add(a == b).only_enforce_if([*both, way[0]])
        self.model.add(b >= a + gap).only_enforce_if([*both, way[1]])
        self.model.add(a >= b + gap).only_enforce_if([*both, way[2]])

    def _sequence(self, place: Place, ops: list[Op]) -> None:
        """One after the other with the time to change between; a circuit also counts changes."""
        arcs: list[tuple[int, int, Literal]] = []
        idle = self.model.new_bool_var(f"{place.id} idle")
        arcs.append((0, 0, idle))
        for n, op in enumerate(ops, 1):
            here = self.on[op.key, place.id]
            first = self.model.new_bool_var(f"{op.key} first on {place.id}")
            last = self.model.new_bool_var(f"{op.key} last on {place.id}")
            arcs += [(0, n, first), (n, 0, last), (n, n, ~here)]
            self.model.add_implication(idle, ~here)
        for (n, one), (m, other) in combinations(enumerate(ops, 1), 2):
            for (i, a), (j, b) in (((n, one), (m, other)), ((m, other), (n, one))):
                if self._never_next(a, b):
                    continue
                follows = self.model.new_bool_var(f"{a.key} then {b.key}")
                arcs.append((i, j, follows))
                gap = self.horizon.long(place.change_over(a.temp_c, b.temp_c))
                self.model.add(self.start[b.key] >= self.end[a.key] + gap).only_enforce_if(follows)
                if _changes(a, b):
                    self.changes.append(follows)
        self.model.add_circuit(arcs)

    def _never_next(self, a: Op, b: Op) -> bool:
        """Return whether b cannot come straight after a: identical ones keep their order."""
        place_a, place_b = self._in_line.get(a.key), self._in_line.get(b.key)
        if place_a is None or place_b is None or place_a[0] != place_b[0]:
            return False
        return place_b[1] != place_a[1] + 1

    @cached_property
    def insisted(self) -> frozenset[str]:
        """Return the ops of loads the chef pinned: what that costs is said, not forbidden."""
        groups = [g for g in self.problem.groups if any(op.pinned for op in g.ops)]
        return frozenset(op.key for g in groups for op in g.ops)

    @cached_property
    def _followed(self) -> frozenset[str]:
        """Return the ops that something comes after."""
        return frozenset(lag.key for op in self.problem.ops().values() for lag in op.after)

    @cached_property
    def _in_line(self) -> dict[str, tuple[int, int]]:
        """Return which line of identical ops an op is in, and where in it."""
        return {
            op.key: (number, place)
            for number, line in enumerate(lines(self.problem))
            for place, op in enumerate(line)
        }

    def _pool(self, pool: str, room: int) -> None:
        taken = [(op, amount) for op in self._sorted() for name, amount in op.uses if name == pool]
        if sum(amount for _, amount in taken) > room:
            self.model.add_cumulative(
                [self.stay[op.key] for op, _ in taken], [amount for _, amount in taken], room
            )

    def _alike(self) -> None:
        """What could be swapped keeps its order."""
        for line in lines(self.problem):
            for a, b in pairwise(line):
                self.model.add(self.start[a.key] <= self.start[b.key])

    def _sorted(self) -> list[Op]:
        return [op for _, op in sorted(self.problem.ops().items())]

    def hints(self, slots: Mapping[str, Slot]) -> dict[int, int]:
        """Return variable values for where a schedule puts every op, as a hint."""
        found: dict[int, int] = {}
        for key, op in self.problem.ops().items():
            slot = slots.get(key)
            if slot is None:
                continue
            found[self.start[key].index] = self.horizon.tick(slot.start)
            found[self.end[key].index] = self.horizon.tick(slot.end)
            for name in op.places:
                found[self.on[key, name].index] = int(name == slot.place)
        return found

    def slots(self, values: dict[int, int]) -> dict[str, Slot]:
        """Return where a solution puts every op."""
        found = {}
        for key, op in self.problem.ops().items():
            at = [name for name in op.places if values[self.on[key, name].index]]
            found[key] = Slot(
                self.horizon.minute(values[self.start[key].index]),
                self.horizon.minute(values[self.end[key].index]),
                at[0] if at else None,
            )
        return found


def _changes(a: Op, b: Op) -> bool:
    hot, then = a.temp_c, b.temp_c
    return hot is not None and then is not None and abs(hot - then) > SAME_FIRE_K


def lines(problem: Problem) -> list[list[Op]]:
    """Return rows of ops that could be swapped: the same step of loads that are the same.

    Loads of a dish are the same where all their steps are, whatever their size: the last one may
    be trimmed. What is pinned or fixed is itself.
    """
    kinds: dict[tuple[object, ...], list[tuple[Op, ...]]] = {}
    for group in sorted(problem.groups, key=lambda g: (g.dish, g.number, g.id)):
        if not group.served or any(op.start is not None for op in group.ops):
            continue
        kind = (group.dish, *((op.index, op.places, op.ideal) for op in group.ops))
        kinds.setdefault(kind, []).append(group.ops)
    found: list[list[Op]] = []
    for row in kinds.values():
        for index in dict.fromkeys(op.index for op in row[0]):
            line = [op for ops in row for op in ops if op.index == index]
            if len(line) > 1:
                found.append(line)
    return found
