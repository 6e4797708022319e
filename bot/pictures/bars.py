"""Which bar stands in which row of the timeline: values only, nothing is drawn here.

Prep days are left out: the picture begins with the first fire that burns into the day of the event
and ends with the last plates. What waits in a fridge has no bar.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import Enum

from core.cook.names import dish_name
from core.model import FIRES, Cards, Load, Moment, Plan, Station, StationKind, StepRun, Task, Tied

ORDER = tuple(StationKind)
COLD = frozenset({StationKind.FRIDGE, StationKind.COLD_BOX, StationKind.TUB})
LIT_BEFORE = timedelta(minutes=15)
HELD = COLD | {StationKind.HOT_BOX}
AT_ONCE = timedelta(minutes=1)
OF_THE_FIRE = frozenset({"light", "feed", "open"})
"""Tasks of a station itself, whatever it is for."""

OFF_DUTY = frozenset({"break"})
NUMBERED = re.compile(r"L\d+")
"""A load's name where the chef gave it none: it is only unique within its dish."""


class Detail(Enum):
    """How much is drawn. BRIEF joins batches that follow each other at once and leaves out what
    rests or is prepared; FIRES shows what is on the fires and nothing else.
    """

    FULL = 1
    BRIEF = 2
    FIRES = 3


@dataclass(frozen=True, slots=True)
class Window:
    """From the first fire to the last plates."""

    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class Bar:
    """One stretch of time on a station. `verb` is given where it is not simply food on a fire."""

    start: datetime
    end: datetime
    name: str
    verb: str = ""
    temp_c: float | None = None
    who: tuple[str, ...] = ()
    load: str | None = None
    step: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """A station and its bars. What all bars share, `temp_c` and `who`, is said once for the row."""

    station: str
    bars: tuple[Bar, ...]
    temp_c: float | None = None
    who: tuple[str, ...] = ()


def window_of(plan: Plan, cards: Cards) -> Window:
    """Return from when to when the picture goes."""
    day = cards.event.instant(Moment(0, 0, 0))
    fires = [run.start for run in plan.runs() if run.on_fire and run.end >= day]
    start = min(fires, default=plan.plates_at - timedelta(hours=1))
    lights = [
        t.start
        for t in plan.tasks
        if t.do == "light" and t.end >= start - LIT_BEFORE and t.end >= day
    ]
    return Window(min([start, *lights]), last_plates(plan))


def last_plates(plan: Plan) -> datetime:
    """Return when the last portion is eaten, as far as the plan knows."""
    eaten = [load.ready + timedelta(minutes=load.hold_min) for load in plan.loads]
    ready = [load.ready for load in plan.loads]
    return max([plan.plates_at, *eaten, *ready])


def rows_of(plan: Plan, cards: Cards, detail: Detail = Detail.FULL) -> tuple[Row, ...]:
    """Return the stations with something on them, fires first."""
    window = window_of(plan, cards)
    found: dict[str, list[Bar]] = {}
    for load, job in jobs_of(plan):
        if _shows(job, window, cards) and _told(job, detail, cards):
            bar = _bar(job, load, window, plan, cards)
            found.setdefault(job.station or "", []).append(bar)
    rows = []
    for station in sorted(found, key=lambda s: _rank(s, cards.kit.stations)):
        bars = sorted(found[station], key=lambda b: (b.start, b.end, b.name))
        joins = detail is not Detail.FULL or _kind_of(station, cards) in HELD
        rows.append(_row(station, tuple(_merged(bars) if joins else bars)))
    return tuple(rows)


def jobs_of(plan: Plan) -> Iterator[tuple[Load | None, StepRun | Task]]:
    """Yield every run and task with the load it belongs to."""
    for load in plan.loads:
        for run in load.runs:
            yield load, run
    named = {(load.dish, load.name): load for load in plan.loads}
    for task in plan.tasks:
        yield named.get((task.dish or "", task.load or "")), task


def _shows(job: StepRun | Task, window: Window, cards: Cards) -> bool:
    if not (job.start < window.end and job.end > window.start):
        return False
    if isinstance(job, StepRun) and job.on_fire:
        return True
    if job.do in OFF_DUTY or _kind(job, cards) in COLD:
        return False
    return job.start >= window.start and bool(job.station or job.crew)


def _kind(job: StepRun | Task, cards: Cards) -> StationKind | None:
    """Return the kind of station a job is on, named by id, family or kind."""
    return _kind_of(job.station or "", cards)


def _kind_of(station: str, cards: Cards) -> StationKind | None:
    found = cards.kit.matching(station) if station else ()
    return found[0].kind if found else None


def _told(job: StepRun | Task, detail: Detail, cards: Cards) -> bool:
    if isinstance(job, StepRun) and job.on_fire:
        return True
    match detail:
        case Detail.FULL:
            return True
        case Detail.BRIEF:
            kind = _kind(job, cards)
            tied = job.tied is Tied.PLATES and kind not in HELD | {StationKind.LANE, None}
            return tied or (job.do == "light" and kind in FIRES)
        case Detail.FIRES:
            return False


def _bar(
    job: StepRun | Task, load: Load | None, window: Window, plan: Plan, cards: Cards
) -> Bar:  # fmt: skip
    name = ""
    if job.do not in OF_THE_FIRE:
        name = _load_name(load, plan, cards, _unit(job)) if load else ""
        name = name or (dish_name(job.dish, cards) if job.dish else "")
    on_fire = isinstance(job, StepRun) and job.on_fire
    return Bar(
        max(job.start, window.start),
        min(job.end, window.end),
        name,
        verb="" if on_fire else job.do,
        temp_c=job.temp_c,
        who=tuple(p.name if (p := cards.person(x)) else x for x in job.crew),
        load=load.id if load and name else None,
        step=job.step or "",
    )


def _unit(job: StepRun | Task) -> str:
    return job.unit if isinstance(job, StepRun) else ""


def _load_name(load: Load, plan: Plan, cards: Cards, unit: str = "") -> str:
    """Return what the crew calls it: the name alone where no other dish has it."""
    same = {x.dish for x in plan.loads if x.name == load.name}
    name = unit or load.name
    if len(same) > 1 or NUMBERED.fullmatch(load.name):
        return f"{dish_name(load.dish, cards)} {name}"
    return name


def _rank(name: str, stations: Sequence[Station]) -> tuple[int, int]:
    for n, station in enumerate(stations):
        if name in {station.id, station.family, station.kind}:
            return ORDER.index(station.kind), n
    return len(ORDER), 0


def _merged(bars: Iterable[Bar]) -> Iterator[Bar]:
    """Yield batches of one load that follow each other at once as one bar, by the load's name."""
    last: Bar | None = None
    for bar in bars:
        goes_on = (
            last is not None
            and bar.load is not None
            and (last.load, last.step, last.temp_c) == (bar.load, bar.step, bar.temp_c)
            and bar.start - last.end <= AT_ONCE
        )
        if goes_on and last is not None:
            who = tuple(dict.fromkeys((*last.who, *bar.who)))
            name = re.sub(r"\.\d+$", "", last.name)
            last = replace(last, end=max(last.end, bar.end), name=name, who=who)
            continue
        if last is not None:
            yield last
        last = bar
    if last is not None:
        yield last


def _row(station: str, bars: tuple[Bar, ...]) -> Row:
    temps = {b.temp_c for b in bars if b.temp_c is not None}
    crews = {b.who for b in bars if b.who}
    temp_c = temps.pop() if len(temps) == 1 else None
    who = crews.pop() if len(crews) == 1 else ()
    plain = tuple(
        replace(b, temp_c=None if temp_c is not None else b.temp_c, who=() if who else b.who)
        for b in bars
    )
    return Row(station, plain, temp_c, who)


def spare_of(plan: Plan, cards: Cards) -> tuple[tuple[str, Load], ...]:
    """Return each load with its name as it is called, in order of being ready."""
    loads = sorted(plan.loads, key=lambda x: (x.ready, x.id))
    return tuple((_load_name(load, plan, cards), load) for load in loads)
