"""The plan card: version, plates and the next five actions, to be read at arm's length in the sun.

A phone shows 1080 px on about 65 mm: 16.6 px are a millimetre. The two key times are 10 mm tall,
every other time over 5 mm, no letter of a word under 2.5 mm.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from bot.pictures.actions import Action, actions, joined
from bot.pictures.board import Board
from bot.render import render
from core.model import Cards, Clock, Label, Line, Plan, Qty, say

WIDTH, HEIGHT = 1080, 1920
PX_PER_MM = WIDTH / 65
EDGE = 36
ROWS = 5

KEY = 228.0  # em; its digits are 10 mm
TIME = 132.0  # em; its digits are 5.8 mm
HEAD = 120.0
BIGGEST = 120.0
FIRST = 84.0
WORDS = 66.0
FITTING = (66.0, 62.0, 58.0)  # em; the last one's capitals are 2.6 mm
SMALL = 58.0
HEAD_TALL = 396
FIRST_TALL = 532

Words = Callable[[Line], str]


def plan_card(plan: Plan, cards: Cards, now: datetime | None, lang: str) -> bytes:
    """Return the card as PNG, portrait; without `now` it begins with the day's first action."""

    def words(line: Line) -> str:
        return render(line, lang, cards.event.zone)

    board = Board(WIDTH, HEIGHT)
    top = _head(board, plan, now, words)
    coming = upcoming(plan, cards, now)
    if not coming:
        board.text(EDGE, top + 60, words(say("Nothing more in the plan.")), WORDS)
    for n, action in enumerate(coming):
        top = _first(board, top, action, words) if n == 0 else _row(board, top, action, words)
    return board.png()


def upcoming(plan: Plan, cards: Cards, now: datetime | None) -> tuple[Action, ...]:
    """Return the next actions from now on; else from the beginning of the event's day."""
    event = cards.event
    found = [
        a
        for a in actions(plan, cards)
        if (a.at >= now if now else event.local(a.at).date() >= event.day)
    ]
    return tuple(found[:ROWS])


def _head(board: Board, plan: Plan, now: datetime | None, words: Words) -> float:
    """Draw version and plates; return where the actions begin."""
    name = words(say("PLAN {letter}", letter=Label(plan.letter)))
    board.text(EDGE, 40, name, HEAD)
    if now is not None:
        board.text(WIDTH - EDGE, 40, _clock(now, words), HEAD, align="right")
    board.line(0, 160, WIDTH, 160, 6)
    time = _clock(plan.plates_at, words)
    left = WIDTH - 2 * EDGE - board.wide(time, KEY) - 20
    board.text(WIDTH - EDGE, 196, time, KEY, align="right")
    plates = words(say("PLATES"))
    em = min(SMALL, SMALL * left / board.wide(plates, SMALL))
    board.text(EDGE, 204, plates, em)
    board.text(EDGE, 204 + 162 - 92 * 0.73, str(plan.heads), 92)
    board.line(0, HEAD_TALL, WIDTH, HEAD_TALL, 14)
    return HEAD_TALL


def _first(board: Board, top: float, action: Action, words: Words) -> float:
    """Draw the next action: time, what, who and where, one under the other, as big as fits."""
    width, what = WIDTH - 2 * EDGE, _what(action, words)
    board.text(EDGE, top + 44, _clock(action.at, words), KEY)
    y, bottom = top + 44 + 166 + 46, top + FIRST_TALL
    em = min(BIGGEST, FIRST * width / board.wide(what, FIRST))
    lines = (what,) if em >= FIRST else board.wrapped(what, FIRST, width, 2)
    em = max(em, FIRST)
    for line in lines:
        board.text(EDGE, y, line, em)
        y += 92 if len(lines) == 2 else 148
    board.text(EDGE, y + 4, _where(board, action, WORDS, width, words), WORDS)
    board.line(0, bottom, WIDTH, bottom, 6)
    return bottom


def _row(board: Board, top: float, action: Action, words: Words) -> float:
    """Draw one more action: time on the left, words on the right."""
    bottom = top + (HEIGHT - HEAD_TALL - FIRST_TALL) / (ROWS - 1)
    left = EDGE + board.wide("00:00", TIME) + 30
    width = WIDTH - left - EDGE / 2
    board.text(EDGE, top + 30, _clock(action.at, words), TIME)
    y = top + 30
    what = _what(action, words)
    em = next((e for e in FITTING if len(board.broken(what, e, width)) <= 2), FITTING[-1])
    for line in board.wrapped(what, em, width, 2):
        board.text(left, y, line, em)
        y += 72
    board.text(left, y, _where(board, action, SMALL, width, words), SMALL)
    if bottom < HEIGHT - 4:
        board.line(EDGE, bottom, WIDTH - EDGE, bottom, 3)
    return bottom


def _clock(at: datetime, words: Words) -> str:
    return words(Line("{clock}", {"clock": Clock(at)}))


def _what(action: Action, words: Words) -> str:
    verb = words(Line("{verb}", {"verb": action.verb}))
    return f"{verb} {joined(action.things)}".strip()


def _where(board: Board, action: Action, em: float, width: float, words: Words) -> str:
    """Return who, where and how hot, as much of it as fits; who is never left out."""
    places = ["+".join(action.places)] if action.places else []
    temp = [] if action.temp is None else [_temp(action, action.temp, words)]
    rest = [*temp, *places] if action.kind == "end" else [*places, *temp]
    parts = [x for x in (", ".join(action.who), *rest) if x]
    while len(parts) > 1 and board.wide(" · ".join(parts), em) > width:
        parts.pop()
    return board.fitted(" · ".join(parts), em, width)


def _temp(action: Action, temp: Qty, words: Words) -> str:
    if action.kind == "end":
        return words(say("at {temp}", temp=temp))
    return words(Line("{temp}", {"temp": temp}))
