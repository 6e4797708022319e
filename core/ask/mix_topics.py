"""Two things to a strength between them, and curing salt with its hard legal limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from core.ask.goods import cures
from core.ask.said import Said, said
from core.ask.tell import SUM, figures, number, percent, weight
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Line, Number, Qty, Verdict, say
from core.scaling.cures import (
    Product,
    dry_cure_kg,
    dry_ppm,
    immersion_ppm,
    limit_of,
    over_limit,
    pumped_ppm,
)
from core.scaling.ratios import pearson_parts, shares
from core.words import Token


@dataclass(frozen=True, slots=True)
class SquareQuestion:
    """Two strengths, the wanted one, and perhaps a total, kg."""

    a: float
    b: float
    wanted: float
    total_kg: float | None
    unit: str


def read_square(tokens: Sequence[Token], text: str, context: AskContext) -> SquareQuestion | None:
    """Read '30% and 12% fat to 20%, 25 lb'."""
    line = said(tokens, text, context)
    found = line.amounts("percent")
    if len(found) != 3 or cures(line):
        return None
    total = line.only("mass") or line.only("volume")
    a, b, wanted = (x.base for x in found)
    unit = total.unit if total else "kg"
    return SquareQuestion(a, b, wanted, total.base if total else None, unit)


def answer_square(question: SquareQuestion, _: AskContext) -> Answer:
    """Answer with parts, and with weights where a total was said."""
    parts = pearson_parts(question.a * 100, question.b * 100, question.wanted * 100)
    reading = say(
        "{a} and {b} mixed to {wanted}",
        a=percent(question.a),
        b=percent(question.b),
        wanted=percent(question.wanted),
    )
    first, second = (Qty(figures(p), "") for p in parts)
    lines = [
        say(
            "{first} parts of the {a} to {second} parts of the {b}.",
            first=first,
            a=percent(question.a),
            second=second,
            b=percent(question.b),
        )
    ]
    numbers = [Number("parts_a", first.value, "count"), Number("parts_b", second.value, "count")]
    if question.total_kg is not None:
        a_kg, b_kg = (weight(x, question.unit) for x in shares(question.total_kg, parts))
        lines.insert(0, say("{first} + {second}.", first=a_kg, second=b_kg))
        numbers = [number("a", a_kg), number("b", b_kg), *numbers]
    lines.append(say("Read as {reading}.", reading=reading))
    return Answer(tuple(lines), numbers=tuple(numbers), read_as=reading, sources=(SUM,))


@dataclass(frozen=True, slots=True)
class CureQuestion:
    """Curing salt on meat; `nitrite` is its strength off the label, None where it was not said."""

    cure_kg: float
    meat_kg: float
    nitrite: float | None
    product: Product
    pickle_kg: float | None
    pump: float | None
    sure: bool = True


def read_cure(tokens: Sequence[Token], text: str, context: AskContext) -> CureQuestion | None:
    """Read 'cure 12g 6.25% 5kg belly dry': the smaller weight is the curing salt."""
    line = said(tokens, text, context)
    if not cures(line):
        return None
    masses = line.amounts("mass")
    if len(masses) < 2:
        return None
    weights = sorted(m.base for m in masses)
    percents = [p.base for p in line.amounts("percent")]
    pump = next((p for p in percents if p > 0.065), None)
    nitrite = next((p for p in percents if p <= 0.065), None)
    pickle = weights[1] if len(weights) > 2 else None
    product, sure = _product(line)
    return CureQuestion(weights[0], weights[-1], nitrite, product, pickle, pump, sure)


def _product(line: Said) -> tuple[Product, bool]:
    """Return the product, and whether that was said; unsaid, the strictest it could be."""
    bacon = line.says("bacon", "panceta", "belly", "beicon")
    wet = line.has("brine", "water") or line.says("pump", "pumped", "pickle", "inyectado")
    dry = line.says("dry", "seco", "en seco", "dry cured")
    if line.has("sausage", "mince"):
        return Product.COMMINUTED, True
    if bacon:
        return (Product.BACON_DRY if dry and not wet else Product.BACON_WET), wet or dry
    if wet:
        return Product.IMMERSION, True
    return (Product.DRY, True) if dry else (Product.COMMINUTED, False)


def answer_cure(question: CureQuestion, _: AskContext) -> Answer:
    """Answer with ppm and the limit; over it is a stop, below it nothing is cleared."""
    if question.nitrite is None:
        return _ask_strength(question)
    ppm = _ppm(question, question.nitrite)
    limit = limit_of(question.product)
    reading = say(
        "{cure} of {nitrite} nitrite on {meat}: {product}",
        cure=weight(question.cure_kg),
        nitrite=percent(question.nitrite),
        meat=weight(question.meat_kg),
        product=question.product.value,
    )
    value, most = Qty(figures(ppm), "ppm"), Qty(limit.ppm, "ppm")
    numbers = (number("nitrite", value), number("limit", most))
    if over_limit(ppm, question.product):
        line = say(
            "{verdict}: {value} nitrite, over the limit of {limit}.",
            verdict=Verdict.STOP,
            value=value,
            limit=most,
        )
        return Answer(
            (line, _read(reading), say("Do not use it. Weigh again, or start with fresh meat.")),
            verdict=Verdict.STOP,
            numbers=numbers,
            read_as=reading,
            sources=(limit.source,),
        )
    line = say("{value} nitrite going in; the US limit is {limit}.", value=value, limit=most)
    caution = say("Curing is licensed work: check your own rules and the label before you mix.")
    if not question.sure:
        caution = say("Not said how it is cured: the strictest limit was taken. Check your rules.")
    return Answer(
        (line, _read(reading), caution), numbers=numbers, read_as=reading, sources=(limit.source,)
    )


def _read(reading: Line) -> Line:
    return say("Read as {reading}.", reading=reading)


def _ppm(q: CureQuestion, nitrite: float) -> float:
    if q.pump is not None and q.pickle_kg is not None:
        return pumped_ppm(q.cure_kg, nitrite, q.pump, q.pickle_kg)
    if q.pickle_kg is not None and q.product in {Product.IMMERSION, Product.BACON_WET}:
        return immersion_ppm(q.cure_kg, nitrite, q.meat_kg, q.pickle_kg)
    return dry_ppm(q.cure_kg, nitrite, q.meat_kg)


def _ask_strength(question: CureQuestion) -> Answer:
    line = say(
        "{verdict}: curing salts differ tenfold. The label says how much nitrite is in it.",
        verdict=Verdict.UNKNOWN,
    )
    return Answer(
        (line,),
        verdict=Verdict.UNKNOWN,
        read_as=say("curing salt on {meat}", meat=weight(question.meat_kg)),
        question=say("How much nitrite does the label say?"),
        choices=(say("6.25 %"), say("5.88 %"), say("0.6 %")),
        sources=(limit_of(question.product).source,),
    )


@dataclass(frozen=True, slots=True)
class CureForQuestion:
    """Curing salt for so many ppm on so much meat."""

    ppm: float
    meat_kg: float
    nitrite: float | None
    product: Product
    sure: bool


def read_cure_for(
    tokens: Sequence[Token], text: str, context: AskContext
) -> CureForQuestion | None:
    """Read 'cure for 5kg bacon at 120 ppm 6.25%'."""
    line = said(tokens, text, context)
    ppm, meat, nitrite = line.only("ppm"), line.only("mass"), line.only("percent")
    if not cures(line) or ppm is None or meat is None:
        return None
    share = nitrite.base if nitrite else None
    return CureForQuestion(ppm.base, meat.base, share, *_product(line))


def answer_cure_for(question: CureForQuestion, context: AskContext) -> Answer:
    """Answer with grams; ppm over the limit are refused, not weighed out."""
    q = question
    if q.nitrite is None:
        return _ask_strength(CureQuestion(0.0, q.meat_kg, None, q.product, None, None))
    cure_kg = dry_cure_kg(q.ppm, q.nitrite, q.meat_kg)
    question_back = CureQuestion(cure_kg, q.meat_kg, q.nitrite, q.product, None, None, q.sure)
    checked = answer_cure(question_back, context)
    if checked.verdict is Verdict.STOP:
        return checked
    grams = weight(cure_kg)
    line = say("{cure} curing salt, weighed to the gram.", cure=grams)
    return replace(
        checked, lines=(line, *checked.lines), numbers=(number("cure", grams), *checked.numbers)
    )


TOPICS = (
    Topic("cure for", Rank.EXACT, read_cure_for, answer_cure_for),
    Topic("square", Rank.EXACT, read_square, answer_square),
    Topic("cure", Rank.EXACT, read_cure, answer_cure),
)
