"""Food that went elsewhere: to another fire, or into the bin."""

from __future__ import annotations

from bot.phrases.about import left_over, loads_of, names, subject_of, which
from bot.phrases.deeds import Deed
from bot.phrases.heard import Heard, Unclear, Wished
from bot.phrases.said import Said, number_of
from bot.phrases.subjects import Named
from core.facts import Report, ReportStep
from core.model import say
from core.words import Num, Ordinal, Token, Word
from core.words.food_words import FOODS


def read_moved(line: Said, things: tuple[Named, ...], verbs: frozenset[int]) -> Heard | None:
    """Return 'a2 P2' and 'move a2 to P2': food, then where it is now."""
    food = [t for t in things if t.sort in {"unit", "load", "dish"}]
    places = [t for t in things if t.sort == "station"]
    used = verbs.union(*(t.used for t in things))
    if len(food) != 1 or len(places) != 1 or left_over(line, used):
        return None
    if min(food[0].used) > min(places[0].used):
        return None
    wish = ReportStep(food[0].name, "", Report.MOVE, None, places[0].name)
    return Wished((wish,), line.at)


def read_binned(line: Said, things: tuple[Named, ...], deed: Deed) -> Heard | None:
    """Return 'bin lamb', 'dropped 24 A', 'bin 6 of A'; what was binned is never guessed."""
    asked = which(line, things)
    if asked is not None:
        return asked
    subject = subject_of(tuple(t for t in things if t.sort not in {"kind", "step"}))
    used = deed.used.union(*(t.used for t in things))
    rest = [w for i, w in left_over(line, used) if not (subject and i in subject.used)]
    counts = [number_of(w) for w in rest if isinstance(w, Num)]
    loads = loads_of(things)
    wrong = any(not _may_stand_beside(w, subject) for w in rest)
    if subject is None or wrong or len(counts) > 1 or (counts and len(loads) > 1):
        return Unclear(say("What goes in the bin? Name the load."), names(line.ear.loads))
    if counts and (counts[0] is None or not counts[0].is_integer()):
        return Unclear(say("How many pieces?"))
    count = int(counts[0]) if counts and counts[0] else None
    binned = [load.name for load in loads] or [subject.name]
    return Wished(tuple(ReportStep(n, "bin", Report.DISCARD, count) for n in binned), line.at)


def _may_stand_beside(token: Token, subject: Named | None) -> bool:
    """Tell whether a word beside what was binned changes nothing: a count, the food of a load."""
    if isinstance(token, Num | Ordinal):
        return True
    is_load = subject is not None and subject.sort in {"unit", "load"}
    return is_load and isinstance(token, Word) and token.canonical in FOODS
