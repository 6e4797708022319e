"""Somebody missing, late, leaving or here after all; a speech before the plates."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

from bot.phrases.heard import Heard, Unclear, Wished
from bot.phrases.said import Said
from bot.phrases.slip_fires import is_told, plain
from core.facts.slips import PersonIn, PersonOut, SpeechFirst
from core.model import Label, say
from core.words import Num, Quantity, nearest_instant
from core.words.atoms import folded

_OUT = re.compile(
    r"\b((is |s )?(not|isnt|aint|wont be) (coming|here|turning up|showing up|in)|isnt coming|"
    r"no show|noshow|missing|called in|cancelled|gone home|has gone|went home|had to go|"
    r"no (viene|vendra|ha venido|ha llegado|esta|aparece)|falta|se (ha )?(fue|ido)|no llega|"
    r"car broke( down)?|car (is )?dead|coche (roto|averiado)|stuck|atrapad[oa]|"
    r"tirad[oa] con el coche|perdio el (tren|bus))\b"
)
_LEAVES = re.compile(r"\b(leaves|leaving|has to go|must go|goes home|se va|se marcha|sale)\b")
_HERE = re.compile(
    r"\b((is |s |just )?(here( now)?|arrived|turned up|got here|made it)|ha llegado|"
    r"ya esta( aqui)?|llego|aqui ya|esta aqui)\b"
)
_LATE = re.compile(r"\b(late|tarde|retraso|delayed)\b")
_SICK = re.compile(r"\b(sick|ill|vomit\w*|puk\w*|diarr\w*|mal[oa]|enferm[oa]|dizzy|maread[oa])\b")
_NUMBERED = re.compile(r"\b(server|lane server|camarer[oa]|lane person) (\d)\b")
_NOBODY = re.compile(
    r"^(?P<who>[a-z]{2,15}) (is |isnt |s )?(not coming|isnt coming|no viene|not here|no show|"
    r"no ha venido)$"
)
_SPEECH = re.compile(r"\b(speech(es)?|toasts?|discursos?|brindis|palabras)\b")
_NOT_NAMES = frozenset({"he", "she", "it", "they", "el", "ella", "meat", "food", "delivery", "van"})


def read_person(line: Said) -> Heard | None:
    """Return 'marta not coming', 'marta leaves at 20:00', 'marta 40 late', 'marta is here'."""
    text = plain(line)
    if not is_told(line) or _SICK.search(text):
        return None
    out, leaves, here = _OUT.search(text), _LEAVES.search(text), _HERE.search(text)
    late = _LATE.search(text)
    if not (out or leaves or here or late):
        return None
    who = _who(line, text)
    if who is None:
        return _stranger(line, text)
    if out:
        return Wished((PersonOut(who, until=_back(line)),), line.at if not line.times else None)
    if leaves:
        return Wished((PersonOut(who, start=_clock(line) or line.ear.now),), None)
    if late:
        minutes = _minutes(line)
        if minutes is None:
            return Unclear(say("{who} late: how many minutes?", who=Label(who)))
        until = line.ear.now + timedelta(minutes=minutes)
        return Wished((PersonOut(who, until=until),), None)
    return Wished((PersonIn(who),), line.at)


def _who(line: Said, text: str) -> str | None:
    """Return the one of the crew who is named; 'server 3' is the third at the lanes."""
    words = text.split()
    for person, name in line.ear.people:
        if folded(person) in words or folded(name).split()[0] in words:
            return person
    numbered = _NUMBERED.search(text)
    return f"server {numbered[2]}" if numbered else None


def _stranger(line: Said, text: str) -> Heard | None:
    """Ask who is meant where somebody nobody knows is not coming."""
    found = _NOBODY.match(text)
    if found is None or found["who"] in _NOT_NAMES or not line.ear.people:
        return None
    crew = ", ".join(name for _, name in line.ear.people)[:90]
    return Unclear(say("Nobody called {name} on this crew. There is: {crew}.",
                       name=Label(found["who"].capitalize()), crew=Label(crew)))  # fmt: skip


def _back(line: Said) -> datetime | None:
    """Return when somebody who is missing comes after all: 'till 19:10', 'back at 19:10'."""
    return _clock(line) if line.times else None


def _clock(line: Said) -> datetime | None:
    if not line.times:
        return None
    return nearest_instant(line.times[-1], line.ear.now + timedelta(hours=2), line.ear.zone)


def _minutes(line: Said) -> float | None:
    spans = [w for w in line.tokens if isinstance(w, Quantity) and w.unit in {"min", "h", "m"}]
    if spans:
        return spans[0].value * (60.0 if spans[0].unit == "h" else 1.0)
    bare = [w.value for w in line.tokens if isinstance(w, Num)]
    return bare[0] if len(bare) == 1 and bare[0] > 0 else None


def read_speech(line: Said) -> Heard | None:
    """Return '10 min speech first', 'discurso de 10 min antes'."""
    if not is_told(line) or not _SPEECH.search(plain(line)):
        return None
    minutes = _minutes(line)
    if minutes is None:
        return None
    return Wished((SpeechFirst(minutes),), None)
