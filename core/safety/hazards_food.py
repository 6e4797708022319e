"""Hazards of what is in a dish: garlic in oil, raw egg, red beans, cut greens, reused marinade."""

from __future__ import annotations

from collections.abc import Iterator

from core.model import Cards, Dish, Finding, FoodClass, Label, Qty, StationKind, Verdict, say
from core.safety.card_steps import chills, day_of, heats, kinds_of
from core.safety.food import plain
from core.safety.rules import finding, the

_GARLIC = frozenset({"garlic", "ajo", "ajos"})
_OIL = frozenset({"oil", "aceite"})
_EGG = frozenset({"egg", "eggs", "yolk", "yolks", "huevo", "huevos", "yema", "yemas"})
_TREATED = frozenset({"pasteurised", "pasteurized", "pasteurizado", "pasteurizada", "cooked"})
_GREENS = frozenset({"lettuce", "rocket", "spinach", "leaf", "leaves", "melon", "melons", "tomato",
                     "tomatoes", "lechuga", "rucula", "espinaca", "espinacas", "melones", "tomate",
                     "tomates", "sprouts", "brotes"})  # fmt: skip
_CUTS = frozenset({"slice", "cut", "chop", "shred", "tear", "dice", "dress", "mix"})
_RED_BEANS = (("kidney", "bean"), ("kidney", "beans"), ("red", "beans"), ("alubia", "roja"),
              ("alubias", "rojas"), ("judias", "rojas"), ("frijoles", "rojos"))  # fmt: skip
_MARINADE = frozenset({"marinade", "brine", "marinada", "salmuera", "adobo"})


def _names(dish: Dish) -> tuple[frozenset[str], ...]:
    """Return the words of each ingredient of a dish that is eaten."""
    return tuple(
        frozenset(plain(f"{i.name} {i.card or ''}").replace("-", " ").split())
        for i in dish.ingredients
        if i.eaten
    )


def _has(dish: Dish, words: frozenset[str]) -> bool:
    return any(names & words for names in _names(dish))


def _first_day(dish: Dish) -> int:
    return min((day_of(dish, at) for at in range(len(dish.steps))), default=0)


def _is_heated(cards: Cards, dish: Dish) -> bool:
    return any(heats(cards, step) for step in dish.steps)


def garlic_in_oil(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where raw garlic in oil is made before the day or not kept cold."""
    if not (_has(dish, _GARLIC) and _has(dish, _OIL)) or _is_heated(cards, dish):
        return
    rule = the("garlic", "garlic.days", "hazards")
    days = -_first_day(dish)
    ahead = max((step.ahead_max_min or 0.0 for step in dish.steps), default=0.0) / 1440
    if max(days, ahead) > float(rule.row["max_days"]):
        text = say(
            "{verdict}. {dish}: garlic in oil {days} ahead, limit {limit} in the cold.",
            verdict=Verdict.STOP,
            dish=Label(dish.name),
            days=Qty(max(days, ahead), "d"),
            limit=Qty(float(rule.row["max_days"]), "d"),
        )
        yield finding(rule, Verdict.STOP, text, about=dish.id)
    elif days >= 1:
        house = the("house", "house.garlic_oil")
        text = say(
            "{verdict}. {dish}: raw garlic in oil is made the same day.",
            verdict=Verdict.NOT_YET,
            dish=Label(dish.name),
        )
        yield finding(house, Verdict.NOT_YET, text, about=dish.id, lift_by=("chef",))
    elif not _is_cold(dish):
        tcs = the("garlic", "garlic.tcs", "hazards")
        text = say(
            "{verdict}. {dish}: raw garlic in oil, and no step keeps it at 5 °C or less.",
            verdict=Verdict.NOT_YET,
            dish=Label(dish.name),
        )
        yield finding(tcs, Verdict.NOT_YET, text, about=dish.id)


def _is_cold(dish: Dish) -> bool:
    kept = any((step.keep_below_c or 99.0) <= 8.0 for step in dish.steps)
    return kept or "cold" in dish.hold.safety


def reused_raw(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where a dish eats what raw food was soaked in, without boiling it."""
    soaked = {i.card for d in cards.dishes for i in d.ingredients if i.card and not i.eaten}
    for each in dish.ingredients:
        words = frozenset(plain(each.name).replace("-", " ").split())
        shared = each.card in soaked and each.eaten and bool(words & _MARINADE)
        if shared and not any(step.do == "boil" for step in dish.steps):
            text = say(
                "{verdict}. {dish} eats {what}, which raw food is soaked in: keep a clean portion"
                " back, or boil it.",
                verdict=Verdict.STOP,
                dish=Label(dish.name),
                what=Label(each.name),
            )
            rule = the("marinade", "marinade.reuse", "hazards")
            yield finding(rule, Verdict.STOP, text, about=dish.id)


def marinades(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where a card lets meat lie in a marinade beyond the published days."""
    del cards
    poultry = dish.piece.food_class is FoodClass.A3
    row = "marinade.poultry" if poultry else "marinade.red_meat"
    rule = the("marinade", row, "hazards")
    limit_min = float(rule.row["max_days"]) * 1440
    for step in dish.steps:
        longest = step.never_over_min or step.max_min or step.ideal_min or 0.0
        if step.do in {"marinate", "brine", "marinade"} and longest > limit_min:
            text = say(
                "{verdict}. {dish}: {step} up to {days}, limit {limit}.",
                verdict=Verdict.STOP,
                dish=Label(dish.name),
                step=Label(step.id),
                days=Qty(longest / 1440, "d", 1),
                limit=Qty(limit_min / 1440, "d"),
            )
            yield finding(rule, Verdict.STOP, text, about=dish.id)


def raw_egg(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where egg goes in raw: pasteurised, or enough acid and time, or not."""
    egg = any(names & _EGG and not names & _TREATED for names in _names(dish))
    if not egg or _is_heated(cards, dish) or dish.piece.food_class is FoodClass.EGG:
        return
    rule = the("plants", "mayo.ph", "hazards")
    weak = any(guest.vulnerable for guest in cards.event.guests)
    verdict = Verdict.STOP if weak else Verdict.NOT_YET
    text = say(
        "{verdict}. {dish}: raw egg. Pasteurised egg, or 20 mL of 6 % vinegar a yolk and 48 h at"
        " 20 °C before chilling.",
        verdict=verdict,
        dish=Label(dish.name),
    )
    yield finding(rule, verdict, text, about=dish.id)


def red_beans(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where dry red beans are not boiled hard: a slow pit leaves their poison."""
    dry = any(
        any(set(pair) <= names for pair in _RED_BEANS) and not names & {"canned", "tin", "cooked"}
        for names in _names(dish)
    )
    if not dry:
        return
    del cards
    rule = the("plants", "plants.red_beans", "hazards")
    least = float(rule.row["boil_min"])
    boiled = [s.min_min or s.ideal_min or 0.0 for s in dish.steps if s.do == "boil"]
    if max(boiled, default=0.0) >= least:
        return
    text = say(
        "{verdict}. {dish}: red beans want 5 h of soaking, fresh water and {boil} at a full boil.",
        verdict=Verdict.STOP,
        dish=Label(dish.name),
        boil=Qty(least, "min"),
    )
    yield finding(rule, Verdict.STOP, text, about=dish.id)


def cut_greens(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where cut leaves, melon or tomato have neither cold nor a clock."""
    if not _has(dish, _GREENS) or _is_heated(cards, dish):
        return
    cut = any(step.do in _CUTS for step in dish.steps)
    clocked = any(step.never_over_min for step in dish.steps)
    if not cut or _is_cold(dish) or clocked:
        return
    rule = the("plants", "plants.tcs", "hazards")
    text = say(
        "{verdict}. {dish}: cut leaves, melon or tomato want 5 °C or less, or a clock.",
        verdict=Verdict.NOT_YET,
        dish=Label(dish.name),
    )
    yield finding(rule, Verdict.NOT_YET, text, about=dish.id)


def uncooled(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where food is cooked on an earlier day and no step cools it: plants too."""
    if dish.piece.food_class is None:
        return
    heated = [i for i, step in enumerate(dish.steps) if heats(cards, step) and day_of(dish, i) < 0]
    for at in heated:
        later = dish.steps[at + 1 :]
        again = next((i for i, s in enumerate(later) if heats(cards, s)), len(later))
        if any(chills(step) or step.keep_above_c for step in later[: again + 1]):
            continue
        if any(chills(step) for step in later) and again < len(later):
            continue  # boiled, then charred, then chilled
        rule = the("plants", "plants.tcs", "hazards")
        text = say(
            "{verdict}. {dish}: cooked a day ahead and no cooling step: 21 °C in 2 h, 5 °C in 6 h.",
            verdict=Verdict.STOP,
            dish=Label(dish.name),
        )
        yield finding(rule, Verdict.STOP, text, about=dish.id)
        return


def thaws(cards: Cards, dish: Dish) -> Iterator[Finding]:
    """Yield a finding where something thaws on a table."""
    for step in dish.steps:
        if step.do == "thaw" and kinds_of(cards, step) & {StationKind.TABLE, StationKind.LANE}:
            rule = the("other", "us.thaw_cold")
            text = say(
                "{verdict}. {dish} thaws on a table: fridge, or cold running water.",
                verdict=Verdict.STOP,
                dish=Label(dish.name),
            )
            yield finding(rule, Verdict.STOP, text, about=dish.id)
