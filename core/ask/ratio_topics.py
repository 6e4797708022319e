"""Parts to parts: a brine in a tub, oil to vinegar, a concentrate thinned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.ask.said import Said, said
from core.ask.tell import SUM, THUMB, number, volume, weight, whose
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Line, Qty, say
from core.scaling.ratios import brine_beside_meat_l, most_meat_kg, shares
from core.words import Ratio, Token, Word

VINAIGRETTE_SALT = 0.01
"""Salt in a dressing as mixed; common practice, 1.0 to 1.2 %."""


_OILY = ("oil", "vinegar", "vinaigrette", "dressing")


@dataclass(frozen=True, slots=True)
class PartsQuestion:
    """So many parts water to one of concentrate, in a tub, perhaps with meat in it."""

    water: float
    concentrate: float
    tub_l: float | None
    unit: str
    meat_kg: float | None
    with_meat: bool
    empty: bool
    gallons: str = ""


@dataclass(frozen=True, slots=True)
class DressingQuestion:
    """Oil to vinegar, as typed, in a total."""

    oil: float
    vinegar: float
    total_l: float | None
    unit: str


def read_parts(tokens: Sequence[Token], text: str, context: AskContext) -> PartsQuestion | None:
    """Read '5to1 conc 18L tub': the larger number is the water."""
    line = said(tokens, text, context)
    ratio = line.ratio()
    if ratio is None or ratio.a <= 0 or ratio.b <= 0 or line.has(*_OILY):
        return None
    tubs = line.amounts("volume")
    if not tubs and not line.has("concentrate", "brine", "tub", "water", "bleach", "sanitiser"):
        return None
    meat = line.only("mass")
    return PartsQuestion(
        max(ratio.a, ratio.b),
        min(ratio.a, ratio.b),
        tubs[0].base if tubs else None,
        tubs[0].unit if tubs else "L",
        meat.base if meat else None,
        with_meat=meat is not None or line.says("with meat", "con carne", "con la carne"),
        empty=line.has("empty"),
        gallons=line.gallons(),
    )


def answer_parts(question: PartsQuestion, _: AskContext) -> Answer:
    """Answer with both amounts; with meat in the tub there is less brine."""
    if question.tub_l is None and question.meat_kg is not None:
        return _cover(question)
    if question.tub_l is None:
        return _each_litre(question)
    if question.with_meat and not question.empty:
        return _beside_meat(question, question.tub_l)
    return _whole_tub(question, question.tub_l)


def _split(total_l: float, q: PartsQuestion) -> tuple[Qty, Qty]:
    water, concentrate = shares(total_l, (q.water, q.concentrate))
    return volume(water, q.unit), volume(concentrate, q.unit)


def _read_as(q: PartsQuestion, total_l: float) -> Line:
    reading = say(
        "{a} water : {b} concentrate, {total} in all",
        a=Qty(q.water, ""),
        b=Qty(q.concentrate, ""),
        total=volume(total_l, q.unit),
    )
    return whose(reading, q.gallons)


def _whole_tub(q: PartsQuestion, tub_l: float) -> Answer:
    water, concentrate = _split(tub_l, q)
    lines = [
        say("{water} water + {concentrate} concentrate.", water=water, concentrate=concentrate),
        say("Read as {reading}.", reading=_read_as(q, tub_l)),
    ]
    numbers = [number("water", water), number("concentrate", concentrate)]
    if q.empty:
        return Answer(
            tuple(lines), numbers=tuple(numbers), read_as=_read_as(q, tub_l), sources=(SUM,)
        )
    meat_kg = float(round(most_meat_kg(tub_l)) or 1)
    brine_l = brine_beside_meat_l(tub_l, meat_kg)
    w, c = _split(brine_l, q)
    lines.append(
        say(
            "With meat in it about {brine} brine over {meat}: {water} + {concentrate}.",
            brine=volume(brine_l, q.unit),
            meat=weight(meat_kg),
            water=w,
            concentrate=c,
        )
    )
    numbers += [number("water_with_meat", w), number("concentrate_with_meat", c)]
    return Answer(
        tuple(lines),
        numbers=tuple(numbers),
        read_as=_read_as(q, tub_l),
        question=say("Empty tub, or with meat?"),
        choices=(say("empty tub"), say("with meat")),
        sources=(SUM, THUMB),
    )


def _beside_meat(q: PartsQuestion, tub_l: float) -> Answer:
    meat_kg = q.meat_kg if q.meat_kg is not None else float(round(most_meat_kg(tub_l)) or 1)
    brine_l = brine_beside_meat_l(tub_l, meat_kg)
    if brine_l <= 0:
        text = say(
            "{meat} does not fit: an {tub} tub takes {most} with its brine.",
            meat=weight(meat_kg),
            tub=volume(tub_l, q.unit),
            most=weight(most_meat_kg(tub_l)),
        )
        return Answer((text,), read_as=_read_as(q, tub_l), sources=(THUMB,))
    water, concentrate = _split(brine_l, q)
    lines = [
        say("{water} water + {concentrate} concentrate.", water=water, concentrate=concentrate),
        say(
            "{brine} brine over {meat} in a {tub} tub, the meat taking 0.95 L/kg.",
            brine=volume(brine_l, q.unit),
            meat=weight(meat_kg),
            tub=volume(tub_l, q.unit),
        ),
    ]
    if brine_l < meat_kg * 0.999:
        lines.append(say("Less than 1 L for each kg: take a bigger tub or less meat."))
    return Answer(
        tuple(lines),
        numbers=(number("water", water), number("concentrate", concentrate)),
        read_as=_read_as(q, brine_l),
        sources=(THUMB,),
    )


def _cover(q: PartsQuestion) -> Answer:
    brine_l = q.meat_kg or 0.0
    water, concentrate = _split(brine_l, q)
    lines = (
        say("{water} water + {concentrate} concentrate.", water=water, concentrate=concentrate),
        say(
            "{brine} brine for {meat}: 1 L for each kg.",
            brine=volume(brine_l),
            meat=weight(brine_l),
        ),
    )
    return Answer(
        lines,
        numbers=(number("water", water), number("concentrate", concentrate)),
        read_as=_read_as(q, brine_l),
        sources=(THUMB,),
    )


def _each_litre(q: PartsQuestion) -> Answer:
    whole = q.water + q.concentrate
    water, concentrate = _split(whole, q)
    lines = (
        say(
            "{water} water + {concentrate} concentrate in each {total}.",
            water=water,
            concentrate=concentrate,
            total=volume(whole, q.unit),
        ),
    )
    return Answer(
        lines,
        numbers=(number("water", water), number("concentrate", concentrate)),
        read_as=_read_as(q, whole),
        question=say("How big is the tub?"),
        choices=(say("18 L"), say("30 L"), say("50 L")),
        sources=(SUM,),
    )


def read_dressing(
    tokens: Sequence[Token], text: str, context: AskContext
) -> DressingQuestion | None:
    """Read 'oil vin 3:1 2.5L': the parts in the order the words were said."""
    line = said(tokens, text, context)
    ratio = line.ratio()
    if ratio is None or ratio.a <= 0 or ratio.b <= 0 or not line.has(*_OILY):
        return None
    total = line.only("volume")
    oil, vinegar = _in_order(line, ratio)
    return DressingQuestion(
        oil, vinegar, total.base if total else None, total.unit if total else "L"
    )


def _in_order(line: Said, ratio: Ratio) -> tuple[float, float]:
    found = [t.canonical for t in line.tokens if isinstance(t, Word)]
    at = [name for name in found if name in {"oil", "vinegar"}]
    if at[:2] == ["vinegar", "oil"]:
        return ratio.b, ratio.a
    if at[:2] == ["oil", "vinegar"]:
        return ratio.a, ratio.b
    return max(ratio.a, ratio.b), min(ratio.a, ratio.b)


def answer_dressing(question: DressingQuestion, _: AskContext) -> Answer:
    """Answer with oil, vinegar and the salt for it."""
    total = question.total_l if question.total_l is not None else question.oil + question.vinegar
    oil_l, vinegar_l = shares(total, (question.oil, question.vinegar))
    oil, vinegar = volume(oil_l, question.unit), volume(vinegar_l, question.unit)
    salt = weight(total * VINAIGRETTE_SALT)
    reading = say(
        "{a} oil : {b} vinegar, {total} in all",
        a=Qty(question.oil, ""),
        b=Qty(question.vinegar, ""),
        total=volume(total, question.unit),
    )
    lines = (
        say(
            "{oil} oil + {vinegar} vinegar. Salt {salt}, 1 %.", oil=oil, vinegar=vinegar, salt=salt
        ),
        say("Read as {reading}.", reading=reading),
    )
    return Answer(
        lines,
        numbers=(number("oil", oil), number("vinegar", vinegar), number("salt", salt)),
        read_as=reading,
        sources=(SUM, THUMB),
    )


TOPICS = (
    Topic("parts", Rank.EXACT, read_parts, answer_parts),
    Topic("oil and vinegar", Rank.EXACT, read_dressing, answer_dressing),
)
