"""Heads to what to buy, and what was bought to portions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import prod

from core.ask.goods import good_of
from core.ask.pack_topics import MOST_A_PORTION_KG, PACKS
from core.ask.said import Said, said
from core.ask.tell import SUM, count, number, percent, weight, weights
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Line, Number, Pack, Qty, Source, Span, say
from core.scaling.lists import bought, leftover_portions
from core.scaling.measures import folded
from core.scaling.yields import as_purchased_kg, edible_kg, thumb_loss
from core.tables.quantities import row, rows, source_of
from core.words import Token

_ROUND_TO = 5  # a guess at portions is told to the nearest five

_SERVICE = {
    "wedding": "seated",
    "buffet": "buffet",
    "bread": "roll",
}


@dataclass(frozen=True, slots=True)
class CasesQuestion:
    """Portions of a weight set raw, in cases: how many to buy."""

    heads: int
    portion_kg: float
    case_kg: float
    trim: float
    unit: str
    spare: float


def read_cases(tokens: Sequence[Token], text: str, context: AskContext) -> CasesQuestion | None:
    """Read '320 ppl 180g steak how many 12kg cases trim 8'."""
    line = said(tokens, text, context)
    masses = line.amounts("mass")
    case = next((m for m in masses if line.beside(m, *PACKS)), None)
    if case is None or len(masses) != 2:
        return None
    portion = next(m for m in masses if m is not case)
    heads = line.people() or line.first_bare()
    if heads is None and portion.base > MOST_A_PORTION_KG:
        return None
    heads = heads or context.to_feed
    if heads is None or portion.base >= case.base:
        return None
    trim, spare = line.percent_of("trim") or 0.0, line.percent_of("more") or 0.0
    return CasesQuestion(heads, portion.base, case.base, trim / 100, case.unit, spare / 100)


def answer_cases(question: CasesQuestion, _: AskContext) -> Answer:
    """Answer with whole cases, and the leftover in portions."""
    q = question
    trimmed = q.heads * q.portion_kg * (1 + q.spare)
    need = as_purchased_kg(trimmed, 1 - q.trim)
    row_ = bought("", need, "kg", (Pack(q.case_kg, "kg"),))
    cases = sum(n for _, n in row_.packs)
    kept = cases * q.case_kg * (1 - q.trim)
    portions = int(kept / q.portion_kg + 1e-9)
    spare = leftover_portions(row_, 1 - q.trim, q.portion_kg)
    reading = say(
        "{heads} of {portion} raw and trimmed, {trim} trim, cases of {case}",
        heads=count(q.heads, "portions"),
        portion=weight(q.portion_kg),
        trim=percent(q.trim),
        case=weight(q.case_kg, q.unit),
    )
    lines = (
        say(
            "{cases} ({total}).",
            cases=count(cases, "cases"),
            total=weight(cases * q.case_kg, q.unit),
        ),
        say(
            "Need {trimmed} trimmed = {need} bought = {exact}.",
            trimmed=weight(trimmed, q.unit),
            need=weight(need, q.unit),
            exact=Qty(round(need / q.case_kg, 1), "cases"),
        ),
        say(
            "That is {kept} trimmed = {portions}, {spare} spare.",
            kept=weight(kept, q.unit),
            portions=count(portions, "portions"),
            spare=count(spare),
        ),
    )
    numbers = (
        Number("cases", cases, "count"),
        number("bought", weight(cases * q.case_kg, q.unit)),
        number("need_trimmed", weight(trimmed, q.unit)),
        number("need_bought", weight(need, q.unit)),
        number("trimmed", weight(kept, q.unit)),
        Number("portions", portions, "count"),
        Number("spare", spare, "count"),
    )
    return Answer(lines, numbers=numbers, read_as=reading, sources=(SUM,))


@dataclass(frozen=True, slots=True)
class PortionsQuestion:
    """How many portions some meat as bought gives.

    A trim that was said means that the portion is set raw; `cooked` is None where neither a trim
    nor the kind of meat says how it is set.
    """

    good: str
    bought_kg: float
    portion_kg: float
    unit: str
    trim: float | None
    cooked: bool | None


_SET_COOKED = frozenset({"pulled pork", "brisket", "whole pig", "chicken leg"})
"""Nobody weighs a raw portion of these."""


def read_portions(
    tokens: Sequence[Token], text: str, context: AskContext
) -> PortionsQuestion | None:
    """Read '40kg cabeza con hueso cuantos bocatas 110g', '6 x 12 kg 180g steak trim 8 how many'."""
    line = said(tokens, text, context)
    good = good_of(line)
    masses = sorted(line.amounts("mass"), key=lambda m: m.base)
    if len(masses) != 2 or line.people() is not None or masses[0].base > 1.0:
        return None
    if not line.has("how_much", "portions", "bread", "plates"):
        return None
    trim = line.percent_of("trim")
    if good is None and trim is None:
        return None
    whole = masses[1]
    cases = _cases_said(line) if line.beside(whole, *PACKS) else 1.0
    if cases is None:
        return None
    return PortionsQuestion(
        good or "meat",
        whole.base * cases,
        masses[0].base,
        whole.unit,
        trim / 100 if trim is not None else None,
        _set_cooked(line, good, trim),
    )


def _cases_said(line: Said) -> float | None:
    """Return how many cases: the one bare number that is not the trim."""
    trim = line.percent_of("trim")
    bare = [value for _, value in line.bare() if value != trim]
    return bare[0] if len(bare) == 1 else None


def _set_cooked(line: Said, good: str | None, trim: float | None) -> bool | None:
    if trim is not None or line.has("raw", "trimmed"):
        return False
    if good in _SET_COOKED or line.has("cooked", "bread", "pulled_pork"):
        return True
    return None


def answer_portions(question: PortionsQuestion, context: AskContext) -> Answer:
    """Answer with a range, to the nearest five, and count on the lower one until weighed."""
    if question.cooked is None:
        cooked, raw = _set_cooked_answer(question, context), _set_raw_answer(question, context)
        return Answer(
            (
                say("Set cooked: {answer}", answer=cooked.lines[0]),
                say("Set raw: {answer}", answer=raw.lines[0]),
            ),
            read_as=_portions_read_as(question, "either way"),
            question=say("Is the portion weighed raw or cooked?"),
            choices=(say("raw"), say("cooked")),
            sources=cooked.sources,
        )
    if question.cooked:
        return _set_cooked_answer(question, context)
    return _set_raw_answer(question, context)


def _portions_read_as(q: PortionsQuestion, state: str) -> Line:
    return say(
        "{bought} of {good} as bought, {portion} each {state}",
        bought=weight(q.bought_kg, q.unit),
        good=q.good,
        portion=weight(q.portion_kg),
        state=state,
    )


def _set_cooked_answer(q: PortionsQuestion, context: AskContext) -> Answer:
    low, high, source, note = _left(q.good, context)
    fewest, most = (_rounded(q.bought_kg * left / q.portion_kg) for left in (low, high))
    kept = weights(q.bought_kg * low, q.bought_kg * high, q.unit)
    left = Span(round(low * 100), round(high * 100), "%")
    lines = (
        say("{portions}.", portions=Span(fewest, most, "portions", 0)),
        say("{left} is left ({origin}): {kept} cooked.", left=left, origin=note, kept=kept),
        say("Count on {fewest} until it is weighed.", fewest=count(fewest)),
    )
    numbers = (
        Number("portions", fewest, "count", fewest, most),
        number("cooked", kept),
    )
    reading = _portions_read_as(q, "cooked")
    return Answer(lines, numbers=numbers, read_as=reading, sources=(source,))


def _set_raw_answer(q: PortionsQuestion, _: AskContext) -> Answer:
    """Return whole portions set raw: trim alone is taken off, as said or by rule of thumb."""
    if q.trim is None:
        low, high = thumb_loss(q.good, "trim")
        fewest, most = (int(q.bought_kg * f.fraction / q.portion_kg + 1e-9) for f in (low, high))
        line = say(
            "{portions} ({trim} trim, rule of thumb).",
            portions=Span(fewest, most, "portions", 0),
            trim=Span(round(100 - high.fraction * 100), round(100 - low.fraction * 100), "%"),
        )
        guess = (Number("portions", fewest, "count", fewest, most),)
        reading = _portions_read_as(q, "raw")
        return Answer((line,), numbers=guess, read_as=reading, sources=(low.source,))
    kept = edible_kg(q.bought_kg, 1 - q.trim)
    portions = int(kept / q.portion_kg + 1e-9)
    lines = (
        say("{portions}.", portions=count(portions, "portions")),
        say(
            "{bought} less {trim} trim is {kept}.",
            bought=weight(q.bought_kg, q.unit),
            trim=percent(q.trim),
            kept=weight(kept, q.unit),
        ),
    )
    numbers = (Number("portions", portions, "count"), number("trimmed", weight(kept, q.unit)))
    reading = _portions_read_as(q, "raw and trimmed")
    return Answer(lines, numbers=numbers, read_as=reading, sources=(SUM,))


def _rounded(portions: float) -> int:
    return round(portions / _ROUND_TO) * _ROUND_TO if portions >= 50 else int(portions)


def _left(good: str, context: AskContext) -> tuple[float, float, Source, Line]:
    """Return what is left of the bought, low and high: the house's own yield where it has one."""
    for found in context.house:
        if found.item.casefold() == good and found.state == "cooked":
            source = Source("house", "measured by the house", "", "house")
            note = say("house, cooked {n} times", n=count(found.cooks))
            return found.fraction, found.fraction, source, note
    low, high = thumb_loss(good, "left")
    return low.fraction, high.fraction, low.source, say("rule of thumb")


@dataclass(frozen=True, slots=True)
class HeadsQuestion:
    """How much raw of a meat for so many people, served so."""

    good: str
    heads: int
    service: str
    appetites: tuple[str, ...] = ()


def read_heads(tokens: Sequence[Token], text: str, context: AskContext) -> HeadsQuestion | None:
    """Read 'brisket for 80 buffet'."""
    line = said(tokens, text, context)
    good, heads = good_of(line), line.people() or line.first_bare()
    if good is None or heads is None or line.amounts("mass") or line.amounts("volume"):
        return None
    if line.sizes() or line.has(
        "load", "rack", "grate", "brine", "rub", "charcoal", "left", "core"
    ):
        return None
    if line.on_the_fire():
        return None
    if not (line.has("how_much", "people", "wedding", "buffet") or line.says("for", "para")):
        return None
    service = next((col for concept, col in _SERVICE.items() if line.has(concept)), "")
    appetites = tuple(
        r["key"]
        for r in rows("rules", "appetite")
        if r["key"] not in _SERVED and line.says(*(folded(word) for word in r["also"]))
    )
    return HeadsQuestion(good, heads, service, appetites)


_SERVED = frozenset({"wedding", "buffet", "ticket"})
"""How a plate is served is in the table of portions already."""


def answer_heads(question: HeadsQuestion, _: AskContext) -> Answer:
    """Answer with the raw weight for the service said; unsaid, both usual ones."""
    found = row("rules", "portion", question.good)
    services = [question.service] if question.service in found else ["seated", "buffet"]
    lines: list[Line] = []
    numbers: list[Number] = []
    appetite = prod(row("rules", "appetite", key)["factor"][0] for key in question.appetites)
    for service in services:
        low, high = (x * appetite for x in found[service])
        total = weights(question.heads * low / 1000, question.heads * high / 1000)
        each = Span(low, high, "g")
        lines.append(
            say(
                "{service}: {total} raw and trimmed ({each} each).",
                service=service,
                total=total,
                each=each,
            )
        )
        numbers.append(number(f"raw_{service}", total))
    reading = say("{good} for {heads}", good=question.good, heads=count(question.heads, "people"))
    for key in question.appetites:
        times = Qty(row("rules", "appetite", key)["factor"][0], "")
        reading = say("{reading}, {appetite} x {times}", reading=reading, appetite=key, times=times)
    lines.append(say("Read as {reading}. Rule of thumb; add your trim.", reading=reading))
    return Answer(
        tuple(lines),
        numbers=tuple(numbers),
        read_as=reading,
        sources=(source_of("rules", found),),
    )


TOPICS = (
    Topic("cases", Rank.EXACT, read_cases, answer_cases),
    Topic("portions", Rank.EXACT, read_portions, answer_portions),
    Topic("heads", Rank.LOOSE, read_heads, answer_heads),
)
