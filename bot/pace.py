"""How fast a platform lets us speak, kept by us, so that its refusals stay rare.

Sliding windows over what was sent, because a bucket that refills lets a second burst through. The
last places of a room's minute are kept for what is urgent.
"""

from __future__ import annotations

from collections import defaultdict, deque
from datetime import datetime, timedelta

from bot.ports import Pace

BURST = timedelta(seconds=3)
MINUTE = timedelta(minutes=1)
SECOND = timedelta(seconds=1)
KEPT_FOR_URGENT = 3


class Tempo:
    """What was sent of late on one network, and how long the next message has to wait."""

    def __init__(self, pace: Pace) -> None:
        self._pace = pace
        self._rooms: defaultdict[str, deque[datetime]] = defaultdict(deque)
        self._all: deque[datetime] = deque()

    def sent(self, room: str, now: datetime) -> None:
        """Count a message, whether or not it arrives."""
        self._all.append(now)
        self._rooms[self._counted_as(room)].append(now)

    def _counted_as(self, room: str) -> str:
        """Return what the platform counts a room as: a chat's topics are one chat."""
        sign = self._pace.room_before
        return room.split(sign, 1)[0] if sign else room

    def room_is_free_at(self, room: str, priority: int, now: datetime) -> datetime:
        """Return when this room may hear the next message of this priority: now, or later."""
        counted = self._counted_as(room)
        sent = _recent(self._rooms[counted], MINUTE, now)
        if not sent:
            del self._rooms[counted]
        minute = self._pace.room_per_min if room.startswith(self._pace.minute_for) else None
        if minute is not None and priority > 0:
            minute = max(1, minute - KEPT_FOR_URGENT)
        return max(
            _free_at(sent, minute, MINUTE, now), _free_at(sent, self._pace.room_burst, BURST, now)
        )

    def places(self, now: datetime) -> int | None:
        """Return how many messages may go to all rooms together just now; None for no limit."""
        total = self._pace.total_per_s
        return None if total is None else max(0, total - len(_recent(self._all, SECOND, now)))

    def free_at(self, now: datetime) -> datetime:
        """Return when there is a place again for any room."""
        return _free_at(_recent(self._all, SECOND, now), self._pace.total_per_s, SECOND, now)


def _recent(sent: deque[datetime], window: timedelta, now: datetime) -> deque[datetime]:
    while sent and sent[0] <= now - window:
        sent.popleft()
    while sent and sent[-1] > now:  # the clock was put back: what is in the future does not count
        sent.pop()
    return sent


def _free_at(sent: deque[datetime], most: int | None, window: timedelta, now: datetime) -> datetime:
    inside = [at for at in sent if at > now - window]
    if most is None or len(inside) < most:
        return now
    return inside[len(inside) - most] + window
