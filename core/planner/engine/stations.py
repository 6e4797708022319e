"""Very many guests are fed from several kitchens side by side, each planned for itself.

A kitchen needs about six fires, so that each can keep one temperature; a third of them is worse
and slower (measured). Fires, racks, hands, litres and guests are dealt out evenly; a load goes
with its fire.
"""

from __future__ import annotations

from dataclasses import replace
from math import ceil

from core.planner.jobs import Appetite, Group, Hand, Op, Place, Problem

MOST_GUESTS = 1200
"""Above this one model proves nothing in the time there is."""


def guests_of(problem: Problem) -> int:
    """Return about how many people eat: the portions of the dish most of them take."""
    return max((a.total for a in problem.appetites.values()), default=0)


def stations(problem: Problem, most: int = MOST_GUESTS) -> tuple[Problem, ...]:
    """Return the problem as independent kitchens of at most about so many guests each."""
    parts = ceil(guests_of(problem) / most)
    if parts <= 1:
        return (problem,)
    fires = _fires(problem, parts)
    loads = _loads(problem, fires, parts)
    crews = _crews(problem, parts)
    return tuple(
        _kitchen(problem, parts, number, loads[number], fires, crews[number])
        for number in range(parts)
    )


def _fires(problem: Problem, parts: int) -> dict[str, int]:
    """Deal the fires that hold one load, those that do the same dishes to different kitchens."""
    does: dict[str, list[str]] = {}
    for group in problem.groups:
        for op in group.ops:
            if len(op.places) == 1 and _single(problem, op):
                does.setdefault(op.places[0], []).append(group.dish)
    ordered = sorted(does, key=lambda name: (sorted(set(does[name])), name))
    return {name: number % parts for number, name in enumerate(ordered)}


def _single(problem: Problem, op: Op) -> bool:
    place = problem.places[op.places[0]]
    return place.room == 1 and place.fire


def _loads(problem: Problem, fires: dict[str, int], parts: int) -> list[list[Group]]:
    """Deal the loads: with their fire, else to the kitchen that has least of the dish."""
    dealt: list[list[Group]] = [[] for _ in range(parts)]
    portions: dict[tuple[str, int], int] = {}
    for group in sorted(problem.groups, key=lambda g: (g.dish, g.number, g.id)):
        own = [fires[op.places[0]] for op in group.ops if op.places and op.places[0] in fires]
        where = (
            own[0]
            if own
            else min(range(parts), key=lambda n: (portions.get((group.dish, n), 0), n))
        )
        dealt[where].append(group)
        key = (group.dish, where)
        portions[key] = portions.get(key, 0) + group.count
    return dealt


def _crews(problem: Problem, parts: int) -> list[set[str]]:
    """Deal the people so that every kitchen gets the same abilities."""
    able: dict[str, set[str]] = {name: set() for name in problem.hands}
    for op in problem.ops().values():
        for touch in op.work(op.ideal):
            for name in touch.able:
                able[name].add("/".join(touch.able))
    ordered = sorted(problem.hands, key=lambda n: (sorted(able[n]), problem.hands[n].shifts, n))
    return [set(ordered[number::parts]) for number in range(parts)]


def _kitchen(
    problem: Problem,
    parts: int,
    number: int,
    groups: list[Group],
    fires: dict[str, int],
    crew: set[str],
) -> Problem:
    places: dict[str, Place] = {}
    for name, place in problem.places.items():
        if name in fires:
            if fires[name] == number:
                places[name] = place
        else:
            room = place.room // parts + (number < place.room % parts)
            places[name] = replace(place, room=max(room, 1))
    hands: dict[str, Hand] = {name: h for name, h in problem.hands.items() if name in crew}
    return replace(
        problem,
        groups=tuple(_staffed(group, crew) for group in groups),
        places=places,
        hands=hands,
        pools={name: room // parts for name, room in problem.pools.items()},
        appetites={
            dish: _share(problem, appetite, groups)
            for dish, appetite in problem.appetites.items()
            if any(g.dish == dish for g in groups)
        },
    )


def _staffed(group: Group, crew: set[str]) -> Group:
    """Return a load whose hands are this kitchen's."""
    ops = []
    for op in group.ops:
        touches = tuple(
            replace(touch, able=tuple(n for n in touch.able if n in crew)) for touch in op.touches
        )
        ops.append(replace(op, touches=touches, able=tuple(n for n in op.able if n in crew)))
    return replace(group, ops=tuple(ops))


def _share(problem: Problem, appetite: Appetite, groups: list[Group]) -> Appetite:
    """Return this kitchen's guests of a dish: as many as its loads feed, over the same time."""
    all_of_it = sum(g.count for g in problem.groups if g.served and g.dish == appetite.dish)
    mine = sum(g.count for g in groups if g.served and g.dish == appetite.dish)
    lumps, eaten, given = [], 0, 0
    for minute, portions in appetite.lumps:
        eaten += portions
        due = round(eaten * mine / all_of_it)
        if due > given:
            lumps.append((minute, due - given))
        given = max(given, due)
    return replace(appetite, lumps=tuple(lumps))
