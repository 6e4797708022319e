"""Blocks of text set on A4 pages as PDF; the only file that knows the library.

Black on white, one typeface, every page numbered. What is to be set are values (`Heading`, `Text`,
`Grid`, `Labels`, `PageBreak`), so that a sheet can be read without opening a PDF.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, assert_never

from bot.pictures.face import face_path, shown

if TYPE_CHECKING:
    from fpdf import FPDF

MARGIN_MM = 14.0
FOOT_MM = 16.0
FACE = "face"
MM_PER_PT = 25.4 / 72
BOX = "☐"
LABEL_PT = (16.0, 14.0, 12.5, 11.0, 10.0, 9.0, 8.0, 7.0, 6.0)


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph."""

    text: str
    size_pt: float = 12.0
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Grid:
    """A table: heads, rows, widths in parts; `strong` columns are bold, `size_pt` the type."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    size_pt: float = 11.0
    strong: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Labels:
    """Labels to cut out, each a few lines, the first one large; a line is bold or not."""

    labels: tuple[tuple[tuple[str, bool], ...], ...]
    across: int = 2
    down: int = 4


@dataclass(frozen=True, slots=True)
class PageBreak:
    """What follows begins on a new page."""


Block = Text | Grid | Labels | PageBreak


def pdf_bytes(
    blocks: Sequence[Block], *, title: str, foot: str, created: datetime, lang: str = "en"
) -> bytes:
    """Return the blocks as PDF; the same blocks are always the same bytes.

    Parameters
    ----------
    title, lang
        For the document's own data.
    foot
        Stands on every page beside 'page / pages'.
    created
        The document's date; from the data, never from a clock.
    """
    with _started(title, foot, created, lang) as pdf:
        for block in blocks:
            _set(pdf, block)
        return bytes(pdf.output())


def on_one_page(
    made: Callable[[float], Sequence[Block]], sizes_pt: Sequence[float], created: datetime
) -> Sequence[Block]:
    """Return the blocks in the largest type that fits one page, else in the smallest.

    `sizes_pt` from large to small; what fits at one size fits at every smaller one.
    """
    with _started("", "", created, "en") as trial:

        def fits(size_pt: float) -> bool:
            trial.add_page()
            first = trial.page
            for block in made(size_pt):
                _set(trial, block)
            return bool(trial.page == first)

        place = bisect_left(sizes_pt, True, key=fits)
    return made(sizes_pt[min(place, len(sizes_pt) - 1)])


@contextmanager
def _started(title: str, foot: str, created: datetime, lang: str) -> Iterator[FPDF]:
    """Yield a document with its first page, and let go of its font files afterwards."""
    from fpdf import FPDF
    from fpdf.fonts import TTFFont

    class Sheet(FPDF):
        """A page with its foot."""

        def footer(self) -> None:
            """Write foot and page number."""
            self.set_y(-FOOT_MM + 4)
            self.set_font(FACE, size=9)
            half = self.epw / 5
            self.cell(self.epw - half, 6, shown(foot), align="L")
            self.cell(half, 6, f"{self.page_no()} / {{nb}}", align="R")

    pdf = Sheet(format="A4", unit="mm")
    pdf.add_font(FACE, style="", fname=face_path())
    pdf.add_font(FACE, style="B", fname=face_path(bold=True))
    pdf.set_margins(MARGIN_MM, MARGIN_MM)
    pdf.set_auto_page_break(auto=True, margin=FOOT_MM)
    pdf.set_creation_date(created)
    pdf.set_title(shown(title))
    pdf.set_lang(lang)
    pdf.add_page()
    try:
        yield pdf
    finally:
        for font in pdf.fonts.values():
            if isinstance(font, TTFFont):
                font.close()


def _set(pdf: FPDF, block: Block) -> None:
    match block:
        case Text():
            _text(pdf, block)
        case Grid():
            _grid(pdf, block)
        case Labels():
            _labels(pdf, block)
        case PageBreak():
            pdf.add_page()
        case _:
            assert_never(block)


def _text(pdf: FPDF, block: Text) -> None:
    pdf.set_font(FACE, style="B" if block.bold else "", size=block.size_pt)
    tall = block.size_pt * MM_PER_PT * 1.3
    pdf.multi_cell(pdf.epw, tall, shown(block.text), align="L", new_x="LMARGIN", new_y="NEXT")
    pdf.ln(tall * 0.15)


def _grid(pdf: FPDF, block: Grid) -> None:
    from fpdf.enums import TableBordersLayout
    from fpdf.fonts import FontFace

    pdf.set_font(FACE, size=block.size_pt)
    bold = FontFace(emphasis="BOLD")
    with pdf.table(
        col_widths=block.widths,
        headings_style=bold,
        first_row_as_headings=bool(block.heads),
        borders_layout=TableBordersLayout.HORIZONTAL_LINES,
        line_height=block.size_pt * MM_PER_PT * 1.3,
        padding=(block.size_pt * 0.06, 1.2),
        text_align="LEFT",
        v_align="TOP",
    ) as table:
        if block.heads:
            table.row([shown(head) for head in block.heads])
        for cells in block.rows:
            row = table.row()
            for n, cell in enumerate(cells):
                row.cell(_lines(cell), style=bold if n in block.strong else None)
    pdf.ln(2)


def _lines(text: str) -> str:
    """Return a text as it can be shown, its line breaks kept."""
    return "\n".join(shown(line) for line in text.split("\n"))


def _labels(pdf: FPDF, block: Labels) -> None:
    """Draw labels in a grid, dashed where to cut; a page is full before the next begins."""
    wide = pdf.epw / block.across
    tall = (pdf.h - MARGIN_MM - FOOT_MM - 2) / block.down
    per_page = block.across * block.down
    top = pdf.get_y()
    for n, lines in enumerate(block.labels):
        place = n % per_page
        if place == 0 and n:
            pdf.add_page()
            top = pdf.get_y()
        x = MARGIN_MM + wide * (place % block.across)
        y = top + tall * (place // block.across)
        pdf.set_dash_pattern(dash=1.5, gap=1.5)
        pdf.rect(x, y, wide, tall)
        pdf.set_dash_pattern()
        _label(pdf, lines, (x + 3, y + 3, wide - 6, tall - 6))


def _label(
    pdf: FPDF, lines: Sequence[tuple[str, bool]], box: tuple[float, float, float, float]
) -> None:
    """Write one label, as large as lets all of it stay inside."""
    x, y, wide, tall = box
    sizes: list[float] = []
    heights: list[float] = []
    for size_pt in LABEL_PT:
        sizes = [size_pt * (1.4 if n == 0 else 1) for n in range(len(lines))]
        heights = [
            _wrapped_mm(pdf, text, sizes[n], wide, bold=bold)
            for n, (text, bold) in enumerate(lines)
        ]
        if sum(heights) <= tall:
            break
    for n, (text, bold) in enumerate(lines):
        pdf.set_xy(x, y)
        pdf.set_font(FACE, style="B" if bold else "", size=sizes[n])
        pdf.multi_cell(wide, sizes[n] * MM_PER_PT * 1.25, shown(text), align="L")
        y += heights[n]


def _wrapped_mm(pdf: FPDF, text: str, size_pt: float, wide: float, *, bold: bool) -> float:
    pdf.set_font(FACE, style="B" if bold else "", size=size_pt)
    lines = pdf.multi_cell(wide, 1, shown(text), dry_run=True, output="LINES")
    assert isinstance(lines, list)
    return max(len(lines), 1) * size_pt * MM_PER_PT * 1.25
