"""What must be on paper when the phones die: the next 90 minutes, allergens, the emergency card."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta

from bot.pictures.actions import Action, actions, joined
from bot.pictures.bars import window_of
from bot.sheets.allergy import Contents, menu_contents, named_of
from bot.sheets.amounts import Words, day_of, foot_of, words_of
from bot.sheets.paper import BOX, Block, Grid, PageBreak, Text, on_one_page, pdf_bytes
from core.allergens import NOTHING_MADE, Made
from core.model import Cards, Clock, Label, Lead, Line, Plan, Qty, say

AHEAD = timedelta(minutes=90)
SIZES_PT = (20.0, 18.0, 16.0, 14.0, 12.0, 11.0, 10.0, 9.0)
CAUTION = (
    say("Asked about an allergen: ask {who}, by ingredient. Not confirmed is not 'no'."),
    say("Made from the cards: after a swap this page is wrong."),
)


def strip_pdf(
    plan: Plan, cards: Cards, now: datetime | None, lang: str, made: Made = NOTHING_MADE
) -> bytes:
    """Return strip, allergy sheet and emergency card, a page each.

    Without `now` there is a strip for every 90 minutes of the day, from the first fire on. `made`
    are the batches and swaps that the allergy sheet is to know of.
    """
    words = words_of(cards, lang)
    at = now or window_of(plan, cards).start
    blocks: list[Block] = []
    for start in _starts(plan, cards, now):
        blocks += [*strip_blocks(plan, cards, start, words), PageBreak()]
    blocks += [*allergy_blocks(cards, words, made), PageBreak(), *emergency_blocks(cards, words)]
    return pdf_bytes(
        blocks,
        title=cards.event.name,
        foot=f"PLAN {plan.letter} · {foot_of(cards, plan.heads, lang)}",
        created=at,
        lang=lang,
    )


def _starts(plan: Plan, cards: Cards, now: datetime | None) -> tuple[datetime, ...]:
    if now is not None:
        return (now,)
    window = window_of(plan, cards)
    count = max(-(-(window.end - window.start) // AHEAD), 1)
    return tuple(window.start + AHEAD * n for n in range(count))


# ------------------------------------------------------------------ the strip


def strip_blocks(plan: Plan, cards: Cards, start: datetime, words: Words) -> Sequence[Block]:
    """Return one strip, in the largest type that stays on its page."""
    end = start + AHEAD
    coming = (a for a in actions(plan, cards, looks=True) if start <= a.at < end)
    rows = tuple(_row(action, words) for action in coming)
    head = say(
        "PLAN {letter} · {start}–{end}",
        letter=Label(plan.letter),
        start=Clock(start),
        end=Clock(end),
    )
    plates = say(
        "PLATES {clock} · {heads}",
        clock=Clock(plan.plates_at),
        heads=Qty(plan.heads, "heads", 0),
    )
    empty = say("Nothing in the plan for these 90 minutes.")

    def at_size(size_pt: float) -> Sequence[Block]:
        body = Grid((), rows, (2, 9, 2.6, 0.8), size_pt, frozenset({0, 1}))
        below: Block = body if rows else Text(words(empty), 16)
        return (Text(words(head), 26, bold=True), Text(words(plates), 20, bold=True), below)

    return on_one_page(at_size, SIZES_PT, start)


def _row(action: Action, words: Words) -> tuple[str, ...]:
    who = ", ".join(action.who)
    return (_clock(action.at, words), _what(action, words), who, BOX)


def _what(action: Action, words: Words) -> str:
    verb = words(Line("{verb}", {"verb": action.verb}))
    parts = [f"{verb} {joined(action.things)}".strip()]
    if action.places and action.kind == "start":
        parts[0] += f" → {joined(action.places)}"
    if action.temp is not None:
        parts.append(words(_TEMPS[action.kind](action.temp)))
    if action.never_after is not None:
        parts.append(words(say("MAX {clock}", clock=Clock(action.never_after))))
    if action.flips:
        at = ", ".join(_clock(flip, words) for flip in action.flips)
        parts.append(words(say("flip {clocks}", clocks=Label(at))))
    return " · ".join(parts)


_TEMPS: Mapping[str, Callable[[Qty], Line]] = {
    "start": lambda temp: Line("{temp}", {"temp": temp}),
    "end": lambda temp: say("core {temp}", temp=temp),
    "check": lambda temp: say("expect {temp}", temp=temp),
}


def _clock(at: datetime, words: Words) -> str:
    return words(Line("{clock}", {"clock": Clock(at)}))


# ------------------------------------------------------------------ allergens


def allergy_blocks(cards: Cards, words: Words, made: Made = NOTHING_MADE) -> Sequence[Block]:
    """Return who needs care, and what each dish holds as its labels say."""
    rows = tuple(_dish(contents, words) for contents in menu_contents(cards, made))
    heads = (say("dish"), say("contains"), say("may contain"), say("NOT CONFIRMED"))
    lead = cards.leading(Lead.ALLERGY) or cards.chef
    who = Label(lead.name) if lead else say("the chef")
    care = tuple(Text(words(_guest(g.needs, g.heads, g.table)), 16, bold=True)
                 for g in cards.event.guests)  # fmt: skip
    caution = tuple(Text(words(Line(line.text, {"who": who})), 13, bold=True) for line in CAUTION)

    def at_size(size_pt: float) -> Sequence[Block]:
        table = Grid(tuple(words(h) for h in heads), rows, (3, 3, 2.6, 3.4), size_pt,
                     frozenset({0, 1, 3}))  # fmt: skip
        return (Text(words(say("ALLERGENS")), 26, bold=True), *care, *caution, table)

    return on_one_page(at_size, SIZES_PT[2:], day_of(cards))


def _guest(needs: str, heads: int, table: str | None) -> Line:
    if table is None:
        return say("{n} × {needs}", n=heads, needs=Label(needs))
    return say("{n} × {needs}, table {table}", n=heads, needs=Label(needs), table=Label(table))


def _dish(contents: Contents, words: Words) -> tuple[str, ...]:
    nothing = words(say("none on its labels")) if contents.clear else ""
    return (
        contents.dish,
        named_of(contents.contains, words) or nothing,
        named_of(contents.may_contain, words),
        ", ".join(contents.unread),
    )


# ------------------------------------------------------------------ emergency


def emergency_blocks(cards: Cards, words: Words) -> Sequence[Block]:
    """Return the emergency card: number, site and gate first."""
    card = cards.event.emergency
    title = Text(words(say("EMERGENCY")), 34, bold=True)
    if card is None:
        unknown = say(
            "No number and no address on the cards. Write them here before the fire is lit:"
        )
        return (title, Text(words(unknown), 22, bold=True), *(Text("_" * 24, 26),) * 4)
    people = [
        (say("Gate: {gate}", gate=Label(card.gate)), card.gate),
        (say("First aider: {who}", who=Label(card.first_aider)), card.first_aider),
    ]
    chef = cards.chef
    return (
        title,
        Text(words(say("CALL")), 40, bold=True),
        Text(card.number, 110, bold=True),
        Text(card.address, 38, bold=True),
        *(Text(words(line), 38, bold=True) for line, there in people if there),
        Text(words(say("Say: where, what happened, how many hurt. Stay on the line.")), 22),
        *((Text(words(say("Then tell {who}.", who=Label(chef.name))), 22),) if chef else ()),
    )
