"""The plan and the cards side by side, in minutes from an arbitrary start."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from core.model import FIRES, Cards, Dish, Plan, Station, Step, StepRun, Task

SLACK_MIN = 0.6
"""Plans are on half minutes; less than this is rounding."""


@dataclass(frozen=True, slots=True)
class Violation:
    """One rule broken: its name, what it is about, and how."""

    rule: str
    about: str
    text: str


@dataclass(frozen=True, slots=True)
class Job:
    """A run or a step's task: what, where, when (minutes), by whom."""

    key: str
    dish: str
    load: str
    unit: str
    step: Step
    index: int
    count: int
    station: str | None
    start: float
    end: float
    crew: tuple[str, ...]

    @property
    def minutes(self) -> float:
        """Return how long it takes."""
        return self.end - self.start


@dataclass(frozen=True)
class Day:
    """What the judge looks at."""

    cards: Cards
    plan: Plan
    since: datetime | None = None

    def minute(self, at: datetime) -> float:
        """Return an instant in minutes after first plates (negative before)."""
        return (at - self.plan.plates_at).total_seconds() / 60

    @cached_property
    def now(self) -> float:
        """Return from when on things are judged."""
        return float("-inf") if self.since is None else self.minute(self.since)

    @cached_property
    def jobs(self) -> tuple[Job, ...]:
        """Return all runs, and the tasks that are steps of dishes."""
        found = [self._of_run(run) for run in self.plan.runs()]
        found.extend(job for task in self.plan.tasks if (job := self._of_task(task)) is not None)
        return tuple(sorted(found, key=lambda job: (job.start, job.key)))

    def _of_run(self, run: StepRun) -> Job:
        return Job(
            run.key,
            run.dish,
            run.load,
            run.unit,
            self.dish(run.dish).steps[run.index],
            run.index,
            run.count,
            run.station,
            self.minute(run.start),
            self.minute(run.end),
            run.crew,
        )

    def _of_task(self, task: Task) -> Job | None:
        """Return a task as a job, if it is a step of a dish."""
        dish = self._known(task.dish)
        if dish is None or task.step is None:
            return None
        index = [s.id for s in dish.steps].index(task.step)
        return Job(
            task.id,
            dish.id,
            "",
            task.batch or "",
            dish.steps[index],
            index,
            task.count or 0,
            task.station,
            self.minute(task.start),
            self.minute(task.end),
            task.crew,
        )

    def judged(self, job: Job) -> bool:
        """Return whether a job is still to come."""
        return job.start >= self.now

    def dish(self, dish_id: str) -> Dish:
        """Return a dish by id."""
        return self.cards.dish(dish_id)

    def _known(self, dish_id: str | None) -> Dish | None:
        return next((d for d in self.cards.dishes if d.id == dish_id), None)

    def station(self, job: Job) -> Station | None:
        """Return the single station a job names; None where it names only a kind."""
        return self.cards.station(job.station) if job.station else None

    def on_fire(self, job: Job) -> bool:
        """Return whether a job is on a fire."""
        station = self.station(job)
        return station is not None and station.kind in FIRES

    def waits(self, step: Step) -> bool:
        """Return whether a step is a wait: no hands and no fire."""
        stations = self.cards.kit.matching(step.station) if step.station else ()
        return step.hands == 0 and not any(s.kind in FIRES for s in stations)

    @cached_property
    def shift(self) -> float:
        """Return by how many minutes plates moved from the card."""
        starts = [s.start for s in self.cards.event.serve if not s.leftovers]
        return -self.minute(self.cards.event.instant(min(starts)))
