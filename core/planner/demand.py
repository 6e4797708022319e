"""When portions are eaten: the service's pace, curve or one moment, and who is first in line."""

from __future__ import annotations

from dataclasses import dataclass

from core.errors import CannotPlanError
from core.model import Event, Service
from core.planner.origin import Origin


@dataclass(frozen=True, slots=True)
class Demand:
    """Portions of one dish by time: points (minute, portions eaten by then), rising.

    `at_once` means all at `start`.
    """

    start: float
    end: float
    portions: float
    points: tuple[tuple[float, float], ...]
    at_once: bool

    def minute_of(self, portions: float) -> float:
        """Return when this many have been eaten; the last moment for more than there are.

        Examples
        --------
        >>> flow = Demand(1140, 1193.33, 282, ((1140, 0), (1193.33, 282)), False)
        >>> round(flow.minute_of(72), 1)
        1153.6
        """
        if self.at_once or portions <= 0:
            return self.start
        before = self.points[0]
        for point in self.points:
            if point[1] >= portions:
                if point[1] == before[1]:
                    return point[0]
                part = (portions - before[1]) / (point[1] - before[1])
                return before[0] + part * (point[0] - before[0])
            before = point
        return self.end

    def eaten_by(self, minute: float) -> float:
        """Return portions eaten by a minute."""
        if minute < self.start:
            return 0.0
        if self.at_once or minute >= self.end:
            return self.portions
        before = self.points[0]
        for point in self.points:
            if point[0] > minute:
                part = (minute - before[0]) / (point[0] - before[0])
                return before[1] + part * (point[1] - before[1])
            before = point
        return self.portions

    @property
    def per_hour(self) -> float:
        """Return portions an hour while service runs; 0 where all go out at once."""
        length = self.end - self.start
        return 0.0 if self.at_once or length <= 0 else self.portions * 60 / length


def service_of(event: Event, dish: str) -> Service:
    """Return the first service a dish goes out in; second helpings cook nothing.

    Raises
    ------
    CannotPlanError
        If no service takes the dish out.
    """
    for service in event.serve:
        if not service.leftovers and (not service.dishes or dish in service.dishes):
            return service
    raise CannotPlanError("nothing says when {dish} goes out", dish=dish)


def demand(dish: str, portions: float, heads: int, clock: Origin, shift: float = 0.0) -> Demand:
    """Return when the portions of a dish are eaten.

    Parameters
    ----------
    dish
        Its id.
    portions
        Portions eaten (not made), 0 or more.
    heads
        People fed in all: a pace is counted in guests.
    clock
        From a moment of the card to minutes.
    shift
        Minutes that plates have moved.
    """
    service = service_of(clock.event, dish)
    start = clock.minute(service.start) + shift
    if service.curve:
        return _curve(service, portions, heads, clock, shift)
    until = clock.minute(service.until) + shift if service.until else start
    if service.per_min:
        until = start + heads / service.per_min
    if service.at_once or until <= start:
        return Demand(start, start, portions, ((start, portions),), True)
    return Demand(start, until, portions, ((start, 0.0), (until, portions)), False)


def _curve(service: Service, portions: float, heads: int, clock: Origin, shift: float) -> Demand:
    """Arrivals so far, scaled to the heads; the first point is the size of the first wave."""
    rows = sorted((clock.minute(moment) + shift, guests) for moment, guests in service.curve)
    most = max(guests for _, guests in rows)
    if heads <= 0 or most <= 0:
        raise CannotPlanError("the arrival curve has no guests in it")
    points = tuple((minute, guests / most * portions) for minute, guests in rows)
    start = clock.minute(service.start) + shift
    if start < points[0][0]:
        points = ((start, 0.0), *points)
    return Demand(points[0][0], points[-1][0], portions, points, len(points) == 1)
