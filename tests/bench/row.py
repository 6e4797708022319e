"""One line of a report, the same for every benchmark."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """What was measured, ours and the baseline's figure, what is wanted, whether it was kept."""

    what: str
    ours: str
    baseline: str
    wanted: str
    kept: bool
