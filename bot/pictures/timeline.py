"""The timeline: a row for each station, a hatched bar for each load, the plates line through all.

Each bar has its times written in it or beside it; bars share a line where nothing would touch.
Loads differ by hatching and by name, never by colour.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from bot.pictures.bars import Bar, Detail, Row, rows_of, spare_of, window_of
from bot.pictures.board import Board
from bot.pictures.placing import (
    EDGE,
    GAP,
    LABEL,
    LANE,
    STATION_TALL,
    WIDTH,
    Band,
    Scale,
    placed,
)
from bot.render import render
from core.cook.names import verb_of
from core.model import Cards, Clock, Label, Line, Plan, Qty, say

HEAD = 84.0
SUB = 46.0
STATION = 44.0
AXIS = 44.0
HEAD_TALL = 246
AXIS_TALL = 74
FOOT = 24
MOST_TALL = {Detail.FULL: 2000, Detail.BRIEF: 2600, Detail.FIRES: 5600}
"""How tall the rows may be, px: a phone shows 2,340 at once."""
TICKS_MIN = (15, 30, 60, 120, 240, 480)
HATCHES = ("//", "\\\\", "xx", "..", "--", "||", "++", "oo")

SHORT = timedelta(minutes=12)

Words = Callable[[Line], str]


def timeline(plan: Plan, cards: Cards, lang: str) -> bytes:
    """Return the plan's timeline as PNG, portrait, as tall as it takes."""

    def words(line: Line) -> str:
        return render(line, lang, cards.event.zone)

    scale = Scale(window_of(plan, cards), plan.plates_at)
    ruler = Board(WIDTH, 100)
    bands = bands_of(plan, cards, scale, ruler, words)
    height = HEAD_TALL + 2 * AXIS_TALL + sum(b.tall for b in bands) + FOOT
    board = Board(WIDTH, round(height))
    _head(board, plan, cards, scale, words)
    _axis(board, scale, cards, plan, words)
    top = float(HEAD_TALL + AXIS_TALL)
    hatches = {load.id: HATCHES[n % len(HATCHES)] for n, load in enumerate(plan.loads)}
    for band in bands:
        _band(board, top, band, hatches)
        top += band.tall
    return board.png()


def bands_of(
    plan: Plan, cards: Cards, scale: Scale, ruler: Board, words: Words
) -> tuple[Band, ...]:
    """Return all rows with their bars placed, in as much detail as stays readable."""
    bands: list[Band] = []
    for detail, most in MOST_TALL.items():
        rows = rows_of(plan, cards, detail)
        bands = [
            _row(row, cards, scale, ruler, words, short=detail is Detail.FIRES) for row in rows
        ]
        if sum(b.tall for b in bands) <= most:
            break
    return _cut((*bands, _waiting(plan, cards, scale, ruler, words)), words)


def _cut(bands: tuple[Band, ...], words: Words) -> tuple[Band, ...]:
    """Return the rows a phone still takes, and say how many are not there."""
    kept = list(bands)
    while len(kept) > 1 and sum(b.tall for b in kept) > MOST_TALL[Detail.FIRES]:
        kept.pop()
    if len(kept) == len(bands):
        return bands
    more = words(say("{n} more rows are not in the picture.", n=len(bands) - len(kept)))
    return (*kept, Band(more, ()))


# ------------------------------------------------------------------ placing


def _row(row: Row, cards: Cards, scale: Scale, ruler: Board, words: Words, *, short: bool) -> Band:
    parts = [_station(row.station, cards, words)]
    if row.temp_c is not None:
        parts.append(_temp(row.temp_c, words))
    if row.who:
        parts.append(", ".join(row.who))
    labels = [_labels(bar, words, short=short) for bar in row.bars]
    return Band(" · ".join(parts), placed(row.bars, labels, scale, ruler))


def _station(name: str, cards: Cards, words: Words) -> str:
    """Return a station's name; a kind of station, where the plan leaves it open, is a word."""
    if not name:
        return words(say("crew"))
    if cards.kit.matching(name) and not any(name in {s.id, s.family} for s in cards.kit.stations):
        return words(Line("{kind}", {"kind": name.replace("_", " ")}))
    return name


def _waiting(plan: Plan, cards: Cards, scale: Scale, ruler: Board, words: Words) -> Band:
    """Return the loads between being ready and being needed: the slack."""
    bars, labels = [], []
    for name, load in spare_of(plan, cards):
        bars.append(Bar(load.ready, max(load.needed_by, load.ready), name, load=load.id))
        labels.append(
            (words(say("{load} {clock} · {slack}", load=Label(name), clock=Clock(load.ready),
                       slack=_slack(load.slack_min))),)
        )  # fmt: skip
    return Band(words(say("READY, TO SPARE")), placed(bars, labels, scale, ruler), waits=True)


def _slack(slack_min: float) -> Line:
    if slack_min < 0:
        return say("{late} LATE", late=Qty(-slack_min, "min", 0))
    return say("+{slack}", slack=Qty(slack_min, "min", 0))


def _labels(bar: Bar, words: Words, *, short: bool) -> tuple[str, ...]:
    """Return what may stand beside a bar, the fullest first."""
    parts = [words(Line("{verb}", {"verb": verb_of(bar.verb)}))] if bar.verb else []
    parts += [bar.name] if bar.name else []
    begins = " ".join([*parts, _clock(bar.start, words)])
    lasts = f"{begins}–{_clock(bar.end, words)}"
    head = begins if short or bar.end - bar.start < SHORT else lasts
    temp = [_temp(bar.temp_c, words)] if bar.temp_c is not None else []
    who = [", ".join(bar.who)] if bar.who else []
    full = " · ".join([head, *temp, *who])
    least = begins if bar.verb else head  # when food comes off a fire is never left out
    return tuple(dict.fromkeys([full, " · ".join([head, *who]), head, least]))


# ------------------------------------------------------------------ drawing


def _head(board: Board, plan: Plan, cards: Cards, scale: Scale, words: Words) -> None:
    board.text(EDGE, 30, words(say("PLAN {letter}", letter=Label(plan.letter))), HEAD)
    heads = words(Line("{heads}", {"heads": Qty(plan.heads, "heads", 0)}))
    board.text(WIDTH - EDGE, 48, heads, SUB, align="right")
    board.text(EDGE, 112, board.fitted(cards.event.name, SUB, WIDTH - 2 * EDGE), SUB)
    plates = words(say("PLATES {clock}", clock=Clock(plan.plates_at)))
    wide = board.wide(plates, HEAD)
    x = scale.x(plan.plates_at)
    board.text(min(max(x - wide / 2, EDGE), WIDTH - EDGE - wide), 172, plates, HEAD)


def _axis(board: Board, scale: Scale, cards: Cards, plan: Plan, words: Words) -> None:
    """Draw the hours, above and below, and the plates line."""
    top, bottom = HEAD_TALL + AXIS_TALL - 8, board.height - AXIS_TALL - FOOT + 8
    for at in ticks(scale, cards, board):
        x = scale.x(at)
        board.line(x, top, x, bottom, 2.5, dotted=True)
        text = _clock(at, words)
        half = board.wide(text, AXIS) / 2
        place = min(max(x, EDGE / 2 + half), WIDTH - EDGE / 2 - half)
        for y in (HEAD_TALL + 18, bottom + 22):
            board.text(place, y, text, AXIS, align="center")
    board.line(0, top, WIDTH, top, 5)
    board.line(0, bottom, WIDTH, bottom, 5)
    x = scale.x(plan.plates_at)
    board.line(x, top, x, bottom, 14)


def ticks(scale: Scale, cards: Cards, board: Board) -> tuple[datetime, ...]:
    """Return the clock times to write: as close as they can be read."""
    window = scale.window
    minutes = (window.end - window.start).total_seconds() / 60
    px_per_min = (WIDTH - 2 * EDGE) / max(minutes, 1)
    apart = board.wide("00:00", AXIS) + 40
    step = next((t for t in TICKS_MIN if t * px_per_min >= apart), TICKS_MIN[-1])
    local = cards.event.local(window.start)
    past = (local.hour * 60 + local.minute) % step
    first = window.start + timedelta(minutes=(step - past) % step, seconds=-local.second)
    count = int((window.end - first).total_seconds() // 60 // step) + 1
    return tuple(first + timedelta(minutes=step * n) for n in range(max(count, 0)))


def _band(board: Board, top: float, band: Band, hatches: dict[str, str]) -> None:
    board.text(EDGE, top + 14, board.fitted(band.title, STATION, WIDTH - 2 * EDGE), STATION,
               paper=True)  # fmt: skip
    for mark in band.marks:
        y = top + STATION_TALL + mark.lane * LANE
        hatch = "" if band.waits or mark.bar.load is None else hatches.get(mark.bar.load, "")
        board.box(mark.left, y, mark.right - mark.left, LANE - 12, hatch=hatch, dashed=band.waits)
        board.text(mark.at, y + 9 + (mark.beside - mark.lane) * LANE, mark.label, LABEL, paper=True)
    bottom = top + band.tall - GAP / 2
    board.line(0, bottom, WIDTH, bottom, 3)


def _clock(at: datetime, words: Words) -> str:
    return words(Line("{clock}", {"clock": Clock(at)}))


def _temp(temp_c: float, words: Words) -> str:
    return words(Line("{temp}", {"temp": Qty(temp_c, "°C", 0)}))
