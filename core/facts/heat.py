"""What happens around a piece of food besides the fire: wrapped, covered, the lid opened."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Surface(StrEnum):
    """What lies on the food: nothing, a tight wrap, a loose cover."""

    BARE = "bare"
    WRAPPED = "wrapped"
    COVERED = "covered"


# ------------------------------------------------------------------ wishes


@dataclass(frozen=True, slots=True)
class ReportSurface:
    """A load was wrapped, covered or opened again; `subject` as named, '' for the only one on.

    `at_core_c` says that it is only going to be, at that core.
    """

    subject: str
    surface: Surface
    at_core_c: float | None = None


@dataclass(frozen=True, slots=True)
class ReportLid:
    """The lid of a fire was opened and shut again; `subject` as named, '' for the only one lit."""

    subject: str = ""


HeatWish = ReportSurface | ReportLid


# ------------------------------------------------------------------ facts


@dataclass(frozen=True, slots=True)
class SurfaceReported:
    """What lies on the pieces of this run from the entry's `at` on, or from a core of so much."""

    run: str
    surface: Surface
    at_core_c: float | None = None


@dataclass(frozen=True, slots=True)
class LidOpened:
    """The lid of this fire was opened at the entry's `at`."""

    station: str


HeatFact = SurfaceReported | LidOpened
