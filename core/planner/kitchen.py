"""One event's cards with the look-ups the builder needs: stations, pins, hours, people."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import ceil, floor, inf

from core.model import (
    FIRES,
    Cards,
    Dish,
    MenuItem,
    Moment,
    Pin,
    Station,
    StationKind,
    Step,
)
from core.planner.crewing import able
from core.planner.demand import Demand, demand
from core.planner.durations import in_pieces, on_fire
from core.planner.jobs import Hand, Place, up
from core.planner.origin import Origin
from core.scaling.expand import menu_needs
from core.scaling.heads import eaters, portions_to_make
from core.scaling.loads import pieces_of_portions
from core.scaling.packing import pieces_per_rack

MANY = 9999
HOTTER_PER_K = 1 / 250
COOLER_PER_K = 1.5 / 250
"""Minutes a K of temperature change, for each minute of heat-up; common practice, and a fire falls
half as slowly again as it rises."""

CLEAN_DOWN_MIN = 30.0
"""Nothing is planned into the last half hour of a prep day; common practice."""

_COLD = frozenset({StationKind.FRIDGE, StationKind.COLD_BOX})

_DAY_HOURS = (Moment(0, 8, 0), Moment(0, 20, 0))  # where a card names no shift that day


@dataclass(frozen=True)
class Kitchen:
    """The cards, how many are fed, and by how much plates have moved from the card.

    `fixed` are loads whose pieces are on the fire already, by dish and number: their count stays.
    `ways` are loads that take another way ("lamb/A": "grill-only"). `out` are stations that loads
    are not sized for, because they are down.
    """

    cards: Cards
    heads: int
    shift: float = 0.0
    fixed: Mapping[tuple[str, int], int] = field(default_factory=dict)
    ways: Mapping[str, str] = field(default_factory=dict)
    out: frozenset[str] = frozenset()

    def way(self, dish: str, name: str, number: str) -> str | None:
        """Return the id of the step a load takes another way by; None for the usual way."""
        return self.ways.get(f"{dish}/{name}") or self.ways.get(f"{dish}/{number}")

    @cached_property
    def clock(self) -> Origin:
        """Return the event's minutes."""
        return Origin(self.cards.event)

    @cached_property
    def plates(self) -> float:
        """Return the minute of the first plates."""
        first = min(s.start for s in self.cards.event.serve if not s.leftovers)
        return self.clock.minute(first) + self.shift

    @cached_property
    def menu(self) -> dict[str, MenuItem]:
        """Return what is cooked ahead, by dish."""
        return {item.dish: item for item in self.cards.event.menu if not item.on_demand}

    @cached_property
    def dishes(self) -> tuple[Dish, ...]:
        """Return the menu's dishes cooked ahead and every card they use, menu first."""
        found: dict[str, Dish] = {}
        waiting = [self.cards.dish(dish_id) for dish_id in self.menu]
        while waiting:
            dish = waiting.pop(0)
            if dish.id not in found:
                found[dish.id] = dish
                used = [i.card for i in dish.ingredients if i.card is not None]
                waiting = [*(self.cards.dish(card) for card in used), *waiting]
        return tuple(found.values())

    def eaten(self, dish: str) -> int:
        """Return the portions of a dish that are eaten as firsts."""
        return eaters(self.cards.event, self.heads).get(dish, 0)

    def pieces(self, dish: Dish) -> int:
        """Return the pieces of a dish to cook; portions where it has no pieces."""
        item = self.menu.get(dish.id)
        if item is None:
            return 0
        portions = portions_to_make(self.cards.event, dish, item, self.heads)
        return pieces_of_portions(dish, portions)

    @cached_property
    def amounts(self) -> dict[str, tuple[float, str]]:
        """Return how much of every card that stands in another is made, and in which unit."""
        total: dict[str, tuple[float, str]] = {}
        for _, need in menu_needs(self.cards, self.heads):
            if need.card is not None:
                before = total.get(need.card.id, (0.0, need.unit))[0]
                total[need.card.id] = (before + need.qty, need.unit)
        return total

    def demand_of(self, dish: Dish) -> Demand:
        """Return when the portions of a menu dish are eaten."""
        return demand(dish.id, float(self.eaten(dish.id)), self.heads, self.clock, self.shift)

    def stations(self, step: Step) -> tuple[Station, ...]:
        """Return the stations a step may use; none if it names none."""
        return self._matching[step.station] if step.station else ()

    @cached_property
    def _matching(self) -> dict[str, tuple[Station, ...]]:
        names = {s.station for d in self.cards.dishes for s in d.steps if s.station}
        return {name: self.cards.kit.matching(name) for name in names}

    @cached_property
    def _fires(self) -> frozenset[str]:
        return frozenset(name for name, found in self._matching.items() if on_fire(found))

    def is_fire(self, step: Step) -> bool:
        """Return whether a step is on a fire."""
        return step.station in self._fires

    def able(self, dish: Dish, index: int, *, raw: bool) -> tuple[str, ...]:
        """Return who may do a step of a dish, best first."""
        key = (dish.id, index, raw)
        if key not in self._able:
            step = dish.steps[index]
            fire = self.is_fire(step)
            self._able[key] = able(self.cards, step, self.stations(step), fire=fire, raw=raw)
        return self._able[key]

    @cached_property
    def _able(self) -> dict[tuple[str, int, bool], tuple[str, ...]]:
        return {}

    def first_fire(self, dish: Dish) -> int | None:
        """Return where in a dish's steps its loads begin; None if it makes none."""
        if dish.id not in self._first_fires:
            self._first_fires[dish.id] = self._first_fire(dish)
        return self._first_fires[dish.id]

    @cached_property
    def _first_fires(self) -> dict[str, int | None]:
        return {}

    def _first_fire(self, dish: Dish) -> int | None:
        if dish.id not in self.menu or not in_pieces(self.cards, dish.id):
            return None
        for index, step in enumerate(dish.steps):
            if step.instead_of is None and self.is_fire(step) and step.day in {None, 0}:
                return index
        return None

    def pins(self, dish: str) -> tuple[Pin, ...]:
        """Return what the chef insists on for a dish."""
        return tuple(pin for pin in self.cards.event.pins if pin.dish == dish)

    def load_pins(self, dish: str, number: str, name: str) -> tuple[Pin, ...]:
        """Return the pins for one load, named by number or by the crew's name for it."""
        return tuple(p for p in self.pins(dish) if p.load in {number, name})

    @cached_property
    def places(self) -> dict[str, Place]:
        """Return the stations that can be full."""
        return {s.id: self._place(s) for s in self.cards.kit.stations}

    def _place(self, station: Station) -> Place:
        fire = station.kind in FIRES
        return Place(
            id=station.id,
            family=station.family or station.id,
            room=room(station),
            fire=fire,
            turn=up(station.swap_min),
            hotter_min_per_k=station.heat_up_min * HOTTER_PER_K,
            cooler_min_per_k=station.heat_up_min * COOLER_PER_K,
            heat_up=up(station.heat_up_min),
            recovery=up(station.recovery_min) if fire and station.load_by == "rack" else 0.0,
            opens=-inf if station.start is None else self.clock.minute(station.start),
        )

    @cached_property
    def pools(self) -> dict[str, int]:
        """Return what there is of cold litres and of places in hot boxes, by family.

        Litres as far as they may be filled; a kind with no litres or places on its card has no end.
        """
        found: dict[str, float] = {}
        for station in self.cards.kit.stations:
            family = station.family or station.id
            if station.kind in _COLD and station.litres is not None:
                key = f"litres/{family}"
                found[key] = found.get(key, 0.0) + station.litres * station.fill_max
            elif station.kind is StationKind.HOT_BOX and station.places is not None:
                key = f"places/{family}"
                found[key] = found.get(key, 0.0) + station.places
        return {key: floor(room) for key, room in found.items()}

    def uses(self, dish: Dish, step: Step, count: int) -> tuple[tuple[str, int], ...]:
        """Return what so many pieces take of a pool while a step lasts.

        A kilogram is a litre: meat and vegetables are about as dense as water, and what is left
        between the pieces is the part of a box that is not filled.
        """
        stations = self.stations(step)
        if not stations or not count:
            return ()
        family = stations[0].family or stations[0].id
        if stations[0].kind in _COLD and dish.piece.weight_kg is not None:
            key, amount = f"litres/{family}", ceil(count * dish.piece.weight_kg)
        elif stations[0].kind is StationKind.HOT_BOX:
            key, amount = f"places/{family}", count
        else:
            return ()
        return ((key, amount),) if key in self.pools else ()

    @cached_property
    def hands(self) -> dict[str, Hand]:
        """Return the crew with their shifts; who has none on the card is always there."""
        found = {}
        for person in self.cards.crew:
            shifts = tuple(self._shift(a, b) for a, b in person.shifts)
            own = {s.id for name in person.stations for s in self.cards.kit.matching(name)}
            found[person.id] = Hand(
                person.id,
                shifts or ((-inf, inf),),
                up(person.break_min or 0.0),
                frozenset(own),
            )
        return found

    def _shift(self, begins: Moment, ends: Moment) -> tuple[float, float]:
        """Return a shift in minutes; the last of a prep day's is for cleaning down."""
        start, end = self.clock.minute(begins), self.clock.minute(ends)
        if begins.day < 0 and ends.day == begins.day:
            end = max(end - CLEAN_DOWN_MIN, start)
        return start, end

    @cached_property
    def hours(self) -> tuple[tuple[float, float], ...]:
        """Return when anybody is there: the shifts, and 08:00 to 20:00 on days that have none."""
        days = {s.day for d in self.cards.dishes for s in d.steps if s.day is not None} | {0}
        spans = [span for hand in self.hands.values() for span in hand.shifts]
        found = list(spans)
        for day in days:
            start, end = self.clock.day(day)
            if not any(a < end and b > start for a, b in spans):
                opens, closes = (self.clock.minute(Moment(day, m.hour, 0)) for m in _DAY_HOURS)
                found.append((opens, closes))
        return tuple(sorted(found))


def room(station: Station) -> int:
    """Return how many separate uses a station takes at one time."""
    match station.kind:
        case StationKind.SMOKER | StationKind.OVEN | StationKind.GRILL | StationKind.GRIDDLE:
            return max(station.racks, 1) if station.load_by == "rack" else 1
        case StationKind.RING | StationKind.TABLE:
            return station.places or (1 if station.kind is StationKind.RING else MANY)
        case StationKind.TUB:
            return 1
        case _:
            return MANY


def racks_taken(dish: Dish, station: Station, count: int) -> int:
    """Return how much of a station's room a load of so many pieces takes."""
    if station.load_by != "rack":
        return 1
    per_rack = pieces_per_rack(dish, station)
    return max(-(-count // per_rack), 1) if per_rack else 1
