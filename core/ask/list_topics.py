"""The lists of the day as chat text, and a change of heads that belongs in the cook's chat."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from core.ask.said import said
from core.ask.tell import CARD, SUM, count, volume, weight
from core.ask.topic import AskContext, Rank, Topic
from core.errors import OutOfRangeError
from core.model import Answer, Cards, Label, Line, Number, Qty, say
from core.scaling.lists import buy_list
from core.scaling.sheets import Amount, load_out_list, prep_sheet, tub_labels
from core.words import Delta, Num, Token, Word


class Sheet(StrEnum):
    """Which list."""

    BUY = "buy list"
    PREP = "prep sheet"
    LOAD_OUT = "load-out list"
    LABELS = "tub labels"


_NAMES = {
    Sheet.BUY: (
        "buy list",
        "buying list",
        "shopping list",
        "lista de compra",
        "lista de la compra",
        "lista compra",
        "hoja de compra",
    ),
    Sheet.PREP: (
        "prep sheet",
        "prep list",
        "mise en place list",
        "hoja de preparacion",
        "lista de preparacion",
        "hoja de mise en place",
        "lista de mise en place",
    ),
    Sheet.LOAD_OUT: (
        "load out list",
        "loadout list",
        "load out sheet",
        "van list",
        "packing list",
        "lista de carga",
        "hoja de carga",
        "lista de la furgoneta",
    ),
    Sheet.LABELS: (
        "tub labels",
        "labels",
        "labels for tubs",
        "etiquetas",
        "etiquetas de cubetas",
    ),
}
_SHOWN = 6
_PER_LINE = 3


@dataclass(frozen=True, slots=True)
class SheetQuestion:
    """A list of the event, for so many; None where there is no event to make it from."""

    sheet: Sheet
    cards: Cards | None
    heads: int


def read_sheet(tokens: Sequence[Token], text: str, context: AskContext) -> SheetQuestion | None:
    """Read 'lista de compra', 'prep sheet', 'load-out list', 'tub labels for 360'."""
    line = said(tokens, text, context)
    sheet = next((s for s, names in _NAMES.items() if line.says(*names)), None)
    if sheet is None or line.amounts("mass") or line.amounts("volume"):
        return None
    return SheetQuestion(sheet, context.cards, line.crowd() or context.to_feed or 0)


def answer_sheet(question: SheetQuestion, _: AskContext) -> Answer:
    """Answer with the first things on it, how many more there are and where the rest is."""
    q = question
    if q.cards is None:
        line = say(
            "{sheet}: made from an event's cards, and no event is given.", sheet=q.sheet.value
        )
        return Answer((line,), read_as=say("{sheet}", sheet=q.sheet.value))
    parts = _parts(q.sheet, q.cards, q.heads)
    head = say(
        "{sheet}: {n} for {heads}.",
        n=count(len(parts), "lines"),
        sheet=q.sheet.value,
        heads=count(q.heads, "people"),
    )
    shown, more = parts[:_SHOWN], len(parts) - _SHOWN
    lines = [head, *_rows(shown)]
    if more > 0:
        lines.append(
            say("{n} more: pitcrier plan EVENT --sheets DIR writes them all.", n=count(more))
        )
    return Answer(
        tuple(lines),
        numbers=(Number("lines", len(parts), "count"),),
        read_as=say("{sheet} for {heads}", sheet=q.sheet.value, heads=count(q.heads, "people")),
        sources=(CARD,),
    )


def _rows(parts: Sequence[Line]) -> list[Line]:
    lines = []
    for start in range(0, len(parts), _PER_LINE):
        line, *others = parts[start : start + _PER_LINE]
        for part in others:
            line = say("{first}; {second}", first=line, second=part)
        lines.append(line)
    return lines


def _parts(sheet: Sheet, cards: Cards, heads: int) -> list[Line]:
    match sheet:
        case Sheet.BUY:
            return [
                say("{name} {qty}", name=Label(b.item), qty=_qty(b.need, b.unit))
                for b in buy_list(cards, heads)
            ]
        case Sheet.PREP:
            return [
                say("{do} {name} {qty}", do=p.do, name=Label(p.dish), qty=_of(p.total))
                for p in prep_sheet(cards, heads)
            ]
        case Sheet.LOAD_OUT:
            carried: Counter[str] = Counter()
            for item in load_out_list(cards, heads):
                carried[item.what] += item.count
            return [
                say("{n} x {what}", n=count(n), what=Label(what)) for what, n in carried.items()
            ]
        case Sheet.LABELS:
            return [
                say(
                    "{name} {n}/{of}, {qty}",
                    name=Label(tub.what),
                    n=count(tub.number),
                    of=count(tub.of),
                    qty=_of(tub.total),
                )
                for tub in tub_labels(cards, heads)
            ]


def _of(amount: Amount) -> Qty:
    return _qty(amount.qty, amount.unit)


def _qty(qty: float, unit: str) -> Qty:
    match unit:
        case "kg":
            return weight(qty)
        case "L":
            return volume(qty)
        case _:
            return Qty(round(qty, 1), unit if unit in {"pieces", "portions"} else "")


# ------------------------------------------------------------------ heads that change


@dataclass(frozen=True, slots=True)
class ChangeQuestion:
    """Heads as they stand, and as they would be."""

    was: int
    now: int


_ABOUT_HEADS = frozenset(
    {"now", "people", "heads", "for", "para", "we", "are", "more", "guests", "plates", "portions"}
)


def read_change(tokens: Sequence[Token], text: str, context: AskContext) -> ChangeQuestion | None:
    """Read '+40', 'now 360', 'somos 360': nothing but a number of heads, at an event."""
    line = said(tokens, text, context)
    if context.to_feed is None or not line.words <= _ABOUT_HEADS:
        return None
    changes = [t for t in tokens if isinstance(t, Delta) and not t.unit]
    others = [t for t in tokens if not isinstance(t, Delta | Num | Word)]
    if others or len(changes) + len(line.bare()) != 1:
        return None
    if changes:
        return ChangeQuestion(context.to_feed, _heads(context.to_feed + changes[0].value))
    if not line.has("now"):
        return None
    return ChangeQuestion(context.to_feed, _heads(line.bare()[0][1]))


def _heads(value: float) -> int:
    if value < 1 or value != int(value):
        raise OutOfRangeError("heads", f"{value:g}", "1 or more")
    return int(value)


def answer_change(question: ChangeQuestion, _: AskContext) -> Answer:
    """Answer with the total, and where to say it so that it counts: a question changes nothing."""
    q = question
    lines = (
        say("{was} -> {now}.", was=count(q.was), now=count(q.now, "people")),
        say("Nothing is changed yet: say it in the cook's chat."),
    )
    numbers = (Number("heads", q.now, "count"), Number("change", q.now - q.was, "count"))
    reading = say("heads from {was} to {now}", was=count(q.was), now=count(q.now))
    return Answer(lines, numbers=numbers, read_as=reading, sources=(SUM,))


TOPICS = (
    Topic("sheets", Rank.EXACT, read_sheet, answer_sheet),
    Topic("heads change", Rank.EXACT, read_change, answer_change),
)
