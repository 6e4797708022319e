"""What was done: the verb of a report, and whether it began, ended, moved or was binned."""

from __future__ import annotations

import re
from dataclasses import dataclass

from bot.phrases.said import Said
from core.facts import Report
from core.words import Word
from core.words.atoms import folded

_STARTS = {"on": "on", "light": "light", "rest": "rest", "dress": "dress", "serve": "serve",
           "go": "serve", "sear": "sear", "smoke": "smoke", "slice": "slice", "chill": "chill",
           "drain": "drain", "boil": "boil", "thaw": "thaw"}  # fmt: skip
_ENDS = {"off": "off", "pull": "pull", "flip": "flip", "done": "done"}
_MOVES = {"move": "move"}
_BINS = {"bin": "bin", "drop": "bin"}
VERBS = {**_STARTS, **_ENDS, **_MOVES, **_BINS}
"""Concept -> the verb of the report."""

_NOUN_OF_VERB = {"dressing": "dress", "brine": "brine", "rub": "rub", "trim": "trim"}
_PAST = re.compile(r".*(?:ed|ad[oa]s?|id[oa]s?|t[oa]s?)")
_ONCE_LIT = frozenset({"light"})


@dataclass(frozen=True, slots=True)
class Deed:
    """What was done: the verb, the report, and which words said so."""

    verb: str
    report: Report
    used: frozenset[int]


def deed_of(line: Said) -> Deed | None:
    """Return what was done; None for no verb, or for two that do not go together."""
    verbs = {
        i: w.canonical
        for i, w in enumerate(line.words)
        if isinstance(w, Word) and w.canonical in VERBS and not (w.near and w.canonical in _BINS)
    }
    concepts, used = set(verbs.values()), frozenset(verbs)
    if not concepts and line.slash in VERBS:
        concepts = {line.slash}
    frame = concepts & {"on", "off", "done", "pull"}
    rest = concepts - frame
    if not concepts or len(rest) > 1 or len(frame) > 1:
        return None
    if rest & {"flip", "light"} and frame - {"on"}:
        return None  # 'turn off', 'light off': the fire is out, nothing was flipped or lit
    if rest & _BINS.keys():
        return Deed("bin", Report.DISCARD, used)
    if rest & _MOVES.keys():
        return Deed("move", Report.MOVE, used)
    if rest:
        return _step(line, next(iter(rest)), bool(frame - {"on"}), used)
    return _frame(line, next(iter(frame)), used)


def _step(line: Said, concept: str, over: bool, used: frozenset[int]) -> Deed:
    """Return a step named by its own verb: 'sear a1', 'A.1 seared', 'flip A'."""
    past = any(_PAST.fullmatch(folded(line.words[i].text)) for i in used)
    over = over or (past and concept not in _ONCE_LIT) or concept in _ENDS
    return Deed(VERBS[concept], Report.DONE if over else Report.START, used)


def _frame(line: Said, concept: str, used: frozenset[int]) -> Deed:
    """Return 'on', 'off', 'pull' and 'done'; 'aliño hecho' is the dressing done."""
    if concept == "done":
        for i, word in enumerate(line.words):
            if isinstance(word, Word) and word.canonical in _NOUN_OF_VERB:
                return Deed(_NOUN_OF_VERB[word.canonical], Report.DONE, used | {i})
    report = Report.START if concept == "on" else Report.DONE
    return Deed(VERBS[concept], report, used)
