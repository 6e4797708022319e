"""Wrapped, covered, the lid opened: booked, and what each does to the load's time."""

from __future__ import annotations

from datetime import datetime
from typing import assert_never

from core.cook.decision import Dated, Decision, booked
from core.cook.forecast import after_core, forecast_of
from core.cook.names import thing_of
from core.cook.reports import late_notice, retimed
from core.cook.state import Cook, Phase
from core.cook.subjects import items_named
from core.errors import OutOfRangeError, UnknownNameError
from core.facts import HeatWish, LidOpened, ReportLid, ReportSurface, Surface, SurfaceReported
from core.model import FIRES, Answer, Clock, Label, Line, Qty, StepRun, say

WRAP_C = (30.0, 100.0)
SAID_MIN = 1.0


def around_reported(cook: Cook, wish: HeatWish, by: str, at: datetime, now: datetime) -> Decision:
    """Book what was done to the surface of a load or to a lid, and say what it changes."""
    match wish:
        case ReportSurface():
            run = _run_meant(cook, wish.subject)
            if wish.at_core_c is not None and not WRAP_C[0] <= wish.at_core_c <= WRAP_C[1]:
                raise OutOfRangeError("core", f"{wish.at_core_c:g} °C", "30 to 100 °C")
            fact = Dated(at, SurfaceReported(run.key, wish.surface, wish.at_core_c))
            said = _surface_line(cook, run, wish, at)
            return _moved(cook, (fact,), (run,), said, by, now)
        case ReportLid():
            station = _fire_meant(cook, wish.subject)
            runs = tuple(r for r in _on(cook) if _station(cook, r) == station)
            said = say("Lid of {fire} opened {clock}.", fire=Label(station), clock=Clock(at))
            return _moved(cook, (Dated(at, LidOpened(station)),), runs, said, by, now)
        case _:
            assert_never(wish)


def _moved(
    cook: Cook,
    facts: tuple[Dated, ...],
    runs: tuple[StepRun, ...],
    said: Line,
    by: str,
    now: datetime,
) -> Decision:
    """Return the report, the new time of each load it changes and what moves with them."""
    after = booked(cook, facts, by, now)
    lines, made = [said], list(facts)
    for run in runs:
        before, seen = forecast_of(cook, run, now), after_core(after, run, now)
        then = forecast_of(after, run, now)
        if before is None or seen is None or then is None or then.readings == 0:
            continue
        made += seen.facts
        if before.pull_at is not None and then.pull_at is not None:
            minutes = (then.pull_at - before.pull_at).total_seconds() / 60
            if abs(minutes) >= SAID_MIN:
                lines.append(_shift_line(cook, run, then.pull_at, minutes))
                continue
        lines += seen.lines[:1] if len(runs) == 1 else ()
    after = booked(cook, tuple(made), by, now)
    if len(made) > len(facts):
        made += [Dated(now, fact) for fact in retimed(after, now)]
    late = late_notice(cook, booked(cook, tuple(made), by, now))
    return Decision(tuple(made), Answer(tuple(lines[:4])), late)


def _shift_line(cook: Cook, run: StepRun, off: datetime, minutes: float) -> Line:
    thing, shift = thing_of(run, cook.cards), Qty(abs(round(minutes)), "min", 0)
    if minutes > 0:
        return say("{thing} {shift} later: off about {clock}.", thing=thing, shift=shift,
                   clock=Clock(off))  # fmt: skip
    return say("{thing} {shift} sooner: off about {clock}.", thing=thing, shift=shift,
               clock=Clock(off))  # fmt: skip


def _surface_line(cook: Cook, run: StepRun, wish: ReportSurface, at: datetime) -> Line:
    thing = thing_of(run, cook.cards)
    if wish.at_core_c is not None:
        return say("{thing}: wrapped at {core}, noted.", thing=thing,
                   core=Qty(wish.at_core_c, "°C"))  # fmt: skip
    return {
        Surface.WRAPPED: say("{thing} wrapped {clock}.", thing=thing, clock=Clock(at)),
        Surface.COVERED: say("{thing} covered {clock}.", thing=thing, clock=Clock(at)),
        Surface.BARE: say("{thing} unwrapped {clock}.", thing=thing, clock=Clock(at)),
    }[wish.surface]


def _on(cook: Cook) -> list[StepRun]:
    runs = cook.plan.runs() if cook.plan else ()
    return [r for r in runs if cook.phase(r.key) is Phase.RUNNING]


def _run_meant(cook: Cook, subject: str) -> StepRun:
    """Return the run of a named load that is on or rests; without a name, the only one."""
    named = items_named(cook, subject) if subject else list(cook.plan.runs() if cook.plan else ())
    running = [i for i in named if isinstance(i, StepRun) and cook.phase(i.key) is Phase.RUNNING]
    fires = [i for i in running if i.on_fire]
    found = fires or running
    if not found or (not subject and len(found) > 1):
        known = ", ".join(r.unit for r in _on(cook))
        raise UnknownNameError("load that is on", subject or "that", known)
    return found[0]


def _station(cook: Cook, run: StepRun) -> str:
    return cook.job(run.key).station or run.station or ""


def _fire_meant(cook: Cook, subject: str) -> str:
    """Return the fire that is named, by itself or by a load on it; else the only one in use."""
    fires = [s.id for s in cook.cards.kit.stations if s.kind in FIRES] if cook.cards else []
    by_name = {name.casefold(): name for name in fires}
    if subject.casefold() in by_name:
        return by_name[subject.casefold()]
    if subject:
        return _station(cook, _run_meant(cook, subject))
    used = sorted({_station(cook, r) for r in _on(cook) if r.on_fire})
    if len(used) != 1:
        raise UnknownNameError("fire", "the lid", ", ".join(used or fires))
    return used[0]
