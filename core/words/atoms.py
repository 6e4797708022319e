"""A line cut into numbers, words and signs; hostile input made harmless first."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

LONGEST_LINE = 2000  # characters; a chat line is shorter, the rest of a longer one is not read
MOST_ATOMS = 300

_FRACTION_SIGNS = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8"}
_SAME_SIGN = {"−": "-", "–": "-", "—": "-", "×": "x", "º": "°", "℃": "°C", "℉": "°F", "’": "'"}
_ATOM = re.compile(
    r"""(?P<number>(?<![.,])[0-9]+(?:[.,][0-9]+)*)
    |(?P<tail>(?<=[0-9])[^\W\d_]+)                      # '14kg': letters after a number
    |(?P<word>[^\W\d_]{1,2}[0-9]{0,3}\.[0-9]{1,3}(?![0-9.,]) # a batch: 'A.2', 'b1.2'
        |[^\W\d_]+(?:'[^\W\d_]+)*[0-9]*)                  # 'don't', 'b2', 'lote2'
    |(?P<sign>[?%°"/:+\-&=@#\[\]¿¡!;,.()])
    |(?P<other>[^\w\s\x00-\x7f])""",
    re.VERBOSE,
)
_SKIN_TONES = range(0x1F3FB, 0x1F400)


@dataclass(frozen=True, slots=True)
class Atom:
    """A piece of a line: `kind` number, tail, word, sign or other; `start` and `end` in the line.

    `folded` is without case and accents. A tail is glued to the number before it.
    """

    kind: str
    text: str
    folded: str
    start: int
    end: int
    glued: bool


@lru_cache(maxsize=4096)  # bounded: what is typed is anybody's
def folded(text: str) -> str:
    """Return a word without case, accents and apostrophes: 'Aliñó' is 'alino'."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(c for c in apart if not unicodedata.combining(c) and c != "'")


def tidy(text: str) -> str:
    """Return the line cut to a readable length, without control characters, signs in one form."""
    line = unicodedata.normalize("NFC", text[:LONGEST_LINE])
    line = re.sub(r"\b([A-Za-z]?[0-9]*)['’]s\b", r"\1", line)  # "load 2's off", "A's on"
    line = re.sub(r"([0-9])ª", r"\1nd", line)
    line = re.sub(r"(?i)(?<=[0-9 ])([ap])\.\s?m\.", r"\1m", line)  # '6 p.m.'
    line = re.sub(r"(?<=[^\W\d_])-(?=[^\W\d_])", " ", line)  # 'walk-in' is two words
    for sign, plain in _FRACTION_SIGNS.items():
        line = line.replace(sign, f" {plain} ") if sign in line else line
    line = "".join(_SAME_SIGN.get(c, c) for c in line)
    return "".join(" " if unicodedata.category(c)[0] in "CZ" else c for c in line)


def atoms(line: str) -> tuple[Atom, ...]:
    """Return the atoms of a tidy line, limited in number."""
    found: list[Atom] = []
    for match in _ATOM.finditer(line):
        kind, text = match.lastgroup or "other", match.group()
        if kind == "other" and (ord(text) in _SKIN_TONES or unicodedata.category(text)[0] == "M"):
            continue
        glued = bool(found) and found[-1].end == match.start()
        found.append(Atom(kind, text, folded(text), match.start(), match.end(), glued))
        if len(found) >= MOST_ATOMS:
            break
    return tuple(found)
