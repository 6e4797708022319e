"""What lies on the food and which lids were opened, for the heat model."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import assert_never

from core.facts import HeatFact, LidOpened, Surface, SurfaceReported


@dataclass(frozen=True, slots=True)
class HeatBook:
    """Since when which surface, by run, the oldest first; when each fire's lid was opened; the
    core, °C, at which a run is to be wrapped.
    """

    surfaces: Mapping[str, tuple[tuple[datetime, Surface], ...]] = field(default_factory=dict)
    lids: Mapping[str, tuple[datetime, ...]] = field(default_factory=dict)
    wrap_c: Mapping[str, float] = field(default_factory=dict)

    def surface(self, run: str) -> Surface:
        """Return what lies on the pieces of a run now."""
        return self.surfaces[run][-1][1] if run in self.surfaces else Surface.BARE

    def wrapped_at(self, run: str) -> datetime | None:
        """Return since when a run is wrapped; None while it is not."""
        known = self.surfaces.get(run, ())
        return known[-1][0] if known and known[-1][1] is Surface.WRAPPED else None


def heat_booked(book: HeatBook, fact: HeatFact, at: datetime) -> HeatBook:
    """Return the book after one more fact."""
    match fact:
        case SurfaceReported(run=run, at_core_c=core) if core is not None:
            return replace(book, wrap_c={**book.wrap_c, run: core})
        case SurfaceReported(run=run, surface=surface):
            since = tuple(sorted((*book.surfaces.get(run, ()), (at, surface))))
            return replace(book, surfaces={**book.surfaces, run: since})
        case LidOpened(station=station):
            opened = tuple(sorted((*book.lids.get(station, ()), at)))
            return replace(book, lids={**book.lids, station: opened})
        case _:
            assert_never(fact)
