"""Thermometers in doubt: which readings still count, and which verdicts must be said again."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from core.cook.decision import Dated, Decision, Notice
from core.cook.safety.book import FAILED
from core.cook.safety.record import thing
from core.cook.safety.said import given
from core.cook.state import Cook
from core.facts import CheckIce, DoubtProbe, IceChecked, ProbeDoubted, VerdictGiven
from core.model import Answer, Finding, Label, Line, Number, Place, Reading, Sound, Verdict, say
from core.safety.degrees import Degrees, of_f
from core.safety.probes import believed, checked_by_card, doubted, ice_check, unproven
from core.safety.rules import source_of

FOOD = frozenset({Place.CORE, Place.TUB, Place.SURFACE})
SHOWN = 4


def last_ice(cook: Cook, probe: str, before: datetime) -> datetime | None:
    """Return when a thermometer last passed in ice before an instant, by the log or its card."""
    passed = [at for at in cook.safety.checked.get(probe, ()) if at < before]
    card = checked_by_card(cook.cards, probe) if cook.cards else None
    return max([*passed, *([card] if card and card < before else [])], default=None)


def is_doubtful(cook: Cook, reading: Reading) -> bool:
    """Say whether a reading is not believed: its thermometer fell, failed or disagrees.

    One without a thermometer's name counts as of the one its reader has in hand.
    """
    spans: list[tuple[str, datetime | None, datetime | None, str]] = [
        (d.probe, d.since, None, d.reader) for d in cook.safety.doubted.values()
    ]
    spans += [(x.probe, x.since, x.until, x.reader) for x in cook.safety.lost]
    return any(
        _is_of(cook, reading, probe, reader)
        and (since is None or reading.at > since)
        and (until is None or reading.at <= until)
        for probe, since, until, reader in spans
    )


def _is_of(cook: Cook, reading: Reading, probe: str, reader: str) -> bool:
    if reading.instrument:
        return reading.instrument == probe
    only = cook.cards is not None and len(cook.cards.kit.probes) <= 1
    return reading.place in FOOD and (only or reading.who == reader)


def trusted(cook: Cook, about: str | None = None) -> tuple[Reading, ...]:
    """Return the readings that count, in order of time: in range, in the past, not in doubt.

    `about` narrows it to those of one thing, which is much quicker in a long log.
    """
    if not cook.readings:
        return ()
    last = cook.entries[-1].heard if cook.entries else max(r.at for r in cook.readings)
    kept = [r for r in cook.readings if about is None or r.about == about]
    if cook.safety.doubted or cook.safety.lost:
        kept = [r for r in kept if not is_doubtful(cook, r)]
    return believed(kept, last, {})


# ------------------------------------------------------------------ wishes


def probe_doubted(cook: Cook, wish: DoubtProbe, by: str, at: datetime) -> Decision:
    """Take a thermometer out of use until it passed in ice; say again what rested on it."""
    fact = ProbeDoubted(wish.probe, wish.why, last_ice(cook, wish.probe, at), by)
    hit = _hit(cook, fact)
    found = doubted(wish.probe, len(hit), fact.since)
    return _told(cook, by, at, (Dated(at, fact), given(at, found)), found, hit)


def ice_checked(cook: Cook, wish: CheckIce, by: str, at: datetime) -> Decision:
    """Book an ice check; a failed one puts every reading since the last good one in doubt."""
    read = of_f(wish.reading) if wish.fahrenheit else Degrees(wish.reading)
    found = replace(ice_check(read), about=wish.probe)
    good = found.verdict is Verdict.OK
    number = Number("ice", wish.reading, "°F" if wish.fahrenheit else "°C")
    facts = (Dated(at, IceChecked(wish.probe, round(read.c, 2), good)), given(at, found))
    if good:
        answer = Answer((found.text, *_again(cook, wish.probe)), found.verdict, (number,),
                        sources=source_of(found))  # fmt: skip
        return Decision(facts, answer)
    doubt = ProbeDoubted(wish.probe, FAILED, last_ice(cook, wish.probe, at), by)
    return _told(cook, by, at, (*facts, Dated(at, doubt)), found, _hit(cook, doubt), (number,))


def _again(cook: Cook, probe: str) -> tuple[Line, ...]:
    doubt = cook.safety.doubted.get(probe)
    if doubt is None:
        return ()
    if doubt.why == FAILED:
        return (say("What it showed before stays in doubt: read those foods again."),)
    return (say("Its readings count again."),)


def disagreed(
    cook: Cook, found: Finding, group: Iterable[Reading], by: str, at: datetime
) -> tuple[Dated, ...]:
    """Return the facts of thermometers that disagree: none is believed until it was in ice."""
    names = dict.fromkeys(r.instrument for r in group if r.instrument)
    doubts = [
        Dated(at, ProbeDoubted(name, "disagrees", last_ice(cook, name, at), by))
        for name in names
        if name not in cook.safety.doubted
    ]
    return (given(at, found), *doubts)


def _hit(cook: Cook, doubt: ProbeDoubted) -> tuple[Reading, ...]:
    return tuple(
        r for r in cook.readings
        if _is_of(cook, r, doubt.probe, doubt.reader)
        and (doubt.since is None or r.at > doubt.since)
    )  # fmt: skip


def _told(
    cook: Cook,
    by: str,
    at: datetime,
    facts: tuple[Dated, ...],
    found: Finding,
    hit: tuple[Reading, ...],
    numbers: tuple[Number, ...] = (),
) -> Decision:
    """Return the answer, the verdicts said again, and word to the chef and to who read them."""
    again = shaken(cook, hit)
    lines = [found.text]
    if again:
        names = Label(", ".join(thing(f.about, cook).text for f in again[:SHOWN]))
        lines.append(say("Read again: {names}. Their OK no longer counts.", names=names))
    chef = cook.cards.chef if cook.cards else None
    people = dict.fromkeys([*(r.who for r in hit if again), *([chef.id] if chef else [])])
    people.pop(by, None)
    sound = Sound.ALARM if again else Sound.ONCE
    told = Notice(f"probe/{cook.seq}", tuple(people), tuple(lines), sound, kind="finding")
    answer = Answer(tuple(lines), found.verdict, numbers, sources=source_of(found))
    more = tuple(given(at, each) for each in again)
    return Decision((*facts, *more), answer, (told,) if people else ())


def shaken(cook: Cook, hit: Iterable[Reading]) -> tuple[Finding, ...]:
    """Return an UNKNOWN for each thing whose last verdict was OK and rested on these readings."""
    about = {r.about for r in hit}
    last: dict[str, Finding] = {}
    for entry in cook.entries:
        if isinstance(entry.fact, VerdictGiven) and entry.fact.finding.about in about:
            last[entry.fact.finding.about] = entry.fact.finding
    return tuple(unproven(name) for name, found in last.items() if found.verdict is Verdict.OK)
