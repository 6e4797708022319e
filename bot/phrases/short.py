"""Answers, taps, and the words that stand alone: undo, status, next, who, help."""

from __future__ import annotations

import re

from bot.phrases.heard import Asked, Heard, Queried, Unclear, Wished
from bot.phrases.said import Said
from core.facts import AnswerCall, Choose, CloseCook, Undo
from core.model import Label, say
from core.words import Num, Quantity, Word

_TAP = re.compile(r"\s*\[\s*([0-9]{1,2})\s*\]\s*")
_MOST_CHOICES = 9


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
    if line.is_question or line.is_doubtful:
        return None
    alone = line.only("ok", "done", "yes", "go") and not line.only("go")
    slashed = line.slash in {"done", "check"} and not line.words
    return Wished((AnswerCall(),), line.at) if alone or slashed else None


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
    return _query("me", line)


def read_who(line: Said) -> Heard | None:
    """Return 'who is on', 'quién está'."""
    return _query("who", line, "on")


def read_help(line: Said) -> Heard | None:
    """Return 'help', 'ayuda'."""
    return _query("help", line, "me")


def read_sos(line: Said) -> Heard | None:
    """Return 'sos', and any line with it: never a question first."""
    return Queried("sos") if line.slash == "sos" or line.has("sos") else None


def read_mute(line: Said) -> Heard | None:
    """Return 'shut up till 2', 'cállate hasta las 14'; the argument is an instant or ''."""
    if not (line.slash == "mute" or line.has("mute")):
        return None
    if len(line.times) == 1:
        return Queried("mute", line.times[0].text)
    spans = [w for w in line.words if isinstance(w, Quantity) and w.unit in {"min", "h"}]
    return Queried("mute", spans[0].text if len(spans) == 1 else "")


def read_cook(line: Said) -> Heard | None:
    """Return 'start cook lamb 14:00'; starting needs its cards, which the edge looks up."""
    opens = (
        isinstance(line.tokens[0], Word) and line.tokens[0].canonical == "cook"
        if line.tokens
        else False
    )
    if line.slash != "cook" and not (opens and line.tokens[0].text.casefold() != "cook"):
        return None
    arg = line.text if line.slash == "cook" else line.text[len(line.tokens[0].text) :]
    return Queried("cook", arg.strip())


def read_ask(line: Said) -> Heard | None:
    """Return what follows '/ask'."""
    return Asked(line.text) if line.slash == "ask" and line.text.strip() else None
