"""The plan: loads and tasks on stations with times, people, slack and findings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from core.model.dish import Pack
from core.model.lines import Line
from core.model.vocabulary import Profile, Tied, Verdict


@dataclass(frozen=True, slots=True)
class StepRun:
    """One step of one load, lot or batch with its times.

    `key` is unique in a plan and stable across plans: 'lamb/A/smoke', 'lamb/A/sear/2'. `index`
    is the step's place on its dish card; `unit` the load ('A'), lot ('A') or batch ('A.2').
    `crew` are person ids; `checks` the planned looks as instants with the core to expect, °C;
    `on_fire` whether its station is a fire.
    """

    key: str
    dish: str
    load: str
    unit: str
    index: int
    step: str
    do: str
    count: int
    station: str | None
    start: datetime
    end: datetime
    crew: tuple[str, ...] = ()
    checks: tuple[tuple[datetime, float], ...] = ()
    turns: tuple[datetime, ...] = ()
    never_after: datetime | None = None
    tied: Tied = Tied.ELASTIC
    on_fire: bool = False
    temp_c: float | None = None
    until_core_c: float | None = None


@dataclass(frozen=True, slots=True)
class Load:
    """Food that goes on and comes off its first fire together, from on to plates.

    `number` is L1, L2… per dish in order of going on; `name` what the crew calls it ('A').
    """

    id: str
    number: str
    name: str
    dish: str
    count: int
    station: str
    on: datetime
    off: datetime
    ready: datetime
    needed_by: datetime
    slack_min: float
    hold_min: float
    runs: tuple[StepRun, ...]
    crew: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Task:
    """A single job that is no load: light a fire, dress a salad, a prep-day step, open a lane.

    `dish`, `load`, `step` and `batch` say what it is for, where it is for something.
    """

    id: str
    do: str
    station: str | None
    start: datetime
    end: datetime
    dish: str | None = None
    load: str | None = None
    step: str | None = None
    batch: str | None = None
    count: int | None = None
    crew: tuple[str, ...] = ()
    temp_c: float | None = None
    never_after: datetime | None = None
    tied: Tied = Tied.ELASTIC


@dataclass(frozen=True, slots=True)
class Bottleneck:
    """The slowest link: what it can do an hour and what is asked of it, portions an hour."""

    station: str
    text: Line
    per_hour: float
    demand_per_hour: float


@dataclass(frozen=True, slots=True)
class Make:
    """So much of something to make: brine, dressing, salad."""

    item: str
    qty: float
    unit: str
    of: str = ""


@dataclass(frozen=True, slots=True)
class Buy:
    """So much to buy, and in which packs; what is left over, in `unit`."""

    item: str
    need: float
    unit: str
    packs: tuple[tuple[Pack, int], ...] = ()
    leftover: float = 0.0


@dataclass(frozen=True, slots=True)
class Finding:
    """Unsafe, late, short or unknown: what rule, until when, what to do, who may lift it."""

    kind: str
    text: Line
    verdict: Verdict | None = None
    rule: str = ""
    profile: Profile | None = None
    source: str = ""
    status: str = ""
    deadline: datetime | None = None
    lift_by: tuple[str, ...] = ()
    about: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole schedule. Lettered A, B, C… with the reason it replaced the last."""

    letter: str
    heads: int
    plates_at: datetime
    loads: tuple[Load, ...]
    tasks: tuple[Task, ...]
    bottleneck: Bottleneck | None = None
    make: tuple[Make, ...] = ()
    buy: tuple[Buy, ...] = ()
    fits: str = "yes"
    fixes: tuple[Line, ...] = ()
    findings: tuple[Finding, ...] = ()
    reason: str = ""
    engine: str = "list"

    def runs(self) -> Iterator[StepRun]:
        """Yield every step run of every load."""
        for load in self.loads:
            yield from load.runs

    def load(self, load_id: str) -> Load | None:
        """Return the load with this id."""
        return next((x for x in self.loads if x.id == load_id), None)
