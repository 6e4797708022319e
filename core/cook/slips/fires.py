"""A fire, lane or box that is down, slow or back."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.decision import Dated, Decision, Notice, booked
from core.cook.names import listed, verb_of
from core.cook.slips.asking import LINES, asked, consequence, struck_offers, what_moves
from core.cook.slips.lanes import lane_down
from core.cook.slips.leaving import moves_off, stays
from core.cook.slips.offered import carried_on, offers
from core.cook.state import Cook, Phase
from core.cook.subjects import plan_of
from core.errors import UnknownNameError
from core.facts.slips import FireBack, FireDown, FireSlow, StationBack, StationDown
from core.model import (
    FIRES,
    Answer,
    Clock,
    Label,
    Line,
    Plan,
    Qty,
    Sound,
    Station,
    StationKind,
    StepRun,
    say,
)

BOXES = frozenset({StationKind.COLD_BOX, StationKind.FRIDGE, StationKind.HOT_BOX})


def fire_down(cook: Cook, wish: FireDown, by: str, at: datetime, now: datetime) -> Decision:
    """Book that a station is out of use and show what it costs, with what can be done."""
    station = station_named(cook, wish.station)
    until = now + timedelta(minutes=wish.back_min) if wish.back_min else None
    fact = Dated(at, StationDown(station.id, wish.why, until))
    after = booked(cook, (fact,), by, now)
    if station.kind is StationKind.LANE:
        return lane_down(cook, after, station, (fact,), by, now)
    if station.kind in BOXES:
        return Decision((fact,), Answer(box_lines(station)), _chef_told(cook, station, by))
    if not _used(cook, station, now):
        line = say("{station} out {clock}: nothing on it and nothing to come.",
                   station=Label(station.id), clock=Clock(at))  # fmt: skip
        return Decision((fact,), Answer((line,)))
    found = offers(after, now)
    lines = down_lines(cook, after, station, now)
    return asked(after, lines, (fact,), found, by, at)


def _chef_told(cook: Cook, station: Station, by: str) -> tuple[Notice, ...]:
    """Tell the chef of a box or fridge that fell: its clock is running."""
    chef = cook.cards.chef if cook.cards else None
    if chef is None or chef.id == by:
        return ()
    lines = box_lines(station)
    return (Notice(f"box/{cook.seq}", (chef.id,), lines, Sound.ONCE, kind="finding"),)


def down_lines(cook: Cook, after: Cook, station: Station, now: datetime) -> tuple[Line, ...]:
    """Return what losing a station costs: plates, batches, food on it, what slides."""
    keep = carried_on(after, now)
    head = say("{station} out: {plates}.", station=Label(station.id),
               plates=consequence(keep, cook))  # fmt: skip
    batches = _batches(cook, keep.plan, station, now) if keep is not None else None
    on_it = _on_it(after, station, now)
    return tuple(
        line for line in (head, batches, on_it, *what_moves(after, keep, now)) if line is not None
    )[:LINES]


def _used(cook: Cook, station: Station, now: datetime) -> bool:
    """Say whether anything is on a station or to come on it."""
    return any(
        (cook.job(run.key).station or run.station) == station.id
        and cook.phase(run.key) in {Phase.WAITING, Phase.RUNNING}
        and run.end > now
        for run in plan_of(cook).runs()
    )


def _batches(cook: Cook, new: Plan, station: Station, now: datetime) -> Line | None:
    """Return how many batches a step makes on how many fires, before and now; None for one."""
    steps = dict.fromkeys(
        (r.dish, r.step) for r in plan_of(cook).runs() if _step_on(cook, r, station)
    )
    over = {run.key for run in new.runs() if run.end <= now}  # done, if nobody says otherwise
    rows = [
        (_ahead(cook, plan_of(cook), step, over), _ahead(cook, new, step, over)) for step in steps
    ]
    more = [row for row in rows if row[0] and _rounds(row[1]) > _rounds(row[0])]
    if not more:
        return None
    before, after = max(more, key=lambda row: _rounds(row[1]) - _rounds(row[0]))
    each = (before[0].end - before[0].start).total_seconds() / 60
    fires = {r.station for r in before}
    left = {r.station for r in after}
    return say(
        "{verb} {count}, {each} a batch: on {fires} {was} batches, done {done}; on {left} {now}, "
        "done {then}.",
        verb=verb_of(before[0].do),
        count=Qty(sum(r.count for r in before), "pcs", 0),
        each=Qty(each, "min"),
        fires=len(fires),
        was=_rounds(before),
        done=Clock(max(r.end for r in before)),
        left=len(left),
        now=_rounds(after),
        then=Clock(max(r.end for r in after)),
    )


def _rounds(runs: list[StepRun]) -> int:
    """Return how many batches the busiest fire takes one after the other."""
    fires = [run.station for run in runs]
    return max((fires.count(fire) for fire in set(fires)), default=0)


def _step_on(cook: Cook, run: StepRun, station: Station) -> bool:
    return run.station == station.id and cook.phase(run.key) is Phase.WAITING


def _ahead(cook: Cook, plan: Plan, step: tuple[str, str], over: set[str]) -> list[StepRun]:
    runs = [r for r in plan.runs() if (r.dish, r.step) == step and r.key not in over]
    return sorted((r for r in runs if cook.phase(r.key) is Phase.WAITING), key=lambda r: r.start)


def _on_it(cook: Cook, station: Station, now: datetime) -> Line | None:
    """Return what becomes of the food on a fire that is out."""
    moves = moves_off(cook, now)
    on = [
        run
        for run in plan_of(cook).runs()
        if (cook.job(run.key).station or run.station) == station.id
        and cook.phase(run.key) is Phase.RUNNING
    ]
    if not on:
        return None
    going = [
        say("{load} stays shut, → {fire} {clock}, off about {end}", load=Label(run.unit),
            fire=Label(m.station), clock=Clock(m.at), end=Clock(m.end))
        for run in on for m in moves if m.run == run.key and not stays(cook, m)
    ]  # fmt: skip
    if going:
        return say("{moves}. Probe before it moves.", moves=listed(list(going), 2))
    parts = [
        say("{load} about +{late}", load=Label(run.unit),
            late=Qty(max(round((m.end - run.end).total_seconds() / 60), 0), "min", 0))
        for run in on for m in moves if m.run == run.key
    ]  # fmt: skip
    back = next((m.at for m in moves if m.run in {r.key for r in on}), now)
    return say("Keep the lid shut: {loads} if it is back by {back}.", loads=listed(list(parts), 3),
               back=Clock(back))  # fmt: skip


def fire_back(cook: Cook, wish: FireBack, by: str, at: datetime, now: datetime) -> Decision:
    """Book that a station works again; what that gains is one tap."""
    name = wish.station or next(iter(cook.slips.down), "")
    station = station_named(cook, name)
    if station.id not in cook.slips.down:
        line = say("{station} was not out by my log. Nothing changes.", station=Label(station.id))
        return Decision(answer=Answer((line,)))
    fact = Dated(at, StationBack(station.id))
    after = booked(cook, (fact,), by, now)
    head = say("{station} back {clock}.", station=Label(station.id), clock=Clock(at))
    if station.id not in cook.slips.settled and not after.slips.down:
        same = say("The plan stands as it was: nobody had changed it.")
        return Decision((fact, *struck_offers(after, at)), Answer((head, same)))
    found = offers(after, now)
    best = found[0] if found else None
    moved = what_moves(after, best, now)
    if best is not None and not moved:
        return Decision((fact,), Answer((head, say("Nothing moves."))))
    lines = (say("{head} {plates}.", head=head, plates=consequence(best, cook)), *moved)
    return asked(after, lines[:LINES], (fact,), found, by, at)


def fire_slow(cook: Cook, wish: FireSlow, now: datetime) -> Decision:
    """Ask for the temperature: a slow fire is re-timed by its thermometer, not by a guess."""
    station = station_named(cook, wish.station)
    on = [
        run
        for run in plan_of(cook).runs()
        if (cook.job(run.key).station or run.station) == station.id
        and cook.phase(run.key) in {Phase.RUNNING, Phase.WAITING} and run.end > now
    ]  # fmt: skip
    first = say("{station} slow: read it at the grate, type '{station} 100'; loads go by that.",
                station=Label(station.id))  # fmt: skip
    if not on:
        return Decision(answer=Answer((first,)))
    loads = {x.name: x for x in plan_of(cook).loads}
    rows = [
        say("{load} off {clock}, {slack} in hand", load=Label(name), clock=Clock(loads[name].off),
            slack=Qty(max(loads[name].slack_min, 0), "min", 0))
        for name in dict.fromkeys(r.load for r in on)
        if name in loads
    ]  # fmt: skip
    return Decision(answer=Answer((first, listed(list(rows), 3))))


def box_lines(station: Station) -> tuple[Line, ...]:
    """Return what a box that fell means: clocks run from the last good reading."""
    hot = station.kind is StationKind.HOT_BOX
    probe = (
        say("{box} out: lid shut, probe the food now, type '{box} food 64'.",
            box=Label(station.id)) if hot else
        say("{box} out: lid shut, ice on the food, probe now, type '{box} food 4'.",
            box=Label(station.id))
    )  # fmt: skip
    return (probe, say("The clock runs from its last good reading, not from now."))


def station_named(cook: Cook, name: str) -> Station:
    """Return the station of this name; the only one of a kind may be called by its kind."""
    stations = cook.cards.kit.stations if cook.cards else ()
    wanted = name.casefold()
    exact = [s for s in stations if s.id.casefold() == wanted]
    kind = [s for s in stations if s.kind.value == wanted or s.family.casefold() == wanted]
    found = exact or (kind if len(kind) == 1 else [])
    if not found:
        fires = ", ".join(s.id for s in stations if s.kind in FIRES or s.kind is StationKind.LANE)
        raise UnknownNameError("fire or lane", name, fires)
    return found[0]
