"""Questions about the running cook: how many left, catch me up, who moved plates, when do I…"""

from __future__ import annotations

import re
from datetime import timedelta

from bot.phrases.deeds import VERBS
from bot.phrases.heard import Heard, Queried
from bot.phrases.said import Said
from bot.phrases.service import plain
from bot.phrases.subjects import named
from core.words import Num, Quantity, Time, Word, nearest_instant

_CATCH_UP = re.compile(
    r"\b(?:(?:got|arrived|came)(?: in)? (?:here|now)|catch me up|(?:did|have) i miss(?:ed)?|"
    r"i ?m back|i am back|acabo de llegar|recien llegad[oa]|ponme al dia|que me he perdido)\b"
)
_MINE = frozenset(
    ["my job", "my jobs", "whats my job", "what's my job", "what are my jobs", "mis tareas",
     "mi tarea", "que me toca", "cual es mi tarea", "que tengo que hacer"]
)  # fmt: skip
_ENOUGH = re.compile(
    r"running out|forecast|se acaba|(?:are we|we|will we)(?: gonna| going to)? run(?:ning)? out|"
    r"(?:is there|do we have) enough|nos (?:va a )?(?:llega|llegar|alcanza)|hay para todos"
)
_MOVED = re.compile(r"\b(?:moved|changed|set|put|movio|ha movido|cambio|ha cambiado|puso)\b")
_FIRST = re.compile(
    r"(?:which|what|que|cual)(?: is| es)?(?: the| la)? (?:box|load|caja|tanda|bandeja)"
    r"(?: goes| do i serve| va| sale| sirvo)? (?:first|next|primero|primera|antes)|"
    r"(?:what|que) (?:goes|do i serve|va|sale|sirvo) (?:first|primero)|(?:oldest|next) box|"
    r"(?:caja|tanda) mas vieja"
)
_KEEP = re.compile(
    r"keep or bin|what do (?:we|i) keep|leftovers?|sobras|que (?:guardo|guardamos)|"
    r"(?:guardar|guardo) o (?:tirar|tiro)|(?:can|do) (?:we|i) keep (?:the )?\w+(?: \w+)?|"
    r"(?:puedo|podemos|se puede) guardar(?: el| la| los| las)? \w+(?: \w+)?"
)
_SECONDS = frozenset(
    ["seconds", "second helpings", "how many for seconds", "segundos", "segunda vuelta", "repetir"]
)
_DEED_OF = {"dressing": "dress", **{c: v for c, v in VERBS.items() if c not in {"on", "off"}}}
_ASK_TOO = frozenset({"how_long", "left", "for", "to", "until", "what", "at", "a", "go", "more"})


def read_left_asked(line: Said) -> Heard | None:
    """Return 'how many left', 'cuántos quedan', 'running out?'."""
    text = plain(line.text)
    if _ENOUGH.fullmatch(text):
        return Queried("left")
    numbers = any(isinstance(t, Num | Quantity) for t in line.tokens)
    asks = line.has("how_much", "what") and line.has("left")
    beside = {"how_much", "left", "plates", "portions", "people", "meat", "what", "slices"}
    words = [w for w in line.words if isinstance(w, Word)]
    return Queried("left") if asks and not numbers and all(
        w.canonical in beside for w in words
    ) else None  # fmt: skip


def read_catch_up(line: Said) -> Heard | None:
    """Return 'just got here what do i need 2 know', 'acabo de llegar'."""
    return Queried("catch-up") if _CATCH_UP.search(plain(line.text)) else None


def read_mine(line: Said) -> Heard | None:
    """Return 'my jobs', 'mis tareas'."""
    return Queried("me") if plain(line.text) in _MINE else None


def read_moved(line: Said) -> Heard | None:
    """Return 'who moved plates to 1915', 'quién cambió los platos'."""
    if not line.has("who") or not _MOVED.search(plain(line.text)):
        return None
    if line.has("people", "heads", "head"):
        return Queried("moved", "heads")
    return Queried("moved", "plates") if line.has("plates") else None


def read_first(line: Said) -> Heard | None:
    """Return 'which box first', 'qué caja primero'."""
    return Queried("first") if _FIRST.fullmatch(plain(line.text)) else None


def read_seconds(line: Said) -> Heard | None:
    """Return 'seconds', 'segunda vuelta': what is left for second helpings."""
    text = plain(line.text)
    return Queried("seconds") if text in _SECONDS else None


def read_keep_or_bin(line: Said) -> Heard | None:
    """Return 'keep or bin', 'sobras'."""
    return Queried("leftovers") if _KEEP.fullmatch(plain(line.text)) else None


def read_when(line: Said) -> Heard | None:
    """Return 'when do i light', 'guests 1830 when do i light', 'cuándo aliño'."""
    if not line.has("when") or any(isinstance(w, Num | Quantity) for w in line.words):
        return None
    # 'when' itself, and who does it, are small words; what is left is the deed and its food
    verbs = {
        _DEED_OF[w.canonical] for w in line.tokens
        if isinstance(w, Word) and w.canonical in _DEED_OF
    }  # fmt: skip
    if verbs == {"light"}:
        return Queried("light", _at(line))
    if len(verbs) != 1 or line.times:
        return None
    said = frozenset(
        i for i, w in enumerate(line.words) if isinstance(w, Word) and w.canonical in _DEED_OF
    )
    things = [t for t in named(line, said) if t.sort in {"dish", "load", "unit"}]
    if len(things) > 1:
        return None
    return Queried("when", f"{next(iter(verbs))} {things[0].name if things else ''}".strip())


def _at(line: Said) -> str:
    """Return the instant of the plates that were named, ISO; '' for the plan's own."""
    moment: Time | None = line.times[0] if len(line.times) == 1 else None
    if moment is None:
        return ""
    near = line.ear.plates_at or line.ear.now + timedelta(hours=6)
    return nearest_instant(moment, near, line.ear.zone).isoformat()


def read_how_long(line: Said) -> Heard | None:
    """Return 'how long for the lamb', 'cuánto le falta al cordero': of what is cooking here."""
    if not line.has("how_long") or any(isinstance(w, Num | Quantity) for w in line.words):
        return None
    things = [t for t in named(line) if t.sort in {"dish", "load", "unit"}]
    spent = frozenset[int]().union(*(t.used for t in things))
    rest = [w for i, w in enumerate(line.words) if i not in spent]
    if len(things) != 1 or any(not isinstance(w, Word) or w.canonical not in _ASK_TOO
                               for w in rest):  # fmt: skip
        return None
    begun = any(key.startswith(f"{things[0].name}/") for key in line.ear.tasks)
    known = begun or things[0].sort != "dish"
    return Queried("how-long", things[0].name) if known else None
