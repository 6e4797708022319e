"""A load on its plateau now: two windows, as it is and wrapped, from its own card and fire."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from core.ask.on_fire import measured_runs
from core.ask.topic import AskContext
from core.model import Clock, Line, Qty, say

if TYPE_CHECKING:
    from core.heat.estimate import Forecast


def stalled(context: AskContext) -> tuple[Line, ...] | None:
    """Return what to say of the one load that stands on its plateau now; None without one.

    Both windows come from the model, with the piece as it is and wrapped now; neither is ever a
    single time.
    """
    cook, now = context.cook, context.now
    if cook is None or now is None or cook.cards is None:
        return None
    slow = [r for r in measured_runs(cook) if (r.until_core_c or 0) >= _SLOW_TARGET_C]
    if len(slow) != 1:
        return None
    from core.cook.around import around_of, is_down
    from core.cook.forecast import cores_of
    from core.heat.plateau import if_wrapped

    run = slow[0]
    dish, around = cook.cards.dish(run.dish), around_of(cook, run, now)
    started, cores = cook.job(run.key).started, cores_of(cook, run)
    if around is None or started is None or not cores:
        return None
    log = around.pit.log
    if is_down(log, around.pit.set_c):
        return (
            say("The fire is at {now}, not {wanted}: that first. Then the core moves again.",
                now=Qty(round(log[-1][1]), "°C"), wanted=Qty(around.pit.set_c, "°C")),
        )  # fmt: skip
    step = dish.steps[run.index]
    future = if_wrapped(step, dish.piece, around.pit, cores, started, now)
    first = say("Normal: the stall, it can last 1-4 h.")
    if log:
        first = say("Normal: the stall, it can last 1-4 h. Fire still {fire}: fine.",
                    fire=Qty(round(log[-1][1]), "°C"))  # fmt: skip
    waiting = _window(future.as_is)
    if around.pit.wrapped_at is None:
        second = say("Waiting: {wait}. Wrapped now: {wrap}.", wait=waiting,
                     wrap=_window(future.changed))  # fmt: skip
    else:
        second = say("Wrapped already: {wait}.", wait=waiting)
    again = say("No single time can be given. Don't open again before {clock}.",
                clock=Clock(_quarter(now + timedelta(hours=1))))  # fmt: skip
    return first, second, again


_SLOW_TARGET_C = 85.0  # pulled when it is tender, long after the plateau


def _window(seen: Forecast) -> Line:
    """Return the pull as a window of quarter hours; open where it may take much longer."""
    if seen.pull_low is None:
        return say("can't be forecast")
    low = Clock(_quarter(seen.pull_low))
    if seen.pull_high is None:
        return say("not before {low}", low=low)
    high = max(_quarter(seen.pull_high), _quarter(seen.pull_low) + timedelta(minutes=30))
    return say("{low}-{high}", low=low, high=Clock(high))


def _quarter(at: datetime) -> datetime:
    start = at.replace(minute=0, second=0, microsecond=0)
    return start + timedelta(minutes=15 * round((at - start) / timedelta(minutes=15)))
