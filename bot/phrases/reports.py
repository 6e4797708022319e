"""Reports of steps: on, off, flip, done, moved, binned. What is in doubt is never booked."""

from __future__ import annotations

import re
from dataclasses import dataclass

from bot.phrases.heard import Ear, Heard, Unclear, Wished
from bot.phrases.said import Said, number_of
from bot.phrases.subjects import CONTAINERS, Named, all_of, named, step_of
from core.facts import Report, ReportStep
from core.model import Label, Qty, say
from core.words import Degrees, Fraction, Num, Ordinal, Quantity, Token, Word, core_temperature_c
from core.words.atoms import folded

_STARTS = {"on": "on", "light": "light", "rest": "rest", "dress": "dress", "serve": "serve",
           "go": "serve", "sear": "sear", "smoke": "smoke", "slice": "slice", "chill": "chill",
           "drain": "drain", "boil": "boil", "thaw": "thaw"}  # fmt: skip
_ENDS = {"off": "off", "pull": "pull", "flip": "flip", "done": "done"}
_MOVES = {"move": "move"}
_BINS = {"bin": "bin", "drop": "bin"}
VERBS = {**_STARTS, **_ENDS, **_MOVES, **_BINS}
"""Concept -> the verb of the report."""

_STEP_VERBS = frozenset(_STARTS.values()) - {"on", "light"}
_NOUN_OF_VERB = {"dressing": "dress", "brine": "brine", "rub": "rub", "trim": "trim"}
_PAST = re.compile(r".*(?:ed|ad[oa]s?|id[oa]s?|t[oa]s?)")
_ONCE_LIT = frozenset({"light"})
_COLDEST_CORE_SAID_C = 20.0  # below this a number behind 'off' is the load's, not its core's
_MOST_LOADS = 20
_PASSING = frozenset({"a", "core", "temp", "reads", "mark", "hot", "now", "ok", "pieces", "clear"})


@dataclass(frozen=True, slots=True)
class _Deed:
    """What was done: the verb, the report, and which words said so."""

    verb: str
    report: Report
    used: frozenset[int]


def read_report(line: Said) -> Heard | None:
    """Return a report of a step, a question about it, or None when the line is none."""
    if not line.words or line.is_question or line.is_doubtful or line.has("left", "left_out"):
        return None
    deed = _deed(line)
    things = named(line, deed.used) if deed else named(line)
    if deed is None:
        return _moved(line, things, frozenset())
    if deed.report is Report.MOVE:
        return _moved(line, things, deed.used)
    if deed.report is Report.DISCARD:
        return _binned(line, things, deed)
    return _fraction(line, deed) or _reported(line, things, deed)


def _deed(line: Said) -> _Deed | None:
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
    if rest & _BINS.keys():
        return _Deed("bin", Report.DISCARD, used)
    if rest & _MOVES.keys():
        return _Deed("move", Report.MOVE, used)
    if rest:
        return _step_deed(line, next(iter(rest)), bool(frame - {"on"}), used)
    return _frame_deed(line, next(iter(frame)), used)


def _step_deed(line: Said, concept: str, over: bool, used: frozenset[int]) -> _Deed:
    """Return a step named by its own verb: 'sear a1', 'A.1 seared', 'flip A'."""
    verb = VERBS[concept]
    past = any(_PAST.fullmatch(folded(line.words[i].text)) for i in used)
    over = over or (past and concept not in _ONCE_LIT) or concept in _ENDS
    return _Deed(verb, Report.DONE if over else Report.START, used)


def _frame_deed(line: Said, concept: str, used: frozenset[int]) -> _Deed:
    """Return 'on', 'off', 'pull' and 'done'; 'aliño hecho' is the dressing done."""
    if concept == "done":
        for i, word in enumerate(line.words):
            if isinstance(word, Word) and word.canonical in _NOUN_OF_VERB:
                return _Deed(_NOUN_OF_VERB[word.canonical], Report.DONE, used | {i})
    report = Report.START if concept == "on" else Report.DONE
    return _Deed(VERBS[concept], report, used)


def _left_over(line: Said, used: frozenset[int]) -> list[tuple[int, Token]]:
    return [
        (i, w)
        for i, w in enumerate(line.words)
        if i not in used
        and not (isinstance(w, Word) and (w.canonical in _PASSING or w.canonical in CONTAINERS))
        and not (isinstance(w, Word) and is_person(w, line))
    ]


def is_person(word: Word, line: Said) -> bool:
    """Tell whether a word is somebody's name."""
    return any(folded(word.text) in {folded(i), folded(n)} for i, n in line.ear.people)


def _subject(things: tuple[Named, ...]) -> Named | None:
    """Return what the report is about: food before the station it is on."""
    for sort in ("unit", "load", "step", "dish", "station", "kind"):
        for one in things:
            if one.sort == sort:
                return one
    return None


def which_dish(line: Said, things: tuple[Named, ...]) -> Unclear | None:
    """Return the question when several dishes, or stations, may be meant."""
    dishes = dict.fromkeys(t.name for t in things if t.sort == "dish")
    above = any(t.sort in {"unit", "load", "step"} for t in things)
    if len(dishes) > 1 and not above:
        names = dict(line.ear.dishes)
        picks = tuple(say("{name}", name=Label(names[d])) for d in list(dishes)[:4])
        return Unclear(say("Which dish?"), picks)
    kinds = [t for t in things if t.sort == "kind"]
    if kinds and len(kinds) == len(things):
        stations = all_of(line.ear, kinds[0].kind)[:4]
        if stations:
            picks = tuple(say("{name}", name=Label(s)) for s in stations)
            return Unclear(say("Which one?"), picks)
    return None


def _reported(line: Said, things: tuple[Named, ...], deed: _Deed) -> Heard | None:
    which = which_dish(line, things)
    if which is not None:
        return which
    subject = _subject(things)
    used = deed.used.union(*(t.used for t in things))
    name, core = subject.name if subject else "", None
    for i, token in _left_over(line, used):
        degrees = _core(token)
        if not name and _is_load_number(token, i, deed):
            name = str(int(number_of(token) or 0))
        elif degrees is not None and core is None and degrees.celsius >= _COLDEST_CORE_SAID_C:
            core = degrees.celsius
        else:
            return None
    station = next((t.name for t in things if t.sort == "station" and t is not subject), None)
    moves = deed.report is Report.START
    # A step that is named is no 'on' or 'off' of a fire: any word for it will do.
    verb = "" if subject is not None and subject.sort == "step" else deed.verb
    wish = ReportStep(name, verb, deed.report, None, station if moves else None, core)
    return Wished((wish,), line.at)


def _is_load_number(token: Token, i: int, deed: _Deed) -> bool:
    """Tell whether a bare number is a load's: before the verb, or too small for a core."""
    value = number_of(token)
    if value is None or not value.is_integer() or not 0 < value <= _MOST_LOADS:
        return False
    return value < _COLDEST_CORE_SAID_C or all(i < place for place in deed.used)


def _core(token: Token) -> Degrees | None:
    if isinstance(token, Num) and not token.alternatives:
        return core_temperature_c(token.value)
    if isinstance(token, Quantity) and token.unit in {"°C", "°F", "°"}:
        return core_temperature_c(token.value, token.unit if token.unit != "°" else None)
    return None


def _has_load(key: str, ear: Ear) -> bool:
    return key.count("/") > 1 and key.split("/")[1] in ear.loads


def _fraction(line: Said, deed: _Deed) -> Heard | None:
    """Read '4/5 fuera': so many tubs of the one step that has five are done, the rest is not."""
    part = next((w for w in line.words if isinstance(w, Fraction)), None)
    if part is None or deed.report is not Report.DONE or not 0 < part.a <= part.b:
        return None
    things = named(line, deed.used)
    steps = [t.name for t in things if t.sort == "step"] or _steps_in_lots(line, part.b)
    used = deed.used.union(*(t.used for t in things))
    if any(not isinstance(w, Fraction) for _, w in _left_over(line, used)):
        return None
    lots = [k for k in line.ear.tasks if len(steps) == 1 and step_of(k) == steps[0]]
    if len(lots) != part.b:
        left = Qty(part.b - part.a, "count", 0)
        return Unclear(say("{done} of {all} of what? {left} still in, nothing ticked.",
                           done=part.a, all=part.b, left=left))  # fmt: skip
    new = part.a - sum(k in line.ear.over for k in lots)
    if new <= 0:
        return None
    return Wished((ReportStep(steps[0], "", Report.DONE, new),), line.at)


def _steps_in_lots(line: Said, count: int) -> list[str]:
    """Return the steps that are done in so many tubs, those under way first."""
    ear = line.ear
    lots = [k for k in ear.tasks if step_of(k) and not _has_load(k, ear)]
    many = {step_of(k) for k in lots if sum(step_of(x) == step_of(k) for x in lots) == count}
    begun = {step for step in many if any(step_of(k) == step for k in ear.running)}
    return sorted(begun or many)


def _moved(line: Said, things: tuple[Named, ...], verbs: frozenset[int]) -> Heard | None:
    """Read 'a2 P2' and 'move a2 to P2': food, then where it is now."""
    food = [t for t in things if t.sort in {"unit", "load", "dish"}]
    places = [t for t in things if t.sort == "station"]
    used = verbs.union(*(t.used for t in things))
    if len(food) != 1 or len(places) != 1 or _left_over(line, used):
        return None
    if min(food[0].used) > min(places[0].used):
        return None
    wish = ReportStep(food[0].name, "", Report.MOVE, None, places[0].name)
    return Wished((wish,), line.at)


def _binned(line: Said, things: tuple[Named, ...], deed: _Deed) -> Heard | None:
    """Read 'bin lamb', 'dropped tray 24 thighs', 'bin 6 of A'; never guess what was binned."""
    which = which_dish(line, things)
    if which is not None:
        return which
    subject = _subject(tuple(t for t in things if t.sort != "kind"))
    used = deed.used.union(*(t.used for t in things))
    counts = [
        number_of(w) for i, w in enumerate(line.words)
        if isinstance(w, Num) and not (subject and i in subject.used)
    ]  # fmt: skip
    wrong = [w for _, w in _left_over(line, used) if not isinstance(w, Num | Ordinal)]
    if subject is None or wrong or len(counts) > 1:
        picks = tuple(say("{name}", name=Label(name)) for name in line.ear.loads[:4])
        return Unclear(say("What goes in the bin? Name the load."), picks)
    count = int(counts[0]) if counts and counts[0] and counts[0].is_integer() else None
    return Wished((ReportStep(subject.name, "bin", Report.DISCARD, count),), line.at)
