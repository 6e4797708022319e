"""Minutes of an event and back: minute 0 is midnight, site time, on the day of the event."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cached_property

from core.model import Event, Moment, Weather

DAY_MIN = 24 * 60


@dataclass(frozen=True)
class Origin:
    """Turns moments of the cards and instants into minutes, and minutes into instants.

    Examples
    --------
    >>> from datetime import date
    >>> clock = Origin(Event("x", "X", date(2026, 6, 13), "Europe/London", 1, (), ()))
    >>> clock.minute(Moment(-1, 18, 0)), clock.instant(840).isoformat()
    (-360.0, '2026-06-13T13:00:00+00:00')
    """

    event: Event

    @cached_property
    def at(self) -> datetime:
        """Return the instant of minute 0."""
        return self.event.instant(Moment(0, 0, 0))

    def minute(self, moment: Moment) -> float:
        """Return the minute of a wall-clock moment."""
        return self.minute_at(self.event.instant(moment))

    def minute_at(self, instant: datetime) -> float:
        """Return the minute of an instant."""
        return (instant - self.at).total_seconds() / 60

    def instant(self, minute: float) -> datetime:
        """Return the instant of a minute, to the second, UTC."""
        return (self.at + timedelta(seconds=round(minute * 60))).astimezone(UTC)

    def day(self, number: int) -> tuple[float, float]:
        """Return where a day counted from the event's begins and ends."""
        return self.minute(Moment(number, 0, 0)), self.minute(Moment(number + 1, 0, 0))

    def day_of(self, minute: float) -> int:
        """Return which day a minute is on, counted from the event's."""
        return (self.event.local(self.instant(minute)).date() - self.event.day).days

    def weather(self, minute: float) -> Weather | None:
        """Return the forecast row in force at a minute; the first row reaches back."""
        rows = sorted(self.event.weather, key=lambda row: row.start)
        past = [row for row in rows if self.minute(row.start) <= minute]
        return past[-1] if past else (rows[0] if rows else None)
