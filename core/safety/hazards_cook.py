"""Hazards of cooking on the cards: cores below the rule, dry low pits, parked meat, two days."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from core.model import Cards, Dish, Finding, FoodClass, Label, Profile, Qty, Step, Verdict, say
from core.safety.card_steps import day_of, on_fire
from core.safety.cooking import cook_verdict
from core.safety.degrees import Degrees
from core.safety.food import Kind, food_of_dish
from core.safety.heat_met import Heat
from core.safety.lifting import lifters
from core.safety.ovens import oven_finding
from core.safety.pink import Guests
from core.safety.rules import finding, the
from core.safety.stages import TwoGoes, two_goes_verdict

_REST_COUNTS_MIN = 3.0
_ANIMAL = frozenset(FoodClass) - {FoodClass.PLANT}


def final_heat(cards: Cards, dish: Dish) -> Heat | None:
    """Return the hottest core a card cooks to, with the rest after it up to 3 min."""
    cooked = [(i, s) for i, s in enumerate(dish.steps) if s.until_core_c and on_fire(cards, s)]
    if not cooked:
        return None
    at, last = max(cooked, key=lambda pair: pair[1].until_core_c or 0.0)
    rests = [s for s in dish.steps[at + 1 :] if s.do == "rest"]
    rest_min = sum((s.min_min or s.ideal_min or 0.0) for s in rests[:1])
    seared = any(s.do == "sear" for s in dish.steps) or None
    hold_s = min(rest_min, _REST_COUNTS_MIN) * 60
    return Heat(Degrees(last.until_core_c or 0.0), hold_s, seared=seared)


def guests_at(cards: Cards) -> Guests:
    """Return what the event says of its guests; no flag at all means nobody has said."""
    flagged = [guest.vulnerable for guest in cards.event.guests]
    return Guests(vulnerable=True if any(flagged) else None, pink=True)


def cook_floors(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where a card's last core is not enough for its class, or is not given."""
    food, heat = food_of_dish(dish), final_heat(cards, dish)
    if food is None or dish.piece.food_class not in _ANIMAL:
        return
    if heat is None:
        text = say(
            "{verdict}. {dish}: the card gives no core to reach.",
            verdict=Verdict.UNKNOWN,
            dish=Label(dish.name),
        )
        yield finding(None, Verdict.UNKNOWN, text, profile=cards.event.profile, about=dish.id)
        return
    found = cook_verdict(food, heat, cards.event.profile, guests_at(cards), about=dish.id)
    if found.verdict is Verdict.OK:
        return
    text = say("{finding} ({dish})", finding=found.text, dish=Label(dish.name))
    yield replace(found, text=text, lift_by=lifters(found, food))


def dry_low_pits(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where a whole roast comes off a dry low pit on a low row of its table."""
    food, heat = food_of_dish(dish), final_heat(cards, dish)
    if food is None or heat is None or dish.piece.food_class is not FoodClass.B:
        return
    pits = [s.temp_c for s in dish.steps if s.temp_c is not None and on_fire(cards, s)]
    if not pits or cards.event.profile not in {None, Profile.US}:
        return
    found = oven_finding(food, heat, Degrees(max(pits)), dish.piece.weight_kg, about=dish.id)
    if found is not None:
        yield found


def parked_on_cards(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where a card lets half-cooked meat wait over 10 min between two fires."""
    if dish.piece.food_class not in _ANIMAL:
        return
    rule = the("house", "house.stage_gap")
    limit = float(rule.row["max_min"])
    for first, wait in _waits(cards, dish):
        if wait <= limit:
            continue
        text = say(
            "{verdict}. {dish}: {wait} between {step} and the next fire, limit {limit}.",
            verdict=Verdict.STOP,
            dish=Label(dish.name),
            wait=Qty(wait, "min"),
            step=Label(first.id),
            limit=Qty(limit, "min"),
        )
        food = food_of_dish(dish)
        found = finding(rule, Verdict.STOP, text, about=dish.id)
        yield replace(found, lift_by=lifters(found, food))


def _waits(cards: Cards, dish: Dish) -> Iterator[tuple[Step, float]]:
    """Yield each fire step that is followed by another, and the longest a card lets it wait."""
    fires = [i for i, step in enumerate(dish.steps) if on_fire(cards, step)]
    for one, two in pairwise(fires):
        first = dish.steps[one]
        if day_of(dish, one) != day_of(dish, two) or _is_cooked(dish, one):
            continue
        between = dish.steps[one + 1 : two]
        if any(step.keep_above_c is not None for step in between):
            continue
        waiting = sum((step.max_min or step.ideal_min or 0.0) for step in between)
        longest = first.gap_max_min if first.gap_max_min is not None else first.gap_min
        yield first, waiting + longest


def _is_cooked(dish: Dish, index: int) -> bool:
    """Say whether a step already cooks as far as the dish is ever cooked."""
    cores = [step.until_core_c or 0.0 for step in dish.steps]
    return (dish.steps[index].until_core_c or 0.0) >= max(cores) > 0


def two_day_cooks(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where meat is cooked in part on one day and finished on another."""
    food = food_of_dish(dish)
    if food is None or food.kinds == {Kind.PLANT}:
        return
    fires = [i for i, step in enumerate(dish.steps) if on_fire(cards, step)]
    for one, two in pairwise(fires):
        if day_of(dish, one) >= day_of(dish, two) or _is_cooked(dish, one):
            continue
        first = dish.steps[one]
        goes = TwoGoes(first.max_min or first.ideal_min, None, None, dish.id)
        found = two_goes_verdict(goes, cards.event.profile)
        yield replace(found, lift_by=lifters(found, food))
