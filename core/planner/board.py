"""What is taken so far: stations and people by the minute, and where one more op still fits.

The only mutable thing in the planner. A search looks only at the moments where something begins
or ends: between two of them nothing can change.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from math import inf

from core.planner.jobs import SAME_FIRE_K, Hand, Op, Place, Problem, Slot, Touch

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
    return abs(old.temp_c - new.temp_c) <= SAME_FIRE_K


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
    filled: dict[str, list[tuple[float, float, int, str]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.ops = self.problem.ops()

    def put(self, op: Op, slot: Slot) -> None:
        """Book an op."""
        self.slots[op.key] = slot
        if slot.place is not None and slot.place in self.problem.places:
            stay = Booking(slot.start, slot.end, op.key, op.temp_c, op.use)
            insort(self.stays.setdefault(slot.place, []), stay)
        for person, start, end in self._work(op, slot):
            insort(self.busy.setdefault(person, []), (start, end, op.key))
        for pool, amount in op.uses:
            insort(self.filled.setdefault(pool, []), (slot.start, slot.end, amount, op.key))

    @staticmethod
    def _work(op: Op, slot: Slot) -> tuple[tuple[str, float, float], ...]:
        if slot.work or not op.hands or op.touches:
            return slot.work
        return tuple((person, slot.start, slot.end) for person in slot.crew)

    def take(self, op: Op) -> None:
        """Unbook an op, if it is booked."""
        slot = self.slots.pop(op.key, None)
        if slot is None:
            return
        if slot.place in self.stays:
            self.stays[slot.place] = [b for b in self.stays[slot.place] if b.key != op.key]
        for person in {p for p, _, _ in self._work(op, slot)}:
            self.busy[person] = [b for b in self.busy[person] if b[2] != op.key]
        for pool, _ in op.uses:
            self.filled[pool] = [f for f in self.filled[pool] if f[3] != op.key]

    def attended(self, minute: float) -> bool:
        """Return whether anybody is there to start something."""
        return any(a - _EPS <= minute <= b + _EPS for a, b in self.problem.hours)

    def free_hands(
        self, op: Op, start: float, end: float, place: str | None = None
    ) -> tuple[tuple[str, float, float], ...] | None:
        """Return who does an op from when to when, first whose station it is; None if too few."""
        found: list[tuple[str, float, float]] = []
        for touch in op.work(end - start):
            begins = start + touch.offset
            people = self._people(touch, begins, begins + touch.minutes, place)
            if people is None:
                return None
            found.extend((person, begins, begins + touch.minutes) for person in people)
        return tuple(found)

    def _people(
        self, touch: Touch, begins: float, ends: float, place: str | None
    ) -> list[str] | None:
        found: list[str] = []
        hands = self.problem.hands
        for person in sorted(touch.able, key=lambda name: place not in hands[name].stands):
            if self._free(hands[person], begins, ends):
                found.append(person)
                if len(found) == touch.hands:
                    return found
        return None

    def _pooled(self, op: Op, start: float, end: float) -> bool:
        """Return whether every pool has what an op takes, all along."""
        for pool, amount in op.uses:
            beside = [f for f in self.filled.get(pool, ()) if f[0] < end and f[1] > start]
            moments = [start, *(f[0] for f in beside if f[0] > start)]
            for moment in moments:
                used = sum(f[2] for f in beside if f[0] <= moment < f[1])
                if used + amount > self.problem.pools[pool]:
                    return False
        return True

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
        if op.uses and not self._pooled(op, start, end):
            return None
        work = self.free_hands(op, start, end, place)
        if work is None:
            return None
        return Slot(start, end, place, tuple(dict.fromkeys(p for p, _, _ in work)), work)

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
        for touch in op.work(minutes):
            for person in touch.able:
                edges.update(self._touch_edges(touch, person, back=back))
        for pool, _ in op.uses:
            taken = self.filled.get(pool, ())
            edges.update(a - minutes if back else b for a, b, _, _ in taken)
        if op.attended:
            edges.update(b if back else a for a, b in self.problem.hours)
        return {edge for edge in edges if abs(edge) < inf}

    def _touch_edges(self, touch: Touch, person: str, *, back: bool) -> Iterator[float]:
        """Yield the starts of the op at which this person just becomes free for the touch."""
        before = touch.offset + touch.minutes if back else touch.offset
        for begins, ends, _ in self.busy.get(person, ()):
            yield (begins if back else ends) - before
        for begins, ends in self.problem.hands[person].shifts:
            yield (ends if back else begins) - before

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
