"""Plates past a line, loads of a count, several sizes on one grate, a fire's number of degrees."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from core.ask.load_topics import grate_of, rectangle, size_cm
from core.ask.said import Said, said
from core.ask.tell import SUM, THUMB, count, number
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Label, Line, Number, Qty, Size, Source, Span, StationKind, say
from core.scaling.mixed import Sort, mixed_loads
from core.tables.quantities import row, source_of
from core.words import Num, Quantity, Token, Word
from core.words import Size as SaidSize

# ------------------------------------------------------------------ plates past a line


@dataclass(frozen=True, slots=True)
class LinesQuestion:
    """So many plates over so many lines, each at so many a minute, slowest and fastest."""

    plates: int
    lines: int
    slow: float
    fast: float
    source: Source


def read_lines(tokens: Sequence[Token], text: str, context: AskContext) -> LinesQuestion | None:
    """Read '120 plates 1 line how long', '320 ppl 2 lines'."""
    line = said(tokens, text, context)
    plates, lines = line.people(), line.count_of("lane")
    if plates is None or not line.has("lane") or line.sizes() or line.amounts("mass"):
        return None
    paces = [
        s.per_min
        for s in (context.cards.kit.stations if context.cards else ())
        if s.kind is StationKind.LANE and s.per_min
    ]
    if paces:
        card = Source("card", "kit card", "", "card")
        return LinesQuestion(plates, int(lines or 1), min(paces), max(paces), card)
    found = row("rules", "pace", "staffed lane")
    slow, fast = found["per_min"]
    return LinesQuestion(plates, int(lines or 1), slow, fast, source_of("rules", found))


def answer_lines(question: LinesQuestion, _: AskContext) -> Answer:
    """Answer with minutes from the fast pace to the slow one, rounded up."""
    q = question
    took = Span(ceil(q.plates / q.lines / q.fast), ceil(q.plates / q.lines / q.slow), "min", 0)
    pace = Span(q.slow, q.fast, "plates")
    reading = say(
        "{plates} over {lines}, {pace} a minute on each",
        plates=count(q.plates, "plates"),
        lines=count(q.lines),
        pace=pace,
    )
    lines = (say("{took}.", took=took), say("Read as {reading}.", reading=reading))
    return Answer(lines, numbers=(number("time", took),), read_as=reading, sources=(q.source,))


# ------------------------------------------------------------------ loads of a count


@dataclass(frozen=True, slots=True)
class OverQuestion:
    """So many pieces in loads of so many."""

    pieces: int
    each: int


def read_over(tokens: Sequence[Token], text: str, context: AskContext) -> OverQuestion | None:
    """Read '300 over 72s', '300 in loads of 72', '300 en tandas de 72'."""
    line = said(tokens, text, context)
    kept = [t for t in line.tokens if not _of_no_matter(t)]
    if len(kept) != 2 or not isinstance(kept[0], Num):
        return None
    each = kept[1]
    seventy_twos = isinstance(each, Quantity) and each.unit == "s" and line.says("over", "entre")
    loads = isinstance(each, Num) and line.has("load", "batch") and line.says("of", "de", "over")
    if not (seventy_twos or loads) or not isinstance(each, Num | Quantity):
        return None
    if each.value < 1 or kept[0].value < 1:
        return None
    return OverQuestion(int(kept[0].value), int(each.value))


def _of_no_matter(token: Token) -> bool:
    return isinstance(token, Word)


def answer_over(question: OverQuestion, _: AskContext) -> Answer:
    """Answer with loads, and how many are in the last."""
    q = question
    loads = ceil(q.pieces / q.each)
    last = q.pieces - (loads - 1) * q.each
    reading = say("{n} in loads of {each}", n=count(q.pieces), each=count(q.each))
    lines = (
        say("{loads}, the last one {last}.", loads=count(loads, "loads"), last=count(last)),
        say("Read as {reading}.", reading=reading),
    )
    numbers = (Number("loads", loads, "count"), Number("last", last, "count"))
    return Answer(lines, numbers=numbers, read_as=reading, sources=(SUM,))


# ------------------------------------------------------------------ several sizes on one grate


@dataclass(frozen=True, slots=True)
class MixedQuestion:
    """Pieces of several sizes, each with its name, on one grate."""

    grate: Size
    sorts: tuple[Sort, ...]
    names: tuple[str, ...]


def read_mixed(tokens: Sequence[Token], text: str, context: AskContext) -> MixedQuestion | None:
    """Read 'grate 120x60 20 steaks 15x11 and 10 corn 20x5': a count before each size."""
    line = said(tokens, text, context)
    if len(line.sizes()) < 3 or line.amounts("mass"):
        return None
    grate = grate_of(line)
    sorts: list[Sort] = []
    names: list[str] = []
    for at, token in enumerate(line.tokens):
        if isinstance(token, SaidSize) and token is not grate:
            counted = _counted_before(line, at)
            if counted is None:
                return None
            sorts.append(Sort(counted[0], size_cm(token)))
            names.append(counted[1])
    return MixedQuestion(size_cm(grate), tuple(sorts), tuple(names))


def _counted_before(line: Said, at: int) -> tuple[int, str] | None:
    """Return the number before a size and the words between them."""
    for earlier in range(at - 1, -1, -1):
        token = line.tokens[earlier]
        if isinstance(token, Num):
            between = [t.text for t in line.tokens[earlier + 1 : at] if isinstance(t, Word)]
            return int(token.value), " ".join(between)
        if not isinstance(token, Word):
            return None
    return None


def answer_mixed(question: MixedQuestion, _: AskContext) -> Answer:
    """Answer with the loads found, and what is on each."""
    q = question
    reading = say("{what} on {grate}", what=_listed(q), grate=rectangle(q.grate))
    loads = mixed_loads(q.grate, q.sorts)
    if loads is None:
        line = say("Does not fit: a piece is larger than {grate}.", grate=rectangle(q.grate))
        return Answer((line,), read_as=reading, sources=(SUM,))
    numbers = (Number("loads", len(loads), "count"),)
    read = say("Read as {reading}, 2 cm of air.", reading=reading)
    if len(loads) == 1:
        one = (say("All fit in 1 load."), read)
        return Answer(one, numbers=numbers, read_as=reading, sources=(SUM, THUMB))
    first, last = (_on_it(q, load) for load in (loads[0], loads[-1]))
    lines = (
        say(
            "{loads}: first {first}; last {last}.",
            loads=count(len(loads), "loads"),
            first=first,
            last=last,
        ),
        read,
    )
    return Answer(lines, numbers=numbers, read_as=reading, sources=(SUM, THUMB))


def _listed(q: MixedQuestion) -> Line:
    return _on_it(q, tuple(sort.count for sort in q.sorts))


def _on_it(q: MixedQuestion, counts: Sequence[int]) -> Line:
    parts = [
        say("{n} {name}", n=count(n), name=Label(name))
        for n, name in zip(counts, q.names, strict=True)
        if n
    ]
    line = parts[0]
    for part in parts[1:]:
        line = say("{first} + {second}", first=line, second=part)
    return line


# ------------------------------------------------------------------ a fire's number


@dataclass(frozen=True, slots=True)
class FireQuestion:
    """A bare number of degrees of a fire; `unit` where one was said, or tapped."""

    value: float
    unit: str


_FIRES = ("pit", "oven", "grill", "smoker")
_ROUND_A_FIRE = frozenset({"pit", "oven", "grill", "at", "on", "temp", "the", "a", "el", "la", "?"})


def read_fire(tokens: Sequence[Token], text: str, context: AskContext) -> FireQuestion | None:
    """Read '225 pit': °F in most smokers, °C in an oven, and nobody said which."""
    line = said(tokens, text, context)
    if not line.has(*_FIRES) or not line.words <= _ROUND_A_FIRE or len(line.bare()) != 1:
        return None
    value = line.bare()[0][1]
    others = [t for t in line.tokens if not isinstance(t, Num | Word)]
    if not _LEAST <= value <= _MOST:
        return None
    if not others:
        return FireQuestion(value, "")
    only = others[0]
    if len(others) == 1 and isinstance(only, Quantity) and only.unit in {"°C", "°F"}:
        return FireQuestion(only.value, only.unit)
    return None


_LEAST, _MOST = 150.0, 600.0


def answer_fire(question: FireQuestion, _: AskContext) -> Answer:
    """Answer with both readings, or with the one that was tapped."""
    value = question.value
    in_c, in_f = Qty(round((value - 32) / 1.8), "°C", 0), Qty(round(value * 1.8 + 32), "°F", 0)
    as_f, as_c = Qty(value, "°F", 0), Qty(value, "°C", 0)
    reading = say("{value} of a fire", value=Qty(value, question.unit, 0))
    if question.unit:
        told = in_c if question.unit == "°F" else in_f
        return Answer(
            (say("{was} = {told}.", was=Qty(value, question.unit, 0), told=told),),
            numbers=(number("value", told),),
            read_as=reading,
            sources=(SUM,),
        )
    lines = (
        say("{f} is {c}, a smoker's usual heat.", f=as_f, c=in_c),
        say("{c} is {f}, an oven's or a grill's.", c=as_c, f=in_f),
    )
    return Answer(
        lines,
        numbers=(number("if_fahrenheit", in_c), number("if_celsius", as_c)),
        read_as=reading,
        question=say("°F or °C?"),
        choices=(say("{f}", f=as_f), say("{c}", c=as_c)),
        sources=(SUM,),
    )


TOPICS = (
    Topic("lines", Rank.EXACT, read_lines, answer_lines),
    Topic("over", Rank.EXACT, read_over, answer_over),
    Topic("mixed sizes", Rank.EXACT, read_mixed, answer_mixed),
    Topic("a fire's number", Rank.LOOSE, read_fire, answer_fire),
)
