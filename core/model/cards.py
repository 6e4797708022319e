"""The cards of one event together, and the look-ups between them."""

from __future__ import annotations

from dataclasses import dataclass

from core.model.dish import Dish
from core.model.event import Event
from core.model.kit import Kit, Person, Station
from core.model.vocabulary import Lead, Role


@dataclass(frozen=True, slots=True)
class Cards:
    """Everything an event folder says, parsed."""

    event: Event
    kit: Kit
    crew: tuple[Person, ...]
    dishes: tuple[Dish, ...]

    def dish(self, dish_id: str) -> Dish:
        """Return the dish with this id; KeyError is a bug, cards are checked when read."""
        return next(d for d in self.dishes if d.id == dish_id)

    def person(self, person_id: str) -> Person | None:
        """Return the person with this id."""
        return next((p for p in self.crew if p.id == person_id), None)

    def station(self, station_id: str) -> Station | None:
        """Return the single station with this id."""
        return next((s for s in self.kit.stations if s.id == station_id), None)

    @property
    def chef(self) -> Person | None:
        """Return who owns plan and menu."""
        return next((p for p in self.crew if p.role is Role.CHEF), None)

    def leading(self, lead: Lead) -> Person | None:
        """Return who leads this; None if nobody does."""
        return next((p for p in self.crew if lead in p.leads), None)
