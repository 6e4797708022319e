"""From a card's steps to ops: lots before the first fire, the load on it, batches after it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, inf

from core.errors import CannotPlanError
from core.model import Dish, FoodClass, Per, Pin, Station, StationKind, Step, Tied
from core.planner.durations import Length, step_length, weather_counts
from core.planner.jobs import Lag, Op, down
from core.planner.kitchen import Kitchen, racks_taken
from core.scaling.loads import full_first, lots_of
from core.scaling.packing import pieces_per_load

_COOLING = frozenset({"chill", "cool"})  # done when it is cold; how long it stays is no matter


@dataclass(frozen=True, slots=True)
class Unit:
    """A load, lot or batch on its way through the steps: its name, key suffix, pieces, last op."""

    name: str
    suffix: str
    count: int
    last: str = ""


@dataclass(frozen=True, slots=True)
class Work:
    """A dish in hand: where its steps are, when plates are, and about when a step will run."""

    kitchen: Kitchen
    dish: Dish
    load: str = ""
    number: int = 0
    pins: tuple[Pin, ...] = ()
    plates: float = 0.0
    around: float = 0.0

    def passive(self, step: Step) -> bool:
        """Return whether a step is a wait: no hands, no fire."""
        return step.hands == 0 and not self.kitchen.is_fire(step)

    def raw(self, index: int) -> bool:
        """Return whether meat is still raw at this step."""
        first = self.kitchen.first_fire(self.dish)
        meat = self.dish.piece.food_class not in {None, FoodClass.PLANT}
        return meat and first is not None and index < first

    def pin_of(self, step: Step, index: int, what: str) -> Pin | None:
        """Return the pin that sets `start` or `station` of a step."""
        first = self.kitchen.first_fire(self.dish)
        for pin in self.pins:
            named = pin.step == step.id or (pin.step is None and index == first)
            if named and getattr(pin, what) is not None:
                return pin
        return None

    def op(self, index: int, unit: Unit, after: tuple[Lag, ...], *, prep: bool = False) -> Op:
        """Return the op of one step for one unit."""
        step = self.dish.steps[index]
        people = self.kitchen.able(self.dish, index, raw=self.raw(index))
        hands = self._hands(step, people)
        long = self._length(step, unit, hands)
        opens, closes = self._window(step, long.ideal)
        first = self._first_turn(step, unit, prep=prep)
        wait = self.passive(step)
        return Op(
            key=self._key(step, unit, prep=prep),
            dish=self.dish.id,
            load="" if prep else self.load,
            unit=unit.name,
            index=index,
            step=step.id,
            do=step.do,
            count=unit.count,
            ideal=long.ideal,
            least=long.least if wait else long.ideal,
            most=long.most,
            hard=long.hard,
            flexible=wait,
            station=step.station,
            places=self._places(step, index, unit),
            use=self._use(step, unit, hands),
            temp_c=step.temp_c if self.kitchen.is_fire(step) else None,
            hands=hands,
            able=people,
            after=after,
            tied=step.tied,
            start=self._start(step, index) if first else None,
            pinned=first and self.pin_of(step, index, "start") is not None,
            opens=opens,
            closes=closes,
            attended=not any(lag.most - lag.least < 1e-3 for lag in after),
            uses=self.kitchen.uses(self.dish, step, unit.count),
        )

    def _length(self, step: Step, unit: Unit, hands: int) -> Length:
        counts = weather_counts(self.kitchen.stations(step), step)
        weather = self.kitchen.clock.weather(self.around) if counts else None
        return step_length(step, unit.count, hands, weather, self.kitchen.is_fire(step))

    def _first_turn(self, step: Step, unit: Unit, *, prep: bool) -> bool:
        """Return whether a pin is meant for this unit: the first batch, as many lots as tubs."""
        turns = max(len(self.kitchen.stations(step)), 1) if prep else 1
        return unit.suffix == "" or int(unit.suffix) <= turns

    def _key(self, step: Step, unit: Unit, *, prep: bool) -> str:
        parts = [self.dish.id, *([] if prep else [self.load]), step.id]
        return "/".join([*parts, unit.suffix] if unit.suffix else parts)

    @staticmethod
    def _hands(step: Step, people: tuple[str, ...]) -> int:
        if step.hands == 0:
            return 0
        return max(step.hands, min(step.shared_by, len(people)))

    def _window(self, step: Step, minutes: float) -> tuple[float, float]:
        """Return when a step may start: on its day, not too far ahead, cooling while watched."""
        opens, closes = -inf, inf
        if step.day is not None:
            opens, closes = self.kitchen.clock.day(step.day)
            if step.do in _COOLING:
                there = [b for a, b in self.kitchen.hours if opens <= a and b <= closes + 1e-6]
                last = max(there, default=inf) - minutes
                closes = min(closes, last) if last > opens else closes
        if step.ahead_max_min is not None:
            opens = max(opens, self.kitchen.plates - step.ahead_max_min)
        return opens, closes

    def _start(self, step: Step, index: int) -> float | None:
        pin = self.pin_of(step, index, "start")
        if pin is not None and pin.start is not None:
            return self.kitchen.clock.minute(pin.start)
        if step.before_plates_min is not None:
            return down(self.plates - step.before_plates_min)
        return None

    def _places(self, step: Step, index: int, unit: Unit) -> tuple[str, ...]:
        """Return the stations that hold the unit; the load's turn decides who is asked first."""
        stations = self.kitchen.stations(step)
        pin = self.pin_of(step, index, "station")
        if pin is not None and pin.station is not None:
            stations = tuple(s for s in self.kitchen.cards.kit.matching(pin.station))
        if any(s.kind in {StationKind.FRIDGE, StationKind.HOT_BOX} for s in stations):
            return ()
        if self.kitchen.is_fire(step) and self.load:
            held = [(s, pieces_per_load(self.dish, s)) for s in stations]
            stations = tuple(s for s, n in held if n is None or n * _racks(s) >= unit.count)
        turn = (self.number - 1) % len(stations) if stations and self.number else 0
        ordered = [*stations[turn:], *stations[:turn]]
        return tuple(s.id for s in ordered)

    def _use(self, step: Step, unit: Unit, hands: int) -> int:
        stations = self.kitchen.stations(step)
        if not stations:
            return 1
        if stations[0].kind is StationKind.TABLE:
            return max(hands, 1)
        return racks_taken(self.dish, stations[0], unit.count)

    def lag(self, before: int, index: int, key: str, *, across: bool = False) -> Lag:
        """Return the lag between two steps. `across` lots to loads, only waits follow at once."""
        first, then = self.dish.steps[before], self.dish.steps[index]
        most = inf if first.gap_max_min is None else first.gap_max_min
        stays = self.passive(first) and first.do not in _COOLING
        if self.passive(then):
            at_once = stays or self.kitchen.is_fire(first)
        else:
            at_once = stays and not across and first.gap_max_min is None
        return Lag(key, first.gap_min, first.gap_min if at_once else most)

    def lots(self, index: int, count: int) -> tuple[Unit, ...]:
        """Return the lots of a step before the loads; one without a suffix where all go at once."""
        step = self.dish.steps[index]
        if step.per is not Per.LOT:
            return (Unit("", "", count),)
        weighed = self._weighed_lots(step)
        if weighed > 1:
            return tuple(Unit(str(n), str(n), 0) for n in range(1, weighed + 1))
        sizes = lots_of(self.dish, step, count, self.kitchen.stations(step))
        if len(sizes) < 2:
            return (Unit("", "", count),)
        return tuple(Unit(str(n), str(n), size) for n, size in enumerate(sizes, 1))

    def _weighed_lots(self, step: Step) -> int:
        """Return the lots of a card that is made by weight or volume; 0 where it is not."""
        amount, unit = self.kitchen.amounts.get(self.dish.id, (0.0, ""))
        if step.lot is None or step.lot_unit != unit or unit == "pieces":
            return 0
        return ceil(amount / step.lot - 1e-9)

    def batches(self, index: int, units: tuple[Unit, ...]) -> tuple[Unit, ...] | None:
        """Return new batches if a fire holds less than the units; None if they stay as they are."""
        step = self.dish.steps[index]
        if not self.kitchen.is_fire(step):
            return None
        held = [pieces_per_load(self.dish, s) for s in self.kitchen.stations(step)]
        known = [n * _racks(s) for n, s in zip(held, self.kitchen.stations(step), strict=True) if n]
        if not known or max(known) >= max(unit.count for unit in units):
            return None
        sizes = full_first(sum(unit.count for unit in units), max(known))
        return tuple(Unit(f"{self.load}.{n}", str(n), size) for n, size in enumerate(sizes, 1))


def _racks(station: Station) -> int:
    return max(station.racks, 1) if station.load_by == "rack" else 1


def prep_ops(work: Work, indices: list[int], count: int) -> Iterator[Op]:
    """Yield the ops of a dish that no load runs through, lot by lot."""
    before: tuple[Unit, ...] = ()
    last = -1
    for index in indices:
        units = work.lots(index, count)
        made = []
        for place, unit in enumerate(units):
            same = len(before) == len(units)
            froms = before[place : place + 1] if same else before
            after = tuple(work.lag(last, index, b.last) for b in froms)
            op = work.op(index, unit, after, prep=True)
            made.append(Unit(unit.name, unit.suffix, unit.count, op.key))
            yield op
        before, last = tuple(made), index


def check_hands(op: Op, step: Step, dish: Dish) -> None:
    """Raise where nobody can do a step.

    Raises
    ------
    CannotPlanError
        Naming the step and the skill.
    """
    if op.hands <= len(op.able):
        return
    if step.skill is not None:
        raise CannotPlanError(
            "'{step}' of {dish} needs {hands} with skill {skill} and the crew has {have}",
            step=step.id,
            dish=dish.name,
            hands=op.hands,
            skill=step.skill,
            have=len(op.able),
        )
    raise CannotPlanError(
        "'{step}' of {dish} needs {hands} people and the crew has {have}",
        step=step.id,
        dish=dish.name,
        hands=op.hands,
        have=len(op.able),
    )


def tied_to_plates(step: Step) -> bool:
    """Return whether a step moves with plates."""
    return step.tied is Tied.PLATES
