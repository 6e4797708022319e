"""A dish's loads as groups of ops: how many, in what order, when each should be ready.

The first load is ready the whole slack before its plates, later ones ten minutes early. Where
fires of one kind run a dish without a rest, they are lit in turn and keep an even beat, so that
the next stage never meets two loads at once.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

from core.errors import CannotPlanError
from core.model import Dish, Pin, Station
from core.planner.demand import Demand
from core.planner.jobs import Group, Op, down, up
from core.planner.kitchen import Kitchen
from core.planner.staging import most_in_gap
from core.planner.steps import Unit, Work, check_hands, tied_to_plates
from core.scaling.packing import pieces_per_load

EARLY_MIN = 10.0
"""Later loads are ready this much before they are needed, where slack is wanted at all."""


@dataclass(frozen=True, slots=True)
class Share:
    """One load of a dish: number, the crew's name, pieces, and the pieces before it."""

    number: int
    name: str
    count: int
    before: int
    pins: tuple[Pin, ...]


def load_sizes(
    stations: tuple[Station, ...], dish: Dish, count: int, most: int | None = None
) -> tuple[int, ...]:
    """Return the pieces of each load: full ones as the fires hold them in turn, the rest last.

    None is bigger than `most`, what the fire after it takes in the gap.

    Raises
    ------
    CannotPlanError
        If not one piece fits any of the fires.
    """
    held = [pieces_per_load(dish, station) for station in stations]
    if any(n is None for n in held):
        return (count,) if count else ()
    holds = sorted((min(n, most or n) for n in held if n), reverse=True)
    if not holds:
        raise CannotPlanError(
            "not one {dish} fits {station}", dish=dish.name, station=stations[0].family
        )
    sizes: list[int] = []
    while count > 0:
        size = min(holds[len(sizes) % len(holds)], count)
        sizes.append(size)
        count -= size
    return tuple(sizes)


def shares(kitchen: Kitchen, dish: Dish, index: int) -> tuple[Share, ...]:
    """Return the loads of a dish with names and counts as pinned.

    A whole load that nobody would eat from stays raw; it is there if more come.
    """
    stations = kitchen.stations(dish.steps[index])
    left = kitchen.pieces(dish)
    most = most_in_gap(kitchen, dish, index)
    counts = {p.load: p.count for p in kitchen.pins(dish.id) if p.load and p.count}
    if kitchen.out and most is not None:  # what the chef wished for was wished with all fires
        counts = {load: min(count, most) for load, count in counts.items()}
    counts |= {f"L{n}": count for (name, n), count in kitchen.fixed.items() if name == dish.id}
    left = max(left, sum(c for (name, _), c in kitchen.fixed.items() if name == dish.id))
    found: list[Share] = []
    before = 0
    sizes = list(load_sizes(stations, dish, left, most))
    each = dish.portion.amount if dish.portion and dish.portion.unit == "pieces" else 1.0
    eaten = kitchen.eaten(dish.id) * each
    begun = max((n for name, n in kitchen.fixed if name == dish.id), default=0)
    while left > 0 and (not found or before < eaten or len(found) < begun):
        number = len(found) + 1
        size = sizes[len(found)] if len(found) < len(sizes) else sizes[-1]
        size = min(counts.get(f"L{number}", size), left)
        name, pins = _named(kitchen, dish, number)
        found.append(Share(number, name, size, before, pins))
        left, before = left - size, before + size
        if sum(sizes[len(found) :]) < left:
            sizes = [*sizes[: len(found)], *load_sizes(stations, dish, left, most)]
    return tuple(found)


def _named(kitchen: Kitchen, dish: Dish, number: int) -> tuple[str, tuple[Pin, ...]]:
    label = f"L{number}"
    name = next((p.name for p in kitchen.pins(dish.id) if p.load == label and p.name), label)
    return name, kitchen.load_pins(dish.id, label, name)


@dataclass(frozen=True, slots=True)
class Lot:
    """The last of the work before the loads: its op, and which pieces of the dish it holds."""

    key: str
    begin: int
    end: int


def lots_left(ops: tuple[Op, ...]) -> tuple[Lot, ...]:
    """Return the lots that the loads are taken from, in order."""
    ends, _ = last_ops(list(ops))
    found: list[Lot] = []
    begin = 0
    for op in (op for op in ops if op.key in ends):
        found.append(Lot(op.key, begin, begin + op.count))
        begin += op.count
    return tuple(found)


def lots_for(lots: tuple[Lot, ...], share: Share) -> tuple[str, ...]:
    """Return the lots that a load's pieces come from; all of them where nobody counts."""
    last = share.before + share.count
    mine = tuple(x.key for x in lots if x.begin < last and x.end > share.before)
    return mine or tuple(x.key for x in lots)


def load_ops(work: Work, share: Share, start: int, prep_last: tuple[str, ...]) -> list[Op]:
    """Return the ops of one load up to where plates take over, from its own first step on."""
    steps = work.dish.steps
    line = sequence(work, start)
    units: tuple[Unit, ...] = (Unit(share.name, "", share.count),)
    froms = () if line and line[0] < start else prep_last
    last, ops = start - 1 if froms else -1, []
    for place, index in enumerate(line):
        if joins(work, index) and place:
            continue
        split = work.batches(next_fire(work, line[place:]), units)
        made = []
        for unit in split or units:
            ends = froms or ((unit.last,) if split is None else tuple(u.last for u in units))
            across = bool(froms)
            after = tuple(
                work.lag(last, index, key, across=across) for key in ends if key and last >= 0
            )
            op = work.op(index, unit, after)
            check_hands(op, steps[index], work.dish)
            made.append(replace(unit, last=op.key))
            ops.append(op)
        units, froms, last = tuple(made), (), index
    return ops


def sequence(work: Work, start: int) -> list[int]:
    """Return a load's own steps in order, another way taken where one is chosen.

    What is done another way takes its place; a later fire that would only bring the food to a
    core it has by then falls away.
    """
    steps = work.dish.steps
    usual = [n for n in range(start, len(steps)) if steps[n].instead_of is None]
    way = work.kitchen.way(work.dish.id, work.load, f"L{work.number}")
    other = next((n for n, s in enumerate(steps) if way and s.id == way), None)
    if other is None:
        return usual
    replaced = steps[other].instead_of
    done_c = steps[other].until_core_c
    found: list[int] = [] if any(steps[n].id == replaced for n in usual) else [other]
    for index in usual:
        core_c = steps[index].until_core_c
        if steps[index].id == replaced:
            found.append(other)
        elif not (found and core_c is not None and done_c is not None and core_c <= done_c):
            found.append(index)
    return found


def next_fire(work: Work, line: list[int]) -> int:
    """Return the step whose fire decides on batches: for a wait the next, so each has its clock.

    Before its first fire a load is whole.
    """
    steps = work.dish.steps
    if not work.passive(steps[line[0]]) or line[0] < (work.kitchen.first_fire(work.dish) or 0):
        return line[0]
    for later in line[1:]:
        if not work.passive(steps[later]):
            return later if work.kitchen.is_fire(steps[later]) else line[0]
    return line[0]


def joins(work: Work, index: int) -> bool:
    """Return whether a step is done for the whole load at once, tied to plates and off the fire."""
    return tied_to_plates(work.dish.steps[index]) and not work.kitchen.is_fire(
        work.dish.steps[index]
    )


def finish_ops(work: Work, share: Share, ends: tuple[str, ...], last: int) -> list[Op]:
    """Return the ops that plates hold in time, for one whole load, after all its batches."""
    ops: list[Op] = []
    for index in range(last + 1, len(work.dish.steps)):
        step = work.dish.steps[index]
        if step.instead_of is not None or not joins(work, index):
            continue
        after = tuple(work.lag(last, index, key) for key in ends)
        op = work.op(index, Unit(share.name, "", share.count), after)
        check_hands(op, step, work.dish)
        ops.append(op)
        ends, last = (op.key,), index
    return ops


def last_ops(ops: list[Op]) -> tuple[tuple[str, ...], int]:
    """Return the keys of the ops nothing in the list follows, and their step's index."""
    followed = {lag.key for op in ops for lag in op.after}
    ends = tuple(op.key for op in ops if op.key not in followed)
    return ends, max(op.index for op in ops)


def length_of(ops: list[Op]) -> float:
    """Return the minutes from the first start to the last end, batches of a fire in turns."""
    total = 0.0
    for index in {op.index for op in ops}:
        row = [op for op in ops if op.index == index]
        room = max(len(row[0].places), 1)
        turns = 1 if row[0].flexible else -(-len(row) // room)
        total += turns * max(op.ideal for op in row)
        total += max((lag.least for op in row for lag in op.after), default=0.0)
    return total


def beat_of(kitchen: Kitchen, dish: Dish, ops: list[Op]) -> tuple[float, int]:
    """Return the minutes between two loads at a dish's slowest fire, and the loads it takes."""
    slowest, slots = 0.0, 1
    for index in {op.index for op in ops}:
        step = dish.steps[index]
        if not kitchen.is_fire(step):
            continue
        on = [op for op in ops if op.index == index]
        fires = [kitchen.places[s.id] for s in kitchen.stations(step)]
        room = sum(max(p.room // on[0].use, 1) for p in fires)
        beat = sum(op.ideal + fires[0].turn for op in on) / room
        if beat > slowest:
            slowest, slots = beat, room
    return slowest, slots


def timed(
    group: Group, plan: Demand, per_portion: float, before: int, quality: float | None
) -> Group:
    """Return the group with when its first and last portions are eaten, and its hold's floor."""
    first, last = before / per_portion, (before + group.count) / per_portion
    needed = plan.minute_of(min(first, plan.portions))
    last_by = plan.minute_of(min(last, plan.portions))
    floor = -inf if quality is None else last_by - quality
    return replace(group, needed_by=needed, last_by=last_by, floor=min(floor, needed))


def targets(groups: list[Group], slack: float, beat: float, room: int) -> list[Group]:
    """Return the groups of one dish with when each should be ready.

    Parameters
    ----------
    groups
        Loads in the order they are eaten.
    slack
        The lump before the first plates, min.
    beat, room
        Minutes between two loads at the slowest fire, and the loads it takes at one time.
    """
    if not groups:
        return []
    early = min(EARLY_MIN, slack)
    count = len(groups)
    span = groups[-1].needed_by - groups[0].needed_by
    goals = [g.needed_by - (early if n else slack) for n, g in enumerate(groups)]
    if span > 0 and count > room and beat > span / (count - 1):
        goals[0] = min(goals[0], goals[-1] - (count - 1) * beat)
        goals = [min(goal, goals[0] + n * beat) for n, goal in enumerate(goals)]
    return [
        replace(g, target=max(down(goal), up(g.floor)) if g.floor > -inf else down(goal))
        for g, goal in zip(groups, goals, strict=True)
    ]
