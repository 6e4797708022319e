"""The lists a crew carries: what to buy, what to prepare where, what goes in the van.

As tables (for CSV and paper) from the amounts the core works out. No prices: cost is the chef's.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from itertools import groupby
from typing import assert_never

from bot.sheets.amounts import (
    Words,
    amount_of,
    day_of,
    foot_of,
    heads_of,
    keep_of,
    kitchen,
    plain_number,
    time_of,
    words_of,
)
from bot.sheets.paper import BOX
from bot.sheets.tables import Table, tables_pdf
from core.cook.names import verb_of
from core.model import Buy, Cards, Label, Line, Per, Qty, say
from core.scaling.sheets import (
    LoadOutItem,
    PrepLine,
    buy_by_supplier,
    load_out_list,
    prep_sheet,
)

Fixed = Mapping[str, int] | None

OWN_WORDS = frozenset({"spares", "site"})
"""Groups of the load-out list whose things are words, not names."""


# ------------------------------------------------------------------ buy list


def buy_table(
    cards: Cards, heads: int, lang: str, suppliers: Mapping[str, str] | None = None,
    fixed: Fixed = None,
) -> Table:  # fmt: skip
    """Return what to buy, by supplier, in whole packs, with what will be left over."""
    words = words_of(cards, lang)
    rows = tuple(
        (
            supplier.name,
            line.item,
            plain_number(line.need),
            line.unit,
            _packs(line, words),
            plain_number(line.leftover) if line.packs else "",
        )
        for supplier in buy_by_supplier(cards, heads, suppliers or {}, fixed)
        for line in supplier.lines
    )
    named = ("supplier", "item", "need", "unit", "packs", "left over")
    return Table(_buy_title(heads, words), heads_of(named, words), rows, (2, 4, 1.6, 1.2, 3, 1.6))


def _buy_paper(cards: Cards, heads: int, lang: str, fixed: Fixed) -> Table:
    """Return the buy list as it is read in a shop: amounts in kitchen units, a box to tick."""
    words = words_of(cards, lang)
    rows = tuple(
        (
            BOX,
            line.item,
            kitchen(line.need, line.unit, words),
            _packs(line, words),
            kitchen(line.leftover, line.unit, words) if line.packs else "",
        )
        for supplier in buy_by_supplier(cards, heads, {}, fixed)
        for line in supplier.lines
    )
    named = ("", "item", "need", "packs", "left over")
    return Table(_buy_title(heads, words), heads_of(named, words), rows, (0.7, 5, 2, 3.4, 2),
                 frozenset({1, 3}))  # fmt: skip


def _buy_title(heads: int, words: Words) -> str:
    return words(say("BUY LIST, {heads}", heads=Qty(heads, "heads", 0)))


def _packs(line: Buy, words: Words) -> str:
    return " + ".join(f"{n} × {kitchen(p.amount, p.unit, words)}" for p, n in line.packs)


# ------------------------------------------------------------------ prep sheets


def prep_tables(
    cards: Cards, heads: int, lang: str, fixed: Fixed = None
) -> tuple[Table, ...]:  # fmt: skip
    """Return a sheet for each day and station, jobs in the order of the cards."""
    words = words_of(cards, lang)
    lines = prep_sheet(cards, heads, fixed)
    return tuple(
        _prep(cards, day, station, tuple(group), words)
        for (day, station), group in groupby(lines, key=lambda x: (x.day, x.station))
    )


def _prep(cards: Cards, day: int, station: str, lines: tuple[PrepLine, ...], words: Words) -> Table:
    date = cards.event.day + timedelta(days=day)
    where = Label(station) if station else say("anywhere")
    title = words(say("PREP {where}, {date}", where=where, date=Label(f"{date:%d.%m.%Y}")))
    named = ("day", "station", "do", "dish", "how much", "time", "MAX", "keep", "goods", "")
    rows = tuple(_prep_row(date.isoformat(), line, cards, words) for line in lines)
    return Table(title, heads_of(named, words), rows, (1, 1, 2.1, 3.9, 2, 1.8, 1.5, 1.6, 4.4, 0.8),
                 frozenset({2, 6}))  # fmt: skip


def _prep_row(date: str, line: PrepLine, cards: Cards, words: Words) -> tuple[str, ...]:
    return (
        date,
        line.station,
        words(Line("{verb}", {"verb": verb_of(line.do)})),
        line.dish,
        amount_of(line.total, words),
        _ideal(line, cards, words),
        time_of(line.never_over_min, words),
        keep_of(line.keep_below_c, words),
        "\n".join(f"{amount_of(good, words)} {good.name}" for good in line.goods),
        BOX,
    )


def _ideal(line: PrepLine, cards: Cards, words: Words) -> str:
    """Return how long it takes, and for how much: a piece, a tub, or all of it."""
    if line.ideal_min is None:
        return ""
    time = Label(time_of(line.ideal_min, words))
    per = next(
        (
            step.per
            for dish in cards.dishes
            for step in dish.steps
            if (dish.name, step.do, step.ideal_min) == (line.dish, line.do, line.ideal_min)
        ),
        Per.LOAD,
    )
    match per:
        case Per.PIECE:
            return words(say("{time} each", time=time))
        case Per.LOT:
            return words(say("{time} a tub", time=time))
        case Per.LOAD:
            return time.text
        case _:
            assert_never(per)


# ------------------------------------------------------------------ load-out


def load_out_table(cards: Cards, heads: int, lang: str, fixed: Fixed = None) -> Table:
    """Return what goes into the van, with a box to tick when it leaves and when it is back."""
    words = words_of(cards, lang)
    rows = tuple(_load_out(item, words) for item in load_out_list(cards, heads, fixed))
    named = ("out", "back", "count", "what", "group")
    title = words(say("LOAD-OUT, lines: {n}", n=len(rows)))
    return Table(title, heads_of(named, words), rows, (1, 1, 1.2, 6, 2.4), frozenset({3}))


def _load_out(item: LoadOutItem, words: Words) -> tuple[str, ...]:
    what = item.what if item.group in OWN_WORDS else Label(item.what)
    named = words(Line("{what}", {"what": what}))
    number = item.id.rsplit("/", 1)[-1] if item.group == "food" else ""
    group = words(Line("{group}", {"group": item.group}))
    return (BOX, BOX, str(item.count), f"{named} {number}".strip(), group)


# ------------------------------------------------------------------ paper


def lists_pdf(cards: Cards, heads: int, lang: str, fixed: Fixed = None) -> bytes:
    """Return buy list, prep sheets and load-out list as one PDF."""
    prep = [_slim(table) for table in prep_tables(cards, heads, lang, fixed)]
    tables = [
        _buy_paper(cards, heads, lang, fixed),
        *prep,
        load_out_table(cards, heads, lang, fixed),
    ]
    return tables_pdf(tables, title=cards.event.name, foot=foot_of(cards, heads, lang),
                      created=day_of(cards), lang=lang)  # fmt: skip


def _slim(table: Table) -> Table:
    """Return a prep sheet without the two columns its title says."""
    rows = tuple(row[2:] for row in table.rows)
    strong = frozenset(n - 2 for n in table.strong)
    return Table(table.title, table.heads[2:], rows, table.widths[2:], strong)
