"""Pictures and documents a message names, drawn when a front-end first wants them.

A message carries only a name, `golden-wedding-1/plan-B.png`. What it shows is made from the log as
it stands, in another process so that drawing stalls nobody, and kept for the next room that wants
it.
"""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from collections.abc import Awaitable, Callable, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field
from datetime import datetime

from bot.curves import core_curve, curve_of, words_of
from bot.ports import Medium
from bot.render import render
from core.cook import Cook
from core.facts import PlanAdopted
from core.model import Cards, Clock, Label, Plan, Qty, say

MOST_KEPT = 64
PNG = "image/png"


def drawn_card(plan: Plan, cards: Cards, at: datetime, lang: str) -> bytes:
    """Return the plan card as PNG; what draws is loaded where this runs."""
    from bot.pictures import plan_card

    return plan_card(plan, cards, at, lang)


def drawn_timeline(plan: Plan, cards: Cards, at: datetime, lang: str) -> bytes:
    """Return the plan's timeline as PNG; `at` plays no part in it."""
    from bot.pictures import timeline

    del at
    return timeline(plan, cards, lang)


DRAWN: Mapping[str, Callable[[Plan, Cards, datetime, str], bytes]] = {
    "plan": drawn_card,
    "timeline": drawn_timeline,
}


@dataclass(slots=True)
class Gallery:
    """Implements Media for the cooks of one process."""

    cook: Callable[[str], Awaitable[Cook]]
    workers: Executor | None = None
    cards: Callable[[str], Awaitable[Medium | None]] | None = None
    """Where the house's saved cards are, whose names begin with 'house/'."""
    _kept: OrderedDict[str, Medium] = field(default_factory=OrderedDict)

    async def medium(self, name: str) -> Medium | None:
        """Return what is called so; None if it cannot be made."""
        if name not in self._kept:
            made = await self._made(name)
            if made is None:
                return None
            self._kept[name] = made
            if len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
        return self._kept[name]

    async def _made(self, name: str) -> Medium | None:
        cook_id, _, what = name.partition("/")
        if cook_id == "house":
            return await self.cards(name) if self.cards is not None else None
        cook = await self.cook(cook_id)
        if cook.cards is None:
            return None
        kind, _, letter = what.removesuffix(".png").partition("-")
        if kind == "core" and letter.isdecimal():
            return await self._curve(cook, int(letter), what)
        adopted = plan_lettered(cook, letter)
        if kind not in DRAWN or adopted is None:
            return None
        plan, at = adopted
        lang = cook.cards.event.languages[0]
        loop = asyncio.get_running_loop()
        content = await loop.run_in_executor(self.workers, DRAWN[kind], plan, cook.cards, at, lang)
        return Medium(what, PNG, content, plain_words(plan, cook.cards, lang))

    async def _curve(self, cook: Cook, seq: int, name: str) -> Medium | None:
        """Return the picture of a load's core as it stood at one reading."""
        curve = await asyncio.to_thread(curve_of, cook, seq)
        if curve is None or cook.cards is None:
            return None
        lang = cook.cards.event.languages[0]
        loop = asyncio.get_running_loop()
        content = await loop.run_in_executor(self.workers, core_curve, curve, lang)
        return Medium(name, PNG, content, words_of(curve, lang))


def plan_lettered(cook: Cook, letter: str) -> tuple[Plan, datetime] | None:
    """Return the plan that was adopted under a letter, and when."""
    for entry in reversed(cook.entries):
        if isinstance(entry.fact, PlanAdopted) and entry.fact.plan.letter == letter:
            return entry.fact.plan, entry.at
    return None


def plain_words(plan: Plan, cards: Cards, lang: str) -> str:
    """Return what a picture of the plan says first, for who cannot see it."""
    line = say("Plan {letter}: plates {clock}, {heads}.", letter=Label(plan.letter),
               clock=Clock(plan.plates_at), heads=Qty(plan.heads, "heads", 0))  # fmt: skip
    return render(line, lang, cards.event.zone)
