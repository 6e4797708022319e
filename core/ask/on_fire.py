"""The loads that are on a fire now, and which of them a name means."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from core.ask.said import Said
from core.model import StepRun

if TYPE_CHECKING:
    from core.cook import Cook


def measured_runs(cook: Cook) -> tuple[StepRun, ...]:
    """Return the loads on a fire now whose step ends at a core, the first off first."""
    from core.cook import Phase

    runs = cook.plan.runs() if cook.plan else ()
    on = [
        r
        for r in runs
        if r.on_fire and r.until_core_c is not None and cook.phase(r.key) is Phase.RUNNING
    ]
    return tuple(sorted(on, key=lambda r: (r.end, r.key)))


def by_unit(line: Said, on: Sequence[StepRun]) -> tuple[StepRun, ...]:
    """Return the loads named as on their tape: 'a2'; one letter only as it is written, 'A'."""
    words = line.text.replace("?", " ").replace(",", " ").split()
    long = [r for r in on if len(r.unit) > 1 and r.unit.casefold() in line.plain.split()]
    return (*long, *(r for r in on if len(r.unit) == 1 and r.unit in words))
