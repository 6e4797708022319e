"""The only reader of the time, and a clock that stands still until it is moved."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta


class SystemClock:
    """Implements Clock on the machine's own clock."""

    def now(self) -> datetime:
        """Return the present instant, UTC."""
        return datetime.now(UTC)  # noqa: TID251  the one place where the time is read


class VirtualClock:
    """Implements Clock; time passes only when it is told to. For rehearsals and tests."""

    def __init__(self, start: datetime) -> None:
        self._now = start.astimezone(UTC)

    def now(self) -> datetime:
        """Return the instant it was last set to, UTC."""
        return self._now

    def set(self, at: datetime) -> None:
        """Jump to an instant; backwards too, as real clocks do when they are stepped."""
        self._now = at.astimezone(UTC)

    def advance(self, by: timedelta) -> datetime:
        """Let so much time pass and return the new instant."""
        self._now += by
        return self._now
