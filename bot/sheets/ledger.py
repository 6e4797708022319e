"""A cook's whole log made ready to be set as an inspector's sheet; nothing of it is left out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, tzinfo

from bot.record import LATE_TOLD, name_of
from bot.render import render
from bot.sheets.paper import Block, Grid, Text
from core.cook import Cook
from core.cook.state import items
from core.facts import Entry, Fact, ReadingTaken, StepReported, Undone, VerdictGiven
from core.model import Clock, Label, Line, StepRun, Task, say

Words = Callable[[Line], str]


@dataclass(frozen=True, slots=True)
class Record:
    """A log made ready to be set.

    `undone` is who took an entry back, by its number; `jobs` the plan's runs and tasks by key;
    `after` the readings, verdicts and reports of each thing, in order.
    """

    entries: tuple[Entry, ...]
    cook: Cook
    zone: tzinfo
    words: Words
    undone: Mapping[int, Entry] = field(default_factory=dict)
    jobs: Mapping[str, StepRun | Task] = field(default_factory=dict)
    after: Mapping[str, tuple[Entry, ...]] = field(default_factory=dict)

    def when(self, at: datetime) -> str:
        """Return date and time at the site, the same in every language."""
        return f"{at.astimezone(self.zone):%Y-%m-%d %H:%M}"

    def who(self, person: str) -> str:
        """Return a name, or the id where there is none any more."""
        return name_of(person, self.cook)


def record_of(entries: Sequence[Entry], cook: Cook, zone: tzinfo, lang: str) -> Record:
    """Return a log made ready; the last one to take an entry back is named."""
    undone = {seq: e for e in entries if isinstance(e.fact, Undone) for seq in e.fact.seqs}
    after: dict[str, list[Entry]] = {}
    for entry in entries:
        subject = _subject(entry.fact)
        if subject:
            after.setdefault(subject, []).append(entry)
    return Record(
        tuple(entries),
        cook,
        zone,
        lambda line: render(line, lang, zone),
        undone,
        items(cook.plan) if cook.plan else {},
        {key: tuple(found) for key, found in after.items()},
    )


def _subject(fact: Fact) -> str:
    """Return the thing a reading, verdict or report is about."""
    match fact:
        case ReadingTaken(reading=reading):
            return reading.about
        case VerdictGiven(finding=finding):
            return finding.about
        case StepReported(run=run):
            return run
        case _:
            return ""


def taken_back(record: Record, by: Entry) -> str:
    """Return who took an entry back, and when."""
    taken = say("TAKEN BACK {clock} by {who}", clock=Clock(by.at), who=Label(record.who(by.by)))
    return record.words(taken)


def told_later(record: Record, entry: Entry) -> str:
    """Return when it was reported, where that was later than it happened."""
    if entry.heard - entry.at < LATE_TOLD:
        return ""
    return record.words(say("told {clock}", clock=Clock(entry.heard)))


def section(
    record: Record,
    title: Line,
    heads: Sequence[Line],
    rows: Iterable[tuple[str, ...]],
    widths: tuple[float, ...],
    *,
    empty: Line | None = None,
) -> tuple[Block, ...]:
    """Return a title with its table; with nothing in it the sheet says so, or leaves it out."""
    found = tuple(rows)
    if not found and empty is None:
        return ()
    top = Text(record.words(title), 15, bold=True)
    if not found:
        return (top, Text(record.words(empty or title)))
    return (top, Grid(tuple(record.words(h) for h in heads), found, widths, 9, frozenset({0})))
