"""Cups into grams, pounds into kilograms, gallons of two kinds, °F into °C."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from core.ask.said import CM_PER, IMPERIAL, KG_PER, L_PER, Amount, Said, said
from core.ask.tell import SUM, figures, number, weight, weights
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Line, Number, Profile, Qty, Source, say
from core.scaling.expand import menu_needs
from core.scaling.measures import Food, Weighed, food_in, rub_kg, salt_range, weighed
from core.words import Quantity, Token

_IMPERIAL_UNITS = {f"imperial {unit}": unit for unit in IMPERIAL}
_HOUSEHOLD = frozenset({"cup", "tbsp", "tsp", "fl oz", "pt", "qt", "gal", *_IMPERIAL_UNITS})
_STATES = ("packed", "unpacked", "chopped", "shredded", "sliced", "diced", "grated", "whole")


@dataclass(frozen=True, slots=True)
class CupsQuestion:
    """A household measure of a food, to be weighed."""

    litres: float
    value: float
    unit: str
    food: Food | None
    rub: bool
    state: str


def read_cups(tokens: Sequence[Token], text: str, context: AskContext) -> CupsQuestion | None:
    """Read '3 cups rub in g', '2 tbsp salt', '1 cup brown sugar packed'."""
    line = said(tokens, text, context)
    measures = [a for a in line.amounts("volume") if a.unit in _HOUSEHOLD or _to_weight(line)]
    if not line.amounts("volume") and line.has("cup") and not line.bare():
        measures = [Amount(L_PER["cup"], 1.0, "cup", 0)]  # 'grams in a cup of sugar'
    if len(measures) != 1 or line.amounts("mass") or line.people() is not None:
        return None
    if line.ratio() is not None or line.amounts("percent"):
        return None
    if _to_volume(line):
        return None
    rub, food = line.has("rub"), food_in(line.plain)
    if not rub and food is None:
        return None
    state = next((word for word in _STATES if line.says(word)), "")
    found = measures[0]
    return CupsQuestion(found.base, found.value, found.unit, food, rub, state)


def _to_volume(line: Said) -> bool:
    """Tell whether another measure is asked for, not a weight: '1/2 cup oil in ml'."""
    words = line.plain.split()
    return any(
        before in {"in", "to", "en"} and _unit(word) in L_PER for before, word in pairwise(words)
    )


def _to_weight(line: Said) -> bool:
    return line.says(
        "in g", "in kg", "to g", "to kg", "en g", "en kg", "a g", "a kg", "weigh", "pesa"
    )


def answer_cups(question: CupsQuestion, context: AskContext) -> Answer:
    """Answer with grams, the spread, and 'weigh it'; a salt with its whole range."""
    reading = say(
        "{measure} of {what}",
        measure=_measure(question),
        what="rub" if question.rub or question.food is None else question.food.name,
    )
    if question.rub or question.food is None:
        return _told(question, rub_kg(question.litres), reading, context)
    if question.food.kind == "salt":
        return _salt(question, reading)
    return _told(
        question, weighed(question.food, question.litres, question.state), reading, context
    )


def _measure(q: CupsQuestion) -> Line:
    if q.unit in _IMPERIAL_UNITS:
        unit = _IMPERIAL_UNITS[q.unit]
        return say("{value} imperial {unit}", value=Qty(q.value, ""), unit=unit)
    if q.unit in _HOUSEHOLD:
        return say("{value} US {unit}", value=Qty(q.value, ""), unit=q.unit)
    return say("{value}", value=Qty(q.value, q.unit))


def _told(q: CupsQuestion, found: Weighed, reading: Line, context: AskContext) -> Answer:
    grams = weight(found.kg)
    each = Qty(figures(found.measure.grams), "g")
    lines = [
        say(
            "About {grams} ({measure}, {each} a {printed}).",
            grams=grams,
            measure=_measure(q),
            each=each,
            printed=found.measure.unit,
        )
    ]
    if found.food.kind != "liquid":
        lines.append(say("{span}: weigh it.", span=weights(found.low_kg, found.high_kg)))
    needed = _needed_kg(q, context)
    numbers = [Number("weight", *_parts(grams), *_ends(found, grams.unit))]
    if needed:
        lines.append(say("This event needs {need}.", need=weight(needed)))
        numbers.append(number("needed", weight(needed)))
    return Answer(
        tuple(lines), numbers=tuple(numbers), read_as=reading, sources=(found.food.source,)
    )


def _parts(qty: Qty) -> tuple[float, str]:
    return qty.value, qty.unit


def _ends(found: Weighed, unit: str) -> tuple[float, float]:
    per = KG_PER[unit]
    return figures(found.low_kg / per), figures(found.high_kg / per)


def _needed_kg(q: CupsQuestion, context: AskContext) -> float:
    """Return how much of it the event's cards take, kg; only for rub, where cups are usual."""
    if context.cards is None or context.to_feed is None or not q.rub:
        return 0.0
    needs = (need for _, need in menu_needs(context.cards, context.to_feed))
    return sum(n.qty for n in needs if n.unit == "kg" and _is_rub(n.label))


def _is_rub(name: str) -> bool:
    words = name.casefold().split()
    return "rub" in words or "adobo" in words


def _salt(q: CupsQuestion, reading: Line) -> Answer:
    low, high = salt_range(q.litres)
    span = weights(low, high)
    source = q.food.source if q.food else SUM
    lines = (
        say("{span}: a flaky salt weighs half of a fine one. Weigh salt.", span=span),
        say("Read as {reading}.", reading=reading),
    )
    return Answer(lines, numbers=(number("weight", span),), read_as=reading, sources=(source,))


@dataclass(frozen=True, slots=True)
class ConvertQuestion:
    """One amount into another unit of the same kind; `kind` mass, volume, length or degrees."""

    value: float
    unit: str
    wanted: str
    kind: str
    imperial: bool
    said: bool = False


_ALIASES = {
    "kilos": "kg",
    "kilogramos": "kg",
    "gramos": "g",
    "grams": "g",
    "litros": "L",
    "litres": "L",
    "liters": "L",
    "l": "L",
    "ml": "mL",
    "pounds": "lb",
    "libras": "lb",
    "lbs": "lb",
    "ounces": "oz",
    "onzas": "oz",
    "gallons": "gal",
    "galones": "gal",
    "quarts": "qt",
    "pints": "pt",
    "cups": "cup",
    "tazas": "cup",
    "inches": "in",
    "pulgadas": "in",
    "c": "°C",
    "celsius": "°C",
    "f": "°F",
    "fahrenheit": "°F",
}
_DEGREES = frozenset({"°C", "°F"})


def read_convert(tokens: Sequence[Token], text: str, context: AskContext) -> ConvertQuestion | None:
    """Read '2 gal in L', '165F in C', '3 lb to kg'; with no unit wanted, the metric one."""
    line = said(tokens, text, context)
    found = [t for t in line.tokens if isinstance(t, Quantity)] or _imperial(line)
    if len(found) != 1 or line.ratio() is not None:
        return None
    if line.bare() and not line.says("imperial"):
        return None
    kind = _kind(found[0].unit)
    if kind is None:
        return None
    words = line.plain.split()
    wanted = next((u for w in reversed(words) if (u := _unit(w)) and _kind(u) == kind), "")
    asked = line.says("in", "to", "en", "a", "is", "what is", "convert", "cuanto es", "cuantos")
    if not wanted or wanted == found[0].unit:
        asked = asked or found[0].unit == "st"
        if not asked or found[0].unit in {"kg", "g", "L", "mL", "cm"} or len(words) > 4:
            return None
        wanted = {"mass": "kg", "volume": "L", "length": "cm"}.get(
            kind, "°C" if found[0].unit == "°F" else "°F"
        )
    imperial = line.says("imperial", "uk") or context.rules in {Profile.UK, Profile.SCOTLAND}
    told = line.says("imperial", "uk", "us")
    return ConvertQuestion(found[0].value, found[0].unit, wanted, kind, imperial, told)


def _imperial(line: Said) -> list[Quantity]:
    """Return '2 imperial gal', where the unit does not follow its number."""
    bare, words = line.bare(), line.plain.split()
    unit = next((u for w in words if (u := _unit(w)) in IMPERIAL), "")
    if not line.says("imperial") or len(bare) != 1 or not unit:
        return []
    return [Quantity(bare[0][1], unit, "")]


def _unit(word: str) -> str:
    known = {*KG_PER, *L_PER, *CM_PER} - {"in", "m"}
    return _ALIASES.get(word, word if word in known else "")


def _kind(unit: str) -> str | None:
    kinds = (("mass", KG_PER), ("volume", L_PER), ("length", CM_PER))
    if unit in _DEGREES:
        return "degrees"
    return next((kind for kind, table in kinds if unit in table), None)


def answer_convert(question: ConvertQuestion, context: AskContext) -> Answer:
    """Answer with the converted amount; a gallon says of which country it is."""
    q = question
    if q.kind == "degrees":
        return _degrees(q)
    value = Qty(figures(_converted(q), 4), q.wanted)
    was = Qty(q.value, q.unit)
    doubtful = {q.unit, q.wanted} & IMPERIAL.keys()
    system = "imperial" if q.imperial else "US"
    if not doubtful:
        reading = say("{was} in {unit}", was=was, unit=q.wanted)
        return Answer(
            (say("{value}.", value=value),),
            numbers=(number("value", value),),
            read_as=reading,
            sources=(_EXACT,),
        )
    other = Qty(figures(_converted(_swapped(q)), 4), q.wanted)
    reading = say("{was} ({system}) in {unit}", was=was, system=system, unit=q.wanted)
    line = say("{value} ({system}).", value=value, system=system)
    rest = say("The other gallon, pint or ounce would be {other}.", other=other)
    unclear = context.rules is None and not q.said
    return Answer(
        (line, rest),
        numbers=(number("value", value),),
        read_as=reading,
        question=say("US or imperial?") if unclear else None,
        choices=(say("US"), say("imperial")) if unclear else (),
        sources=(_EXACT,),
    )


_EXACT = Source("NIST-HB44", "NIST Handbook 44, Appendix C, units of measurement", "", "C")


def _converted(q: ConvertQuestion) -> float:
    tables = {"mass": KG_PER, "volume": L_PER, "length": CM_PER}
    table = dict(tables[q.kind])
    if q.imperial and q.kind == "volume":
        table |= IMPERIAL
    return q.value * table[q.unit] / table[q.wanted]


def _swapped(q: ConvertQuestion) -> ConvertQuestion:
    return ConvertQuestion(q.value, q.unit, q.wanted, q.kind, not q.imperial)


def _degrees(q: ConvertQuestion) -> Answer:
    to_c = q.unit == "°F"
    value = (q.value - 32) / 1.8 if to_c else q.value * 1.8 + 32
    got = Qty(round(value, 1), "°C" if to_c else "°F")
    reading = say("{was} in {unit}", was=Qty(q.value, q.unit), unit=got.unit)
    return Answer(
        (say("{got}.", got=got),),
        numbers=(number("value", got),),
        read_as=reading,
        sources=(_EXACT,),
    )


TOPICS = (
    Topic("cups", Rank.LOOSE, read_cups, answer_cups),
    Topic("convert", Rank.LOOSE, read_convert, answer_convert),
)
