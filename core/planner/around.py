"""Tasks around the food: light and feed fires, load out, open lanes, serve, breaks."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from core.model import FIRES, Person, Role, Station, StationKind, Task, Tied
from core.planner.assemble import Result
from core.planner.crewing import stands_at
from core.planner.jobs import Op, down, up

WHOLE_MIN = 5.0
"""Fires are lit on a round five minutes, the earlier one: nobody lights at 12:28."""

RELIGHT_MIN = 120.0
"""A fire idle for longer than this, and three heat-ups, is let go out; common practice."""

FEED_MIN = 5.0


def tasks_around(result: Result) -> tuple[Task, ...]:
    """Return every task that is no step of a dish, in order of starting."""
    found = [*_fires(result), *_travel(result), *_lanes(result), *_services(result)]
    found.extend(_breaks(result))
    return tuple(sorted(found, key=lambda task: (task.start, task.id)))


def _uses(result: Result, station: Station) -> list[tuple[float, float, Op]]:
    slots = result.schedule.slots
    uses = [
        (slots[op.key].start, slots[op.key].end, op)
        for group in result.problem.groups
        for op in group.ops
        if slots[op.key].place == station.id
    ]
    return sorted(uses, key=lambda use: (use[0], use[2].key))


def _fires(result: Result) -> Iterator[Task]:
    for station in result.kitchen.cards.kit.stations:
        if station.kind not in FIRES:
            continue
        spells = list(_spells(_uses(result, station), station))
        names = _spell_names(result, station, spells)
        for name, spell in zip(names, spells, strict=True):
            yield _light(result, station, name, spell)
            yield from _feeds(result, station, name, spell)


def _spells(
    uses: list[tuple[float, float, Op]], station: Station
) -> Iterator[list[tuple[float, float, Op]]]:
    """Yield the uses between lighting a fire and letting it go out."""
    idle = max(RELIGHT_MIN, 3 * station.heat_up_min)
    spell: list[tuple[float, float, Op]] = []
    for use in uses:
        if spell and use[0] > max(end for _, end, _ in spell) + idle:
            yield spell
            spell = []
        spell.append(use)
    if spell:
        yield spell


def _spell_names(
    result: Result, station: Station, spells: list[list[tuple[float, float, Op]]]
) -> list[str]:
    """Return a stable name for each lighting: the day's first is just the station."""
    names: list[str] = []
    for spell in spells:
        day = result.kitchen.clock.day_of(spell[0][0])
        base = station.id if day == 0 else f"{station.id}/T{day:+d}"
        again = sum(1 for name in names if name == base or name.startswith(f"{base}/#"))
        names.append(base if not again else f"{base}/#{again + 1}")
    return names


def _light(
    result: Result, station: Station, name: str, spell: list[tuple[float, float, Op]]
) -> Task:
    use, _, op = spell[0]
    start = down((use - station.heat_up_min) / WHOLE_MIN / 2) * 2 * WHOLE_MIN
    at = result.kitchen.clock.instant
    first = result.kitchen.first_fire(result.kitchen.cards.dish(op.dish))
    later = op.tied is Tied.PLATES or (first is not None and op.index > first)
    return Task(
        id=f"light/{name}",
        do="light",
        station=station.id,
        start=at(start),
        end=at(use),
        dish=op.dish,
        load=op.load or None,
        crew=_lighter(result, station, op, start),
        temp_c=next((o.temp_c for _, _, o in spell if o.temp_c is not None), None),
        tied=Tied.PLATES if later else Tied.ELASTIC,
    )


def _lighter(result: Result, station: Station, op: Op, start: float) -> tuple[str, ...]:
    """Return who lights a fire: its keeper, or where it has none who cooks on it first."""
    kept = any(stands_at(p, (station,)) for p in result.kitchen.cards.crew)
    crew = result.slot(op).crew
    return crew[:1] if crew and not kept else _keeper(result, station, start)


def _feeds(
    result: Result, station: Station, name: str, spell: list[tuple[float, float, Op]]
) -> Iterator[Task]:
    if not station.feed_every_min:
        return
    lit = spell[0][0] - station.heat_up_min
    last = max(end for _, end, _ in spell)
    at = result.kitchen.clock.instant
    number, when = 1, up(lit + station.feed_every_min)
    while when < last:
        yield Task(
            id=f"feed/{name}/{number}",
            do="feed",
            station=station.id,
            start=at(when),
            end=at(when + FEED_MIN),
            crew=_keeper(result, station, when),
        )
        number, when = number + 1, up(when + station.feed_every_min)


def _keeper(result: Result, station: Station, minute: float) -> tuple[str, ...]:
    """Return who keeps a fire: whose station it is, else the pit, else the chef."""
    crew = result.kitchen.cards.crew
    ranked = sorted(crew, key=lambda p: (not stands_at(p, (station,)), _fire_rank(p), p.id))
    return result.owner(tuple(p.id for p in ranked), minute, station.id)


def _fire_rank(person: Person) -> int:
    return {Role.PIT: 0, Role.CHEF: 1, Role.COLD: 2, Role.CREW: 2}.get(person.role, 3)


def _by_role(result: Result, roles: tuple[Role, ...], minute: float) -> tuple[str, ...]:
    crew = result.kitchen.cards.crew
    ranked = [p for role in roles for p in crew if p.role is role]
    return result.owner(tuple(p.id for p in ranked), minute, None)


def _travel(result: Result) -> Iterator[Task]:
    travel = result.kitchen.cards.event.travel
    clock = result.kitchen.clock
    if travel.load_out is not None:
        begins = clock.minute(travel.load_out)
        who = _by_role(result, (Role.DRIVER, Role.RUNNER, Role.CHEF), begins)
        ends = begins + LOAD_OUT_MIN
        yield _plain(result, "load-out", "load out", begins, ends, who)
        if travel.drive_min:
            yield _plain(result, "drive", "drive", ends, ends + travel.drive_min, who)
    if travel.off_site is not None:
        ends = clock.minute(travel.off_site)
        who = _by_role(result, (Role.DRIVER, Role.CHEF), ends - 1)
        yield _plain(result, "pack-up", "pack up", ends - PACK_UP_MIN, ends, who)


LOAD_OUT_MIN = 30.0
PACK_UP_MIN = 60.0
"""Packing the van, and packing up again, 45 to 75 min for a crew of eight; common practice."""


def _plain(
    result: Result, key: str, do: str, start: float, end: float, crew: tuple[str, ...]
) -> Task:
    at = result.kitchen.clock.instant
    return Task(key, do, None, at(start), at(end), crew=crew, tied=Tied.WORLD)


def _lanes(result: Result) -> Iterator[Task]:
    plates = result.problem.plates
    at = result.kitchen.clock.instant
    for station in result.kitchen.cards.kit.stations:
        if station.kind is not StationKind.LANE or not station.per_min:
            continue
        mine = [p for p in result.kitchen.cards.crew if stands_at(p, (station,))]
        ranked = tuple(p.id for p in mine)
        crew = result.owner(ranked, plates, station.id) if ranked else ()
        crew = crew or _by_role(result, (Role.LANE, Role.FRONT), plates)
        start = plates - LANE_MIN
        yield Task(
            id=f"open/{station.id}",
            do="open",
            station=station.id,
            start=at(start),
            end=at(plates),
            crew=crew,
            tied=Tied.PLATES,
        )


LANE_MIN = 15.0


def _services(result: Result) -> Iterator[Task]:
    clock, shift = result.kitchen.clock, result.kitchen.shift
    for number, row in enumerate(result.kitchen.cards.event.serve, 1):
        start = clock.minute(row.start) + shift
        end = start if row.until is None else max(clock.minute(row.until) + shift, start)
        if row.per_min and not row.leftovers:
            end = start + result.kitchen.heads / row.per_min
        yield Task(
            id=f"serve/{number}",
            do="serve",
            station=None,
            start=clock.instant(start),
            end=clock.instant(end),
            dish=row.dishes[0] if len(row.dishes) == 1 else None,
            crew=_by_role(result, (Role.FRONT, Role.LANE, Role.CHEF), start),
            tied=Tied.PLATES,
        )


def _breaks(result: Result) -> Iterator[Task]:
    """Give everybody owed one a break in the quiet nearest the middle of the day's shift."""
    at = result.kitchen.clock.instant
    for hand in result.problem.hands.values():
        shift = max(hand.shifts, key=lambda s: s[0])
        if not hand.break_min or shift[1] == inf:
            continue
        start = break_start(result, hand.id, shift, hand.break_min)
        if start is not None:
            yield Task(
                id=f"break/{hand.id}",
                do="break",
                station=None,
                start=at(start),
                end=at(start + hand.break_min),
                crew=(hand.id,),
            )


def break_start(
    result: Result, person: str, shift: tuple[float, float], minutes: float
) -> float | None:
    """Return the start of a break nearest the middle of a shift, clear of work and of service."""
    slots = result.schedule.slots.values()
    busy = sorted((s.start, s.end) for s in slots if person in s.crew)
    service = (result.problem.plates - QUIET_MIN, result.problem.plates + QUIET_MIN)
    busy.append(service)
    middle = up((shift[0] + shift[1] - minutes) / 2)
    tries = {middle, *(e for _, e in busy), *(s - minutes for s, _ in busy)}
    clear = [
        t
        for t in tries
        if shift[0] <= t
        and t + minutes <= shift[1]
        and all(t >= e or t + minutes <= s for s, e in busy)
    ]
    return min(clear, key=lambda t: (abs(t - middle), t), default=None)


QUIET_MIN = 60.0
"""No break within an hour of first plates."""
