"""A reading taken back: the alarm it raised stays until somebody reads the thing again.

An undo corrects a slip of the thumb; it must not be a way to lift a stop. What stays binned stays
binned.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from core.cook.decision import Decision, Notice
from core.cook.safety.gaps import Watch
from core.cook.safety.record import thing
from core.cook.safety.said import given
from core.cook.state import Cook
from core.facts import Entry, FoodBinned, FoodOut, ReadingTaken, VerdictGiven
from core.model import Clock, Finding, Label, Lead, Line, Qty, Reading, Sound, Verdict, say

UNDONE = "reading.undone"
SOON = timedelta(minutes=3)
"""How long who took it back has to read it again before the call for it."""

AT_STAKE = frozenset({Verdict.BIN, Verdict.STOP, Verdict.UNKNOWN})


def stays_binned(group: Sequence[Entry]) -> bool:
    """Say whether what is to be taken back binned food for safety: that is not taken back."""
    return any(isinstance(e.fact, FoodBinned) for e in group)


def reading_undone(cook: Cook, group: Sequence[Entry], by: str, now: datetime) -> Decision:
    """Return the UNKNOWN that stands in place of each verdict taken back, and word to the chef."""
    found = tuple(_unknown(cook, reading, was) for reading, was in _at_stake(group))
    lines = tuple(each.text for each in found) or _clock_stopped(group)
    people = _told(cook, by) if lines else ()
    sound = Sound.ALARM if found else Sound.ONCE
    notice = Notice(f"undo/{cook.seq}/safety", people, lines, sound, kind="finding")
    facts = tuple(given(now, each) for each in found)
    return Decision(facts, None, (notice,) if people else ())


def _at_stake(group: Sequence[Entry]) -> Iterator[tuple[Reading, Finding]]:
    """Yield each reading taken back with its verdict, where that was no plain OK."""
    readings = [e.fact.reading for e in group if isinstance(e.fact, ReadingTaken)]
    for entry in group:
        if not isinstance(entry.fact, VerdictGiven):
            continue
        was = entry.fact.finding
        reading = next((r for r in readings if r.about.startswith(was.about)), None)
        if reading is not None and (was.verdict in AT_STAKE or was.deadline is not None):
            yield reading, was


def _unknown(cook: Cook, reading: Reading, was: Finding) -> Finding:
    name, value = thing(reading.about, cook), Qty(reading.value, reading.unit)
    text = say("{verdict}. {what}: {value} was taken back. Read it again now.",
               verdict=Verdict.UNKNOWN, what=name, value=value)  # fmt: skip
    if was.deadline is not None:
        text = say("{verdict}. {what}: {value} was taken back. Read it again, or bin by {clock}.",
                   verdict=Verdict.UNKNOWN, what=name, value=value,
                   clock=Clock(was.deadline))  # fmt: skip
    return Finding("safety", text, Verdict.UNKNOWN, UNDONE, was.profile, was.source, was.status,
                   was.deadline, about=reading.about)  # fmt: skip


def _clock_stopped(group: Sequence[Entry]) -> tuple[Line, ...]:
    """Return word that food which was told to stand out does not, so its clock is gone."""
    outs = [(e.fact.what, e.at) for e in group if isinstance(e.fact, FoodOut)]
    return tuple(
        say("{what} out {clock} was taken back: its clock runs no more.",
            what=Label(what), clock=Clock(at))
        for what, at in outs[:1]
    )  # fmt: skip


def _told(cook: Cook, by: str) -> tuple[str, ...]:
    cards = cook.cards
    people = [cards.chef, cards.leading(Lead.COLD)] if cards else []
    return tuple(dict.fromkeys(p.id for p in people if p is not None and p.id != by))


# ------------------------------------------------------------------ until it is read again


@dataclass(frozen=True, slots=True)
class _Open:
    """A thing whose reading was taken back, not read since: who took it back, when, until when."""

    about: str
    who: str
    at: datetime
    deadline: datetime | None
    was: Finding


def _open(cook: Cook) -> Iterator[_Open]:
    last: dict[str, _Open] = {}
    for entry in cook.entries:
        match entry.fact:
            case VerdictGiven(finding=was) if was.rule == UNDONE and was.verdict is Verdict.UNKNOWN:
                last[was.about] = _Open(was.about, entry.by, entry.at, was.deadline, was)
            case ReadingTaken(reading=reading):
                last.pop(reading.about, None)
            case FoodBinned(about=about):
                last.pop(about, None)
            case _:
                pass
    yield from last.values()


def undone_watches(cook: Cook) -> Iterator[Watch]:
    """Yield the call to read again, and the bin at the deadline that was taken back with it."""
    for each in _open(cook):
        name, stamp = thing(each.about, cook), f"{each.at:%dT%H%M%S}"
        line = say("READ AGAIN {what}: a reading of it was taken back {clock}.", what=name,
                   clock=Clock(each.at))  # fmt: skip
        yield Watch(f"{each.about}/undone/{stamp}", "box", each.at + SOON, each.about, line,
                    loud=True, to=(each.who,))  # fmt: skip
        if each.deadline is not None:
            text = say("{verdict}. {what}: nobody read it again by {clock}.", verdict=Verdict.BIN,
                       what=name, clock=Clock(each.deadline))  # fmt: skip
            found = Finding("safety", text, Verdict.BIN, UNDONE, each.was.profile,
                            each.was.source, each.was.status, each.deadline,
                            about=each.about)  # fmt: skip
            yield Watch(f"{each.about}/undone/bin/{stamp}", "box", each.deadline, each.about,
                        text, found, loud=True, choices=(say("binned"),))  # fmt: skip
