"""What a cook's log says of safety: batches, labels, doubted thermometers, the sick, lifts, alarms.

Only booked here; what it means is judged beside it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import assert_never

from core.facts.safety import (
    AlarmRaised,
    BatchMade,
    BrandSwapped,
    CrewBack,
    CrewOff,
    FoodBinned,
    IceChecked,
    LabelConfirmed,
    LabelShown,
    PinkApproved,
    ProbeDoubted,
    SafetyFact,
    StopLifted,
)

FAILED = "ice"
"""Why a thermometer is doubted that did not read 0 °C in ice: what it showed is not true."""


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch that somebody said was made."""

    dish: str
    number: int
    at: datetime
    uses: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Brand:
    """What is known of an ingredient's label since `at`; `other` is a brand the card does not know.

    `allergens` is None until two people have agreed on what its label says.
    """

    ingredient: str
    at: datetime
    other: bool
    allergens: tuple[str, ...] | None = None
    may_contain: tuple[str, ...] = ()
    photo: str | None = None


@dataclass(frozen=True, slots=True)
class Lost:
    """Readings that are not believed for good: of a thermometer that failed, or unnamed by
    `reader`, after `since` (None: from the first) and until `until`.
    """

    probe: str
    since: datetime | None
    until: datetime
    reader: str


@dataclass(frozen=True, slots=True)
class SafetyBook:
    """The safety side of one cook.

    `doubted` are thermometers by name, `lost` what they had shown when they failed; `checked` the
    instants at which they passed in ice; `off` people who are sick, since when; `lifted` verdicts
    by their number; `binned` food by what it was called, the last time; `photos` pictures of
    labels by ingredient.
    """

    batches: tuple[Batch, ...] = ()
    brands: tuple[Brand, ...] = ()
    photos: tuple[tuple[str, str], ...] = ()
    pink: Mapping[str, str] = field(default_factory=dict)
    doubted: Mapping[str, ProbeDoubted] = field(default_factory=dict)
    lost: tuple[Lost, ...] = ()
    checked: Mapping[str, tuple[datetime, ...]] = field(default_factory=dict)
    off: Mapping[str, datetime] = field(default_factory=dict)
    lifted: Mapping[int, StopLifted] = field(default_factory=dict)
    binned: Mapping[str, datetime] = field(default_factory=dict)
    alarms: tuple[tuple[str, datetime], ...] = ()


def safety_booked(book: SafetyBook, fact: SafetyFact, at: datetime) -> SafetyBook:
    """Return the book after one more fact that happened at `at`."""
    match fact:
        case StopLifted(verdict=verdict):
            return replace(book, lifted={**book.lifted, verdict: fact})
        case BrandSwapped() | LabelShown() | LabelConfirmed():
            return _labelled(book, fact, at)
        case BatchMade(dish=dish, number=number, uses=uses):
            return replace(book, batches=(*book.batches, Batch(dish, number, at, uses)))
        case ProbeDoubted(probe=probe):
            return replace(book, doubted={**book.doubted, probe: fact})
        case IceChecked():
            return _checked(book, fact, at)
        case CrewOff(person=person):
            return replace(book, off={**book.off, person: at})
        case CrewBack(person=person):
            return replace(book, off={p: since for p, since in book.off.items() if p != person})
        case FoodBinned(about=about):
            return replace(book, binned={**book.binned, about: at})
        case PinkApproved(dish=dish, by=by):
            return replace(book, pink={**book.pink, dish: by})
        case AlarmRaised(alarm=alarm):
            return replace(book, alarms=(*book.alarms, (alarm, at)))
        case _:
            assert_never(fact)


def _labelled(
    book: SafetyBook, fact: BrandSwapped | LabelShown | LabelConfirmed, at: datetime
) -> SafetyBook:
    seen = ((fact.ingredient, fact.photo),) if fact.photo else ()
    book = replace(book, photos=(*book.photos, *seen))
    match fact:
        case LabelShown():
            return book
        case BrandSwapped(ingredient=ingredient, photo=photo):
            return replace(
                book, brands=(*book.brands, Brand(ingredient, at, other=True, photo=photo))
            )
        case LabelConfirmed():
            return replace(book, brands=_read(book, fact, at))


def _read(book: SafetyBook, fact: LabelConfirmed, at: datetime) -> tuple[Brand, ...]:
    """Return the brands with the newest open one of this ingredient closed by its label."""
    mine = [n for n, b in enumerate(book.brands) if b.ingredient == fact.ingredient]
    was = book.brands[mine[-1]] if mine else None
    if was is None or was.allergens is not None:  # the card's own brand, read for the first time
        fresh = Brand(fact.ingredient, at, other=False)
        return (*book.brands, _with_label(fresh, fact))
    known = list(book.brands)
    known[mine[-1]] = _with_label(was, fact)
    return tuple(known)


def _with_label(brand: Brand, fact: LabelConfirmed) -> Brand:
    return replace(
        brand,
        allergens=fact.allergens,
        may_contain=fact.may_contain,
        photo=fact.photo or brand.photo,
    )


def _checked(book: SafetyBook, fact: IceChecked, at: datetime) -> SafetyBook:
    """Return the book after an ice check; a pass believes again what a fall had put in doubt.

    What a thermometer showed before it failed in ice stays lost, however well it reads later.
    """
    if not fact.good:
        return book  # the doubt that comes with it is a fact of its own
    doubt = book.doubted.get(fact.probe)
    failed = doubt is not None and doubt.why == FAILED
    lost = (Lost(fact.probe, doubt.since, at, doubt.reader),) if doubt and failed else ()
    return replace(
        book,
        checked={**book.checked, fact.probe: (*book.checked.get(fact.probe, ()), at)},
        doubted={p: d for p, d in book.doubted.items() if p != fact.probe},
        lost=(*book.lost, *lost),
    )
