"""Pieces on a grate, loads, and how long the loads take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from core.ask.said import FILLERS, Said, said
from core.ask.tell import SUM, THUMB, count
from core.ask.topic import AskContext, Rank, Topic
from core.errors import OutOfRangeError
from core.model import Answer, Line, Number, Qty, Size, say
from core.scaling.packing import GAP_CM, pieces_per_grate
from core.words import Size as SaidSize
from core.words import Token, Word

USUAL_LOAD_MIN = 9.0
"""A load of steaks on and off a hot grill, min; common practice."""

KEEP_FREE = 0.15
"""Strip kept empty for flares; common practice."""


@dataclass(frozen=True, slots=True)
class LoadsQuestion:
    """So many pieces of a size on so many grates of a size."""

    grates: int
    grate: Size
    piece: Size
    pieces: int | None
    load_min: float | None


def read_loads(tokens: Sequence[Token], text: str, context: AskContext) -> LoadsQuestion | None:
    """Read '2 grates 45x60 stks 20x12 how many loads for 64'."""
    line = said(tokens, text, context)
    if len(line.sizes()) != 2:
        return None
    typed = grate_of(line)
    piece = size_cm(next(s for s in line.sizes() if s is not typed))
    grate = size_cm(typed)
    grates = line.count_of("grate", "grill", "rack", "tray", "pit")
    minutes = line.only("time")
    return LoadsQuestion(
        int(grates) if grates else 1,
        grate,
        piece,
        _pieces(line),
        minutes.base if minutes else None,
    )


_GRATES = frozenset({"grate", "grill", "rack", "tray", "pit"})


def grate_of(line: Said) -> SaidSize:
    """Return the size that stands by a word for a grate, after it or before; else the largest."""
    tokens = line.tokens
    for step in (1, -1):
        for at, token in enumerate(tokens):
            if not isinstance(token, Word) or token.canonical not in _GRATES:
                continue
            near = at + step
            while 0 <= near < len(tokens) and _between(tokens[near]):
                near += step
            found = tokens[near] if 0 <= near < len(tokens) else None
            if isinstance(found, SaidSize):
                return found
    return max(line.sizes(), key=lambda s: size_cm(s).width_cm * size_cm(s).depth_cm)


def _between(token: Token) -> bool:
    return isinstance(token, Word) and token.canonical in FILLERS


def size_cm(typed: SaidSize) -> Size:
    """Return the rectangle in cm; without a unit, sides below 5 are metres."""
    factor = {"m": 100.0, "mm": 0.1, "in": 2.54, "cm": 1.0}.get(typed.unit)
    if factor is None:
        factor = 100.0 if max(typed.a, typed.b) < 5 else 1.0
    return Size(typed.a * factor, typed.b * factor)


def _pieces(line: Said) -> int | None:
    """Return how many pieces: the last bare number that does not count the grates."""
    grates = line.count_of("grate", "grill", "rack", "tray", "pit")
    bare = [value for _, value in line.bare()]
    if grates is not None and grates in bare:
        bare.remove(grates)
    return int(bare[-1]) if bare else None


def answer_loads(question: LoadsQuestion, _: AskContext) -> Answer:
    """Answer with pieces a grate, loads, the last one's count, and the time they take."""
    q = question
    fit = pieces_per_grate(q.grate, q.piece)
    if fit == 0:
        line = say(
            "Does not fit: {piece} and {gap} of air is more than {grate}.",
            piece=rectangle(q.piece),
            gap=Qty(GAP_CM, "cm"),
            grate=rectangle(q.grate),
        )
        none = (Number("per_grate", 0, "count"),)
        return Answer((line,), numbers=none, read_as=_reading(q), sources=(SUM,))
    load = fit * q.grates
    lines = [say("{fit} per grate, {load} a load.", fit=count(fit), load=count(load))]
    numbers = [Number("per_grate", fit, "count"), Number("per_load", load, "count")]
    if q.pieces is not None:
        loads = ceil(q.pieces / load)
        lines = [_loads_line(q, fit, load, loads), *_times(q, fit, loads)]
        numbers.append(Number("loads", loads, "count"))
        numbers.append(Number("time", loads * (q.load_min or USUAL_LOAD_MIN), "min"))
    airy = pieces_per_grate(q.grate, q.piece, keep_free=KEEP_FREE)
    lines.append(
        say(
            "{gap} gaps, laid both ways. 15 % kept free for flares: {airy} per grate.",
            gap=Qty(GAP_CM, "cm"),
            airy=count(airy),
        )
    )
    return Answer(tuple(lines), numbers=tuple(numbers), read_as=_reading(q), sources=(SUM, THUMB))


def _reading(q: LoadsQuestion) -> Line:
    return say(
        "{grates} grates of {grate}, pieces of {piece}",
        grates=count(q.grates),
        grate=rectangle(q.grate),
        piece=rectangle(q.piece),
    )


def rectangle(size: Size) -> Line:
    """Return a rectangle as it is said."""
    return say("{a} x {b}", a=Qty(size.width_cm, ""), b=Qty(size.depth_cm, "cm"))


def _loads_line(q: LoadsQuestion, fit: int, load: int, loads: int) -> Line:
    last = (q.pieces or 0) - (loads - 1) * load
    if last == load or loads == 1:
        return say(
            "{fit} per grate, {load} a load -> {loads}.",
            fit=count(fit),
            load=count(load),
            loads=count(loads, "loads"),
        )
    return say(
        "{fit} per grate, {load} a load -> {loads}, the last one {last}.",
        fit=count(fit),
        load=count(load),
        loads=count(loads, "loads"),
        last=count(last),
    )


def _times(q: LoadsQuestion, fit: int, loads: int) -> tuple[Line, ...]:
    minutes = q.load_min or USUAL_LOAD_MIN
    first = say(
        "At {each} a load: {total}, {hourly} an hour.",
        each=Qty(minutes, "min"),
        total=Qty(loads * minutes, "min"),
        hourly=count(fit * q.grates * 60 / minutes),
    )
    if q.grates < 2:
        return (first,)
    alone = ceil((q.pieces or 0) / fit)
    other = say(
        "One grate only: {loads}, {total}.",
        loads=count(alone, "loads"),
        total=Qty(alone * minutes, "min"),
    )
    return first, other


@dataclass(frozen=True, slots=True)
class OutputQuestion:
    """So many pieces a load, so many minutes a load; perhaps so many to get through."""

    pieces: int
    load_min: float
    total: int | None


def read_output(tokens: Sequence[Token], text: str, context: AskContext) -> OutputQuestion | None:
    """Read '30 a load 4.5 min how many per hour' and '30 a load 4.5 min 288 steaks how long'."""
    line = said(tokens, text, context)
    bare = sorted(value for _, value in line.bare())
    minutes = [m for m in line.amounts("time") if m.unit == "min"]
    asked = line.has("how_much", "how_long") or line.says("hourly", "per hour", "por hora")
    if not asked or not line.has("load", "batch") or len(minutes) != 1 or line.sizes():
        return None
    if not 1 <= len(bare) <= 2:
        return None
    return OutputQuestion(int(bare[0]), minutes[0].base, int(bare[1]) if len(bare) == 2 else None)


def answer_output(question: OutputQuestion, _: AskContext) -> Answer:
    """Answer with pieces an hour, and the loads and time for all of them."""
    q = question
    hourly = per_hour(q.pieces, q.load_min)
    reading = say(
        "{n} a load, {each} a load with the swap",
        n=count(q.pieces),
        each=Qty(q.load_min, "min"),
    )
    lines = [say("{n} an hour.", n=count(hourly)), say("Read as {reading}.", reading=reading)]
    numbers = [Number("per_hour", round(hourly, 1), "count")]
    if q.total is not None and q.pieces > 0:
        loads = ceil(q.total / q.pieces)
        last = q.total - (loads - 1) * q.pieces
        total = Qty(loads * q.load_min, "min")
        lines.insert(
            0,
            say(
                "{loads}, {total}; the last one {last}.",
                loads=count(loads, "loads"),
                total=total,
                last=count(last),
            ),
        )
        numbers = [
            Number("loads", loads, "count"),
            Number("time", total.value, "min"),
            Number("last", last, "count"),
            *numbers,
        ]
    return Answer(tuple(lines), numbers=tuple(numbers), read_as=reading, sources=(SUM,))


def per_hour(pieces: int, load_min: float) -> float:
    """Pieces an hour: a load over its cook and swap.

    Examples
    --------
    >>> per_hour(72, 60), per_hour(30, 4.5)
    (72.0, 400.0)
    """
    if not load_min > 0:
        raise OutOfRangeError("time", f"{load_min} min", "above 0")
    return pieces * 60 / load_min


TOPICS = (
    Topic("loads", Rank.EXACT, read_loads, answer_loads),
    Topic("output", Rank.EXACT, read_output, answer_output),
)
