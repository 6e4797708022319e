"""Wishes of service and silence to decisions."""

from __future__ import annotations

from datetime import datetime
from typing import assert_never

from core.cook.decision import Decision
from core.cook.service.holds import service_held, service_restarted
from core.cook.service.leftovers import left_counted, set_out
from core.cook.service.mute import muted
from core.cook.service.plates import plates_counted, queue_seen
from core.cook.service.portions import portion_set
from core.cook.service.review import number_given
from core.cook.service.timers import timer_set, timer_shared, timer_stopped
from core.cook.state import Cook
from core.facts import (
    CountLeft,
    CountPlates,
    GiveNumber,
    HoldService,
    Mute,
    RestartService,
    SeeQueue,
    ServiceWish,
    SetOut,
    SetPortion,
    SetTimer,
    ShareTimer,
    StopTimer,
)


def decided(cook: Cook, wish: ServiceWish, by: str, at: datetime, now: datetime) -> Decision:
    """Return what a wish of this area makes of a cook."""
    match wish:
        case Mute():
            return muted(cook, wish, by, now)
        case SetTimer():
            return timer_set(cook, wish, by, at, now)
        case ShareTimer():
            return timer_shared(cook, wish, by, at)
        case StopTimer():
            return timer_stopped(cook, wish, by, at)
        case CountPlates():
            return plates_counted(cook, wish, by, at, now)
        case CountLeft():
            return left_counted(cook, wish, by, at, now)
        case HoldService():
            return service_held(cook, wish, at)
        case RestartService():
            return service_restarted(cook, by, at, now)
        case SetOut():
            return set_out(cook, wish, at, now, by)
        case SeeQueue():
            return queue_seen(cook, wish, by, at, now)
        case SetPortion():
            return portion_set(cook, wish, at)
        case GiveNumber():
            return number_given(cook, wish, by, at, now)
        case _:
            assert_never(wish)
