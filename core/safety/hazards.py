"""What is unsafe on the cards and in the plan before anything is lit: one check a hazard.

Each check yields findings; `hazards` runs them all. A card that leaves out what a check needs is
told so where the gap hides a danger, and left alone where it does not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from core.model import Cards, Dish, Finding, Plan
from core.safety.hazards_cook import cook_floors, dry_low_pits, parked_on_cards, two_day_cooks
from core.safety.hazards_food import (
    cut_greens,
    garlic_in_oil,
    marinades,
    raw_egg,
    red_beans,
    reused_raw,
    thaws,
    uncooled,
)
from core.safety.hazards_plan import (
    hot_weather,
    no_emergency_card,
    no_thermometer,
    parked_in_plan,
    raw_beside_ready,
)
from core.safety.hazards_store import cold_limits, hot_limits
from core.safety.lifting import with_lifters

CardCheck = Callable[[Cards, Dish], Iterator[Finding]]
PlanCheck = Callable[[Cards, Plan], Iterator[Finding]]
EventCheck = Callable[[Cards], Iterator[Finding]]

ON_DISHES: tuple[CardCheck, ...] = (
    cook_floors,
    dry_low_pits,
    parked_on_cards,
    two_day_cooks,
    uncooled,
    hot_limits,
    cold_limits,
    garlic_in_oil,
    reused_raw,
    marinades,
    raw_egg,
    red_beans,
    cut_greens,
    thaws,
)
ON_PLAN: tuple[PlanCheck, ...] = (parked_in_plan, raw_beside_ready)
ON_EVENT: tuple[EventCheck, ...] = (hot_weather, no_thermometer, no_emergency_card)


def hazards(cards: Cards, plan: Plan | None = None) -> tuple[Finding, ...]:
    """Return what is unsafe on the cards, and in the plan where there is one.

    Parameters
    ----------
    cards
        The event's cards; only dishes on the menu and what they are made of are looked at.
    plan
        The schedule; its gaps and shared stations are looked at too.

    Returns
    -------
    tuple of Finding
        Each with its rule, whom it may be lifted by, and `about` naming dish or run.
    """
    found = [f for dish in used_dishes(cards) for check in ON_DISHES for f in check(cards, dish)]
    if plan is not None:
        found += [f for check in ON_PLAN for f in check(cards, plan)]
    found += [f for check in ON_EVENT for f in check(cards)]
    return tuple(f if f.lift_by else with_lifters(f) for f in found)


def used_dishes(cards: Cards) -> tuple[Dish, ...]:
    """Return the dishes on the menu and the cards they are made of; all with an empty menu."""
    by_id = {dish.id: dish for dish in cards.dishes}
    wanted = [item.dish for item in cards.event.menu] or list(by_id)
    seen: dict[str, Dish] = {}
    while wanted:
        dish = by_id.get(wanted.pop(0))
        if dish is not None and dish.id not in seen:
            seen[dish.id] = dish
            wanted += [i.card for i in dish.ingredients if i.card]
    return tuple(seen.values())
