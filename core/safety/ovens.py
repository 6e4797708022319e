"""A dry pit cooler than the oven rule takes the low rows of the roast table away."""

from __future__ import annotations

from core.model import Finding, Verdict, say
from core.safety.degrees import Degrees, Limit
from core.safety.food import Cut, Food
from core.safety.heat_met import Cooked
from core.safety.rules import Rule, finding
from core.tables import table


def oven_rule() -> Rule:
    """Return the oven half of the roast rule."""
    part = table("food_safety_meat")["ovens"]
    return Rule("us.B.oven", None, part, str(part["source"]), "", str(part["status"]))


def oven_finding(
    food: Food,
    heat: Cooked,
    pit: Degrees | None,
    weight_kg: float | None = None,
    *,
    humid: bool = False,
    about: str = "",
) -> Finding | None:
    """Return NOT YET where a roast rests on a low row out of a pit the oven rule does not allow.

    Parameters
    ----------
    food, heat
        The roast and its core.
    pit
        The pit's temperature; None is not known and then nothing is said here.
    weight_kg
        Under 10 lb a hotter dry oven is asked for; None is taken as small.
    humid
        Over 90 % humidity for an hour, or a sealed bag: then the pit may be cool.
    """
    if pit is None or humid or Cut.ROAST not in food.cuts:
        return None
    part = table("food_safety_meat")["ovens"]
    if Limit(70.0, 158).reached(heat.core):
        return None
    large = weight_kg is not None and weight_kg >= float(part["large_kg"])
    dry = next(row for row in part["rows"] if row["oven"] == "dry")
    key = "large_min" if large else "under_large_min"
    least = Limit(float(dry[f"{key}_c"]), float(dry[f"{key}_f"]))
    if least.reached(pit):
        return None
    text = say(
        "{verdict}. Pit {pit}: a dry pit under {least} takes the low rows away. Go on to {limit}.",
        verdict=Verdict.NOT_YET,
        pit=pit.words(),
        least=least.words(pit),
        limit=Limit(70.0, 158).words(heat.core),
    )
    return finding(oven_rule(), Verdict.NOT_YET, text, about=about)
