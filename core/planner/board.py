"""What is taken so far: stations and people by the minute, and where one more op still fits.

The only mutable thing in the planner. A search looks only at the moments where something begins
or ends: between two of them nothing can change.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from math import inf

from core.planner.jobs import Hand, Op, Place, Problem, Slot

_EPS = 1e-6


@dataclass(frozen=True, slots=True, order=True)
class Booking:
    """A stay on a station."""

    start: float
    end: float
    key: str
    temp_c: float | None = field(default=None, compare=False)
    use: int = field(default=1, compare=False)


def fits_place(place: Place, taken: Iterable[Booking], new: Booking) -> bool:
    """Return whether a stay fits a station beside the stays it already has."""
    if new.start < place.opens - _EPS:
        return False
    if any(new.start < off_end and new.end > off for off, off_end in place.down):
        return False
    overlap: list[Booking] = []
    for old in taken:
        before = place.change_over(old.temp_c, new.temp_c)
        after = place.change_over(new.temp_c, old.temp_c)
        clear = old.end + before <= new.start + _EPS or new.end + after <= old.start + _EPS
        if not clear:
            if place.fire and not _same_fire(place, old, new):
                return False
            overlap.append(old)
        apart = abs(old.start - new.start)
        if place.fire and _EPS < apart < place.recovery - _EPS:
            return False
    return _room(place, overlap, new) >= new.use


def _same_fire(place: Place, old: Booking, new: Booking) -> bool:
    """Two temperatures never share a fire; a station with room for one is never shared."""
    if place.room <= 1:
        return False
    if old.temp_c is None or new.temp_c is None:
        return True
    return place.change_over(old.temp_c, new.temp_c) <= place.turn + _EPS


def _room(place: Place, overlap: list[Booking], new: Booking) -> int:
    """Return how much room is left at the fullest moment; a rack is taken until it is turned."""
    moments = [new.start, *(o.start for o in overlap if o.start > new.start)]
    most = 0
    for moment in moments:
        on = [o for o in overlap if o.start <= moment + _EPS and o.end + place.turn > moment + _EPS]
        used = sum(o.use for o in on)
        most = max(most, used)
    return place.room - most


@dataclass(slots=True)
class Board:
    """All bookings, and the slots given out."""

    problem: Problem
    stays: dict[str, list[Booking]] = field(default_factory=dict)
    busy: dict[str, list[tuple[float, float, str]]] = field(default_factory=dict)
    slots: dict[str, Slot] = field(default_factory=dict)
    ops: dict[str, Op] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.ops = self.problem.ops()

    def put(self, op: Op, slot: Slot) -> None:
        """Book an op."""
        self.slots[op.key] = slot
        if slot.place is not None and slot.place in self.problem.places:
            stay = Booking(slot.start, slot.end, op.key, op.temp_c, op.use)
            insort(self.stays.setdefault(slot.place, []), stay)
        for person in slot.crew if op.hands else ():
            insort(self.busy.setdefault(person, []), (slot.start, slot.end, op.key))

    def take(self, op: Op) -> None:
        """Unbook an op, if it is booked."""
        slot = self.slots.pop(op.key, None)
        if slot is None:
            return
        if slot.place in self.stays:
            self.stays[slot.place] = [b for b in self.stays[slot.place] if b.key != op.key]
        for person in slot.crew:
            if person in self.busy:
                self.busy[person] = [b for b in self.busy[person] if b[2] != op.key]

    def attended(self, minute: float) -> bool:
        """Return whether anybody is there to start something."""
        return any(a - _EPS <= minute <= b + _EPS for a, b in self.problem.hours)

    def free_hands(
        self, op: Op, start: float, end: float, place: str | None = None
    ) -> tuple[str, ...] | None:
        """Return the best free people for an op, whose station it is first; None if too few."""
        if op.hands == 0:
            return ()
        found = []
        hands = self.problem.hands
        for person in sorted(op.able, key=lambda name: place not in hands[name].stands):
            if self._free(hands[person], start, end):
                found.append(person)
                if len(found) == op.hands:
                    return tuple(found)
        return None

    def _free(self, hand: Hand, start: float, end: float) -> bool:
        if not any(a - _EPS <= start and end <= b + _EPS for a, b in hand.shifts):
            return False
        taken = self.busy.get(hand.id, ())
        return all(b <= start + _EPS or a >= end - _EPS for a, b, _ in taken)

    def fit(self, op: Op, start: float, end: float) -> Slot | None:
        """Return the slot of an op at exactly these times, or None."""
        if not op.opens - _EPS <= start <= op.closes + _EPS:
            return None
        if op.attended and not self.attended(start):
            return None
        place = self._place(op, start, end)
        if op.places and place is None:
            return None
        crew = self.free_hands(op, start, end, place)
        return None if crew is None else Slot(start, end, place, crew)

    def _place(self, op: Op, start: float, end: float) -> str | None:
        new = Booking(start, end, op.key, op.temp_c, op.use)
        for name in op.places:
            if fits_place(self.problem.places[name], self.stays.get(name, ()), new):
                return name
        return None

    def latest(self, op: Op, minutes: float, low: float, high: float) -> Slot | None:
        """Return the latest slot of so many minutes that starts in [low, high]."""
        for start in sorted(self._edges(op, minutes, back=True, near=high), reverse=True):
            if low - _EPS <= start <= high + _EPS:
                slot = self.fit(op, start, start + minutes)
                if slot is not None:
                    return slot
            elif start < low - _EPS:
                break
        return None

    def earliest(self, op: Op, minutes: float, low: float, high: float = inf) -> Slot | None:
        """Return the earliest slot of so many minutes that starts in [low, high]."""
        for start in sorted(self._edges(op, minutes, back=False, near=low)):
            if low - _EPS <= start <= high + _EPS:
                slot = self.fit(op, start, start + minutes)
                if slot is not None:
                    return slot
        return None

    def _edges(self, op: Op, minutes: float, *, back: bool, near: float) -> set[float]:
        """Return every start at which something else begins or ends."""
        edges = {near} if abs(near) < inf else set()
        edges |= {e for e in (op.opens, op.closes) if abs(e) < inf}
        for name in op.places:
            edges.update(self._place_edges(op, self.problem.places[name], minutes, back=back))
        for person in op.able if op.hands else ():
            taken = self.busy.get(person, ())
            edges.update(a - minutes if back else b for a, b, _ in taken)
            shifts = self.problem.hands[person].shifts
            edges.update(b - minutes if back else a for a, b in shifts)
        if op.attended:
            edges.update(b if back else a for a, b in self.problem.hours)
        return edges

    def _place_edges(self, op: Op, place: Place, minutes: float, *, back: bool) -> Iterator[float]:
        yield place.opens
        for off, off_end in place.down:
            yield off - minutes if back else off_end
        for old in self.stays.get(place.id, ()):
            if back:
                yield old.start - place.change_over(op.temp_c, old.temp_c) - minutes
            else:
                yield old.end + place.change_over(old.temp_c, op.temp_c)
            if place.room > 1 or place.recovery:
                yield old.start
                yield old.start - place.recovery if back else old.start + place.recovery
