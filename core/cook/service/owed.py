"""The calls that service and silence make: timers, what was held back, running out, the review."""

from __future__ import annotations

from collections.abc import Iterator

from core.cook.names import job_name
from core.cook.service.forecast import warnings
from core.cook.service.review import review_calls
from core.cook.state import Cook, Made, Phase, items
from core.model import Call, Clock, Label, Line, Qty, Sound, say


def service_calls(cook: Cook) -> Iterator[Call]:
    """Yield what this area still has to say while the cook is open."""
    yield from _timers(cook)
    yield from _digests(cook)
    yield from warnings(cook)
    yield from review_calls(cook)


def _timers(cook: Cook) -> Iterator[Call]:
    for timer in cook.service.timers.values():
        name: Label | Line = Label(timer.name) if timer.name else say("Timer")
        line = say("TIMER {name} · {clock}", name=name, clock=Clock(timer.rings))
        yield Call(timer.timer, timer.rings, timer.to, line, Sound.ONCE, "timer", timer.timer,
                   choices=(say("done"),))  # fmt: skip


def _digests(cook: Cook) -> Iterator[Call]:
    """Yield, at the end of a mute, what was not said meanwhile and still wants doing."""
    for person, until in cook.service.muted.items():
        held = [m for m in cook.calls.values() if person in m.call.quiet and _still(cook, m)]
        if not held:
            continue
        newest = max(held, key=lambda m: m.seq).call
        job = (items(cook.plan) if cook.plan else {}).get(newest.about)
        line = say(
            "{n} not ticked while you were quiet. Newest: {job} · {clock}",
            n=Qty(len(held), "jobs", 0),
            job=job_name(job, cook.cards) if job is not None else Label(newest.load or ""),
            clock=Clock(newest.at),
        )
        yield Call(f"digest/{person}/{until:%dT%H%M}", until, (person,), line, Sound.ONCE,
                   "digest", f"digest/{person}")  # fmt: skip


def _still(cook: Cook, made: Made) -> bool:
    """Say whether a call that was held back still asks for something."""
    if made.answered_by is not None:
        return False
    phase = cook.phase(made.call.about)
    wanted = Phase.RUNNING if made.call.kind in {"end", "check", "flip"} else Phase.WAITING
    return phase is wanted
