"""Silence and timers: 'shut up till 2', 'unmute', 'timer 12 min sauce', 'stop timer sauce'."""

from __future__ import annotations

import re

from bot.phrases.heard import Heard, Queried, Wished
from bot.phrases.said import Said
from bot.phrases.service import plain
from bot.phrases.subjects import named
from core.facts import Mute, SetTimer, StopTimer
from core.words import Num, Quantity, Word, nearest_instant
from core.words.atoms import folded

_UNMUTE = re.compile(
    r"(?:unmute|un mute|speak|talk to me|you can talk(?: again)?|habla|puedes hablar|"
    r"quita (?:el )?silencio|desilencia\w*)"
)
_TIMER = r"(?:timers?|alarms?|alarmas?|temporizador(?:es)?|cronometros?|crono)"
_LIST = re.compile(rf"(?:my |mis |list |lista de )?{_TIMER}")
_STOP = re.compile(
    rf"(?:stop|cancel|kill|para|quita|cancela|borra)(?: the| my| el| la| mi)?"
    rf"(?: {_TIMER}(?: (?:de |for )?(.{{0,24}}))?| (.{{1,24}}) {_TIMER})"
)
_REMIND = re.compile(r"(?:remind|tell|call|ring) me in |(?:avisame|recuerdame|llamame) en ")
_MINUTES = {"min": 1.0, "m": 1.0, "h": 60.0, "s": 1 / 60}
_SMALL = """
timer timers alarm alarma temporizador cronometro crono for de para in en a la el the set pon un una
me remind tell call ring avisame llamame recuerdame mas more
"""
_NO_NAME = frozenset(_SMALL.split())
_NOT_A_TIMER = frozenset(
    {"late", "off", "on", "pull", "rest", "running", "more", "less", "left", "left_out", "plates",
     "people", "hold", "now", "smoke", "sear", "light", "flip", "done", "drop", "bin", "brine",
     "boil", "chill", "thaw", "mute", "how_long", "how_much", "when", "at", "move", "until"}
)  # fmt: skip
_NOT_A_NAME = frozenset(
    {"speech", "discurso", "ago", "hace", "tarde", "first", "primero", "behind"}
)
_MOST_WORDS = 3


def read_unmute(line: Said) -> Heard | None:
    """Return 'unmute', 'ya puedes hablar'."""
    return Wished((Mute(None),)) if _UNMUTE.fullmatch(plain(line.text)) else None


def read_timers(line: Said) -> Heard | None:
    """Return 'timers', 'mis alarmas'."""
    return Queried("timers") if _LIST.fullmatch(plain(line.text)) else None


def read_stop_timer(line: Said) -> Heard | None:
    """Return 'stop timer sauce', 'cancela la alarma de salsa'."""
    found = _STOP.fullmatch(plain(line.text))
    return Wished((StopTimer((found[1] or found[2] or "").strip()),)) if found else None


def read_timer(line: Said) -> Heard | None:
    """Return 'timer 12 min sauce', '12 min sauce', 'alarma 12 min salsa', 'timer 17:46 buns'."""
    told = line.has("timer") or line.slash == "check" or bool(_REMIND.match(plain(line.text)))
    spans = [w for w in line.words if isinstance(w, Quantity) and w.unit in _MINUTES]
    if "?" in line.text or line.is_denied:
        return None
    if told and not spans and len(line.times) == 1 and line.has("timer"):
        ahead = nearest_instant(line.times[0], line.ear.now, line.ear.zone) - line.ear.now
        minutes = ahead.total_seconds() / 60
        return Wished((SetTimer(_name(line), minutes),)) if minutes > 0 else None
    if len(spans) != 1 or line.times or line.agos:
        return None
    name = _name(line)
    if not told and not _is_bare_timer(line, name):
        return None
    return Wished((SetTimer(name, spans[0].value * _MINUTES[spans[0].unit]),), line.at)


def _name(line: Said) -> str:
    """Return what is left of a line without its time, its filler and its manners, as typed."""
    kept = [
        t.text
        for t in line.tokens
        if isinstance(t, Word | Num) and plain(t.text) and folded(t.text) not in _NO_NAME
    ]
    return " ".join(kept)


def _is_bare_timer(line: Said, name: str) -> bool:
    """Tell whether '12 min sauce' is a timer: a span first, then a short name of no load."""
    first = line.tokens[0] if line.tokens else None
    words = [folded(w) for w in name.split()]
    known = any(isinstance(w, Word) and w.canonical in _NOT_A_TIMER for w in line.tokens)
    loads = any(t.sort in {"load", "unit", "station"} for t in named(line))
    spoken = isinstance(first, Quantity) and 1 <= len(words) <= _MOST_WORDS
    return spoken and not known and not loads and not set(words) & _NOT_A_NAME
