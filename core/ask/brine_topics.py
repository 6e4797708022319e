"""Salt in water: which of the three percentages, a dry brine, a brine made stronger."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from core.ask.goods import brined_of, cures
from core.ask.said import Said, said
from core.ask.tell import SUM, THUMB, number, percent, span, volume, weight, whose
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Line, Number, Qty, say
from core.scaling.brine import brine_kg_per_l, most_that_dissolves
from core.scaling.ratios import (
    COVER_L_PER_KG,
    concentrate_for,
    salt_at_equilibrium_kg,
    salt_at_equilibrium_total_kg,
    salt_of_solution_kg,
    salt_of_water_kg,
    salt_to_add_kg,
    water_to_add_kg,
)
from core.tables.quantities import row, rows, source_of
from core.words import Token


class Of(StrEnum):
    """What a salt percentage is taken of."""

    WATER = "water"
    SOLUTION = "solution"
    ALL = "meat and water"


@dataclass(frozen=True, slots=True)
class BrineQuestion:
    """A strength, of what, for so much meat or water; L of water are kg of water."""

    strength: float
    of: Of
    meat_kg: float | None
    water_l: float | None
    unit: str
    cut: str | None
    gallons: str = ""
    usual: bool = False


@dataclass(frozen=True, slots=True)
class StrengthQuestion:
    """A brine that has one strength and should have another, of the solution.

    `whole` says whether the litres are what is wanted in the end; None if that was not said.
    """

    has: float
    wanted: float
    brine_l: float
    unit: str
    whole: bool | None


def _is_brine(line: Said, wet: bool) -> bool:
    return line.has("brine") or (line.has("salt") and (wet or line.has("water")))


def read_brine(tokens: Sequence[Token], text: str, context: AskContext) -> BrineQuestion | None:
    """Read 'salmuera 6% 25 kg pollo'; without a word for it, the percentage is of the water."""
    line = said(tokens, text, context)
    masses, water = line.amounts("mass"), line.only("volume")
    if cures(line) or line.has("dry_brine") or _dry_brine(line) or line.ratio() is not None:
        return None
    rate = next((m for m in masses if line.rate_per(m, "l", "litre", "liter", "litro")), None)
    strength = line.only("percent")
    share = rate.base if rate else (strength.base if strength else None)
    if not _is_brine(line, water is not None):
        return None
    usual = share is None and len(masses) == 1 and brined_of(line) in _BRINED_MEAT
    share = USUAL_STRENGTH if usual else share
    if share is None or (usual and not _plain_brine(line)):
        return None
    meats = [m for m in masses if m is not rate]
    if len(meats) > 1 or (not meats and water is None):
        return None
    unit = (water or meats[0]).unit
    return BrineQuestion(
        share,
        _of(line),
        meats[0].base if meats else None,
        water.base if water else None,
        unit,
        brined_of(line),
        line.gallons(),
        usual=usual,
    )


_BRINED_MEAT = frozenset(
    {"chicken thigh", "chicken leg", "whole bird", "pork collar", "pork loin", "lamb rump"}
)
"""Fish, shellfish and vegetables have strengths of their own, and are asked about."""

USUAL_STRENGTH = 0.06
"""Salt of the water for meat, where no strength is said; common practice."""


def _plain_brine(line: Said) -> bool:
    """Tell whether nothing but brine for some meat was asked, so that the usual strength does."""
    times = line.amounts("time") or line.bare() or line.people() is not None
    return not times and not line.has("now", "left", "how_long", "core", "hot", "chill", "box")


def _of(line: Said) -> Of:
    if line.says("equilibrium", "eq", "equilibrio", "meat and water", "carne y agua"):
        return Of.ALL
    if line.says("of solution", "solution", "finished", "solucion", "disolucion"):
        return Of.SOLUTION
    return Of.WATER


def answer_brine(question: BrineQuestion, _: AskContext) -> Answer:
    """Answer with water and salt, and say which percentage was taken."""
    water_l = question.water_l
    if water_l is None:
        water_l = (question.meat_kg or 0.0) * COVER_L_PER_KG
    salt_kg = _salt_kg(question, water_l)
    water, salt = volume(water_l, question.unit), weight(salt_kg, question.unit)
    lines = [say("{water} water + {salt} salt.", water=water, salt=salt)]
    lines.append(_convention(question, water_l))
    if question.of is Of.WATER and question.strength > most_that_dissolves(5) / (
        1 - most_that_dissolves(5)
    ):
        lines.append(say("So much salt does not dissolve in cold water."))
    else:
        lines.extend(_window(question.cut))
    sources = (SUM,) if question.water_l is not None else (SUM, THUMB)
    return Answer(
        tuple(lines),
        numbers=(number("water", water), number("salt", salt)),
        read_as=_brine_read_as(question),
        sources=sources,
    )


def _salt_kg(q: BrineQuestion, water_l: float) -> float:
    match q.of:
        case Of.WATER:
            return salt_of_water_kg(water_l, q.strength)
        case Of.SOLUTION:
            return salt_of_solution_kg(water_l, q.strength)
        case Of.ALL:
            return salt_at_equilibrium_kg(q.meat_kg or 0.0, water_l, q.strength)


def _brine_read_as(q: BrineQuestion) -> Line:
    reading = whose(_strength_of(q), q.gallons)
    if not q.usual:
        return reading
    return say("{reading}, the rule of thumb as no strength was said", reading=reading)


def _strength_of(q: BrineQuestion) -> Line:
    strength = percent(q.strength)
    match q.of:
        case Of.WATER:
            return say("{strength} of the water", strength=strength)
        case Of.SOLUTION:
            return say("{strength} of the finished solution", strength=strength)
        case Of.ALL:
            return say("{strength} of meat and water together", strength=strength)


def _convention(q: BrineQuestion, water_l: float) -> Line:
    """Return the line that says which percentage it is and what the other one would give."""
    if q.of is Of.ALL:
        whole = salt_at_equilibrium_total_kg(q.meat_kg or 0.0, water_l, q.strength)
        return say(
            "Read as {reading}. Salt counted in too: {other}.",
            reading=_brine_read_as(q),
            other=weight(whole, q.unit),
        )
    if q.of is Of.SOLUTION:
        return say(
            "Read as {reading}. Of the water it would be {other}.",
            reading=_brine_read_as(q),
            other=weight(salt_of_water_kg(water_l, q.strength), q.unit),
        )
    return say(
        "Read as {reading}, {grams} to the litre. Of the finished solution: {other}.",
        reading=_brine_read_as(q),
        grams=Qty(round(q.strength * 1000, 1), "g"),
        other=weight(salt_of_solution_kg(water_l, q.strength), q.unit),
    )


def _window(cut: str | None) -> tuple[Line, ...]:
    """Return how cold and how long, where the cut is known; the hard maximum with it."""
    if cut is None:
        return (say("Cold, 5 °C or below, before the meat goes in. Every brine has a maximum."),)
    found = next((r for r in rows("rules", "brine_window") if r["key"] == cut), None)
    if found is None:
        return (say("Cold, 5 °C or below, before the meat goes in. Every brine has a maximum."),)
    low, high = found["minutes"]
    unit, per = ("h", 60) if high >= 120 else ("min", 1)
    return (
        say("Cold, 5 °C or below, before the meat goes in."),
        say(
            "{cut}: out after {time}, never over {most}.",
            cut=cut,
            time=span(Qty(low / per, unit), Qty(high / per, unit)),
            most=Qty(found["never_over"] / per, unit),
        ),
    )


def read_strength(
    tokens: Sequence[Token], text: str, context: AskContext
) -> StrengthQuestion | None:
    """Read 'brine is 4% want 6% 20 L' and 'make 10 L of 5% from 25% brine'."""
    line = said(tokens, text, context)
    found, brine = line.amounts("percent"), line.only("volume")
    if (
        len(found) != 2
        or brine is None
        or cures(line)
        or not line.has("brine", "salt", "concentrate")
    ):
        return None
    first, second = found
    if line.says("from", "de un", "desde") and line.says("make", "hacer", "haz", "of"):
        first, second = second, first
    return StrengthQuestion(first.base, second.base, brine.base, brine.unit, _whole(line))


def _whole(line: Said) -> bool | None:
    """Return whether the litres are the total wanted, by the words around; None if unsaid."""
    if line.says("make", "hacer", "haz", "in all", "en total", "total", "final"):
        return True
    if line.says("is", "have", "got", "now", "tengo", "hay", "esta", "tiene", "ya"):
        return False
    return None


def answer_strength(question: StrengthQuestion, _: AskContext) -> Answer:
    """Answer with the salt or the water to add; where the litres are unclear, with both."""
    q = question
    if q.wanted >= q.has:
        return _stronger(q)
    if q.whole is None:
        there, whole = _thinner(q), _from_strong(q)
        return Answer(
            (there.lines[0], whole.lines[0]),
            read_as=_strength_read_as(q),
            question=say("Is that how much there is, or how much it should be in all?"),
            choices=(say("there is so much now"), say("so much in all")),
            sources=(SUM,),
        )
    return _from_strong(q) if q.whole else _thinner(q)


def _strength_read_as(q: StrengthQuestion) -> Line:
    return say(
        "{brine} brine from {has} to {wanted}, both of the solution",
        brine=volume(q.brine_l, q.unit),
        has=percent(q.has),
        wanted=percent(q.wanted),
    )


def _told(q: StrengthQuestion, line: Line, numbers: tuple[Number, ...]) -> Answer:
    rest = say("Read as {reading}. Stir, then measure again.", reading=_strength_read_as(q))
    return Answer((line, rest), numbers=numbers, read_as=_strength_read_as(q), sources=(SUM,))


def _stronger(q: StrengthQuestion) -> Answer:
    kg = q.brine_l * brine_kg_per_l(min(q.has, 0.22))
    salt = weight(salt_to_add_kg(kg, q.has, q.wanted), q.unit)
    return _told(q, say("Add {salt} salt.", salt=salt), (number("salt", salt),))


def _thinner(q: StrengthQuestion) -> Answer:
    kg = q.brine_l * brine_kg_per_l(min(q.has, 0.22))
    water = volume(water_to_add_kg(kg, q.has, q.wanted), q.unit)
    line = say("Add {water} water to the {brine}.", water=water, brine=volume(q.brine_l, q.unit))
    return _told(q, line, (number("water", water),))


def _from_strong(q: StrengthQuestion) -> Answer:
    """Return how much strong brine and water make the total, by weight of salt."""
    total_kg = q.brine_l * brine_kg_per_l(min(q.wanted, 0.22))
    strong_kg = concentrate_for(total_kg, q.has, q.wanted)
    strong = volume(strong_kg / brine_kg_per_l(min(q.has, 0.22)), q.unit)
    water = volume(total_kg - strong_kg, q.unit)
    line = say(
        "{strong} of the strong brine + {water} water make {brine}.",
        strong=strong,
        water=water,
        brine=volume(q.brine_l, q.unit),
    )
    return _told(q, line, (number("strong", strong), number("water", water)))


def _dry_brine(line: Said) -> bool:
    """Tell whether 'salmuera seca' was said: salt on the meat and no water."""
    return line.says("salmuera seca", "salmuera en seco")


def read_dry_brine(
    tokens: Sequence[Token], text: str, context: AskContext
) -> DryBrineQuestion | None:
    """Read 'dry salt 48 steaks 190 g 1.2 %' and 'dry brine 14 kg'."""
    line = said(tokens, text, context)
    dry = line.has("dry_brine") or line.says("salt dry", "salar en seco", "en seco")
    if not (dry or _dry_brine(line)):
        return None
    meat = line.only("mass")
    if meat is None:
        return None
    bare = [value for _, value in line.bare()]
    pieces = bare[0] if len(bare) == 1 and meat.base < 5 else 1.0
    rate = line.only("percent")
    return DryBrineQuestion(meat.base * pieces, meat.unit, rate.base if rate else None)


@dataclass(frozen=True, slots=True)
class DryBrineQuestion:
    """Salt straight on so much meat, perhaps at a rate of its own."""

    meat_kg: float
    unit: str
    rate: float | None


def answer_dry_brine(question: DryBrineQuestion, _: AskContext) -> Answer:
    """Answer with the salt by weight."""
    found = row("rules", "season", "dry brine")
    rate = question.rate if question.rate is not None else found["usual"] / 1000
    salt = weight(question.meat_kg * rate, question.unit)
    reading = say(
        "{rate} salt on {meat} of meat",
        rate=percent(rate),
        meat=weight(question.meat_kg, question.unit),
    )
    lines = (
        say("{salt} salt, weighed.", salt=salt),
        say(
            "Read as {reading}. 8-24 h at 5 °C or below, at least 1 h for each cm.", reading=reading
        ),
    )
    return Answer(
        lines,
        numbers=(number("salt", salt),),
        read_as=reading,
        sources=(source_of("rules", found),),
    )


TOPICS = (
    Topic("brine", Rank.EXACT, read_brine, answer_brine),
    Topic("stronger or weaker", Rank.EXACT, read_strength, answer_strength),
    Topic("dry brine", Rank.EXACT, read_dry_brine, answer_dry_brine),
)
