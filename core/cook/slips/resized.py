"""Loads that a new plan makes smaller or more of, in words: what one fire takes, not two."""

from __future__ import annotations

from core.cook.names import dish_name, listed
from core.model import Cards, Label, Line, Load, Plan, Qty, say

SHOWN = 3


def resized(was: Plan, now: Plan, cards: Cards | None) -> Line | None:
    """Return which loads are smaller than before, for as many guests; None where none is."""
    if was.heads != now.heads:
        return None
    for dish in dict.fromkeys(load.dish for load in now.loads):
        before = [load for load in was.loads if load.dish == dish]
        after = [load for load in now.loads if load.dish == dish]
        if len(after) > len(before):
            return _of_dish(before, after, dish_name(dish, cards))
    return None


def _of_dish(before: list[Load], after: list[Load], dish: str) -> Line:
    """Return '5 loads of 60, not 4 of 72', or only those that change where some have begun."""
    counts = {load.id: load.count for load in before}
    changed = [load for load in after if counts.get(load.id) != load.count]
    if len(changed) < len(after):
        each = [
            say("{load} {count}", load=Label(load.name), count=Qty(load.count, "pcs", 0))
            for load in sorted(changed, key=lambda load: load.on)
        ]
        return say("{dish} {loads}", dish=Label(dish), loads=listed(list(each), SHOWN))
    return say(
        "{dish} {now} loads of {size}, not {was} of {before}",
        dish=Label(dish),
        now=len(after),
        size=max(load.count for load in after),
        was=len(before),
        before=max(load.count for load in before),
    )
