"""Who does what: able, on shift, clean hands, and never in two places."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from core.model import FIRES, Person, Role
from core.planner.check.day import SLACK_MIN, Day, Job, Violation


def people_violations(day: Day) -> Iterator[Violation]:
    """Yield what is wrong with the crew of each job."""
    for job in day.jobs:
        if job.step.hands and day.judged(job):
            yield from _enough(job)
            for name in job.crew:
                yield from _person(day, job, name)
    for person in day.cards.crew:
        yield from _twice(day, person)


def _enough(job: Job) -> Iterator[Violation]:
    if len(set(job.crew)) < job.step.hands:
        yield Violation("hands", job.key, f"{len(set(job.crew))} of {job.step.hands}")


def _person(day: Day, job: Job, name: str) -> Iterator[Violation]:
    person = day.cards.person(name)
    if person is None:
        yield Violation("who", job.key, f"nobody is called {name}")
        return
    skill = job.step.skill
    has = {*person.skills, person.role.value, *(lead.value for lead in person.leads)}
    if skill is not None and skill not in has:
        yield Violation("skill", job.key, f"{name} has no {skill}")
    if person.role is Role.RAW and not _raw(day, job):
        yield Violation("raw hands", job.key, f"{name} is kept for raw meat")
    if person.shifts and not _there(day, person, job):
        yield Violation("shift", job.key, f"{name} is not there")


def _raw(day: Day, job: Job) -> bool:
    """Return whether the dish has not yet been on its first fire."""
    steps = day.dish(job.dish).steps
    fires = [
        n
        for n, s in enumerate(steps)
        if s.station and any(x.kind in FIRES for x in day.cards.kit.matching(s.station))
    ]
    return bool(fires) and job.index < fires[0]


def _there(day: Day, person: Person, job: Job) -> bool:
    event = day.cards.event
    return any(
        day.minute(event.instant(a)) - SLACK_MIN <= job.start
        and job.end <= day.minute(event.instant(b)) + SLACK_MIN
        for a, b in person.shifts
    )


def _twice(day: Day, person: Person) -> Iterator[Violation]:
    mine = sorted(
        (j for j in day.jobs if j.step.hands and person.id in j.crew),
        key=lambda j: (j.start, j.end),
    )
    for one, other in pairwise(mine):
        if day.judged(other) and other.start < one.end - SLACK_MIN:
            yield Violation("twice", other.key, f"{person.id} is still at {one.key}")
