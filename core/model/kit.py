"""Kit and crew: fires, boxes, lanes, thermometers; people."""

from __future__ import annotations

from dataclasses import dataclass

from core.model.event import Moment
from core.model.vocabulary import Lead, Role, StationKind


@dataclass(frozen=True, slots=True)
class Size:
    """A rectangle, cm."""

    width_cm: float
    depth_cm: float


@dataclass(frozen=True, slots=True)
class Station:
    """One fire, oven, box, lane or tub. `count = 4` on the card becomes four of these.

    `family` is the id on the card ('P'), `id` the single station ('P1'). `racks` is how many
    racks of `size` it has; `load_by` whether racks go in one by one or all together; `places` how
    many pieces or people fit where a size means nothing; `fill_max` the usable fraction.
    """

    id: str
    kind: StationKind
    family: str = ""
    size: Size | None = None
    racks: int = 1
    load_by: str = "all"
    keep_free: float = 0.0
    places: int | None = None
    heat_up_min: float = 0.0
    recovery_min: float = 0.0
    swap_min: float = 0.0
    litres: float | None = None
    fill_max: float = 0.75
    fuel: str = ""
    burn: str = ""
    feed_every_min: float | None = None
    power_kw: float | None = None
    per_min: float | None = None
    start: Moment | None = None


@dataclass(frozen=True, slots=True)
class Probe:
    """A thermometer and when it was last checked in ice slush."""

    id: str
    kind: str = "instant"
    ice_check: str | None = None


@dataclass(frozen=True, slots=True)
class Kit:
    """All stations, one entry each, and the thermometers."""

    stations: tuple[Station, ...]
    probes: tuple[Probe, ...] = ()

    def matching(self, name: str) -> tuple[Station, ...]:
        """Return the stations a step may use: by single id, by family, else by kind."""
        by_id = tuple(s for s in self.stations if s.id == name)
        by_family = tuple(s for s in self.stations if s.family == name)
        return by_id or by_family or tuple(s for s in self.stations if s.kind == name)


@dataclass(frozen=True, slots=True)
class Person:
    """One of the crew; `role` what they do, `leads` what they answer for."""

    id: str
    name: str
    role: Role = Role.CREW
    leads: tuple[Lead, ...] = ()
    skills: tuple[str, ...] = ()
    languages: tuple[str, ...] = ()
    shifts: tuple[tuple[Moment, Moment], ...] = ()
    break_min: float | None = None
    backup: str | None = None
    stations: tuple[str, ...] = ()
