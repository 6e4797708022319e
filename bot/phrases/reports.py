"""Reports of steps: on, off, flip, done. What is in doubt is never booked."""

from __future__ import annotations

from bot.phrases.about import left_over, loads_of, names, subject_of, which
from bot.phrases.deeds import Deed, deed_of
from bot.phrases.heard import Heard, Unclear, Wished
from bot.phrases.lots import read_fraction
from bot.phrases.manners import EVERYTHING
from bot.phrases.moves import read_binned, read_moved
from bot.phrases.said import Said, number_of
from bot.phrases.subjects import CONTAINERS, Named, named
from core.facts import Report, ReportStep
from core.model import say
from core.words import Degrees, Num, Quantity, Token, Word, core_temperature_c
from core.words.atoms import folded

_COLDEST_CORE_SAID_C = 20.0  # below this a number behind 'off' is the load's, not its core's
_MOST_LOADS = 20
_NEVER_ALONE = frozenset({"smoke", "chill", "boil", "thaw", "drain"})
"""'cool' and 'smoke' alone are talk; the other verbs stand for what is due."""


def read_report(line: Said) -> Heard | None:
    """Return a report of a step, a question about it, or None when the line is none."""
    nothing = not line.words and line.slash not in {"flip", "serve", "dress", "rest", "pull", "off"}
    if nothing or line.is_question or line.is_doubtful or line.has("left", "left_out"):
        return None
    deed = deed_of(line)
    things = named(line, deed.used) if deed else named(line)
    if deed is None:
        return read_moved(line, things, frozenset())
    match deed.report:
        case Report.MOVE:
            return read_moved(line, things, deed.used)
        case Report.DISCARD:
            return read_binned(line, things, deed)
        case _:
            return read_fraction(line, deed) or _reported(line, things, deed)


def _reported(line: Said, things: tuple[Named, ...], deed: Deed) -> Heard | None:
    asked = which(line, things) or _everything(line, things)
    if asked is not None:
        return asked
    loads = loads_of(things)
    if len(loads) > 1:
        return _each(line, loads, things, deed)
    return _one(line, things, deed)


def _everything(line: Said, things: tuple[Named, ...]) -> Unclear | None:
    """Ask which loads 'all off' means: a word for everything ticks nothing."""
    said_all = any(isinstance(t, Word) and folded(t.text) in EVERYTHING for t in line.tokens)
    if not said_all or subject_of(things) is not None:
        return None
    return Unclear(say("Which loads? Name them."), names(line.ear.loads))


def _each(
    line: Said, loads: tuple[Named, ...], things: tuple[Named, ...], deed: Deed
) -> Heard | None:
    """Read 'A and B off': one report each, and no core, for whose would it be."""
    used = deed.used.union(*(t.used for t in things))
    if left_over(line, used):
        return None
    wishes = tuple(ReportStep(load.name, deed.verb, deed.report) for load in loads)
    return Wished(wishes, line.at)


def _one(line: Said, things: tuple[Named, ...], deed: Deed) -> Heard | None:
    subject = subject_of(things)
    if subject is None and deed.verb in _NEVER_ALONE:
        return None
    used = deed.used.union(*(t.used for t in things))
    name, core, lots = subject.name if subject else "", None, None
    for i, token in left_over(line, used):
        degrees = _core(token)
        if not name and _is_load_number(line, i, deed):
            name = str(int(number_of(token) or 0))
        elif subject is not None and _is_count_of_tubs(line, i, subject):
            lots = int(number_of(token) or 0)
        elif degrees is not None and core is None and degrees.celsius >= _COLDEST_CORE_SAID_C:
            core = degrees.celsius
        else:
            return None
    if deed.verb == "done" and not name:
        return None  # 'done' alone answers a call, and is no report of anything
    station = next((t.name for t in things if t.sort == "station" and t is not subject), None)
    moves = deed.report is Report.START
    # A step that is named is no 'on' or 'off' of a fire: any word for it will do.
    verb = "" if subject is not None and subject.sort == "step" else deed.verb
    wish = ReportStep(name, verb, deed.report, lots, station if moves else None, core)
    return Wished((wish,), line.at)


def _is_load_number(line: Said, i: int, deed: Deed) -> bool:
    """Tell whether a bare number is a load's: before the verb, or too small for a core.

    '2 racks off' counts racks and names none.
    """
    value = number_of(line.words[i])
    if value is None or not value.is_integer() or not 0 < value <= _MOST_LOADS:
        return False
    after = line.words[i + 1] if i + 1 < len(line.words) else None
    if isinstance(after, Word) and after.canonical in CONTAINERS:
        return False
    return value < _COLDEST_CORE_SAID_C or all(i < place for place in deed.used)


def _is_count_of_tubs(line: Said, i: int, subject: Named) -> bool:
    """Tell whether a number counts the tubs of a step: 'brine out 5 tubs'."""
    value = number_of(line.words[i])
    after = line.words[i + 1] if i + 1 < len(line.words) else None
    counted = isinstance(after, Word) and after.canonical == "tub"
    return subject.sort == "step" and counted and value is not None and 0 < value <= _MOST_LOADS


def _core(token: Token) -> Degrees | None:
    if isinstance(token, Num) and not token.alternatives:
        return core_temperature_c(token.value)
    if isinstance(token, Quantity) and token.unit in {"°C", "°F", "°"}:
        return core_temperature_c(token.value, token.unit if token.unit != "°" else None)
    return None
