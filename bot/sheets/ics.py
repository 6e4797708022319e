"""The plan as a calendar file, RFC 5545: one event for each step and task, without alarms.

An event keeps its UID from plan to plan, so that a calendar moves it instead of adding another;
the letter of the plan counts as its SEQUENCE. The bot calls; a calendar that rang too would ring
for what has moved.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from bot.render import render
from core.cook.names import thing_of, verb_of
from core.model import Cards, Label, Line, Plan, Qty, StepRun, Task, say

if TYPE_CHECKING:
    from icalendar import Event


def plan_ics(plan: Plan, cards: Cards, lang: str) -> bytes:
    """Return every step and task of a plan as a calendar.

    DTSTAMP is the plan's first instant: a plan does not say when it was made, and the same plan is
    to be the same bytes.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", "-//pitcrier//plan//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", cards.event.name)
    jobs: list[StepRun | Task] = [*plan.runs(), *plan.tasks]
    jobs.sort(key=lambda job: (job.start, job.end, _key(job)))
    stamp = min((job.start for job in jobs), default=plan.plates_at)
    for job in jobs:
        calendar.add_component(_event(job, plan, cards, lang, stamp))
    return bytes(calendar.to_ical())


def _key(job: StepRun | Task) -> str:
    return job.key if isinstance(job, StepRun) else job.id


def _event(job: StepRun | Task, plan: Plan, cards: Cards, lang: str, stamp: datetime) -> Event:
    from icalendar import Event

    def words(line: Line) -> str:
        return render(line, lang, cards.event.zone)

    event = Event()
    event.add("uid", f"{_key(job)}/{cards.event.id}/{cards.event.day.isoformat()}@pitcrier")
    event.add("dtstamp", stamp.astimezone(UTC))
    event.add("sequence", sequence_of(plan.letter))
    event.add("dtstart", job.start.astimezone(UTC))
    if job.end > job.start:  # an event may not end before or as it begins
        event.add("dtend", job.end.astimezone(UTC))
    event.add(
        "summary",
        words(say("{verb} {thing}", verb=verb_of(job.do), thing=thing_of(job, cards))),
    )
    if job.station:
        event.add("location", job.station)
    details = _details(job, plan, cards)
    event.add("description", "\n".join(words(line) for line in details))
    return event


def _details(job: StepRun | Task, plan: Plan, cards: Cards) -> tuple[Line, ...]:
    who = ", ".join(p.name if (p := cards.person(x)) else x for x in job.crew)
    lines = [say("PLAN {letter}", letter=Label(plan.letter))]
    if who:
        lines.append(Line("{who}", {"who": Label(who)}))
    if job.count:
        lines.append(Line("{count}", {"count": Qty(job.count, "pieces", 0)}))
    if job.temp_c is not None:
        lines.append(say("fire {temp}", temp=Qty(job.temp_c, "°C", 0)))
    if isinstance(job, StepRun) and job.until_core_c is not None:
        lines.append(say("core {temp}", temp=Qty(job.until_core_c, "°C", 0)))
    return tuple(lines)


def sequence_of(letter: str) -> int:
    """Return a plan's place in the row of plans: A is 0, Z is 25, AA is 26.

    Examples
    --------
    >>> [sequence_of(letter) for letter in ("A", "B", "Z", "AA")]
    [0, 1, 25, 26]
    """
    number = 0
    for sign in letter:
        number = number * 26 + ord(sign.upper()) - ord("A") + 1
    return max(number - 1, 0)
