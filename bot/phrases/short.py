"""Answers, taps, and the words that stand alone: undo, status, next, who, help."""

from __future__ import annotations

import re
from datetime import timedelta

from bot.phrases.about import is_person
from bot.phrases.heard import Asked, Heard, Queried, Unclear, Wished
from bot.phrases.manners import POLITE, WITH_AN_ANSWER
from bot.phrases.said import Said
from core.facts import AnswerCall, Choose, CloseCook, Mute, Undo
from core.model import Label, say
from core.words import Num, Quantity, Word, nearest_instant
from core.words.atoms import folded

_TAP = re.compile(r"\s*\[\s*([0-9]{1,2})\s*\]\s*")
_MOST_CHOICES = 9
_MINUTES_IN = {"min": 1.0, "h": 60.0}
_LONGEST_MUTE_MIN = 12 * 60.0
_USUAL_MUTE_MIN = 60.0


def read_choice(line: Said) -> Heard | None:
    """Return '[2]' and a bare '2'."""
    tap = _TAP.fullmatch(line.text)
    if tap is not None:
        return Wished((Choose(int(tap[1])),))
    if line.slash:  # '/done 2' is load 2 done
        return None
    if len(line.tokens) == 1 and isinstance(line.tokens[0], Num):
        value = line.tokens[0].value
        if value.is_integer() and 1 <= value <= _MOST_CHOICES:
            return Wished((Choose(int(value)),))
    return None


def read_bare_number(line: Said) -> Heard | None:
    """Ask what '47' alone is: a core, or how many are fed."""
    bare = len(line.words) == 1 and len(line.tokens) == 1
    number = line.words[0] if bare else None
    if not isinstance(number, Num) or number.value <= _MOST_CHOICES:
        return None
    return Unclear(
        say("{text}: a core, or people?", text=Label(number.text)), (say("core"), say("people"))
    )


def read_answer(line: Said) -> Heard | None:
    """Return 'ok', 'oído', 'va', 'hecho', 👍: it answers the newest call."""
    if line.is_question or line.is_denied:
        return None
    spoken = [t for t in line.tokens if isinstance(t, Word)]
    beside = [w for w in spoken if w.canonical not in {"ok", "done", "yes"}]
    alone = line.only("ok", "done", "yes") and all(_goes_with_ok(w, line) for w in beside)
    alone = alone and not any(folded(w.text) == "ready" for w in spoken)
    slashed = line.slash in {"done", "check"} and not line.words
    return Wished((AnswerCall(),), line.at) if alone or slashed else None


def _goes_with_ok(word: Word, line: Said) -> bool:
    """Tell whether a word beside 'ok' changes nothing: a name, a thank-you, a sign."""
    plain = folded(word.text)
    sign = not any(c.isalnum() for c in plain)
    return sign or plain in WITH_AN_ANSWER or is_person(word, line) or word.canonical == "at"


def read_undo(line: Said) -> Heard | None:
    """Return 'undo', 'deshacer'."""
    alone = line.only("undo") or (line.slash == "undo" and not line.words)
    return Wished((Undo(),)) if alone else None


def read_close(line: Said) -> Heard | None:
    """Return 'close cook', 'cerrar cocina'."""
    return Wished((CloseCook(),)) if line.only("close_cook") else None


def _query(what: str, line: Said, *beside: str) -> Heard | None:
    asked = line.slash == what or line.has(what)
    if asked and (line.only(what, *beside) or not line.words):
        return Queried(what)
    return None


def read_status(line: Said) -> Heard | None:
    """Return 'status', 'estado'."""
    return _query("status", line)


def read_plan(line: Said) -> Heard | None:
    """Return 'plan'."""
    return _query("plan", line)


def read_next(line: Said) -> Heard | None:
    """Return 'whats next', 'que toca'."""
    return _query("next", line, "what", "now")


def read_me(line: Said) -> Heard | None:
    """Return 'me', 'que hago'."""
    beside = [w for w in line.tokens if isinstance(w, Word) and w.canonical != "me"]
    alone = all(folded(w.text) in POLITE for w in beside)
    return _query("me", line) if line.slash or alone else None


def read_who(line: Said) -> Heard | None:
    """Return 'who is on', 'quién está'."""
    return _query("who", line, "on")


def read_help(line: Said) -> Heard | None:
    """Return 'help', 'ayuda'."""
    return _query("help", line, "me")


def read_sos(line: Said) -> Heard | None:
    """Return 'sos', and any line with it: never a question first."""
    heard = [t for t in line.tokens if isinstance(t, Word) and t.canonical == "sos"]
    # In much of America 'sos' is 'you are', so in small letters it must stand alone or lead on.
    sure = any(w.text != "sos" for w in heard) or len(line.tokens) == 1
    after = line.tokens[1] if len(line.tokens) > 1 else None
    leads = isinstance(after, Word) and after.known and bool(heard) and heard[0] is line.tokens[0]
    return Queried("sos") if line.slash == "sos" or (heard and (sure or leads)) else None


def read_mute(line: Said) -> Heard | None:
    """Return 'shut up till 2', 'cállate hasta las 14', 'mute 30 min'; alone it is for an hour."""
    rest = [w for w in line.words if not isinstance(w, Quantity)]
    only = all(isinstance(w, Word) and w.canonical in {"mute", "until", "at"} for w in rest)
    if not (line.slash == "mute" or (line.has("mute") and only)):
        return None
    now = line.ear.now
    if len(line.times) == 1:
        ahead = timedelta(hours=6 if line.times[0].ambiguous else 12)
        return Wished((Mute(nearest_instant(line.times[0], now + ahead, line.ear.zone)),))
    spans = [w for w in line.words if isinstance(w, Quantity) and w.unit in _MINUTES_IN]
    minutes = spans[0].value * _MINUTES_IN[spans[0].unit] if len(spans) == 1 else _USUAL_MUTE_MIN
    return Wished((Mute(now + timedelta(minutes=min(minutes, _LONGEST_MUTE_MIN))),))


def read_cook(line: Said) -> Heard | None:
    """Return 'start cook lamb 14:00'; starting needs its cards, which the edge looks up."""
    first = line.tokens[0] if line.tokens else None
    starts = isinstance(first, Word) and first.canonical == "cook" and " " in first.text
    if line.slash != "cook" and not starts:
        return None
    said_first = first.text if starts and isinstance(first, Word) else ""
    return Queried("cook", line.text.removeprefix(said_first).strip())


def read_ask(line: Said) -> Heard | None:
    """Return what follows '/ask'."""
    return Asked(line.text) if line.slash == "ask" and line.text.strip() else None
