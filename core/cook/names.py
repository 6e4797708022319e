"""How jobs are spoken of: verbs as the crew says them, things by the names on the tape."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from core.model import Cards, Label, Line, StepRun, Task, Who, say

VERBS: Mapping[str, Line] = {
    "brine": say("BRINE IN"),
    "blanch": say("BLANCH"),
    "blend": say("BLEND"),
    "boil": say("BOIL"),
    "buy": say("BUY"),
    "carve": say("CARVE"),
    "char": say("CHAR"),
    "chill": say("CHILL"),
    "cut": say("CUT"),
    "dilute": say("DILUTE"),
    "drain": say("DRAIN"),
    "drive": say("DRIVE"),
    "dress": say("DRESS"),
    "dry": say("DRY"),
    "feed": say("FEED FIRE"),
    "fill": say("FILL"),
    "finish": say("FINISH"),
    "flip": say("FLIP"),
    "grill": say("GRILL"),
    "hang": say("HANG"),
    "hold": say("TO HOT BOX"),
    "light": say("LIGHT"),
    "load out": say("LOAD THE VAN"),
    "mix": say("MIX"),
    "move": say("MOVE"),
    "open": say("OPEN"),
    "pack up": say("PACK UP"),
    "peel": say("PEEL"),
    "plate": say("PLATE"),
    "prep": say("PREP"),
    "pull": say("PULL"),
    "reduce": say("REDUCE"),
    "rest": say("REST"),
    "rub": say("RUB"),
    "salt": say("SALT"),
    "score": say("SCORE"),
    "sear": say("SEAR"),
    "serve": say("SERVE"),
    "slice": say("SLICE"),
    "smoke": say("SMOKE"),
    "soak": say("SOAK"),
    "thaw": say("THAW"),
    "toast": say("TOAST"),
    "trim": say("TRIM"),
    "wash": say("WASH"),
}
"""Steps' verbs are data on the card; one that is not here is said as it is written there."""

STAGES: Mapping[str, Line] = {
    "waiting": say("not on yet"),
    "running": say("on already"),
    "over": say("done already"),
    "gone": say("binned"),
    "raw": say("still raw"),
}
"""Phases as they are spoken of."""


def verb_of(do: str) -> Line | Label:
    """Return the call's verb for a step's `do`."""
    return VERBS.get(do, Label(do.replace("_", " ").upper()))


def thing_of(item: StepRun | Task, cards: Cards | None) -> Label:
    """Return what a job is about, as the crew calls it.

    A load is called by its dish's name and its own; a task by its dish, else by its station.
    """
    if isinstance(item, StepRun):
        return Label(f"{dish_name(item.dish, cards)} {item.unit}".strip())
    if item.do in {"light", "feed", "open"} or item.dish is None:
        return Label(item.station or "")
    return Label(dish_name(item.dish, cards))


def job_name(item: StepRun | Task, cards: Cards | None) -> Line:
    """Return a job as verb and thing; the verb alone where it is about nothing."""
    thing = thing_of(item, cards)
    if not thing.text:
        return Line("{verb}", {"verb": verb_of(item.do)})
    return Line("{verb} {thing}", {"verb": verb_of(item.do), "thing": thing})


def listed(parts: Sequence[Line | Label | Who], most: int = 4) -> Line:
    """Return a few things with commas between them, and three dots for the rest."""
    shown = [f"part{n}" for n in range(min(len(parts), most))]
    text = ", ".join(f"{{{name}}}" for name in shown) + (", …" if len(parts) > most else "")
    return Line(text, dict(zip(shown, parts, strict=False)))


def dish_name(dish: str, cards: Cards | None) -> str:
    """Return the first word or two of a dish's name: what is on the tape."""
    if cards is None:
        return dish
    card = next((d for d in cards.dishes if d.id == dish), None)
    return card.name if card and len(card.name) <= 18 else dish.replace("-", " ")
