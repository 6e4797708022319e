"""Wishes of service and silence to decisions."""

from __future__ import annotations

from datetime import datetime
from typing import assert_never

from core.cook.decision import Decision
from core.cook.service.mute import muted
from core.cook.service.timers import timer_set, timer_shared, timer_stopped
from core.cook.state import Cook
from core.facts import Mute, ServiceWish, SetTimer, ShareTimer, StopTimer


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
        case _:
            assert_never(wish)
