"""Whom a new plan concerns, and their one line: what they do now, where and when."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from core.cook.decision import Notice
from core.cook.names import job_name, listed, thing_of
from core.cook.slips.leaving import stays
from core.cook.state import Cook, Phase, items
from core.cook.subjects import Item, in_order, key_of, plan_of
from core.facts.slips import LoadMoving, SlipFact
from core.model import Clock, Label, Line, Plan, Sound, StepRun, Tied, Value, say
from core.planner import changes

SAID_MIN = 2.0
"""A start that moves by less is not worth a push; the call itself carries the clock time."""

SOON_MIN = 180.0


def told(
    cook: Cook,
    new: Plan,
    by: str,
    now: datetime,
    *,
    moving: Sequence[SlipFact] = (),
    undone: bool = False,
) -> tuple[Notice, ...]:
    """Return one line, with sound, to each person whose work moved, is new or fell away."""
    old = plan_of(cook)
    found: list[Notice] = []
    for person in changes(old, new).concerned:
        lines = _lines(cook, old, new, person, now, moving)
        if person == by or person in cook.slips.away or not lines:
            continue
        key = f"told/{'undo/' if undone else ''}{new.letter}/{cook.seq}"
        found.append(Notice(key, (person,), (_one(lines),), Sound.ONCE, kind="call"))
    return tuple(found)


def _one(lines: list[Line]) -> Line:
    if len(lines) == 1:
        return lines[0]
    return say("{first} (+{n} more: 'me')", first=lines[0], n=len(lines) - 1)


def _lines(
    cook: Cook, old: Plan, new: Plan, person: str, now: datetime, moving: Sequence[SlipFact]
) -> list[Line]:
    was, then = items(old), items(new)
    found: list[tuple[datetime, Line]] = []
    for fact in moving:
        run = then.get(fact.run) if isinstance(fact, LoadMoving) else None
        goes = isinstance(fact, LoadMoving) and not stays(cook, fact)
        if isinstance(fact, LoadMoving) and goes and run and _keeps(cook, person, fact.station):
            found.append((fact.at, _moved(cook, run, fact)))
    for key, item in then.items():
        mine = person in item.crew
        before = was.get(key)
        if not mine or cook.phase(key) is not Phase.WAITING or not _near(cook, item, now):
            continue
        if before is None or _other(before, item, person):
            found.append((item.start, _line(cook, item)))
    for key, item in was.items():
        gone = key not in then or person not in then[key].crew
        if (
            person in item.crew
            and gone
            and cook.phase(key) is Phase.WAITING
            and _near(cook, item, now)
        ):
            found.append((item.start, _off(cook, item)))
    return [line for _, line in sorted(found, key=lambda pair: pair[0])]


def _keeps(cook: Cook, person: str, station: str) -> bool:
    someone = cook.cards.person(person) if cook.cards else None
    return someone is not None and station in someone.stations


def _near(cook: Cook, item: Item, now: datetime) -> bool:
    soon = now <= item.start <= now + timedelta(minutes=SOON_MIN)
    return soon and item.do != "break" and wants_hands(cook, item)


def wants_hands(cook: Cook, item: Item) -> bool:
    """Say whether anybody has to do something: nobody is told of a rest."""
    if not isinstance(item, StepRun) or cook.cards is None:
        return True
    return item.on_fire or cook.cards.dish(item.dish).steps[item.index].hands > 0


def _other(before: Item, item: Item, person: str) -> bool:
    moved = abs((item.start - before.start).total_seconds()) >= SAID_MIN * 60
    return moved or item.station != before.station or person not in before.crew


def _line(cook: Cook, item: Item) -> Line:
    """Return verb, thing, place, clock time."""
    fields: dict[str, Value] = {
        "job": job_name(item, cook.cards),
        "clock": Clock(item.start),
    }
    on_thing = isinstance(item, StepRun) and item.station
    if on_thing:
        return say("{job} → {station} · {clock}", **fields, station=Label(item.station or ""))
    return say("{job} · {clock}", **fields)


def _moved(cook: Cook, run: Item, fact: LoadMoving) -> Line:
    return say("MOVE {thing} → {station} · {clock}", thing=thing_of(run, cook.cards),
               station=Label(fact.station), clock=Clock(fact.at))  # fmt: skip


def _off(cook: Cook, item: Item) -> Line:
    return say("NOT {job} · {clock}", job=job_name(item, cook.cards), clock=Clock(item.start))


def hold_line(cook: Cook, new: Plan) -> Line | None:
    """Return 'HOLD', what waits for plates and until when; None where plates are not later."""
    if new.plates_at <= plan_of(cook).plates_at:
        return None
    was = {key_of(i): i for i in in_order(plan_of(cook))}
    waits = [
        i for i in in_order(new)
        if i.tied is Tied.PLATES and cook.phase(key_of(i)) is Phase.WAITING
        and key_of(i) in was and i.start > was[key_of(i)].start and i.do not in {"open", "serve"}
    ]  # fmt: skip
    jobs: dict[str, Line] = {}
    for item in waits:
        name = job_name(item, cook.cards)
        jobs.setdefault(str(name), say("{job} {clock}", job=name, clock=Clock(item.start)))
    plates = Clock(new.plates_at)
    if not jobs:
        return say("HOLD. Plates {plates}.", plates=plates)
    return say("HOLD. {jobs}. Plates {plates}.", jobs=listed(list(jobs.values()), 2),
               plates=plates)  # fmt: skip
