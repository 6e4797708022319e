"""Where each bar of the timeline stands and where its label is written; nothing is drawn here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.pictures.bars import Bar, Window
from bot.pictures.board import Board

WIDTH = 1080
EDGE = 24
LABEL = 38.0
LANE = 58
STATION_TALL = 62
GAP = 14
NARROWEST = 12

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Mark:
    """A bar in its place, px, in line `lane`; its label begins at `at`, in line `beside`."""

    bar: Bar
    left: float
    right: float
    label: str
    at: float
    lane: int
    beside: int


@dataclass(frozen=True, slots=True)
class Band:
    """A row of the picture with its marks."""

    title: str
    marks: tuple[Mark, ...]
    waits: bool = False

    @property
    def lanes(self) -> int:
        """Return how many lines it takes."""
        return 1 + max((m.beside for m in self.marks), default=-1)

    @property
    def tall(self) -> float:
        """Return its height, px."""
        return STATION_TALL + self.lanes * LANE + GAP


@dataclass(frozen=True, slots=True)
class Scale:
    """Where an instant stands, px from the left."""

    window: Window
    plates_at: datetime

    def x(self, at: datetime) -> float:
        """Return the place of an instant."""
        whole = max((self.window.end - self.window.start).total_seconds(), 60.0)
        part = (at - self.window.start).total_seconds() / whole
        return EDGE + part * (WIDTH - 2 * EDGE)


def placed(
    bars: Sequence[Bar], labels: Sequence[Sequence[str]], scale: Scale, ruler: Board
) -> tuple[Mark, ...]:
    """Put each bar into the first line where neither it nor its label touches another.

    The fullest of a bar's labels that fits beside it is taken; if none does, the fullest takes
    the line below.
    """
    marks: list[Mark] = []
    taken: list[list[Span]] = []
    for bar, texts in zip(bars, labels, strict=True):
        left = scale.x(bar.start)
        right = max(scale.x(bar.end), left + NARROWEST)
        fitting = [ruler.fitted(text, LABEL, WIDTH - 2 * EDGE) for text in texts]
        places = [
            (text, at, ruler.wide(text, LABEL))
            for text in fitting
            if (at := _beside(left, right, ruler.wide(text, LABEL), scale.x(scale.plates_at)))
            is not None
        ]
        if places:
            label, at, wide = places[0]
            lane = _first_free(taken, [(min(left, at), max(right, at + wide))])
            marks.append(Mark(bar, left, right, label, at, lane, lane))
        else:
            whole = (t for t, f in zip(texts, fitting, strict=True) if t == f)
            label = next(whole, fitting[-1])
            wide = ruler.wide(label, LABEL)
            at = min(left, WIDTH - EDGE - wide)
            lane = _first_free(taken, [(left, right), (at, at + wide)])
            marks.append(Mark(bar, left, right, label, at, lane, lane + 1))
    return tuple(marks)


def _beside(left: float, right: float, wide: float, plates: float) -> float | None:
    """Return where a label begins: in its bar, else after it, else before it, else nowhere.

    After it only if the plates line stays whole, unless there is no room before it.
    """
    after = right + 12 if right + 12 + wide <= WIDTH - 8 else None
    before = left - 12 - wide if left - 12 - wide >= 8 else None
    if wide + 24 <= right - left:
        return left + 14
    if after is not None and (before is None or not right < plates < after + wide):
        return after
    return before


def _first_free(taken: list[list[Span]], spans: Sequence[Span]) -> int:
    """Take the first lines, one below the other, where these spans touch nothing."""
    lane = 0
    while not all(_free(taken, lane + n, span) for n, span in enumerate(spans)):
        lane += 1
    for n, span in enumerate(spans):
        while len(taken) <= lane + n:
            taken.append([])
        taken[lane + n].append(span)
    return lane


def _free(taken: Sequence[Sequence[Span]], lane: int, span: Span) -> bool:
    row = taken[lane] if lane < len(taken) else ()
    return all(span[0] > right + 14 or span[1] < left - 14 for left, right in row)
