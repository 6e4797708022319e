"""A card in a few lines: weighed, cooked, a portion, and what is not known."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from core.facts import CardKind
from core.model import FoodClass, Label, Line, Qty, Verdict, say
from core.safety.cooking import cook_verdict
from core.safety.degrees import Degrees
from core.safety.food import food_of_class
from core.safety.heat_met import Heat
from core.trial.asking import fields_of
from core.trial.days import WEEKDAYS
from core.trial.dish import hottest_c, portion_of_test, weights_of
from core.trial.fields import NONE, UNKNOWN, Field, Kind
from core.trial.goods import goods_of
from core.trial.sense import number_of
from core.trial.series import series_of

FIRES: Mapping[str, Line] = {
    "smoker": say("smoker"), "grill": say("grill"), "oven": say("oven"), "ring": say("gas ring"),
}  # fmt: skip


def grams(weight_kg: float) -> Qty:
    """Return a weight as a bench reads it."""
    return Qty(round(weight_kg * 1000), "g") if weight_kg < 10 else Qty(round(weight_kg, 2), "kg")


def card_lines(values: Mapping[str, str], currency: str = "") -> tuple[Line, ...]:
    """Return a captured dish in at most four lines."""
    return (_weighed(values), _cooked(values), _served(values, currency), *_open(values))


def _weighed(values: Mapping[str, str]) -> Line:
    weights = weights_of(values)
    assert weights is not None
    return say(
        "{name}: {n}, {bought} bought, {trimmed} trimmed ({lost} lost), {served} served "
        "({left} yield).",
        name=Label(values["name"]),
        n=Qty(float(values["pieces"]), "pieces", 0),
        bought=grams(weights.bought),
        trimmed=grams(weights.trimmed),
        lost=Qty(round(100 * weights.trim, 1), "%"),
        served=grams(weights.served),
        left=Qty(round(100 * weights.cook_yield, 1), "%"),
    )


def _cooked(values: Mapping[str, str]) -> Line:
    pairs, _ = series_of(values["cores"])
    minutes, core = pairs[-1]
    line = say(
        "{thick} thick, {fire} {pit}: {start} to {core} in {time}",
        thick=Qty(number_of(values["thickness"]) or 0, "cm"),
        fire=FIRES[values["fire"]],
        pit=Qty(number_of(values["pit"]) or 0, "°C"),
        start=Qty(number_of(values["start"]) or 0, "°C"),
        core=Qty(core, "°C"),
        time=Qty(minutes, "min"),
    )
    sear, peak = values.get("sear", ""), values.get("peak", "")
    if sear not in {"", NONE, UNKNOWN}:
        lasts, heat = (float(x) for x in sear.split(":"))
        line = say("{before}; sear {time} at {heat}", before=line, time=Qty(lasts, "min"),
                   heat=Qty(heat, "°C"))  # fmt: skip
    if peak not in {"", NONE, UNKNOWN}:
        top, after = (float(x) for x in peak.split(":"))
        line = say("{before}; rest {time}, peak {core}", before=line, time=Qty(after, "min"),
                   core=Qty(top, "°C"))  # fmt: skip
    return say("{what}.", what=line)


def _served(values: Mapping[str, str], currency: str) -> Line:
    portion = portion_of_test(values)
    assert portion is not None
    line = say("A portion: {raw} raw = {cooked} served = {bought} bought", raw=grams(portion.raw),
               cooked=grams(portion.cooked), bought=grams(portion.bought))  # fmt: skip
    if portion.cost is not None:
        line = say("{before}, {cost}", before=line,
                   cost=Qty(round(portion.cost, 2), currency, 2))  # fmt: skip
    hold = number_of(values.get("hold", ""))
    if hold is not None:
        line = say("{before}. Holds {time} at {temp}", before=line, time=Qty(hold, "min"),
                   temp=Qty(63, "°C"))  # fmt: skip
    return say("{what}.", what=line)


def _open(values: Mapping[str, str]) -> tuple[Line, ...]:
    unknown = [f for f in fields_of(CardKind.DISH) if values.get(f.name) == UNKNOWN]
    return (say("Not known: {what}.", what=listed(unknown)),) if unknown else ()


def listed(fields: list[Field]) -> Line:
    """Return the titles of fields, one after the other."""
    line = fields[0].title
    for each in fields[1:]:
        line = say("{one}, {other}", one=line, other=each.title)
    return line


def value_line(each: Field, value: str, currency: str = "") -> Line | None:
    """Return a kept value as a cook reads it; None for words that need no echo."""
    if value in {NONE, UNKNOWN, "same"}:
        return None
    match each.kind:
        case Kind.MASS:
            return say("{value}", value=grams(number_of(value) or 0))
        case Kind.LENGTH | Kind.FIRE | Kind.CORE | Kind.MINUTES:
            number, unit = value.split()
            return say("{value}", value=Qty(float(number), "°C" if unit == "C" else unit))
        case Kind.COUNT:
            unit = "heads" if each.name == "heads" else "pieces"
            return say("{value}", value=Qty(float(value), unit, 0))
        case Kind.DAY:
            day = date.fromisoformat(value)
            return say("{weekday} {day}", weekday=WEEKDAYS[day.weekday()], day=Label(value))
        case Kind.WINDOW | Kind.PLACE:
            return say("{value}", value=Label(value))
        case Kind.PACE if value != "at once":
            return say("{value} guests a minute", value=Qty(float(value), ""))
        case Kind.SPLIT:
            return say("{value}", value=Label(value.replace("=;", ";").rstrip("=")
                                              .replace("=", " ").replace(";", ", ")))  # fmt: skip
        case Kind.PEAK:
            core, minutes = (float(x) for x in value.split(":"))
            return say("{core} after {time}", core=Qty(core, "°C"), time=Qty(minutes, "min"))
        case Kind.SEAR:
            minutes, heat = (float(x) for x in value.split(":"))
            return say("{time} at {heat}", time=Qty(minutes, "min"), heat=Qty(heat, "°C"))
        case Kind.SERIES:
            pairs, _ = series_of(value)
            last = pairs[-1]
            return say("{n}, {core} after {time}", n=Qty(len(pairs), "readings", 0),
                       core=Qty(last[1], "°C"), time=Qty(last[0], "min"))  # fmt: skip
        case Kind.GOODS:
            return _goods_line(value)
        case Kind.PORTION:
            return _portion_line(value)
        case Kind.PRICE:
            return say("{value} a kg", value=Qty(float(value), currency, 2))
        case _:
            return None


def _goods_line(value: str) -> Line:
    lines = [say("{qty} {name}", qty=_small(x.qty or 0, x.unit), name=Label(x.name))
             for x in goods_of(value)]  # fmt: skip
    line = lines[0]
    for each in lines[1:]:
        line = say("{one}, {other}", one=line, other=each)
    return line


def _small(qty: float, unit: str) -> Qty:
    if unit == "kg" and qty < 1:
        return Qty(round(qty * 1000, 1), "g")
    return Qty(round(qty * 1000, 1), "mL") if unit == "L" and qty < 1 else Qty(qty, unit)


def _portion_line(value: str) -> Line:
    amount, unit, *state = value.split()
    if unit == "pieces":
        return say("{value}", value=Qty(float(amount), "pieces"))
    if state == ["cooked"]:
        return say("{value} cooked", value=grams(float(amount)))
    return say("{value} raw", value=grams(float(amount)))


def caution(values: Mapping[str, str]) -> Line | None:
    """Return what the food rules say of the hottest core of the test; None where they clear it.

    Nothing here clears a dish: on the day its own readings are judged by the event's rules.
    """
    hottest = hottest_c(values)
    if hottest is None:
        return None
    if values.get("class", UNKNOWN) == UNKNOWN:
        return say("{verdict} if that is cooked: nobody said what food it is.",
                   verdict=Verdict.UNKNOWN)  # fmt: skip
    food = food_of_class(FoodClass(values["class"]), values["name"])
    finding = cook_verdict(food, Heat(Degrees(hottest)), None)
    return None if finding.verdict is Verdict.OK else finding.text
