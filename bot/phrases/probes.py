"""Thermometers: dropped, wet, in ice; and readings with the name of what showed them."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from bot.phrases.about import names
from bot.phrases.heard import Ear, Heard, Unclear, Wished
from bot.phrases.readings import DEGREES, read_reading
from bot.phrases.reports import read_report
from bot.phrases.said import Said, said
from bot.phrases.weighing import plain
from core.facts import CheckIce, DoubtProbe, GiveReading, ReportStep, Wish
from core.model import Place, Reading, say
from core.words import Delta, Num, Quantity

_FALLEN = re.compile(
    r"\b(?:dropped|drop|fell|fallen|wet|soaked|broken|suelo|floor|caid[oa]|cayo|se ha caido"
    r"|mojad[oa]|rot[oa]|golpe|banged|hit)\b"
)
_WET = re.compile(r"\b(?:wet|soaked|mojad[oa])\b")
_DIFFER = re.compile(r"\b(?:disagrees?|differs?|no coinciden?|off by|lies|lying|miente)\b")
_PROBE = re.compile(
    r"\b(?:probe|thermometer|sonda|term[oó]metro)\s*(?:no\.?|n[ºo]\.?|#)?\s*(?P<n>\d{1,2})\b(?![.,]\d)"
    r"|\b(?P<m>\d{1,2})(?:st|nd|rd|th)\s+probe\b",
    re.IGNORECASE,
)


def probe_named(text: str, ear: Ear) -> tuple[str, str]:
    """Return the thermometer a text names, and the text without it; '' for none."""
    for name in sorted(ear.probes, key=len, reverse=True):
        spelt = re.escape(name).replace(r"\ ", "[ -]?").replace(r"\-", "[ -]?")
        beside = r"(?:probe|sonda|thermometer|term[oó]metro)"
        found = re.search(rf"\b(?:{beside}\s+)?{spelt}(?:\s+{beside})?\b", text, re.IGNORECASE)
        if found:
            return name, f"{text[: found.start()]} {text[found.end() :]}"
    found = _PROBE.search(text)
    if found is None:
        return "", text
    number = int(found["n"] or found["m"])
    name = ear.probes[number - 1] if 1 <= number <= len(ear.probes) else f"probe {number}"
    return name, f"{text[: found.start()]} {text[found.end() :]}"


def _is_of_probe(line: Said, text: str) -> bool:
    return line.has("probe") or bool(probe_named(text.strip(), line.ear)[0])


def read_probe(line: Said) -> Heard | None:
    """Return 'dropped probe 2', 'sonda al suelo'; 'probe red disagrees'."""
    text = plain(line)
    if line.slash == "ask" or line.text.rstrip().endswith("?") or not _is_of_probe(line, text):
        return None
    why = "disagrees" if _DIFFER.search(text) else ("wet" if _WET.search(text) else "dropped")
    if not (_FALLEN.search(text) or why == "disagrees") or line.has("ice") or line.is_denied:
        return None
    numbers = [t for t in line.tokens if isinstance(t, Quantity) and t.unit in DEGREES]
    if numbers:
        return None
    return _of_probe(line, lambda name: DoubtProbe(name, why))


def read_ice(line: Said) -> Heard | None:
    """Return 'probe 1 ice 0.3', 'sonda red hielo 0,3', 'ice check blue 32.4 F'."""
    text = plain(line)
    if not line.has("ice") or line.slash == "ask" or line.text.rstrip().endswith("?"):
        return None
    if not _is_of_probe(line, text) and " check " not in text:
        return None
    rest = said(probe_named(line.text, line.ear)[1], line.ear)
    numbers = [
        t for t in rest.tokens
        if isinstance(t, Num) or (isinstance(t, Quantity) and t.unit in DEGREES)
        or (isinstance(t, Delta) and not t.unit)
    ]  # fmt: skip
    if len(numbers) != 1 or _FALLEN.search(text):
        return None
    value = numbers[0].value
    unit = numbers[0].unit if isinstance(numbers[0], Quantity) else ""
    fahrenheit = unit == "°F" or (unit != "°C" and value > _SURELY_F)
    return _of_probe(line, lambda probe: CheckIce(probe, value, fahrenheit))


_SURELY_F = 20.0  # ice at more than this was read in °F


def _of_probe(line: Said, wish: Callable[[str], Wish]) -> Heard:
    """Return a wish about the thermometer named, or the only one there is; else ask which."""
    probes = line.ear.probes
    name = probe_named(line.text, line.ear)[0] or (probes[0] if len(probes) == 1 else "")
    if not name:
        return Unclear(say("Which probe?"), names(probes))
    return Wished((wish(name),), line.at)


def read_probed(line: Said) -> Heard | None:
    """Return 'A 46 red', 'A red 58 blue 64': readings with the thermometer that showed them."""
    name, rest = probe_named(line.text, line.ear)
    if not name or line.slash == "ask":
        return None
    other, both = probe_named(rest, line.ear)
    if other:
        first, second = sorted((name, other), key=line.text.casefold().find)
        return _two_probes(line, (first, second), both)
    heard = read_reading(said(rest, line.ear, line.slash))
    if isinstance(heard, Wished):
        return Wished(tuple(_by(name, wish) for wish in heard.wishes), heard.at)
    return _off_by(name, read_report(said(rest, line.ear, line.slash)), line)


def _off_by(probe: str, heard: Heard | None, line: Said) -> Heard | None:
    """Return 'a1 off 50 green': the reading with its thermometer, then the report."""
    wish = heard.wishes[0] if isinstance(heard, Wished) and len(heard.wishes) == 1 else None
    if not isinstance(heard, Wished) or not isinstance(wish, ReportStep) or wish.core_c is None:
        return None
    at = heard.at or line.ear.now
    shown = Reading(wish.core_c, Place.CORE, at, line.ear.who, wish.subject, instrument=probe)
    return Wished((GiveReading(shown), replace(wish, core_c=None)), heard.at)


def _two_probes(line: Said, probes: tuple[str, str], rest: str) -> Heard | None:
    """Read the same thing with two thermometers: each number belongs to the name before it."""
    shown = {name: _number_after(line.text, name) for name in probes}
    values = list(shown.values())
    if None in values:
        return None
    found: list[Wish] = []
    for name, value in shown.items():
        bare = rest
        for each in values:
            bare = re.sub(rf"(?<![\d.,]){re.escape(str(each))}(?![\d])", " ", bare, count=1)
        heard = read_reading(said(f"{bare} {value}", line.ear, line.slash))
        if not isinstance(heard, Wished):
            return None
        found += [_by(name, wish) for wish in heard.wishes]
    return Wished(tuple(found), line.at)


def _number_after(text: str, name: str) -> str | None:
    spelt = re.escape(name).replace(r"\-", "[ -]?")
    beside = r"(?:probe|sonda|says|reads|dice|:|=)?"
    found = re.search(rf"{spelt}\s*{beside}\s*(-?\d+(?:[.,]\d+)?)", text, re.IGNORECASE)
    return found[1] if found else None


def _by(probe: str, wish: Wish) -> Wish:
    if not isinstance(wish, GiveReading):
        return wish
    return GiveReading(replace(wish.reading, instrument=probe))
