"""Readings by critical limit: value, limit, thermometer, who, and what was done about it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import StrEnum

from bot.record import about, what_of
from bot.sheets.ledger import Record, section, taken_back, told_later
from bot.sheets.paper import Block
from bot.sheets.safety import doubt_of
from core.cook import Cook
from core.cook.cooling import CHILLS
from core.facts import Entry, ReadingTaken, VerdictGiven
from core.model import Clock, Line, Place, Qty, Reading, StationKind, StepRun, say
from core.safety.degrees import limit_in
from core.safety.rules import of_profile

COLD = frozenset({StationKind.COLD_BOX, StationKind.FRIDGE, StationKind.TUB})


class Limit(StrEnum):
    """The critical limits a reading can be held against."""

    COOKING = "cooking"
    COOLING = "cooling"
    HOT = "hot"
    COLD = "cold"
    FIRES = "fires"
    OTHER = "other"


TITLES: Mapping[Limit, Line] = {
    Limit.COOKING: say("Core temperatures"),
    Limit.COOLING: say("Cooling"),
    Limit.HOT: say("Hot holding"),
    Limit.COLD: say("Cold holding"),
    Limit.FIRES: say("Fires and pits"),
    Limit.OTHER: say("Other readings"),
}


def limit_of(reading: Reading, record: Record) -> Limit:
    """Return which limit a reading belongs to: by the station it names, else by the place."""
    job = record.jobs.get(reading.about)
    if job is not None and job.do in CHILLS and reading.place is not Place.PIT:
        return Limit.COOLING
    kind = _station_kind(reading.about, record)
    if kind in COLD:
        return Limit.COLD
    if kind is StationKind.HOT_BOX:
        return Limit.HOT
    match reading.place:
        case Place.CORE:
            return Limit.COOKING
        case Place.TUB | Place.AIR:
            return Limit.COLD if kind is None else Limit.FIRES
        case Place.PIT:
            return Limit.FIRES
        case Place.SURFACE:
            return Limit.OTHER


def _station_kind(about_: str, record: Record) -> StationKind | None:
    """Return the kind of station a reading names, directly or through the wait it is of."""
    cards, job = record.cook.cards, record.jobs.get(about_)
    if cards is None or (isinstance(job, StepRun) and job.on_fire):
        return None
    station = cards.station((job.station or "") if job else about_)
    return station.kind if station else None


def readings_blocks(record: Record, limit: Limit) -> tuple[Block, ...]:
    """Return the readings held against one limit, each with what followed."""
    heads = (say("when"), say("what"), say("reading"), say("limit"), say("probe"),
             say("who"), say("what was done"))  # fmt: skip
    rows = [
        _reading_row(record, entry, entry.fact.reading, limit)
        for entry in record.entries
        if isinstance(entry.fact, ReadingTaken) and limit_of(entry.fact.reading, record) is limit
    ]
    always = limit not in {Limit.OTHER, Limit.COOLING}
    none = say("No reading on record.") if always else None
    return section(record, TITLES[limit], heads, rows, (3.1, 3, 2.1, 2.1, 1.6, 1.6, 4), empty=none)


def _reading_row(
    record: Record, entry: Entry, reading: Reading, limit: Limit
) -> tuple[str, ...]:  # fmt: skip
    value = Line("{value} {place}", {"value": Qty(reading.value, reading.unit),
                                     "place": reading.place.value})  # fmt: skip
    return (
        record.when(entry.at),
        record.words(about(reading.about, record.cook)),
        record.words(value),
        _limit_text(record, reading, limit),
        reading.instrument,
        record.who(entry.by),
        "\n".join(_done_about(record, entry, reading)),
    )


def _limit_text(record: Record, reading: Reading, limit: Limit) -> str:
    """Return the limit as the cards set it; the rule books' own stand with each verdict."""
    cards = record.cook.cards
    if cards is None:
        return ""
    house = cards.event.house
    if limit is Limit.COLD and house.cold_max_c is not None:
        return record.words(say("house ≤ {temp}", temp=Qty(house.cold_max_c, "°C")))
    if limit is Limit.HOT and house.hot_min_c is not None:
        return record.words(say("house ≥ {temp}", temp=Qty(house.hot_min_c, "°C")))
    job = record.jobs.get(reading.about)
    if limit is Limit.COOLING:
        return _stages_text(record)
    if limit is Limit.COOKING and isinstance(job, StepRun) and job.until_core_c is not None:
        return record.words(say("card {temp}", temp=Qty(job.until_core_c, "°C")))
    return ""


def _stages_text(record: Record) -> str:
    """Return the rule book's cooling stages, one a line."""
    profile = record.cook.cards.event.profile if record.cook.cards else None
    rows = of_profile("cooling", profile) if profile else ()
    return "\n".join(
        record.words(say("{to} within {hours}", to=limit_in(rule.row, "to").words(),
                         hours=Qty(float(rule.row["max_min"]) / 60, "h")))
        for rule in rows
    )  # fmt: skip


def _done_about(record: Record, entry: Entry, reading: Reading) -> Iterable[str]:
    """Yield what followed on the same thing before it was read again, and any correction."""
    if entry.seq in record.undone:
        yield taken_back(record, record.undone[entry.seq])
    if told := told_later(record, entry):
        yield told
    if doubt := doubt_of(record, reading):
        yield doubt
    for later in record.after.get(reading.about, ()):
        if later.seq <= entry.seq:
            continue
        if isinstance(later.fact, ReadingTaken):
            return
        yield record.words(say("{what}, {clock}", what=_action(later, record.cook),
                               clock=Clock(later.at)))  # fmt: skip
        if later.seq in record.undone:
            yield taken_back(record, record.undone[later.seq])


def _action(entry: Entry, cook: Cook) -> Line:
    """Return what was done, in a word where it is a verdict."""
    if isinstance(entry.fact, VerdictGiven):
        verdict = entry.fact.finding.verdict
        return Line("{verdict}", {"verdict": verdict}) if verdict else entry.fact.finding.text
    return what_of(entry, cook)
