"""Plans with what is unsafe in them said beside what is late or short."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from core.cook.names import verb_of
from core.errors import CannotPlanError
from core.facts import HouseTaken, Measure
from core.house import ENOUGH_COOKS
from core.model import Cards, Ingredient, Label, Line, Plan, Qty, Step, say
from core.planner import impossible, plan
from core.safety.hazards import hazards

if TYPE_CHECKING:
    from core.heat.timing import Retimed


def planned(cards: Cards, heads: int | None = None, engine: str = "list") -> Plan:
    """Return the plan for an event with its hazards among the findings, unsafe first."""
    whole = used_cards(cards)[0]
    return with_hazards(whole, plan(whole, heads=heads, engine=engine))


def answered(cards: Cards, heads: int | None, engine: str) -> Plan:
    """Return the plan, or where there can be none the answer why not and what would make one."""
    try:
        return planned(cards, heads, engine)
    except CannotPlanError as error:
        return impossible(used_cards(cards)[0], heads or cards.event.heads, error)


def used_cards(cards: Cards, house: HouseTaken | None = None) -> tuple[Cards, tuple[Retimed, ...]]:
    """Return the cards as a plan uses them, every step to a core timed, and what is not the card's.

    A cook keeps them so from its start: what the house learns later changes the next one. The
    house's yields of enough cooks stand in place of the card's.
    """
    known = house or HouseTaken()
    cards = _with_yields(cards, known)
    if not (known.heat or known.measured) and all(_is_timed(s) for d in cards.dishes
                                                  for s in d.steps):  # fmt: skip
        return cards, ()
    from core.heat.timing import timed

    return timed(cards, known.heat, known.measured)


def _with_yields(cards: Cards, known: HouseTaken) -> Cards:
    """Return the cards with the yields that the house has measured often enough."""
    kept = {
        (k.kind, k.subject.casefold()): k.value for k in known.measured if k.cooks >= ENOUGH_COOKS
    }

    def of(good: Ingredient) -> Ingredient:
        cooked = kept.get((Measure.YIELD, good.name.casefold()), good.cook_yield)
        trimmed = kept.get((Measure.TRIM, good.name.casefold()))
        return replace(good, cook_yield=cooked, trim=good.trim if trimmed is None else 1 - trimmed)

    if not any(kind in {Measure.YIELD, Measure.TRIM} for kind, _ in kept):
        return cards
    dishes = tuple(
        replace(d, ingredients=tuple(of(i) for i in d.ingredients)) for d in cards.dishes
    )
    return replace(cards, dishes=dishes)


def _is_timed(step: Step) -> bool:
    given = (step.ideal_min, step.min_min, step.max_min, step.never_over_min)
    return step.until_core_c is None or any(given)


def with_hazards(cards: Cards, made: Plan) -> Plan:
    """Return a plan with the hazards of its cards and schedule before its other findings."""
    return replace(made, findings=(*hazards(cards, made), *made.findings))


def retimed_line(cards: Cards, step: Retimed) -> Line:
    """Return what a step takes where that is not the card's own number, and whose it is."""
    dish = Label(cards.dish(step.dish).name)
    minutes = Qty(step.minutes, "min")
    verb = verb_of(next(s.do for s in cards.dish(step.dish).steps if s.id == step.step))
    if not step.cooks or step.day is None:
        return say("{dish}, {verb}: {minutes}, reckoned from its thickness.", dish=dish,
                   verb=verb, minutes=minutes)  # fmt: skip
    return say(
        "{dish}, {verb}: {minutes} (house, {cooks}, last {day}; card {was}).",
        dish=dish,
        verb=verb,
        minutes=minutes,
        cooks=Qty(step.cooks, "cooks", 0),
        day=Label(step.day.isoformat()),
        was=Qty(step.was_min or 0.0, "min"),
    )
