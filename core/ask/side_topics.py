"""Side dishes for so many, dry goods with their water and pans; how much of a total each gets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from core.ask.goods import good_of, side_of
from core.ask.said import said
from core.ask.tell import SUM, count, number, volume, weight, weights
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Number, Qty, Source, Span, say
from core.scaling.season import per_head_g
from core.tables.quantities import row, source_of
from core.words import Token


@dataclass(frozen=True, slots=True)
class SideQuestion:
    """A side dish for so many people."""

    side: str
    heads: int
    main: bool
    each_kg: float | None


def read_side(tokens: Sequence[Token], text: str, context: AskContext) -> SideQuestion | None:
    """Read 'arroz 150 pax guarnicion'."""
    line = said(tokens, text, context)
    side, heads = side_of(line), line.people() or line.first_bare()
    if line.on_the_fire():
        return None
    if side is None or heads is None or good_of(line) is not None or line.amounts("volume"):
        return None
    mass = line.only("mass")
    if line.amounts("mass") and (mass is None or mass.base > 0.5):
        return None
    if line.has("dressing", "charcoal", "ice", "mix", "hot", "chill"):
        return None
    return SideQuestion(side, heads, line.has("main"), mass.base if mass else None)


def answer_side(question: SideQuestion, _: AskContext) -> Answer:
    """Answer with the weight to cook or make; dry goods with water, what comes out, and pans."""
    q = question
    found = row("rules", "side", q.side)
    if "each" in found:
        low, high = (ceil(q.heads * x) for x in found["each"])
        numbers: tuple[Number, ...] = (Number(q.side, low, "count", low, high),)
        return Answer(
            (say("{n} {side}.", n=Span(low, high, "", 0), side=q.side),),
            numbers=numbers,
            read_as=say("{side} for {heads}", side=q.side, heads=count(q.heads, "people")),
            sources=(source_of("rules", found),),
        )
    low_g, high_g = found["main"] if q.main and "main" in found else found["grams"]
    if q.each_kg is not None:
        low_g = high_g = q.each_kg * 1000
    if found.get("note") == "dry":
        return _dry(q, low_g, high_g, source_of("rules", found))
    total = weights(q.heads * low_g / 1000, q.heads * high_g / 1000)
    reading = say("{side} for {heads}", side=q.side, heads=count(q.heads, "people"))
    lines = (
        say(
            "{total} {side} ({each} each).", total=total, side=q.side, each=Span(low_g, high_g, "g")
        ),
        say("Read as {reading}. Rule of thumb.", reading=reading),
    )
    return Answer(
        lines,
        numbers=(number(q.side.replace(" ", "_"), total),),
        read_as=reading,
        sources=(source_of("rules", found),),
    )


def _dry(q: SideQuestion, low_g: float, high_g: float, source: Source) -> Answer:
    """Return dry weight, water where it is known, and what comes out with its pans."""
    dry_kg = q.heads * (low_g + high_g) / 2000
    growth = row("rules", "growth", q.side)
    cooked = dry_kg * growth["gain"]
    pans = ceil(cooked / GN_65_L - 1e-9)
    dry, out = weight(dry_kg), weight(cooked)
    each = Qty(round((low_g + high_g) / 2), "g")
    lines = [say("{dry} dry {side} ({each} each).", dry=dry, side=q.side, each=each)]
    numbers = [number("dry", dry)]
    if "water_l_per_kg" in growth:
        water = volume(dry_kg * growth["water_l_per_kg"])
        lines.append(say("Water {water}.", water=water))
        numbers.append(number("water", water))
    reading = say(
        "{side} for {heads}, as a {course}",
        side=q.side,
        heads=count(q.heads, "people"),
        course="main" if q.main else "side",
    )
    lines.append(
        say(
            "Comes out about {out} cooked = {pans} GN 1/1, 65 mm deep.",
            out=out,
            pans=count(pans, "pans"),
        )
    )
    numbers += [number("cooked", out), Number("pans", pans, "count")]
    return Answer(tuple(lines), numbers=tuple(numbers), read_as=reading, sources=(source,))


GN_65_L = 7.0
"""Usable in a GN 1/1 pan 65 mm deep, L or about kg of cooked food; common practice."""


@dataclass(frozen=True, slots=True)
class EachQuestion:
    """So much of something, for so many: how much each."""

    total_kg: float
    unit: str
    heads: int


def read_each(tokens: Sequence[Token], text: str, context: AskContext) -> EachQuestion | None:
    """Read '60 kg salad 360 ppl how much each'."""
    line = said(tokens, text, context)
    amount, heads = line.only("mass"), line.people()
    if amount is None or heads is None or line.has("sauce", "ice", "charcoal"):
        return None
    if not line.has("per", "how_much", "ok", "?", "mix") or amount.base < 0.5:
        return None
    return EachQuestion(amount.base, amount.unit, heads)


def answer_each(question: EachQuestion, _: AskContext) -> Answer:
    """Answer with grams each."""
    each = Qty(round(per_head_g(question.total_kg, question.heads), 1), "g")
    reading = say(
        "{total} for {heads}",
        total=weight(question.total_kg, question.unit),
        heads=count(question.heads, "people"),
    )
    return Answer(
        (say("{each} each.", each=each), say("Read as {reading}.", reading=reading)),
        numbers=(number("each", each),),
        read_as=reading,
        sources=(SUM,),
    )


TOPICS = (
    Topic("side", Rank.LOOSE, read_side, answer_side),
    Topic("each", Rank.LOOSE, read_each, answer_each),
)
