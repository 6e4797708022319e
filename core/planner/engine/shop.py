"""The hard part of the model: starts, lags, stations, pools and hands of a problem.

Times are whole ticks: minutes where every length is whole, half minutes else. Identical loads on
one fire keep their order: without that nothing is ever proved.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations, pairwise
from math import inf

from core.planner.engine.solver import Literal, Model, Stay, Var
from core.planner.jobs import SAME_FIRE_K, Op, Place, Problem, Slot

_MANY_SKILLS = 6  # all unions of more able-sets than this are too many


@dataclass(frozen=True, slots=True)
class Horizon:
    """From when to when the model looks, in minutes, and how many ticks a minute has."""

    begins: float
    ends: float
    ticks: int

    def tick(self, minute: float) -> int:
        """Return a minute as ticks after the beginning, within it."""
        inside = min(max(minute, self.begins), self.ends)
        return round((inside - self.begins) * self.ticks)

    def long(self, minutes: float) -> int:
        """Return a length in ticks."""
        return round(min(minutes, self.ends - self.begins) * self.ticks)

    def minute(self, tick: int) -> float:
        """Return ticks as a minute."""
        return self.begins + tick / self.ticks


@dataclass
class Shop:
    """A model with its variables by op."""

    problem: Problem
    horizon: Horizon
    model: Model = field(default_factory=Model)
    start: dict[str, Var] = field(default_factory=dict)
    end: dict[str, Var] = field(default_factory=dict)
    length: dict[str, Var | int] = field(default_factory=dict)
    stay: dict[str, Stay] = field(default_factory=dict)
    on: dict[tuple[str, str], Var] = field(default_factory=dict)
    breaks: dict[str, Var] = field(default_factory=dict)
    changes: list[Literal] = field(default_factory=list)

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
        self._hands()
        self._alike()
        return self

    def _op(self, op: Op) -> None:
        low = self.horizon.tick(op.opens) if op.opens > -inf else 0
        high = self.horizon.tick(op.closes) if op.closes < inf else self.last
        start = self.model.new_int_var(low, max(high, low), f"s {op.key}")
        end = self.model.new_int_var(0, self.last, f"e {op.key}")
        least = self.horizon.long(op.least if op.flexible else op.ideal)
        if op.flexible:
            most = self.horizon.long(min(op.most, op.hard))
            length: Var | int = self.model.new_int_var(least, max(most, least), f"d {op.key}")
        else:
            length = least
        if op.start is not None and not op.flexible:
            self.model.add(start == self.horizon.tick(op.start))
        self.start[op.key], self.end[op.key], self.length[op.key] = start, end, length
        self.stay[op.key] = self.model.new_interval_var(start, length, end, f"i {op.key}")
        self._choices(op)

    def _choices(self, op: Op) -> None:
        for name in op.places:
            self.on[op.key, name] = self.model.new_bool_var(f"{op.key} on {name}")
        if op.places:
            self.model.add_exactly_one(self.on[op.key, name] for name in op.places)

    def _lags(self, op: Op) -> None:
        for lag in op.after:
            if lag.key not in self.end:
                continue
            gap = self.start[op.key] - self.end[lag.key]
            self.model.add(gap >= self.horizon.long(lag.least))
            if lag.most < inf:
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
            if opens:
                self.model.add(self.start[op.key] >= opens).only_enforce_if(
                    self.on[op.key, place.id]
                )
        downs = [self._fixed(a, b, f"{place.id} down") for a, b in place.down]
        stays = [self._optional(op, place.id) for op in ops]
        if place.room == 1:
            self.model.add_no_overlap([*stays, *downs])
            if place.turn or len({op.temp_c for op in ops}) > 1:
                self._sequence(place, ops)
        elif place.room < sum(op.use for op in ops):
            self.model.add_cumulative(
                [*stays, *downs],
                [*(op.use for op in ops), *(place.room for _ in downs)],
                place.room,
            )

    def _fixed(self, begins: float, ends: float, name: str) -> Stay:
        start, end = self.horizon.tick(begins), self.horizon.tick(min(ends, self.horizon.ends))
        return self.model.new_fixed_size_interval_var(start, max(end - start, 0), name)

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

    # ------------------------------------------------------------------ hands

    def _hands(self) -> None:
        """Enough able people at every moment, for every union of who is able (Hall's condition).

        Who exactly does what is settled afterwards, the times being fixed.
        """
        touches = list(self._touches())
        sets = sorted({frozenset(able) for _, able, _, _ in touches}, key=sorted)
        self._breaks()
        for union in unions(sets):
            stays = [stay for stay, able, _, _ in touches if able <= union]
            needs = [hands for _, able, hands, _ in touches if able <= union]
            away = [stay for person in sorted(union) for stay in self._away(person)]
            if sum(needs) + len(away) <= len(union):
                continue
            self.model.add_cumulative([*stays, *away], [*needs, *(1 for _ in away)], len(union))

    def _touches(self) -> Iterator[tuple[Stay, frozenset[str], int, str]]:
        for op in self._sorted():
            for n, touch in enumerate(op.work(op.ideal)):
                begins = self.start[op.key] + self.horizon.long(touch.offset)
                stay = self.model.new_fixed_size_interval_var(
                    begins, self.horizon.long(touch.minutes), f"{op.key} hands {n}"
                )
                yield stay, frozenset(touch.able), touch.hands, op.key

    def _breaks(self) -> None:
        for name in sorted(self.problem.hands):
            hand = self.problem.hands[name]
            window = hand.break_window or self._middle(name)
            if not hand.break_min or window is None:
                continue
            low, high = (self.horizon.tick(minute) for minute in window)
            self.breaks[name] = self.model.new_int_var(low, max(high, low), f"break {name}")

    def _middle(self, name: str) -> tuple[float, float] | None:
        """Return when a break may begin, where nothing says: not in the first or last hour."""
        hand = self.problem.hands[name]
        inside = [s for s in hand.shifts if s[0] > -inf and s[1] < inf]
        if not inside:
            return None
        start, end = max(inside, key=lambda s: s[1] - s[0])
        low, high = start + 60, end - 60 - hand.break_min
        return (low, high) if high > low else None

    def _away(self, name: str) -> Iterator[Stay]:
        """Yield when a person is not there: off shift, on a break."""
        hand = self.problem.hands[name]
        at = self.horizon.begins
        for begins, ends in sorted(hand.shifts):
            if begins > at:
                yield self._fixed(at, begins, f"{name} off")
            at = max(at, ends)
        if at < self.horizon.ends:
            yield self._fixed(at, self.horizon.ends, f"{name} off")
        if name in self.breaks:
            yield self.model.new_fixed_size_interval_var(
                self.breaks[name], self.horizon.long(hand.break_min), f"{name} break"
            )

    # ------------------------------------------------------------------ symmetry

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


def unions(sets: list[frozenset[str]]) -> list[frozenset[str]]:
    """Return every distinct union of the sets; of very many, each and all together."""
    if len(sets) > _MANY_SKILLS:
        return [*sets, frozenset().union(*sets)]
    found = {
        frozenset().union(*chosen)
        for size in range(1, len(sets) + 1)
        for chosen in combinations(sets, size)
    }
    return sorted(found, key=lambda s: (len(s), sorted(s)))
