"""A saved event's cook: shown with its first action and its calls, then started by one tap."""

from __future__ import annotations

import re
from collections.abc import Mapping

from bot.cards import CardsError, cards_of
from bot.kitchen.events import mistakes
from bot.kitchen.talk import Done, Said, told
from bot.naming import APART, called
from core.calls import calls_of
from core.cook.plans import planned
from core.errors import KitchenError
from core.facts import CardKind
from core.model import Answer, Cards, Clock, Label, Line, Qty, Sound, say
from core.trial.book import Saved
from core.trial.fields import Field, Kind, Tap

_APART_LINE = re.compile(rf"^\s*name\s*=\s*{APART}\s*$\n?", re.MULTILINE)
START = Field(
    "start", Kind.WORD, (), say("start"), say("Start it now?"),
    (Tap(say("start"), "start", ("start", "yes", "si", "empieza", "empezar", "arranca")),
     Tap(say("not now"), "wait", ("not now", "no", "ahora no"))),
)  # fmt: skip


def offered(said: Said, card: Saved, names: Mapping[str, str]) -> Done:
    """Show what starting an event's cook means: its first action, its calls, how many ring."""
    try:
        cards = event_cards(card.texts, names)
        plan = planned(cards)
    except CardsError as bad:
        return Done(told(*mistakes(bad.errors)))
    except KitchenError as bad:
        line = Line(bad.template, {k: Label(str(v)) for k, v in bad.fields.items()})
        return Done(told(line))
    calls = calls_of(plan, cards)
    ringing = sum(call.sound is not Sound.SILENT for call in calls)
    lines: list[Line] = []
    if calls:
        lines.append(say("{name}: first {what}", name=Label(cards.event.name), what=calls[0].line))
    lines.append(say("{n} calls, {m} with sound. Plates {plates}, {heads}.", n=len(calls),
                     m=ringing, plates=Clock(plan.plates_at),
                     heads=Qty(plan.heads, "heads", 0)))  # fmt: skip
    last = max((s.until or s.start for s in cards.event.serve), default=None)
    if last is not None and cards.event.instant(last) < said.now:
        over = say("Its day is over: say 'edit {name}' and give a date.", name=Label(card.card))
        return Done(told(over))
    if said.host.cook.cards is not None and not said.host.cook.closed:
        lines.append(say("{cook} is open: what you say alone goes to the new one then.",
                         cook=Label(said.host.cook.id)))  # fmt: skip
    taps = tuple(tap.line for tap in START.taps)
    answer = Answer(tuple(lines), question=START.ask, choices=taps)
    return Done(answer, key=f"kitchen/+{card.card}/start")


def event_cards(texts: Mapping[str, str], names: Mapping[str, str]) -> Cards:
    """Return a saved event's cards with its people called by name; unnamed ones by their id.

    Raises
    ------
    CardsError
        If the folder reads no more.
    """
    bare = {
        path: _APART_LINE.sub("", text) if path == "crew.toml" else text
        for path, text in texts.items()
    }
    return called(cards_of(bare), names)


def chosen(said: Said, card_name: str, number: int) -> Done | None:
    """Return what a tap under the offer does: start, or leave it."""
    card = said.book.card(CardKind.EVENT, card_name)
    if card is None or not 1 <= number <= len(START.taps):
        return None
    if START.taps[number - 1].value != "start":
        return Done(told(say("Not started.")))
    return Done(told(), start=card_name)
