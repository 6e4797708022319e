"""How long a load has left, in one line: its core, its pull with a band, when to look."""

from __future__ import annotations

from datetime import datetime

from core.cook.forecast import cores_of, forecast_of
from core.cook.names import thing_of
from core.cook.state import Cook
from core.model import Clock, Line, Qty, Reading, StepRun, Value, say


def left_line(cook: Cook, run: StepRun, now: datetime, *, behind: bool = False) -> Line | None:
    """Return what a load that is on has left; None where the heat model cannot speak of it.

    Parameters
    ----------
    cook, run, now
        A running load, and the present.
    behind
        Whether another load was told before it: then its time alone will do.
    """
    seen = forecast_of(cook, run, now)
    if seen is None:
        return None
    thing = thing_of(run, cook.cards)
    if behind and seen.pull_at is not None:
        return say("{thing} behind: {clock}.", thing=thing, clock=Clock(seen.pull_at))
    last = _last(cook, run)
    fields: dict[str, Value] = {
        "thing": thing,
        "core": Qty(round(seen.now_c if last is None else last.value), "°C"),
        "target": Qty(seen.target_c, "°C"),
    }
    if seen.pull_at is None or seen.check_at is None or seen.pull_low is None:
        return say("{thing} {core}, pull at {target}: can't be forecast. Read it now.", **fields)
    if seen.pull_high is None:
        return say("{thing} {core}, pull at {target}: not before {low}, it may take much longer.",
                   **fields, low=Clock(seen.pull_low))  # fmt: skip
    band = max(1, round((seen.pull_high - seen.pull_low).total_seconds() / 120))
    return say("{thing} {core}, pull at {target}: about {clock} (±{band}). Check {look}.",
               **fields, clock=Clock(seen.pull_at), band=Qty(band, "min", 0),
               look=Clock(seen.check_at))  # fmt: skip


def _last(cook: Cook, run: StepRun) -> Reading | None:
    return max(cores_of(cook, run), key=lambda r: r.at, default=None)
