"""What the steps of a card are: on a fire, cooling, in the cold, on a prep day."""

from __future__ import annotations

from core.model import FIRES, Cards, Dish, StationKind, Step

CHILLS = frozenset({"chill", "cool", "blast", "abatir", "enfriar"})
HEATS = frozenset({"boil", "blanch", "smoke", "roast", "bake", "fry", "steam", "simmer", "sear",
                   "grill", "char", "poach", "braise", "confit"})  # fmt: skip


def kinds_of(cards: Cards, step: Step) -> frozenset[StationKind]:
    """Return the kinds of station a step may use; empty where it has none."""
    if step.station is None:
        return frozenset()
    return frozenset(station.kind for station in cards.kit.matching(step.station))


def on_fire(cards: Cards, step: Step) -> bool:
    """Say whether a step is on a fire."""
    return bool(kinds_of(cards, step) & FIRES)


def heats(cards: Cards, step: Step) -> bool:
    """Say whether a step cooks: on a fire, or by its verb."""
    return on_fire(cards, step) or step.do in HEATS


def chills(step: Step) -> bool:
    """Say whether a step cools food down."""
    return step.do in CHILLS


def day_of(dish: Dish, index: int) -> int:
    """Return the day of a step: its own, else that of the step before it that has one, else 0."""
    days = [step.day for step in dish.steps[: index + 1] if step.day is not None]
    if dish.steps[index].day is not None:
        return days[-1]
    later = [step.day for step in dish.steps[index:] if step.day is not None]
    if not days:
        return 0
    return days[-1] if later and later[0] == days[-1] else 0
