"""A list as rows of text, for a spreadsheet and for paper."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from io import StringIO

from bot.sheets.paper import Block, Grid, PageBreak, Text, on_one_page, pdf_bytes

SIZES_PT = (12.0, 11.0, 10.0)

FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""A cell that begins so is run by a spreadsheet instead of shown."""


@dataclass(frozen=True, slots=True)
class Table:
    """A list with its heads; `widths` in parts on paper, `strong` columns in bold there."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    strong: frozenset[int] = frozenset()


def csv_bytes(table: Table) -> bytes:
    """Return a table as CSV: RFC 4180, UTF-8 with its mark so that spreadsheets read accents."""
    out = StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_inert(cell) for cell in table.heads])
    writer.writerows([_inert(cell) for cell in row] for row in table.rows)
    return out.getvalue().encode("utf-8-sig")


def _inert(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula; a number stays a number.

    Examples
    --------
    >>> _inert("=1+1"), _inert("-4.5"), _inert("salt")
    ("'=1+1", '-4.5', 'salt')
    """
    if not cell.startswith(FORMULA):
        return cell
    try:
        float(cell)
    except ValueError:
        return f"'{cell}"
    return cell


def tables_pdf(
    tables: Sequence[Table], *, title: str, foot: str, created: datetime, lang: str
) -> bytes:
    """Return tables as PDF, each on a page of its own in the largest type that fits one."""
    blocks: list[Block] = []
    for n, table in enumerate(tables):
        blocks += [PageBreak()] if n else []
        blocks += on_one_page(partial(_blocks, table), SIZES_PT, created)
    return pdf_bytes(blocks, title=title, foot=foot, created=created, lang=lang)


def _blocks(table: Table, size_pt: float) -> Sequence[Block]:
    grid = Grid(table.heads, table.rows, table.widths, size_pt, table.strong)
    return (Text(table.title, 20, bold=True), grid)
