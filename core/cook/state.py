"""The cook as the facts made it. `evolve` books one entry; `replay` books a whole log."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import StrEnum
from functools import reduce
from typing import assert_never

from core.cook.heat_book import HeatBook, heat_booked
from core.cook.house_book import HouseBook, house_booked
from core.cook.safety.book import SafetyBook, safety_booked
from core.cook.service.book import ServiceBook, serviced
from core.cook.slips.book import SlipsBook, booked_slip, settled
from core.facts import (
    CallAnswered,
    CallMade,
    CardsTaken,
    CookClosed,
    CookStarted,
    EndExpected,
    Entry,
    HeadsChanged,
    HeatFact,
    HouseFact,
    KitchenFact,
    LateReported,
    Loaded,
    PersonAdded,
    PlanAdopted,
    PlatesMoved,
    QuestionAnswered,
    QuestionAsked,
    ReadingTaken,
    Report,
    Retimed,
    SafetyFact,
    ServiceFact,
    SlipFact,
    StepReported,
    Undone,
    VerdictGiven,
)
from core.model import Call, Cards, Finding, Load, Plan, Progress, Reading, StepRun, Task


class Phase(StrEnum):
    """How far one run of a step, or one task, has come."""

    WAITING = "waiting"
    RUNNING = "running"
    OVER = "over"
    GONE = "gone"


NEXT: Mapping[tuple[Phase, Report], Phase] = {  # buttons, checks and `decide` read this
    (Phase.WAITING, Report.START): Phase.RUNNING,
    (Phase.WAITING, Report.DONE): Phase.OVER,  # short jobs are ticked, never started
    (Phase.RUNNING, Report.DONE): Phase.OVER,  # then the next step of the card waits
    (Phase.WAITING, Report.DISCARD): Phase.GONE,  # only when none of its pieces are left
    (Phase.RUNNING, Report.DISCARD): Phase.GONE,
    (Phase.OVER, Report.DISCARD): Phase.GONE,  # what is left after service
    (Phase.WAITING, Report.MOVE): Phase.WAITING,
    (Phase.RUNNING, Report.MOVE): Phase.RUNNING,
    (Phase.RUNNING, Report.READING): Phase.RUNNING,
}


@dataclass(frozen=True, slots=True)
class Job:
    """What happened to one run or task: true times, pieces binned, station it moved to."""

    phase: Phase = Phase.WAITING
    started: datetime | None = None
    ended: datetime | None = None
    gone: int = 0
    station: str | None = None


@dataclass(frozen=True, slots=True)
class Made:
    """A call that was made, and who answered it when."""

    call: Call
    seq: int
    answered_by: str | None = None
    answered_at: datetime | None = None
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Open:
    """A question that was asked; `answered` is the choice tapped, None while open."""

    question: QuestionAsked
    seq: int
    asked: datetime
    answered: int | None = None


@dataclass(frozen=True, slots=True)
class Cook:
    """One cook under way. Empty until its first fact."""

    id: str = ""
    seq: int = 0
    cards: Cards | None = None
    plan: Plan | None = None
    heads: int = 0
    plates_at: datetime | None = None
    jobs: Mapping[str, Job] = field(default_factory=dict)
    readings: tuple[Reading, ...] = ()
    late: Mapping[str, datetime] = field(default_factory=dict)
    calls: Mapping[str, Made] = field(default_factory=dict)
    questions: Mapping[str, Open] = field(default_factory=dict)
    verdicts: tuple[Finding, ...] = ()
    loaded: frozenset[str] = frozenset()
    entries: tuple[Entry, ...] = ()
    closed: bool = False
    service: ServiceBook = field(default_factory=ServiceBook)
    safety: SafetyBook = field(default_factory=SafetyBook)
    slips: SlipsBook = field(default_factory=SlipsBook)
    heat: HeatBook = field(default_factory=HeatBook)
    house: HouseBook = field(default_factory=HouseBook)

    def job(self, key: str) -> Job:
        """Return what is known of a run or task; a fresh one if nothing is."""
        return self.jobs.get(key, Job())

    def phase(self, key: str) -> Phase:
        """Return how far a run or task has come."""
        return self.job(key).phase

    def open_calls(self, person: str) -> tuple[Made, ...]:
        """Return the unanswered calls to a person, oldest first."""
        mine = [m for m in self.calls.values() if person in m.call.to and m.answered_by is None]
        return tuple(sorted(mine, key=lambda m: m.seq))

    def open_questions(self, person: str) -> tuple[Open, ...]:
        """Return the open questions to a person, oldest first."""
        mine = [q for q in self.questions.values() if self._asks(q, person)]
        return tuple(sorted((q for q in mine if q.answered is None), key=lambda q: q.seq))

    def _asks(self, open_: Open, person: str) -> bool:
        """Say whether a question is to a person, or was handed to them for a silent chef."""
        handed = self.calls.get(f"silent/{open_.question.key}")
        return person in open_.question.to or (handed is not None and person in handed.call.to)


def progress(cook: Cook, now: datetime) -> Progress:
    """Return what a re-plan needs to know of the day so far."""
    jobs = cook.jobs.items()
    return Progress(
        now=now,
        started={k: j.started for k, j in jobs if j.started},
        ended={k: j.ended for k, j in jobs if j.ended},
        expected_end={k: at for k, at in cook.late.items() if cook.phase(k) is Phase.RUNNING},
        not_before={k: at for k, at in cook.late.items() if cook.phase(k) is Phase.WAITING},
        moved={k: j.station for k, j in jobs if j.station},
        gone={k: j.gone for k, j in jobs if j.gone},
    )


def replay(entries: Iterable[Entry]) -> Cook:
    """Return the cook a log describes; the same log always gives the same cook."""
    return reduce(evolve, entries, Cook())


def evolve(cook: Cook, entry: Entry) -> Cook:
    """Return the cook after one more entry of its log."""
    if isinstance(entry.fact, Undone):
        return _without(cook, entry, entry.fact.seqs)
    return _booked(
        replace(cook, seq=entry.seq, entries=(*cook.entries, entry)),
        entry,
    )


def _without(cook: Cook, entry: Entry, seqs: tuple[int, ...]) -> Cook:
    kept = [e for e in cook.entries if e.seq not in seqs]
    again = reduce(_booked, kept, Cook())
    return replace(again, seq=entry.seq, entries=(*kept, entry))


def _booked(cook: Cook, entry: Entry) -> Cook:
    if isinstance(entry.fact, SafetyFact):
        return replace(cook, safety=safety_booked(cook.safety, entry.fact, entry.at))
    if isinstance(entry.fact, SlipFact):
        return replace(cook, slips=booked_slip(cook.slips, entry.fact, entry.at))
    if isinstance(entry.fact, HeatFact):
        return replace(cook, heat=heat_booked(cook.heat, entry.fact, entry.at))
    if isinstance(entry.fact, HouseFact):
        return replace(cook, house=house_booked(cook.house, entry.fact))
    if isinstance(entry.fact, KitchenFact):
        return cook  # the house's own stream; a cook holds none
    if isinstance(entry.fact, ServiceFact):
        return replace(cook, service=serviced(cook.service, entry.fact, entry.at, entry.by))
    match entry.fact:
        case CookStarted(cook=cook_id):
            return replace(cook, id=cook_id)
        case CardsTaken(cards=cards):
            return replace(cook, cards=cards, heads=cards.event.heads)
        case PersonAdded(person=person) if cook.cards is not None:
            crew = (*cook.cards.crew, person)
            return replace(cook, cards=replace(cook.cards, crew=crew))
        case PersonAdded():
            return cook
        case PlanAdopted(plan=plan):
            slips = settled(cook.slips)
            return replace(cook, plan=plan, heads=plan.heads, plates_at=plan.plates_at, slips=slips)
        case HeadsChanged(heads=heads, split=split):
            return replace(cook, heads=heads, slips=replace(cook.slips, split=split))
        case PlatesMoved(at=at):
            return replace(cook, plates_at=at)
        case StepReported() as fact:
            return replace(
                cook, jobs={**cook.jobs, fact.run: _job(cook.job(fact.run), fact, entry)}
            )
        case Retimed(times=times):
            return replace(cook, plan=_retimed(cook.plan, times)) if cook.plan else cook
        case ReadingTaken(reading=reading):
            return replace(cook, readings=(*cook.readings, reading))
        case LateReported(item=item, until=until):
            return replace(cook, late={**cook.late, item: until})
        case EndExpected() as fact:
            return _end_expected(cook, fact)
        case CallMade(call=call):
            return replace(cook, calls={**cook.calls, call.key: Made(call, entry.seq, at=entry.at)})
        case CallAnswered(key=key):
            return _answered(cook, key, entry)
        case QuestionAsked() as question:
            asked = Open(question, entry.seq, entry.at)
            return replace(cook, questions={**cook.questions, question.key: asked})
        case QuestionAnswered(key=key, number=number):
            done = replace(cook.questions[key], answered=number)
            return replace(cook, questions={**cook.questions, key: done})
        case Loaded(items=items_in):
            return replace(cook, loaded=cook.loaded | frozenset(items_in))
        case VerdictGiven(finding=finding):
            return replace(cook, verdicts=(*cook.verdicts, finding))
        case CookClosed():
            return replace(cook, closed=True)
        case Undone():
            return cook  # handled by evolve; a kept Undone has nothing left to undo
        case _:
            assert_never(entry.fact)


def _job(job: Job, fact: StepReported, entry: Entry) -> Job:
    moved = replace(job, station=fact.station) if fact.station else job
    match fact.report:
        case Report.START:
            return replace(moved, phase=Phase.RUNNING, started=entry.at)
        case Report.DONE:
            return replace(moved, phase=Phase.OVER, ended=entry.at)
        case Report.DISCARD:
            phase = Phase.GONE if fact.count is None else moved.phase
            return replace(moved, phase=phase, gone=moved.gone + (fact.count or 0))
        case Report.MOVE | Report.READING:
            return moved


def _end_expected(cook: Cook, fact: EndExpected) -> Cook:
    """Book a running step's new end; its next look replaces the planned ones still to come."""
    late = {**cook.late, fact.item: fact.end}
    if cook.plan is None or fact.check_at is None or fact.expect_c is None:
        return replace(cook, late=late)
    look = (fact.check_at, fact.expect_c)
    loads = tuple(
        replace(load, runs=tuple(_with_look(run, fact.item, look) for run in load.runs))
        for load in cook.plan.loads
    )
    return replace(cook, late=late, plan=replace(cook.plan, loads=loads))


def _with_look(run: StepRun, key: str, look: tuple[datetime, float]) -> StepRun:
    return replace(run, checks=(look,)) if run.key == key else run


def _answered(cook: Cook, key: str, entry: Entry) -> Cook:
    made = cook.calls.get(key)
    if made is None or made.answered_by is not None:
        return cook
    done = replace(made, answered_by=entry.by, answered_at=entry.at)
    return replace(cook, calls={**cook.calls, key: done})


def _retimed(plan: Plan, times: Mapping[str, tuple[datetime, datetime]]) -> Plan:
    return replace(
        plan,
        loads=tuple(_load_retimed(load, times) for load in plan.loads),
        tasks=tuple(
            _task_retimed(task, *times[task.id]) if task.id in times else task
            for task in plan.tasks
        ),
    )


def _task_retimed(task: Task, start: datetime, end: datetime) -> Task:
    limit = task.never_after and task.never_after + (start - task.start)
    return replace(task, start=start, end=end, never_after=limit)


def _load_retimed(load: Load, times: Mapping[str, tuple[datetime, datetime]]) -> Load:
    if not any(run.key in times for run in load.runs):
        return load
    runs = tuple(
        _run_retimed(run, *times[run.key]) if run.key in times else run for run in load.runs
    )
    ready = max((run.end for run in runs), default=load.ready)
    on, off = fire_window(runs) or (load.on, load.off)
    shift_min = (ready - load.ready).total_seconds() / 60
    return replace(
        load,
        runs=runs,
        on=on,
        off=off,
        ready=ready,
        slack_min=load.slack_min - shift_min,
        hold_min=max(0.0, load.hold_min - shift_min),
    )


def _run_retimed(run: StepRun, start: datetime, end: datetime) -> StepRun:
    shift = start - run.start
    return replace(
        run,
        start=start,
        end=end,
        checks=tuple((at + shift, core_c) for at, core_c in run.checks),
        turns=tuple(at + shift for at in run.turns),
        never_after=run.never_after and run.never_after + shift,
    )


def fire_window(runs: Iterable[StepRun]) -> tuple[datetime, datetime] | None:
    """Return when the first fire step of these runs starts and ends."""
    first = next((run for run in runs if run.on_fire), None)
    return (first.start, first.end) if first else None


def items(plan: Plan) -> dict[str, StepRun | Task]:
    """Return every run and task of a plan by its key."""
    found: dict[str, StepRun | Task] = {run.key: run for run in plan.runs()}
    return found | {task.id: task for task in plan.tasks}
