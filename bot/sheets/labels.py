"""Tub labels: what goes on the tape, to cut out, and as rows for a label printer."""

from __future__ import annotations

from collections.abc import Mapping

from bot.sheets.allergy import Contents, contents_of, named_of
from bot.sheets.amounts import (
    Words,
    amount_of,
    day_of,
    foot_of,
    heads_of,
    keep_of,
    time_of,
    words_of,
)
from bot.sheets.paper import Labels, pdf_bytes
from bot.sheets.tables import Table
from core.model import Cards, Label, say
from core.scaling.sheets import TubLabel, tub_labels

Fixed = Mapping[str, int] | None


def label_lines(
    label: TubLabel, cards: Cards, words: Words
) -> tuple[tuple[str, bool], ...]:  # fmt: skip
    """Return what stands on the tape, each line with whether it is bold.

    What, which tub, how much; what is in it; how cold and how long; and who made it when.
    """
    inside = _inside(label, cards)
    lines = [
        (label.what, True),
        (words(say("Tub {n} of {all} · {qty}", n=label.number, all=label.of,
                   qty=Label(amount_of(label.total, words)))), False),
        *((line, True) for line in _contains(inside, words)),
    ]  # fmt: skip
    if inside.unread:
        unread = Label(", ".join(inside.unread))
        lines.append((words(say("NOT CONFIRMED, label not read: {what}", what=unread)), True))
    if inside.may_contain:
        may = Label(named_of(inside.may_contain, words))
        lines.append((words(say("May contain: {what}", what=may)), True))
    limits = [keep_of(label.keep_below_c, words), _limit(label.never_over_min, words)]
    if any(limits):
        lines.append((" · ".join(x for x in limits if x), False))
    lines.append((words(say("Made ________  Who ________")), False))
    lines.append((words(say("Use by ________")), False))
    return tuple(lines)


def _inside(label: TubLabel, cards: Cards) -> Contents:
    """Return the contents of what is in the tub; nothing known where the card is not found."""
    found = [contents_of(cards, dish) for dish in cards.dishes if dish.name == label.what]
    if not found:
        return Contents(label.what, label.allergens or (), label.may_contain, (label.what,))
    return Contents(
        label.what,
        tuple(sorted({x for f in found for x in f.contains})),
        tuple(sorted({x for f in found for x in f.may_contain})),
        tuple(dict.fromkeys(x for f in found for x in f.unread)),
    )


def _contains(inside: Contents, words: Words) -> tuple[str, ...]:
    """Return what is surely in it; where that is nothing, whether anything else is open."""
    if inside.contains:
        return (words(say("CONTAINS {what}", what=Label(named_of(inside.contains, words)))),)
    if inside.unread:
        return (words(say("ALLERGENS NOT CONFIRMED")),)
    return (words(say("Allergens: none on its labels")),) if inside.clear else ()


def _limit(never_over_min: float | None, words: Words) -> str:
    if never_over_min is None:
        return ""
    return words(say("MAX {time}", time=Label(time_of(never_over_min, words))))


def label_table(cards: Cards, heads: int, lang: str, fixed: Fixed = None) -> Table:
    """Return the labels as rows, for a label printer."""
    words = words_of(cards, lang)
    rows = tuple(_label_row(label, cards, words) for label in tub_labels(cards, heads, fixed))
    named = ("what", "tub", "of", "how much", "contains", "not confirmed", "may contain")
    titles = heads_of((*named, "keep", "MAX"), words)
    widths = (4, 1, 1, 2, 4, 4, 3, 1.5, 1.5)
    return Table(words(say("TUB LABELS")), titles, rows, widths, frozenset({0, 4}))


def _label_row(label: TubLabel, cards: Cards, words: Words) -> tuple[str, ...]:
    inside = _inside(label, cards)
    return (
        label.what,
        str(label.number),
        str(label.of),
        amount_of(label.total, words),
        named_of(inside.contains, words),
        ", ".join(inside.unread),
        named_of(inside.may_contain, words),
        keep_of(label.keep_below_c, words),
        time_of(label.never_over_min, words),
    )


def labels_pdf(cards: Cards, heads: int, lang: str, fixed: Fixed = None) -> bytes:
    """Return the tub labels, eight to a page, to cut out."""
    words = words_of(cards, lang)
    labels = tuple(label_lines(label, cards, words) for label in tub_labels(cards, heads, fixed))
    return pdf_bytes(
        [Labels(labels)],
        title=cards.event.name,
        foot=foot_of(cards, heads, lang),
        created=day_of(cards),
        lang=lang,
    )
