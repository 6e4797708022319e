"""What a cook holds of the house: what it took at its start, what was kept from it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import assert_never

from core.facts import (
    CookLearned,
    HeatKnown,
    HeatLearned,
    HouseFact,
    HouseForgot,
    HouseTaken,
    MeasurementTaken,
)


@dataclass(frozen=True, slots=True)
class HouseBook:
    """`taken` is all of the house that this cook ever uses; `kept` what was approved in it."""

    taken: HouseTaken = field(default_factory=HouseTaken)
    kept: tuple[MeasurementTaken, ...] = ()

    def heat(self, fire: str, cut: str, step: str) -> HeatKnown | None:
        """Return what earlier cooks taught of a step of a cut on this family of fires."""
        wanted = (fire, cut, step)
        return next((h for h in self.taken.heat if (h.fire, h.cut, h.step) == wanted), None)


def house_booked(book: HouseBook, fact: HouseFact) -> HouseBook:
    """Return the book after one more fact."""
    match fact:
        case HouseTaken():
            return replace(book, taken=fact)
        case MeasurementTaken():
            return replace(book, kept=(*book.kept, fact))
        case HeatLearned() | HouseForgot() | CookLearned():
            return book  # facts of the house's own stream
        case _:
            assert_never(fact)
