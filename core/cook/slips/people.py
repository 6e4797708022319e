"""Somebody missing: what is theirs in the next two hours, and who is free and trained for it.

An allergy plate goes to nobody who does not lead on allergies; where nobody is left for a job the
line says so instead of offering one who cannot.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TypeVar

from core.cook.change import next_letter
from core.cook.decision import Dated, Decision, Notice, booked
from core.cook.names import job_name, listed
from core.cook.slips.asking import LINES, asked
from core.cook.slips.offered import Offer
from core.cook.state import Cook, Phase
from core.cook.subjects import Item, in_order, key_of, plan_of
from core.errors import UnknownNameError
from core.facts.slips import Part, PersonArrived, PersonAway, PersonIn, PersonOut
from core.model import (
    FIRES,
    Answer,
    Cards,
    Clock,
    Lead,
    Line,
    Person,
    Plan,
    Role,
    Sound,
    StationKind,
    StepRun,
    Task,
    Who,
    say,
)
from core.planner.crewing import able, stands_at

Job = TypeVar("Job", StepRun, Task)

AHEAD_MIN = 120.0
DAY_MIN = 720.0
MOST_LATER = 3
NOT_JOBS = frozenset({"break"})
PARTS: Mapping[Role, Part] = {
    Role.PIT: Part.FIRE,
    Role.COLD: Part.SALADS,
    Role.LANE: Part.PACE,
    Role.FRONT: Part.PACE,
    Role.RUNNER: Part.PACE,
    Role.WASH: Part.PACE,
}
"""Whose part it is to say who stands in; the chef's for everybody else."""


@dataclass(frozen=True, slots=True)
class Cover:
    """A job of somebody who is missing, and who takes it; None: nobody free can."""

    job: Item
    by: str | None


def person_out(cook: Cook, wish: PersonOut, by: str, at: datetime, now: datetime) -> Decision:
    """Book that somebody is not there and offer who picks up what."""
    person = person_named(cook, wish.person)
    start = wish.start or min(at, now)
    fact = Dated(at, PersonAway(person.id, start, wish.until))
    after = booked(cook, (fact,), by, now)
    offer = cover_offer(after, person, now)
    jobs = _jobs(after, person, now)
    head = _owned(after, person, jobs)
    if not jobs:
        return Decision((fact,), Answer((head, *_allergy(after, person))[:LINES]))
    covers = covers_of(after, person, now)
    lines = (head, *_suggested(after, covers), *_allergy(after, person))
    if offer is None:
        lines = (*lines[: LINES - 1], say("Chef decides who."))
        return Decision((fact,), Answer(lines), _chef_told(cook, lines, by))
    return asked(after, lines[:LINES], (fact,), (offer,), by, at)


def _chef_told(cook: Cook, lines: tuple[Line, ...], by: str) -> tuple[Notice, ...]:
    chef = cook.cards.chef if cook.cards else None
    if chef is None or chef.id == by:
        return ()
    return (Notice(f"missing/{cook.seq}", (chef.id,), lines, Sound.ONCE, kind="finding"),)


def _owned(cook: Cook, person: Person, jobs: list[Item]) -> Line:
    names = [
        say("{job} {clock}", job=job_name(i, cook.cards), clock=Clock(i.start)) for i in jobs
    ]  # fmt: skip
    if not names:
        return say("{who}: nothing in the plan.", who=Who(person.id))
    return say("{who} owned: {jobs}.", who=Who(person.id), jobs=listed(list(names), 5))


def _suggested(cook: Cook, covers: tuple[Cover, ...]) -> list[Line]:
    by_person: dict[str, list[Item]] = {}
    for cover in covers:
        if cover.by is not None:
            by_person.setdefault(cover.by, []).append(cover.job)
    lines = []
    cards = cook.cards
    assert cards is not None
    parts = [
        say("{who}: {jobs}", who=Who(person),
            jobs=listed([job_name(i, cards) for i in jobs], 3))
        for person, jobs in by_person.items()
    ]  # fmt: skip
    if parts:
        lines.append(say("Free and trained: {covers}.", covers=listed(list(parts), 4)))
    open_ = [job_name(c.job, cards) for c in covers if c.by is None]
    if open_:
        lines.append(say("NOBODY free and trained: {jobs}.", jobs=listed(list(open_), 3)))
    return lines


def _allergy(cook: Cook, person: Person) -> list[Line]:
    """Return who takes the allergy plates; never somebody who does not lead on allergies."""
    cards = cook.cards
    assert cards is not None
    if Lead.ALLERGY not in person.leads:
        return []
    trained = [
        p for p in cards.crew
        if p.id != person.id and p.id not in cook.slips.away
        and (Lead.ALLERGY in p.leads or "allergy" in p.skills)
    ]  # fmt: skip
    if not trained:
        return [say("Allergy plates: NOBODY else is trained. Chef decides; none go out before.")]
    names = listed([Who(p.id) for p in trained], 3)
    return [say("Allergy plates need trained: {who}.", who=names)]


def _jobs(cook: Cook, person: Person, now: datetime) -> list[Item]:
    """Return what is this person's in the next two hours, else the first later on, in order."""
    soon = _jobs_until(cook, person, now, now + timedelta(minutes=AHEAD_MIN))
    return soon or _jobs_until(cook, person, now, now + timedelta(minutes=DAY_MIN))[:MOST_LATER]


def _jobs_until(cook: Cook, person: Person, now: datetime, until: datetime) -> list[Item]:
    since, back = cook.slips.away.get(person.id, (now, None))
    return [
        i for i in in_order(plan_of(cook))
        if person.id in i.crew and cook.phase(key_of(i)) is Phase.WAITING
        and i.do not in NOT_JOBS and max(now, since) - timedelta(minutes=1) <= i.start <= until
        and (back is None or i.start < back)
    ]  # fmt: skip


def covers_of(cook: Cook, person: Person, now: datetime) -> tuple[Cover, ...]:
    """Return who takes each job: free at that time and able to do it, the least busy first."""
    plan = plan_of(cook)
    taken: dict[str, list[Item]] = {}
    found: list[Cover] = []
    for job in _jobs(cook, person, now):
        crew = _can(cook, job, person)
        free = [p for p in crew if _is_free(cook, plan, p, job, taken.get(p, []))]
        who = min(free, key=lambda p: (_load(plan, p, job, taken), crew.index(p)), default=None)
        if who is not None:
            taken.setdefault(who, []).append(job)
        found.append(Cover(job, who))
    return tuple(found)


def _load(plan: Plan, person: str, job: Item, taken: Mapping[str, list[Item]]) -> int:
    """Return how much else somebody has around then: nobody gets everything."""
    near = timedelta(minutes=60)
    mine = [i for i in in_order(plan) if person in i.crew and i.do not in NOT_JOBS]
    return sum(abs(i.start - job.start) < near for i in mine) + 2 * len(taken.get(person, []))


def _can(cook: Cook, job: Item, missing: Person) -> list[str]:
    """Return who may do a job, best first: by its skill, or by standing at its station."""
    cards = cook.cards
    assert cards is not None
    there = [p for p in cards.crew if p.id != missing.id and p.id not in cook.slips.away]
    if job.dish is not None and job.step is not None:
        dish = cards.dish(job.dish)
        index = job.index if isinstance(job, StepRun) else _index(cards, job)
        step = dish.steps[index]
        stations = cards.kit.matching(step.station or "")
        fire = bool(stations) and all(s.kind in FIRES for s in stations)
        names = able(replace(cards, crew=tuple(there)), step, stations, fire=fire, raw=False)
        return list(names)
    return [p.id for p in sorted(there, key=lambda p: _rank(cards, p, job))
            if _suits(p, job)]  # fmt: skip


def _index(cards: Cards, job: Task) -> int:
    steps = cards.dish(job.dish or "").steps
    return next((n for n, s in enumerate(steps) if s.id == job.step), 0)


def _suits(person: Person, job: Item) -> bool:
    """Say whether a task that is no step of a dish suits somebody: a fire wants a fire's hands."""
    if person.role is Role.CHEF:
        return False
    if job.do in {"light", "feed"}:
        return person.role is Role.PIT or bool({"grill", "pit"} & set(person.skills))
    if job.do in {"open", "serve"}:
        served = {Role.LANE, Role.FRONT, Role.RUNNER, Role.WASH, Role.DRIVER}
        return "serve" in person.skills or person.role in served
    return person.role is not Role.RAW


def _rank(cards: Cards, person: Person, job: Item) -> tuple[int, int]:
    station = cards.station(job.station or "")
    own = station is not None and stands_at(person, (station,))
    floaters = {Role.RUNNER, Role.WASH, Role.DRIVER, Role.CREW}
    return (0 if own and station and station.kind is not StationKind.LANE else 1,
            0 if person.role in floaters else 1)  # fmt: skip


def _is_free(cook: Cook, plan: Plan, person: str, job: Item, taken: list[Item]) -> bool:
    """Say whether somebody is on shift then and has nothing else in hand."""
    cards = cook.cards
    assert cards is not None
    someone = cards.person(person)
    if someone is None or not _on_shift(cards, someone, job):
        return False
    mine = [i for i in in_order(plan) if person in i.crew and i.do not in NOT_JOBS]
    open_ = [i for i in mine if cook.phase(key_of(i)) in {Phase.WAITING, Phase.RUNNING}]
    return not any(_overlap(i, job) for i in (*open_, *taken))


def _on_shift(cards: Cards, person: Person, job: Item) -> bool:
    spans = [(cards.event.instant(a), cards.event.instant(b)) for a, b in person.shifts]
    return not spans or any(a <= job.start and job.end <= b for a, b in spans)


def _overlap(one: Item, other: Item) -> bool:
    return one.start < other.end and other.start < one.end


def cover_offer(cook: Cook, person: Person, now: datetime) -> Offer | None:
    """Return the plan with exactly the missing person's jobs in other hands; nothing else moves."""
    covers = [c for c in covers_of(cook, person, now) if c.by is not None]
    if not covers:
        return None
    plan = plan_of(cook)
    hands = {key_of(c.job): c.by for c in covers if c.by is not None}
    new = replace(
        plan,
        letter=next_letter(plan.letter),
        loads=tuple(
            replace(x, runs=tuple(_handed(r, person.id, hands) for r in x.runs)) for x in plan.loads
        ),
        tasks=tuple(_handed(t, person.id, hands) for t in plan.tasks),
    )
    part = PARTS.get(person.role, Part.PROMISE)
    names = list(dict.fromkeys(c.by for c in covers if c.by))
    text = say("{who} for {missing}", who=listed([Who(p) for p in names], 3),
               missing=Who(person.id))  # fmt: skip
    return Offer(f"cover/{person.id}", part, text, new, 0.0)


def cover_named(cook: Cook, option: str, now: datetime) -> Offer | None:
    """Return the cover for whom an option names, as it stands now."""
    cards = cook.cards
    person = cards.person(option.removeprefix("cover/")) if cards else None
    return cover_offer(cook, person, now) if person is not None else None


def _handed(item: Job, was: str, hands: Mapping[str, str]) -> Job:
    taker = hands.get(key_of(item))
    if taker is None:
        return item
    return replace(item, crew=tuple(taker if p == was else p for p in item.crew))


def person_in(cook: Cook, wish: PersonIn, by: str, at: datetime, now: datetime) -> Decision:
    """Book that somebody is there; their jobs stay with whoever took them."""
    person = person_named(cook, wish.person)
    jobs = _jobs(cook, person, now)
    head = say("{who} here {clock}.", who=Who(person.id), clock=Clock(at))
    nxt = tuple(
        say("Next for {who}: {job} {clock}.", who=Who(person.id),
            job=job_name(job, cook.cards), clock=Clock(job.start))
        for job in jobs[:1]
    )  # fmt: skip
    if person.id not in cook.slips.away:
        return Decision(answer=Answer((head, *nxt)))
    fact = Dated(at, PersonArrived(person.id))
    chef = cook.cards.chef if cook.cards else None
    told: tuple[Notice, ...] = ()
    if chef is not None and chef.id not in {by, person.id}:
        told = (Notice(f"here/{cook.seq}", (chef.id,), (head,), kind="finding"),)
    return Decision((fact,), Answer((head, *nxt)), told)


def person_named(cook: Cook, name: str) -> Person:
    """Return the one of the crew who is meant."""
    crew = cook.cards.crew if cook.cards else ()
    wanted = name.casefold()
    numbered = re.fullmatch(r"server (\d)", wanted)
    servers = [p for p in crew if p.role is Role.LANE]
    if numbered is not None and 0 < int(numbered[1]) <= len(servers):
        return servers[int(numbered[1]) - 1]
    found = [p for p in crew if wanted in {p.id.casefold(), p.name.casefold()}]
    if not found:
        raise UnknownNameError("person on this crew", name, ", ".join(p.name for p in crew)[:120])
    return found[0]
