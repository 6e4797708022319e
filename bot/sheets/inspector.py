"""The inspector's sheet: per critical limit what was read, when, by whom, and what was done.

Made from the whole log, so what was taken back stands there as well, with who took it back. What
somebody said is printed as it was said; no verdict is made here.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, tzinfo

from bot.record import about, line_of, what_of
from bot.sheets.ledger import Record, record_of, section, taken_back, told_later
from bot.sheets.paper import Block, Text, pdf_bytes
from bot.sheets.readings import Limit, readings_blocks
from bot.sheets.safety import (
    SHOWN_HERE,
    allergens,
    incidents,
    lifts,
    still_open,
    thermometers,
)
from core.cook import Cook
from core.facts import (
    Entry,
    PlanAdopted,
    ReadingTaken,
    Report,
    StepReported,
    Undone,
    VerdictGiven,
)
from core.model import Clock, Label, Line, Qty, say

NO_TIME = datetime(2000, 1, 1, tzinfo=UTC)
"""The date of a sheet without a single entry; a sheet's date comes from its log."""


def inspector_pdf(
    entries: Sequence[Entry],
    cook: Cook,
    head: str,
    broken_at: int | None,
    zone: tzinfo,
    lang: str,
) -> bytes:
    """Return the sheet as PDF, every page numbered.

    Parameters
    ----------
    entries
        The whole log of the cook, as stored.
    cook
        What it amounts to; its cards give names and limits.
    head, broken_at
        The chain's head, and the entry from which it does not hold any more (None: it holds).
    """
    record = record_of(entries, cook, zone, lang)
    blocks = inspector_blocks(record, head, broken_at)
    title = record.words(say("INSPECTOR'S SHEET"))
    last = max((e.heard for e in entries), default=NO_TIME)
    foot = f"{cook.id} · {head[:12]}"
    return pdf_bytes(blocks, title=title, foot=foot, created=last, lang=lang)


def inspector_blocks(record: Record, head: str, broken_at: int | None) -> tuple[Block, ...]:
    """Return everything on the sheet, in order."""
    return (
        *_head(record, head, broken_at),
        *(block for limit in Limit for block in readings_blocks(record, limit)),
        *_verdicts(record),
        *lifts(record),
        *still_open(record),
        *_discards(record),
        *_corrections(record),
        *thermometers(record),
        *allergens(record),
        *incidents(record),
        *_plans(record),
        *_reports(record),
    )


# ------------------------------------------------------------------ head and chain


def _head(record: Record, head: str, broken_at: int | None) -> tuple[Block, ...]:
    words, cards = record.words, record.cook.cards
    lines = [Text(words(say("INSPECTOR'S SHEET")), 24, bold=True)]
    if cards is not None:
        profile = cards.event.profile
        rules = Label(profile.value) if profile else say("not set: every rule book, the worst")
        lines += [
            Text(cards.event.name, 14, bold=True),
            Text(words(say("Date {day}, zone {zone}", day=Label(cards.event.day.isoformat()),
                           zone=Label(cards.event.tz)))),
            Text(words(say("Rule book: {rules}", rules=rules))),
        ]  # fmt: skip
    lines.append(
        Text(
            words(
                say("Log {cook}, entries: {n}", cook=Label(record.cook.id), n=len(record.entries))
            )
        )
    )
    lines.append(Text(words(say("Chain head: {head}", head=Label(head)))))
    lines.append(_verified(record, broken_at))
    return tuple(lines)


def _verified(record: Record, broken_at: int | None) -> Text:
    if not record.entries:
        return Text(record.words(say("Chain NOT VERIFIED: the log is empty.")), 14, bold=True)
    if broken_at is None:
        holds = say("Chain verified: no entry was changed after it was written.")
        return Text(record.words(holds), 12, bold=True)
    broken = say("CHAIN BROKEN at #{seq}: the log was edited from there on.", seq=broken_at)
    return Text(record.words(broken), 18, bold=True)


# ------------------------------------------------------------------ verdicts, discards, corrections


def _verdicts(record: Record) -> tuple[Block, ...]:
    heads = (say("when"), say("verdict"), say("what was said"), say("rule"), say("source"),
             say("tables"))  # fmt: skip
    rows = []
    for entry in record.entries:
        if not isinstance(entry.fact, VerdictGiven):
            continue
        found = entry.fact.finding
        word = record.words(Line("{v}", {"v": found.verdict})) if found.verdict else found.kind
        profile = f" ({found.profile.value})" if found.profile else ""
        until = [record.words(say("until {clock}", clock=Clock(found.deadline)))] if (
            found.deadline) else []  # fmt: skip
        undone = [taken_back(record, record.undone[entry.seq])] if (
            entry.seq in record.undone) else []  # fmt: skip
        text = "\n".join([record.words(found.text), *until, *undone])
        source = " ".join(x for x in (found.source, found.status) if x)
        rows.append((record.when(entry.at), word, text, f"{found.rule}{profile}", source,
                     entry.fact.tables[:12]))  # fmt: skip
    none = say("No verdict on record.")
    return section(record, say("Verdicts"), heads, rows, (2.6, 1.8, 5, 3, 2.4, 1.8), empty=none)


def _discards(record: Record) -> tuple[Block, ...]:
    heads = (say("when"), say("what"), say("how many"), say("who"))
    rows = []
    for entry in record.entries:
        fact = entry.fact
        if isinstance(fact, StepReported) and fact.report is Report.DISCARD:
            count = say("all of it") if fact.count is None else Line(
                "{n}", {"n": Qty(fact.count, "pcs", 0)})  # fmt: skip
            rows.append((record.when(entry.at), record.words(about(fact.run, record.cook)),
                         record.words(count), record.who(entry.by)))  # fmt: skip
    none = say("Nothing was binned.")
    return section(record, say("Binned"), heads, rows, (2.6, 5, 2, 2), empty=none)


def _corrections(record: Record) -> tuple[Block, ...]:
    heads = (say("when"), say("who"), say("what was taken back"))
    by_seq = {e.seq: e for e in record.entries}
    rows = [
        (
            record.when(entry.at),
            record.who(entry.by),
            "\n".join(
                f"#{seq} {record.words(line_of(by_seq[seq], record.cook))}"
                for seq in entry.fact.seqs
                if seq in by_seq
            ),
        )
        for entry in record.entries
        if isinstance(entry.fact, Undone)
    ]
    none = say("Nothing was taken back.")
    return section(record, say("Corrections"), heads, rows, (2.6, 2, 8), empty=none)


# ------------------------------------------------------------------ plans, reports


def _plans(record: Record) -> tuple[Block, ...]:
    heads = (say("when"), say("plan"), say("plates"), say("heads"), say("why"), say("who"))
    rows = [
        (
            record.when(entry.at),
            entry.fact.plan.letter,
            record.when(entry.fact.plan.plates_at),
            str(entry.fact.plan.heads),
            record.words(entry.fact.reason),
            record.who(entry.by),
        )
        for entry in record.entries
        if isinstance(entry.fact, PlanAdopted)
    ]
    return section(record, say("Plans adopted"), heads, rows, (2.6, 1.2, 2.6, 1.2, 5, 2))


SHOWN_ABOVE = (ReadingTaken, VerdictGiven, PlanAdopted, Undone, *SHOWN_HERE)


def _reports(record: Record) -> tuple[Block, ...]:
    """Return every other entry of the log, as it was heard."""
    heads = (say("no."), say("when"), say("what"), say("who"))
    rows = [
        (
            f"#{entry.seq}",
            record.when(entry.at),
            _struck(record, entry),
            record.who(entry.by),
        )
        for entry in record.entries
        if not isinstance(entry.fact, SHOWN_ABOVE)
    ]
    return section(record, say("The rest of the log"), heads, rows, (1, 2.6, 9, 2))


def _struck(record: Record, entry: Entry) -> str:
    notes = [told_later(record, entry)]
    if entry.seq in record.undone:
        notes.append(taken_back(record, record.undone[entry.seq]))
    return "\n".join(x for x in (record.words(what_of(entry, record.cook)), *notes) if x)
