"""What can be meant now, and what a line may turn out to be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, tzinfo

from core.facts import Wish
from core.model import Line


@dataclass(frozen=True, slots=True)
class Ear:
    """Who speaks, when, and the names that can be meant.

    `units` are loads, lots and batches ('A', 'A.2'); `dishes` and `people` are (id, name);
    `tasks` the keys of runs and tasks, of which some are `running` and some `over`; `kinds` says
    which kind a station is; `heads` is how many are fed now; `probes` are thermometers, `goods`
    the cards' ingredients; `off` who is off sick; `photo` the sha256 of a picture that came with
    the line. Whatever is empty or None is not known.
    """

    now: datetime
    zone: tzinfo
    languages: tuple[str, ...] = ("en",)
    who: str = ""
    loads: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    stations: tuple[str, ...] = ()
    dishes: tuple[tuple[str, str], ...] = ()
    people: tuple[tuple[str, str], ...] = ()
    tasks: tuple[str, ...] = ()
    plates_at: datetime | None = None
    heads: int | None = None
    running: frozenset[str] = frozenset()
    over: frozenset[str] = frozenset()
    kinds: Mapping[str, str] = field(default_factory=dict)
    probes: tuple[str, ...] = ()
    goods: tuple[str, ...] = ()
    off: frozenset[str] = frozenset()
    photo: str | None = None
    wants_number: bool = False

    @property
    def lang(self) -> str:
        """Return the language a line is read in where its words do not tell."""
        return self.languages[0] if self.languages else "en"


@dataclass(frozen=True, slots=True)
class Wished:
    """Something to decide; `at` is when it happened, None for now."""

    wishes: tuple[Wish, ...]
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Queried:
    """Where things stand: status, next, me, who, plan, help, sos, mute, cook."""

    what: str
    arg: str = ""


@dataclass(frozen=True, slots=True)
class Asked:
    """A quick question."""

    text: str


@dataclass(frozen=True, slots=True)
class Unclear:
    """Two readings are plausible: one question back. Said after the line, a choice settles it."""

    line: Line
    choices: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True)
class Nothing:
    """Banter: no answer."""


Heard = Wished | Queried | Asked | Unclear | Nothing
