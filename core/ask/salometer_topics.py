"""Salt by the salometer: degrees into a percentage, and into salt for so much water."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.ask.said import Said, said
from core.ask.tell import figures, number, percent, volume, weight
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Number, Qty, say
from core.scaling.brine import brine_kg_per_l, strength_at
from core.scaling.ratios import salt_of_solution_kg
from core.tables.quantities import rows, source_of
from core.words import Quantity, Token


@dataclass(frozen=True, slots=True)
class DegreesQuestion:
    """So many salometer degrees in so much water."""

    degrees: float
    water_l: float | None
    unit: str


def read_degrees(tokens: Sequence[Token], text: str, context: AskContext) -> DegreesQuestion | None:
    """Read 'brine 40 salometer 20 L'."""
    line = said(tokens, text, context)
    if not line.says(*_METER, "sal", "sals") or line.only("percent"):
        return None
    water, bare = line.only("volume"), line.bare()
    degrees = bare[0][1] if len(bare) == 1 else _degrees_typed(line)
    if degrees is None or (water is None and not line.says(*_METER)):
        return None
    if water is None:
        return DegreesQuestion(degrees, None, "L")
    return DegreesQuestion(degrees, water.base, water.unit)


_METER = ("salometer", "salometro", "salinometer", "salinometro")


def _degrees_typed(line: Said) -> float | None:
    found = [t.value for t in line.tokens if isinstance(t, Quantity) and t.unit == "°"]
    return found[0] if len(found) == 1 else None


def answer_degrees(question: DegreesQuestion, _: AskContext) -> Answer:
    """Answer with the salt for the water, and the strength the degrees stand for."""
    if question.water_l is None:
        return _strength_alone(question.degrees)
    strength = strength_at(question.degrees)
    salt = weight(salt_of_solution_kg(question.water_l, strength), question.unit)
    table = rows("salometer", "scale")[0]
    lines = (
        say(
            "{salt} salt in {water} water.",
            salt=salt,
            water=volume(question.water_l, question.unit),
        ),
        say(
            "{degrees} salometer degrees are {strength} salt by weight.",
            degrees=Qty(question.degrees, ""),
            strength=percent(strength),
        ),
    )
    return Answer(
        lines,
        numbers=(number("salt", salt), number("strength", percent(strength))),
        read_as=say(
            "{degrees} degrees of the salometer, so much water",
            degrees=Qty(question.degrees, ""),
        ),
        sources=(source_of("salometer", table),),
    )


def _strength_alone(degrees: float) -> Answer:
    """Return what the degrees stand for: the percentage, and the weight of a litre."""
    strength = strength_at(degrees)
    salt = Qty(figures(strength * 1000 / (1 - strength)), "g")
    lines = [
        say(
            "{strength} salt by weight: {salt} to each litre of water.",
            strength=percent(strength),
            salt=salt,
        )
    ]
    numbers = [number("strength", percent(strength)), Number("salt_per_litre", salt.value, "g/L")]
    if strength <= DENSITY_TO:
        kilos = Qty(figures(brine_kg_per_l(strength), 4), "kg")
        lines.append(say("A litre of it weighs {kg} at 20 °C.", kg=kilos))
        numbers.append(Number("weight_of_a_litre", kilos.value, "kg"))
    reading = say("{degrees} degrees of the salometer", degrees=Qty(degrees, ""))
    lines.append(say("Read as {reading}.", reading=reading))
    table = rows("salometer", "scale")[0]
    return Answer(
        tuple(lines),
        numbers=tuple(numbers),
        read_as=reading,
        sources=(source_of("salometer", table),),
    )


DENSITY_TO = 0.22
"""The printed densities end at 22 %."""


TOPICS = (Topic("salometer", Rank.EXACT, read_degrees, answer_degrees),)
