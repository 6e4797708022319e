"""Heads, plates and running late. A change by and a change to are told apart, never guessed."""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.phrases.heard import Ear, Heard, Unclear, Wished
from bot.phrases.said import Said
from bot.phrases.subjects import named
from core.facts import ChangeHeads, MovePlates, RunLate
from core.model import Label, Qty, say
from core.words import Delta, Num, Quantity, Time, Token, Word, nearest_instant

_PEOPLE = frozenset({"people", "heads", "head"})
_BESIDE_HEADS = frozenset(
    {"now", "more", "less", "vegetarian", "children", "meat", "ok", "portions"} | _PEOPLE
)
_NOT_A_TEMPERATURE = 212.0  # a bare number above boiling in °F can only be people
_MOST_SNOOZED_MIN = 15.0
_MINUTES = frozenset({"min", "h", "m"})
_MOST_LATE_MIN = 24 * 60.0


def read_heads(line: Said) -> Heard | None:
    """Return '+40', 'now 360', 'somos 360', 'heads 365', '365, perdona'."""
    if line.is_question or line.is_doubtful or not line.words or line.times:
        return None
    beside = [w for w in line.words if isinstance(w, Word) and w.canonical not in _BESIDE_HEADS]
    if beside or any(isinstance(w, Quantity) for w in line.words):
        return None
    deltas = [w for w in line.words if isinstance(w, Delta)]
    if deltas and _may_be_minutes(line):
        text = Label(deltas[0].text)
        return Unclear(say("{text}: people, or minutes?", text=text), (say("people"), say("min")))
    split = _split(line)
    if deltas:
        return _by(deltas[0], line.ear, split)
    numbers = [w for w in line.words if isinstance(w, Num)]
    told = line.slash == "heads" or line.has("now", "people", "heads", "head")
    if not numbers or not numbers[0].value.is_integer():
        return None
    if numbers[0].alternatives:
        return _one_of(numbers[0]) if told else None
    if _may_be_a_core(line, numbers[0].value):
        text = Label(numbers[0].text)
        return Unclear(say("{text}: a core, or people?", text=text), (say("core"), say("people")))
    if told or (len(line.words) == 1 and numbers[0].value > _NOT_A_TEMPERATURE):
        return Wished((ChangeHeads(int(numbers[0].value), split),), None)
    return None


def _split(line: Said) -> dict[str, int] | None:
    """Return '+8, 2 veggie' as who eats what: a number right before the word for it."""
    pairs = zip(line.words, line.words[1:], strict=False)
    found = {
        b.canonical: int(a.value)
        for a, b in pairs
        if isinstance(a, Num) and isinstance(b, Word) and b.canonical in {"vegetarian", "meat"}
        and a.value.is_integer() and a.value >= 0
    }  # fmt: skip
    return found or None


def _may_be_minutes(line: Said) -> bool:
    """Tell whether '+5' alone may be the minutes somebody needs."""
    only = line.words[0] if len(line.words) == 1 else None
    bare = isinstance(only, Delta) and only.text.lstrip("+ ").isdigit() and not line.slash
    return bare and isinstance(only, Delta) and 0 < only.value <= _MOST_SNOOZED_MIN


def _may_be_a_core(line: Said, value: float) -> bool:
    """Tell whether 'now 47' is too few people to be the head count without asking."""
    few = line.ear.heads is not None and value < line.ear.heads / 2
    sure = line.slash == "heads" or line.has("people", "heads", "head")
    return few and value <= _NOT_A_TEMPERATURE and not sure and line.has("now")


def _one_of(number: Num) -> Unclear:
    """Ask which of its readings a number has: '1 200', '1.200'."""
    readings = (number.value, *number.alternatives)
    picks = tuple(
        say("{n} people", n=Qty(v, "count", 0)) for v in readings if v.is_integer() and v >= 1
    )
    return Unclear(say("How many in all?"), picks)


def _by(delta: Delta, ear: Ear, split: dict[str, int] | None = None) -> Heard | None:
    if delta.unit or not delta.value.is_integer():
        return None
    change = Qty(abs(delta.value), "heads", 0)
    if ear.heads is None:
        more = say("{change} more: how many in all?", change=change)
        return Unclear(more if delta.value > 0 else say("{change} fewer: how many in all?",
                                                        change=change))  # fmt: skip
    heads = ear.heads + int(delta.value)
    return Wished((ChangeHeads(heads, split, more=split is not None),), None)


def read_plates(line: Said) -> Heard | None:
    """Return 'plates 1415', 'platos a las 14:15', 'guests at 1830', 'plates +10 min'."""
    told = line.slash == "plates" or line.has("plates", "people")
    if not told or line.is_question or line.is_denied or named(line):
        return None
    allowed = {"plates", "people", "now", "at", "move", "hold", "until", "late", "more", "ok"}
    if not set(line.concepts) <= allowed:
        return None
    rest = [w for w in line.words if not isinstance(w, Word)]
    hour = rest[0].clock if len(rest) == 1 and isinstance(rest[0], Num) else None
    moment = line.times[0] if len(line.times) == 1 and not rest else hour
    if moment is not None:
        return Wished((MovePlates(_plates_at(moment, line.ear)),), None)
    later = _minutes(rest[0]) if len(rest) == 1 else None
    of_plates = line.slash == "plates" or (line.has("plates") and not line.has("people"))
    if later is None or line.ear.plates_at is None or line.times or not of_plates:
        return None
    if not isinstance(rest[0], Delta) and not line.has("late", "more"):
        return None
    return Wished((MovePlates(line.ear.plates_at + timedelta(minutes=later)),), None)


def _plates_at(moment: Time, ear: Ear) -> datetime:
    """Return the instant nearest to the plates as they stand; never long gone."""
    near = ear.plates_at if ear.plates_at is not None else ear.now + timedelta(hours=6)
    return nearest_instant(moment, near, ear.zone)


def _minutes(token: Token) -> float | None:
    """Return a length of time in minutes; a bare number is minutes."""
    if isinstance(token, Quantity) and token.unit in _MINUTES:
        return token.value * (60.0 if token.unit == "h" else 1.0)
    if isinstance(token, Delta) and token.unit in {"", *_MINUTES}:
        return token.value * (60.0 if token.unit == "h" else 1.0)
    if isinstance(token, Num) and not token.alternatives:
        return token.value
    return None


def read_late(line: Said) -> Heard | None:
    """Return 'runing 25 late', 'vamos 25 tarde', 'A 4 min late', '+5 min'."""
    if line.is_question or line.is_denied:
        return None
    alone = len(line.words) == 1 and isinstance(line.words[0], Delta) and bool(line.words[0].unit)
    if not (line.has("late") or alone or line.slash == "late") or line.has("plates"):
        return None
    things = tuple(t for t in named(line) if t.sort != "step")
    spent = frozenset[int]().union(*(t.used for t in things))
    rest = [w for i, w in enumerate(line.words) if i not in spent]
    words = {w.canonical for w in rest if isinstance(w, Word)}
    if len(things) > 1 or words - {
        "late",
        "running",
        "now",
        "more",
        "load",
        "rack",
        "batch",
        "a",
        "me",
    }:
        return None
    numbers = [_minutes(w) for w in rest if not isinstance(w, Word)]
    if not numbers:
        picks = tuple(say("{late}", late=Qty(n, "min", 0)) for n in (5, 10, 20, 30))
        return Unclear(say("How many minutes late?"), picks)
    late = numbers[0]
    if len(numbers) > 1 or late is None or not 0 < late <= _MOST_LATE_MIN:
        return None
    return Wished((RunLate(late, things[0].name if things else ""),), line.at)
