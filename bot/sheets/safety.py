"""The safety side of the inspector's sheet: lifts, labels, batches, thermometers, what is open."""

from __future__ import annotations

from bot.record import what_of
from bot.sheets.ledger import Record, section
from bot.sheets.paper import Block
from core.cook.safety.probes import is_doubtful, last_ice
from core.cook.safety.record import WHYS, label_words, thing
from core.cook.safety.watch import unsafe
from core.facts import (
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
    ReadingTaken,
    StopLifted,
    VerdictGiven,
)
from core.model import Line, Probe, Qty, Reading, say

SHOWN_HERE = (
    StopLifted,
    BrandSwapped,
    LabelShown,
    LabelConfirmed,
    BatchMade,
    PinkApproved,
    AlarmRaised,
    CrewOff,
    CrewBack,
)
"""Facts with a place of their own on the sheet; the rest of the log leaves them out."""


def lifts(record: Record) -> tuple[Block, ...]:
    """Return every verdict that was lifted: which, when, why and by which two people."""
    heads = (say("when"), say("what"), say("verdict"), say("rule"), say("why"), say("who"))
    verdicts = {e.seq: e.fact.finding for e in record.entries if isinstance(e.fact, VerdictGiven)}
    rows = []
    for entry in record.entries:
        fact = entry.fact
        if not isinstance(fact, StopLifted):
            continue
        found = verdicts.get(fact.verdict)
        word = record.words(found.text) if found else f"#{fact.verdict}"
        who = f"{record.who(fact.chef)} + {record.who(fact.second)}"
        rows.append((record.when(entry.at), thing(fact.about, record.cook).text, word, fact.rule,
                     fact.reason, who))  # fmt: skip
    none = say("No verdict was lifted.")
    return section(record, say("Lifts"), heads, rows, (2.4, 2.4, 4, 2, 3, 2.4), empty=none)


def allergens(record: Record) -> tuple[Block, ...]:
    """Return batches made, brands swapped and labels agreed on, with the pictures' hashes."""
    heads = (say("when"), say("what"), say("label or batch"), say("photo (sha256)"), say("who"))
    rows = []
    for entry in record.entries:
        fact = entry.fact
        match fact:
            case BrandSwapped(ingredient=ingredient, photo=photo):
                told = record.words(say("other brand"))
            case LabelShown(ingredient=ingredient, photo=photo):
                told = record.words(say("label photographed"))
            case LabelConfirmed(ingredient=ingredient, photo=photo):
                told = record.words(label_words(fact))
            case BatchMade(dish=ingredient, number=number, uses=uses):
                told = record.words(say("batch {n}", n=number))
                told = ", ".join((told, *uses))
                photo = None
            case PinkApproved(dish=ingredient):
                told, photo = record.words(what_of(entry, record.cook)), None
            case _:
                continue
        rows.append(
            (record.when(entry.at), ingredient, told, photo or "", _who(record, fact, entry.by))
        )
    return section(record, say("Allergens and labels"), heads, rows, (2.4, 3, 4, 4, 2.4))


def _who(record: Record, fact: object, by: str) -> str:
    if isinstance(fact, LabelConfirmed):
        people = dict.fromkeys((fact.read_by, fact.confirmed_by))
        return " + ".join(record.who(p) for p in people)
    return record.who(by)


def incidents(record: Record) -> tuple[Block, ...]:
    """Return alarms, people off sick (no name) and food binned for safety."""
    heads = (say("when"), say("what"), say("who"))
    rows = [
        (
            record.when(entry.at),
            record.words(what_of(entry, record.cook)),
            "" if isinstance(entry.fact, CrewOff | CrewBack) else record.who(entry.by),
        )
        for entry in record.entries
        if isinstance(entry.fact, AlarmRaised | CrewOff | CrewBack | FoodBinned)
    ]
    return section(record, say("Incidents"), heads, rows, (2.6, 8, 2))


def still_open(record: Record) -> tuple[Block, ...]:
    """Return what the rules find unsafe in the log as it stands, by the last entry's clock."""
    if not record.entries:
        return ()
    now = max(e.heard for e in record.entries)
    found = unsafe(record.cook, now)
    heads = (say("what"), say("verdict"), say("rule"), say("source"))
    rows = [
        (thing(f.about, record.cook).text, record.words(f.text), f.rule,
         " ".join(x for x in (f.source, f.status) if x))
        for f in found
    ]  # fmt: skip
    none = say("Nothing is open.")
    title = say("Open at the last entry")
    return section(record, title, heads, rows, (3, 6, 2.4, 3), empty=none)


# ------------------------------------------------------------------ thermometers


def thermometers(record: Record) -> tuple[Block, ...]:
    """Return each thermometer with its ice checks, its readings, and those in doubt."""
    heads = (say("probe"), say("kind"), say("last ice check"), say("ice checks"), say("readings"),
             say("in doubt"))  # fmt: skip
    readings = [e.fact.reading for e in record.entries if isinstance(e.fact, ReadingTaken)]
    cards = record.cook.cards
    known: list[Probe] = list(cards.kit.probes if cards else ())
    seen = dict.fromkeys(
        name
        for e in record.entries
        for name in _names(e.fact)
        if name and name not in {p.id for p in known}
    )
    rows = [_probe_row(record, p.id, p.kind, readings) for p in known]
    rows += [_probe_row(record, name, record.words(say("not on the cards")), readings)
             for name in seen]  # fmt: skip
    unnamed = [r for r in readings if not r.instrument]
    if unnamed and rows:
        doubtful = sum(is_doubtful(record.cook, r) for r in unnamed)
        rows.append((record.words(say("not named")), "", "", "", str(len(unnamed)), str(doubtful)))
    none = say("No thermometer on the cards.")
    return section(record, say("Thermometers"), heads, rows, (2.4, 2, 2.8, 4, 1.6, 1.6), empty=none)


def _names(fact: object) -> tuple[str, ...]:
    match fact:
        case ReadingTaken(reading=reading):
            return (reading.instrument,)
        case IceChecked(probe=probe) | ProbeDoubted(probe=probe):
            return (probe,)
        case _:
            return ()


def _probe_row(
    record: Record, name: str, kind: str, readings: list[Reading]
) -> tuple[str, str, str, str, str, str]:
    mine = [r for r in readings if r.instrument == name]
    end = max((e.heard for e in record.entries), default=None)
    last = last_ice(record.cook, name, end) if end is not None else None
    doubtful = sum(is_doubtful(record.cook, r) for r in mine)
    return (
        name,
        kind,
        record.when(last) if last is not None else record.words(say("none on record")),
        "\n".join(_checks(record, name)),
        str(len(mine)),
        str(doubtful),
    )


def _checks(record: Record, name: str) -> list[str]:
    """Return what was said of a thermometer: its checks and its doubts, in order."""
    return [
        f"{record.when(e.at)} {record.words(_told(e.fact))}"
        for e in record.entries
        if isinstance(e.fact, IceChecked | ProbeDoubted) and e.fact.probe == name
    ]


def _told(fact: IceChecked | ProbeDoubted) -> Line:
    if isinstance(fact, IceChecked):
        passed = say("passed") if fact.good else say("failed")
        return Line("{read} {passed}", {"read": Qty(fact.celsius, "°C", 1), "passed": passed})
    return say("in doubt: {why}", why=WHYS.get(fact.why, say("in doubt")))


def doubt_of(record: Record, reading: Reading) -> str:
    """Return that a reading is in doubt, for its row; '' where it counts."""
    if not is_doubtful(record.cook, reading):
        return ""
    return record.words(say("IN DOUBT: thermometer fell, failed or disagrees"))
