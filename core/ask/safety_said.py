"""What a safety question says: temperatures with what they are of, spans, rule book, guests."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from core.ask.names import matching
from core.ask.said import Said
from core.ask.topic import AskContext
from core.model import Answer, Dish, Finding, Line, Number, Profile, Qty
from core.safety.degrees import Degrees, core_reading, of_f
from core.safety.food import Cut, Food, Kind, State, food_named, food_of_dish, plain
from core.safety.pink import Guests
from core.safety.rules import sources_of
from core.words import Delta, Fraction, Num, Quantity, Range, Ratio, Size, Time, Times, Word

NO_CLOCK = datetime(2000, 1, 1, 12, tzinfo=UTC)
"""Stands in for the present where nobody said what time it is; never shown."""


def phrases(text: str) -> tuple[str, ...]:
    """Return phrases typed with commas between them.

    Examples
    --------
    >>> phrases("left out, been out")
    ('left out', 'been out')
    """
    return tuple(phrase.strip() for phrase in text.split(","))


@dataclass(frozen=True, slots=True)
class Temp:
    """A temperature in a line: its place among the tokens, and whether its unit was typed."""

    at: int
    read: Degrees
    unit: bool


_NEAR: Mapping[str, frozenset[str]] = {
    "core": frozenset({"core", "internal", "inside", "corazon", "interior", "nucleo"}),
    "pit": frozenset({"pit", "smoker", "oven", "ahumador", "horno", "chamber"}),
    "air": frozenset(
        {"air", "ambient", "outside", "aire", "ambiente", "its", "hace", "weather", "shade",
         "afuera", "sombra"}
    ),
    "surface": frozenset({"faces", "sides", "surface", "caras", "superficie"}),
    "warmest": frozenset({"warmest", "part", "caliente"}),
}  # fmt: skip


def word_at(line: Said, at: int) -> str:
    """Return the folded word of a token; '' where it is none."""
    token = line.tokens[at] if 0 <= at < len(line.tokens) else None
    return token.text.casefold() if isinstance(token, Word) else ""


def temps(line: Said, *, bare: tuple[float, float] | None = None) -> tuple[Temp, ...]:
    """Return the temperatures of a line, in order.

    A bare number counts only between `bare`; above 105 it was read in °F, as nothing wet is hotter
    in °C. A lone '°' is read like a bare number.
    """
    found = []
    for at, token in enumerate(line.tokens):
        read = _temp(token, line, at, bare)
        if read is not None:
            found.append(read)
    return tuple(_same_scale(found, line))


def _temp(token: object, line: Said, at: int, bare: tuple[float, float] | None) -> Temp | None:
    match token:
        case Quantity(unit="°C", value=value):
            return Temp(at, Degrees(value), unit=True)
        case Quantity(unit="°F", value=value):
            return Temp(at, of_f(value), unit=True)
        case Quantity(unit="°", value=value):
            return Temp(at, _bare(value), unit=True)
        case Num(value=value) if bare and bare[0] <= value <= bare[1] and _counts(line, at):
            return Temp(at, _bare(value), unit=False)
        case _:
            return None


def _bare(value: float) -> Degrees:
    return of_f(value) if value > 105 else Degrees(value)


_COUNTED = frozenset(
    phrases(
        "people, heads, portions, plates, pieces, children, load, batch, rack, tray, tub, probe, "
        "lane, case, pack, table, box, grill, slices"
    )
)


def _counts(line: Said, at: int) -> bool:
    """Say whether a bare number may be a temperature: not a count of something."""
    after = line.tokens[at + 1] if at + 1 < len(line.tokens) else None
    if isinstance(after, Word) and after.text.casefold() == "saco":
        return True  # 'lo saco', not a sack
    return not (isinstance(after, Word) and after.canonical in _COUNTED)


def _same_scale(found: list[Temp], line: Said) -> list[Temp]:
    """Return bare numbers on the scale of the others: '135 to 70 F' are both °F."""
    del line
    said = {t.read.fahrenheit for t in found if t.unit}
    if said != {True}:
        return found
    return [t if t.unit or t.read.fahrenheit else replace(t, read=of_f(t.read.c)) for t in found]


_NUMBERS = (Num, Quantity, Range, Ratio, Size, Fraction, Delta, Times)
_CLAUSE = re.compile(r"\d-\d{3}\.\d+")


def all_read(line: Said, found: Sequence[Temp], spans: Sequence[float] = (), more: int = 0) -> bool:
    """Say whether every number of a line is accounted for; what is not read is not ruled on.

    `more` counts numbers read otherwise; the number of a clause ('3-401.11') and of a counted
    thing ('2 probes', 'box 2') does not matter.
    """
    seen = {temp.at for temp in found}
    rest = [
        at
        for at, token in enumerate(line.tokens)
        if isinstance(token, _NUMBERS) and at not in seen and not _names_a_thing(line, at)
    ]
    clause = _CLAUSE.search(line.text)
    if clause is not None:
        rest = [at for at in rest if str(getattr(line.tokens[at], "text", "")) not in clause[0]]
    timed = sum(1 for at in rest if _is_span(line.tokens[at]))
    return len(rest) - timed <= more and timed <= len(spans)


def _is_span(token: object) -> bool:
    return isinstance(token, Quantity) and token.unit in {"min", "h", "s", "day"}


def _names_a_thing(line: Said, at: int) -> bool:
    before = line.tokens[at - 1] if at else None
    token = line.tokens[at]
    if not isinstance(token, Num):
        return False
    return not _counts(line, at) or (
        isinstance(before, Word) and before.canonical in _COUNTED and token.value < 20
    )


def place_of(line: Said, temp: Temp) -> str:
    """Return what a temperature is of by a word next to it: core, pit, air…; '' if unsaid."""
    for step in (1, 2, 3):
        for at in (temp.at - step, temp.at + step):
            if _another_number(line, temp.at, at):
                continue
            for place, words in _NEAR.items():
                if word_at(line, at) in words:
                    return place
    return ""


def _another_number(line: Said, here: int, there: int) -> bool:
    low, high = sorted((here, there))
    between = line.tokens[low + 1 : high]
    return any(isinstance(t, Num | Quantity) for t in between)


_DENIALS = frozenset(
    phrases("no, not, never, without, un, isnt, wasnt, hasnt, sin, nunca, ni, jamas")
)


def affirms(line: Said, *concepts: str) -> bool:
    """Say whether a concept is said and not denied: 'boiled', but not 'no boil', 'sin hervir'."""
    for at, token in enumerate(line.tokens):
        if isinstance(token, Word) and token.canonical in concepts:
            before = {plain(word_at(line, at - step)).replace("'", "") for step in (1, 2, 3)}
            if not before & _DENIALS:
                return True
    return False


def told_so(line: Said, *said: str) -> bool:
    """Say whether one of these folded phrases is said and not denied just before."""
    for phrase in said:
        start = line.plain.find(f" {phrase} ")
        if start >= 0 and not set(line.plain[:start].split()[-3:]) & _DENIALS:
            return True
    return False


def spans_min(line: Said) -> tuple[float, ...]:
    """Return the spans of time of a line, min: '3h', '17 s', and '2 h' read as a time of day."""
    found = []
    for token in line.tokens:
        match token:
            case Quantity(unit="min", value=value):
                found.append(value)
            case Quantity(unit="h", value=value):
                found.append(value * 60)
            case Quantity(unit="s", value=value):
                found.append(value / 60)
            case Quantity(unit="day", value=value):
                found.append(value * 1440)
            case Time(hour=hour, text=text) if re.fullmatch(r"\d+ ?h(ours?|oras?|rs?)?", text):
                found.append(hour * 60.0)
            case _:
                pass
    return tuple(found)


# ------------------------------------------------------------------ rule book, guests, food

_BOOKS: Sequence[tuple[tuple[str, ...], Profile]] = (
    (("consumer rule", "consumer rules", "us consumer", "consumer"), Profile.US_CONSUMER),
    (("australia", "australian", "fsanz"), Profile.AU),
    (("new zealand", "nueva zelanda"), Profile.NZ),
    (("scotland", "scottish", "escocia"), Profile.SCOTLAND),
    (("uk rule", "uk rules", "uk", "england", "inglaterra", "reino unido"), Profile.UK),
    (("canada", "canadian"), Profile.CA),
    (("spain", "spanish rules", "espana"), Profile.ES),
    (("food code", "us rules", "us food", "usa"), Profile.US),
)


def rules_of(line: Said, context: AskContext) -> Profile | None:
    """Return the rule book asked for or in force; else one named in the line."""
    if context.rules is not None:
        return context.rules
    return next((book for names, book in _BOOKS if line.says(*names)), None)


_WEAK = phrases(
    "kids, children, elderly, old people, pregnant, hospital, nursing, care home, ninos, "
    "ancianos, mayores, embarazada, embarazadas, residencia, vulnerable, susceptible "
    "population, susceptible"
)
_PUBLIC = ("general public", "healthy adults", "publico general", "adultos sanos")
_PINK = phrases(
    "pink, rare, medium, undercooked, rosa, rosado, rosada, poco hecho, poco hecha, al punto, blue"
)
_APPROVED = re.compile(r"(?:approved by|ok d by|oked by|ok by|aprobad[oa] por) (\w+)")


def guests_of(line: Said, context: AskContext) -> Guests:
    """Return what the line and the event say of the guests and who answers for pink meat."""
    event = context.cards.event if context.cards else None
    vulnerable: bool | None = None
    if line.says(*_WEAK) or (event and any(guest.vulnerable for guest in event.guests)):
        vulnerable = not line.says("not highly susceptible", "no vulnerable")
    elif told_so(line, *_PUBLIC):
        vulnerable = False
    named = _APPROVED.search(line.plain)
    return Guests(vulnerable, named.group(1) if named else None, line.says(*_PINK))


_LABELLED = phrases("labelled, labeled, etiquetado, etiquetada, whole muscle")


def has_food(line: Said) -> bool:
    """Say whether the line names an animal or plant by kind."""
    food = food_named(line.text)
    return len(food.kinds) < len(Kind)


def food_of(line: Said, context: AskContext) -> Food:
    """Return the food a line is about: by a dish's card where one is named, else by its words.

    What nobody says is not there: a food not called stuffed is read as not stuffed, and an intact
    one not called a roast as a piece. Injected or minced is not ruled out by silence.
    """
    said_food = food_named(line.text)
    card = dish_of(line, context)
    on_card = food_of_dish(card) if card is not None else None
    if on_card is not None and on_card.kinds & said_food.kinds:
        said_food = on_card
    return _usual(
        replace(said_food, labelled=said_food.labelled or told_so(line, *_LABELLED)), line
    )


def _usual(food: Food, line: Said) -> Food:
    states = food.states
    if states == frozenset(State):
        states = states - {State.STUFFED}
    if food.kinds <= {Kind.FISH, Kind.PLANT} and states > {State.INTACT}:
        states = frozenset({State.INTACT})
    if food.kinds == {Kind.EGG}:
        states = frozenset({State.INTACT})
    cuts = food.cuts
    if cuts == frozenset(Cut) and states == {State.INTACT} and Kind.POULTRY not in food.kinds:
        cuts = frozenset({Cut.PIECE, Cut.STEAK})
    if food.kinds == {Kind.BEEF} and Cut.STEAK in cuts and food.labelled:
        states, cuts = frozenset({State.INTACT}), frozenset({Cut.STEAK})
    to_order = food.to_order
    if line.says(
        "to order", "al momento", "broken to order", "served at once", "immediate service"
    ):
        to_order = frozenset({True})
    return replace(food, states=states, cuts=cuts, to_order=to_order, fat_pct=_fat(line, food))


def _fat(line: Said, food: Food) -> float | None:
    for at, token in enumerate(line.tokens):
        beside = {word_at(line, at + step) for step in (1, 2, -1)}
        if isinstance(token, Quantity) and token.unit == "%" and beside & {"fat", "grasa"}:
            return token.value
    return food.fat_pct


def dish_of(line: Said, context: AskContext) -> Dish | None:
    """Return the one dish of the cards a line names; None for none or several."""
    dishes = context.cards.dishes if context.cards else ()
    names = matching(line, (dish.name for dish in dishes))
    return next((d for d in dishes if d.name == names[0]), None) if len(names) == 1 else None


# ------------------------------------------------------------------ answers


def told(
    found: Finding,
    *more: Line,
    numbers: tuple[Number, ...] = (),
    read_as: Line | None = None,
    question: Line | None = None,
    choices: tuple[Line, ...] = (),
) -> Answer:
    """Return a finding as an answer."""
    return Answer(
        (found.text, *more),
        found.verdict,
        numbers=numbers,
        read_as=read_as,
        question=question,
        choices=choices,
        sources=sources_of((found,)),
    )


def number(name: str, qty: Qty) -> Number:
    """Return a quantity for machines."""
    return Number(name, qty.value, qty.unit)


def as_core(value: float, *, fahrenheit: bool | None) -> Degrees:
    """Return a core reading of a line, checked for what can be."""
    return core_reading(value, fahrenheit=fahrenheit)
