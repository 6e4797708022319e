"""Safety said freely: alarms, lifts, pink meat, the sick."""

from __future__ import annotations

import re

from bot.phrases.about import names
from bot.phrases.heard import Asked, Heard, Unclear, Wished
from bot.phrases.said import Said
from bot.phrases.subjects import named
from bot.phrases.weighing import plain, weighs
from core.ask.asked_emergency import alarm_heard, is_supposed
from core.ask.clearing import folded
from core.facts import ApprovePink, LiftStop, RaiseAlarm, ReportBack, ReportSick
from core.model import say

# ------------------------------------------------------------------ alarms


def read_alarm(line: Said) -> Heard | None:
    """Return 'smoke alarm in tent', 'bo collapsed': every phone that must know rings."""
    if line.slash == "ask":
        return None
    alarm = alarm_heard(line.text)
    if alarm is None:
        return None
    return Asked(line.text) if is_supposed(line.text) else Wished((RaiseAlarm(alarm.value),))


# ------------------------------------------------------------------ lifts

_LIFT = re.compile(
    r"^\s*(?:please\s+)?(?:lift|override|levant(?:a|ar)|quita(?:r)?)\s+"
    r"(?:the\s+|el\s+|la\s+)?(?:stop|bin|alarm|parada|alto|tirar)?\s*(?:on\s+|for\s+|de\s+|del\s+)?"
    r"(?P<what>[^:,;]*?)\s*(?:(?:[:,;]|\bbecause\b|\breason\b|\bporque\b|\bmotivo\b)\s*(?P<why>.*))?$",
    re.IGNORECASE,
)
_ANYWAY = re.compile(
    r"^\s*(?:serve|use|keep|sirve|servir|usa|usar)\s+(?P<what>[^:,;]*?)\s*"
    r"(?:anyway|all the same|igual(?:mente)?|de todas formas|de todos modos)\s*"
    r"(?:(?:[:,;]|\bbecause\b|\bporque\b)?\s*(?P<why>.*))?$",
    re.IGNORECASE,
)


def read_lift(line: Said) -> Heard | None:
    """Return 'lift A: seared 2 min more, 71 at 3 places', 'serve A anyway, …'."""
    found = _ANYWAY.match(line.text) or _LIFT.match(line.text)
    if found is None or line.slash == "ask" or line.text.rstrip().endswith("?"):
        return None
    stop = re.search(r"\b(?:stop|bin|parada|alto)\b", line.text, re.IGNORECASE)
    what = found["what"].strip(" .")
    known = {folded(n) for n in (*line.ear.units, *line.ear.loads, *line.ear.stations)}
    is_lift = _ANYWAY.match(line.text) or stop or folded(what) in known or named(line)
    return Wished((LiftStop(what, (found["why"] or "").strip()),)) if is_lift else None


# ------------------------------------------------------------------ the sick, pink meat

_ME = frozenset(["i", "im", "ive", "me", "yo", "estoy", "tengo", "he", "myself"])
_SICK = re.compile(
    r"\b(?:vomit\w*|puk\w+|threw up|throwing up|diarrh?o?ea|diarrea|the runs|sick|ill"
    r"|food poisoning|stomach bug|gastro\w*|enferm[oa]|malit[oa]|mal[oa]|devuelto|devolviendo)\b"
)
_BACK = re.compile(
    r"\b(?:back|better|fine|well|recovered|vuelve|vuelto|vuelta|mejor|bien|recuperad[oa]|here|aqui)\b"
)


def read_sick(line: Said) -> Heard | None:
    """Return 'luis vomito', 'Luis is sick', 'i have diarrhoea': told to the chef alone."""
    text = plain(line)
    if not _SICK.search(text) or line.slash == "ask" or line.is_question or weighs(line):
        return None
    if {"not", "isnt", "no"} & set(text.split()):
        return None
    who = _person(line, text)
    return Wished((ReportSick(who),), line.at) if who else None


def _person(line: Said, text: str) -> str:
    words = text.split()
    for person, name in line.ear.people:
        if {folded(person), folded(name), folded(name).split(" ", maxsplit=1)[0]} & set(words):
            return person
    known = any(person == line.ear.who for person, _ in line.ear.people)
    return line.ear.who if known and _ME & set(words) else ""


def read_back(line: Said) -> Heard | None:
    """Return 'luis back', 'luis de vuelta' of somebody who was off sick."""
    text = plain(line)
    who = _person(line, text)
    if who not in line.ear.off or not _BACK.search(text) or line.slash == "ask":
        return None
    return Wished((ReportBack(who),), line.at)


_PINK = re.compile(r"\b(?:pink|rare|rosad[oa]|rosa|poco hech[oa])\b")
_APPROVES = re.compile(r"\b(?:approve[sd]?|i answer for|aprueb[oa]|apruebo|respondo)\b")


def read_pink(line: Said) -> Heard | None:
    """Return 'approve pink lamb', 'apruebo cordero rosado'."""
    text = plain(line)
    if not (_PINK.search(text) and _APPROVES.search(text)) or line.is_question or line.is_denied:
        return None
    dishes = list(dict.fromkeys(t.name for t in named(line) if t.sort == "dish"))
    if len(dishes) != 1:
        spoken = dict(line.ear.dishes)
        return Unclear(
            say("Which dish?"), names([spoken[d] for d in dishes] or list(spoken.values()))
        )
    return Wished((ApprovePink(dishes[0]),), line.at)
