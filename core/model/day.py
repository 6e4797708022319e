"""The day: readings, progress and calls."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from core.model.lines import Line
from core.model.vocabulary import Place, Sound


@dataclass(frozen=True, slots=True)
class Reading:
    """A temperature (°C) or weight (kg): of what, where, by which instrument, by whom, when."""

    value: float
    place: Place
    at: datetime
    who: str
    about: str = ""
    unit: str = "°C"
    instrument: str = ""


@dataclass(frozen=True, slots=True)
class Progress:
    """What has happened so far, for a re-plan. Keys are `StepRun.key` or `Task.id`.

    `started` and `ended` are true times; `expected_end` a better guess of a running step's end
    (a thermometer's, or somebody saying so); `not_before` the earliest start of something that
    waits (somebody said it runs late); `down` stations out of use, from and until (None: for
    good); `moved` runs that went to another station; `gone` pieces binned, by run.
    """

    now: datetime
    started: Mapping[str, datetime] = field(default_factory=dict)
    ended: Mapping[str, datetime] = field(default_factory=dict)
    expected_end: Mapping[str, datetime] = field(default_factory=dict)
    not_before: Mapping[str, datetime] = field(default_factory=dict)
    down: Mapping[str, tuple[datetime, datetime | None]] = field(default_factory=dict)
    moved: Mapping[str, str] = field(default_factory=dict)
    gone: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Call:
    """One timed line to the person who must act. `key` is stable across plans and restarts.

    `to` are person ids, or ('room',). `about` is the run or task key it is for. A call of a higher
    `rung` repeats an unanswered one to somebody else. `quiet` are those of `to` whom it does not
    ring, by their own wish or because they had enough: they read it in the room.
    """

    key: str
    at: datetime
    to: tuple[str, ...]
    line: Line
    sound: Sound = Sound.ONCE
    kind: str = "step"
    about: str = ""
    rung: int = 0
    choices: tuple[Line, ...] = ()
    must: bool = False
    load: str | None = None
    step: str | None = None
    quiet: tuple[str, ...] = ()
