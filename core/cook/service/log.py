"""Each fact of service and silence as one line of the log."""

from __future__ import annotations

from typing import assert_never

from core.cook.service.boxes import CAME
from core.cook.service.holds import reason_of
from core.cook.service.morning import name_of
from core.cook.state import Cook
from core.facts import (
    FoodOut,
    LeftCounted,
    Muted,
    PlatesCounted,
    PortionSet,
    QueueSeen,
    ServiceFact,
    ServiceHeld,
    ServiceRestarted,
    TimerSet,
    TimerStopped,
)
from core.model import Clock, Label, Line, Qty, say


def logged(fact: ServiceFact, cook: Cook) -> Line:
    """Return what a fact of this area says."""
    match fact:
        case Muted(until=until):
            return say("quiet until {clock}", clock=Clock(until))
        case TimerSet(name=name, rings=rings):
            return say("timer {name} {clock}", name=Label(name), clock=Clock(rings))
        case TimerStopped(timer=timer):
            return say("{timer} stopped", timer=Label(timer))
        case PlatesCounted(lane=lane, total=total, out=out) if lane:
            return say("{lane}: {total}, {out} out", lane=Label(lane),
                       total=Qty(total, "plates", 0), out=Qty(out, "", 0))  # fmt: skip
        case PlatesCounted(out=out):
            return say("{out} out", out=Qty(out, "plates", 0))
        case LeftCounted(dish=dish, amount=amount, unit=unit):
            return say("{what} left: {amount}", what=Label(name_of(cook, dish)),
                       amount=Qty(amount, unit))  # fmt: skip
        case ServiceHeld(reason=reason):
            return say("service held: {why}", why=reason_of(reason))
        case ServiceRestarted():
            return say("service goes on")
        case FoodOut(what=what, came=came):
            return say("{what}: {came}", what=Label(name_of(cook, what)), came=CAME[came])
        case QueueSeen(deep=deep, per_min=per_min, lane=lane):
            pace = Qty(per_min, "/min") if per_min is not None else Label("-")
            line = Qty(deep, "heads", 0) if deep is not None else Label("-")
            return say("line {lane}: {deep}, {pace}", lane=Label(lane), deep=line, pace=pace)
        case PortionSet(dish=dish, amount=amount, unit=unit):
            return say("{dish}: {amount} a plate", dish=Label(name_of(cook, dish)),
                       amount=Qty(amount, unit, 0))  # fmt: skip
        case _:
            assert_never(fact)
