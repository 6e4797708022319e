"""From minutes back to a `Plan`: loads with their runs, single tasks, who hears of what."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from core.model import Load, StepRun, Task
from core.planner.jobs import Group, Hand, Op, Problem, Schedule, Slot
from core.planner.kitchen import Kitchen


@dataclass(frozen=True)
class Result:
    """A solved problem with the cards it came from."""

    kitchen: Kitchen
    problem: Problem
    schedule: Schedule

    def slot(self, op: Op) -> Slot:
        """Return where an op has landed."""
        return self.schedule.slots[op.key]

    def loads(self) -> tuple[Load, ...]:
        """Return the loads, in order of going on."""
        groups = [g for g in self.problem.groups if g.served]
        made = [self._load(group) for group in groups]
        return tuple(sorted(made, key=lambda load: (load.on, load.id)))

    def ops_of(self, group: Group) -> list[Op]:
        """Return all ops of a load, its plates-tied ones from wherever they stand."""
        return [
            op
            for other in self.problem.groups
            if other.dish == group.dish
            for op in other.ops
            if op.load == group.name
        ]

    def _load(self, group: Group) -> Load:
        ops = self.ops_of(group)
        steps = self.kitchen.cards.dish(group.dish).steps
        index = min(op.index for op in ops if self.kitchen.is_fire(steps[op.index]))
        fire = sorted((self.slot(op) for op in ops if op.index == index), key=lambda s: s.start)
        ready = max(self.slot(op).end for op in ops)
        runs = tuple(self.run(op) for op in sorted(ops, key=lambda o: (self.slot(o).start, o.key)))
        at = self.kitchen.clock.instant
        return Load(
            id=group.id,
            number=f"L{group.number}",
            name=group.name,
            dish=group.dish,
            count=group.count,
            station=fire[0].place or "",
            on=at(min(s.start for s in fire)),
            off=at(max(s.end for s in fire)),
            ready=at(ready),
            needed_by=at(group.needed_by),
            slack_min=round(group.needed_by - ready, 1),
            hold_min=round(max(group.last_by - ready, 0.0), 1),
            runs=runs,
            crew=tuple(dict.fromkeys(person for run in runs for person in run.crew)),
        )

    def run(self, op: Op) -> StepRun:
        """Return one op of a load as the crew sees it."""
        slot = self.slot(op)
        step = self.kitchen.cards.dish(op.dish).steps[op.index]
        at = self.kitchen.clock.instant
        stretch = op.ideal / step.ideal_min if step.ideal_min and step.checks else 1.0
        return StepRun(
            key=op.key,
            dish=op.dish,
            load=op.load,
            unit=op.unit,
            index=op.index,
            step=op.step,
            do=op.do,
            count=op.count,
            station=self.station(op, slot),
            start=at(slot.start),
            end=at(slot.end),
            crew=self.crew(op, slot),
            checks=tuple((at(slot.start + c.after_min * stretch), c.expect_c) for c in step.checks),
            turns=tuple(at(slot.start + minutes) for minutes in step.turns_min),
            never_after=at(slot.start + op.hard) if op.hard < inf else None,
            tied=op.tied,
            on_fire=self.kitchen.is_fire(step),
            temp_c=step.temp_c,
            until_core_c=step.until_core_c,
        )

    def task(self, op: Op) -> Task:
        """Return one op that belongs to no load as a task."""
        slot = self.slot(op)
        at = self.kitchen.clock.instant
        return Task(
            id=op.key,
            do=op.do,
            station=self.station(op, slot),
            start=at(slot.start),
            end=at(slot.end),
            dish=op.dish,
            step=op.step,
            batch=op.unit or None,
            count=op.count if op.count and op.dish in self.kitchen.menu else None,
            crew=self.crew(op, slot),
            temp_c=op.temp_c,
            never_after=at(slot.start + op.hard) if op.hard < inf else None,
            tied=op.tied,
        )

    @staticmethod
    def station(op: Op, slot: Slot) -> str | None:
        """Return the single station it is on; where any will do, what the card calls it."""
        return slot.place or op.station

    def crew(self, op: Op, slot: Slot) -> tuple[str, ...]:
        """Return who does it; where nobody's hands are needed, who hears of it."""
        if slot.crew:
            return slot.crew
        before = [self.schedule.slots[lag.key].crew for lag in op.after if lag.most == lag.least]
        if op.flexible and before and before[0]:
            return before[0][:1]
        return self.owner(op.able, slot.start, slot.place)

    def owner(self, able: tuple[str, ...], start: float, place: str | None) -> tuple[str, ...]:
        """Return the one of these people to be told, first whose station it is, then who is in."""
        hands = self.problem.hands
        here = [p for p in able if on_shift(hands[p], start)] or list(able)
        here.sort(key=lambda p: place not in hands[p].stands)
        return tuple(here[:1])


def on_shift(hand: Hand, minute: float) -> bool:
    """Return whether a person is there at a minute."""
    return any(a <= minute < b for a, b in hand.shifts)
