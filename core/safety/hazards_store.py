"""Hazards of holding on the cards: hot limits under, cold limits over the rule book's."""

from __future__ import annotations

from collections.abc import Iterator

from core.model import Cards, Dish, Finding, FoodClass, Label, Profile, Qty, Verdict, say
from core.safety.clocks import Side
from core.safety.degrees import Limit
from core.safety.holding import held_to, hold_rule
from core.safety.rules import Rule, finding

SHORT_MIN = 60.0
"""Eaten within an hour of its last fire, food is resting, not hot held (common practice)."""


def limit_at(cards: Cards, side: Side, *, roast: bool = False) -> tuple[Rule | None, Limit] | None:
    """Return the strictest limit in force for a side: the rule book's, or of all when unset."""
    books = (cards.event.profile,) if cards.event.profile else tuple(Profile)
    found = []
    for book in books:
        rule = hold_rule(side, book, roast=roast)
        limit = held_to(rule, side, cards.event.house)
        if limit is not None:
            found.append((rule, limit))
    if not found:
        return None
    choose = min if side is Side.COLD else max
    return choose(found, key=lambda pair: pair[1].c)


def _within_clock(dish: Dish) -> bool:
    """Say whether a dish is served within the shortest clock for hot food, so it is not held."""
    most = dish.hold.quality_max_min
    return most is not None and most <= SHORT_MIN


def hot_limits(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where a card holds hot food below the limit."""
    limit = limit_at(cards, Side.HOT, roast=dish.piece.food_class is FoodClass.B)
    holds = [s.keep_above_c for s in dish.steps if s.keep_above_c is not None and s.do == "hold"]
    if dish.hold.min_temp_c is not None and not _within_clock(dish):
        holds.append(dish.hold.min_temp_c)
    if limit is None or not holds or min(holds) >= limit[1].c - 1e-9:
        return
    text = say(
        "{verdict}. {dish} is held at {read}, limit {limit} or more.",
        verdict=Verdict.STOP,
        dish=Label(dish.name),
        read=Qty(min(holds), "°C"),
        limit=limit[1].words(),
    )
    yield finding(limit[0], Verdict.STOP, text, profile=cards.event.profile, about=dish.id)


def cold_limits(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where a card keeps cold food warmer than the limit."""
    limit = limit_at(cards, Side.COLD)
    kept = [s.keep_below_c for s in dish.steps if s.keep_below_c is not None]
    if limit is None or not kept or max(kept) <= limit[1].c + 1e-9:
        return
    if cards.event.profile is None and max(kept) <= 5.0:
        return  # 5 °C is kept as 5 °C: two books ask a little less, their clocks still run
    text = say(
        "{verdict}. {dish} is kept at {read}, limit {limit} or less.",
        verdict=Verdict.STOP,
        dish=Label(dish.name),
        read=Qty(max(kept), "°C"),
        limit=limit[1].words(),
    )
    yield finding(limit[0], Verdict.STOP, text, profile=cards.event.profile, about=dish.id)
