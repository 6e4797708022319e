"""What comes in cans and cases by itself, without plates to count."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from core.ask.goods import good_of
from core.ask.said import Said, said
from core.ask.tell import SUM, count, number, weight, weights
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Label, Number, Pack, Qty, Span, say
from core.scaling.cans import Can, can_numbered
from core.scaling.lists import bought
from core.scaling.measures import folded
from core.words import Token

_SIZE = r"(?:#|n[o°º]\.? ?|number |numero )(\d+(?:[ -]1/2)?)"
_TIN = r"(?:cans?|tins?|latas?|botes?)"
_CAN = re.compile(rf"{_SIZE} {_TIN}\b|\b{_TIN} (?:of |del? )?{_SIZE}")


@dataclass(frozen=True, slots=True)
class CansQuestion:
    """So many cans of a numbered size."""

    can: Can
    cans: float


def read_cans(tokens: Sequence[Token], text: str, context: AskContext) -> CansQuestion | None:
    """Read '#10 can beans 3', '3 no. 10 cans tomatoes', '2 latas numero 10'."""
    line = said(tokens, text, context)
    found = _CAN.search(folded(text))
    if found is None or line.people() is not None or line.amounts("mass"):
        return None
    size = (found.group(1) or found.group(2)).replace(" ", "-")
    can = can_numbered(size)
    if can is None:
        return None
    bare = [value for _, value in line.bare()]
    whole = float(size.split("-", maxsplit=1)[0])
    if whole in bare:
        bare.remove(whole)
    return CansQuestion(can, bare[0] if len(bare) == 1 and bare[0] >= 1 else 1.0)


def answer_cans(question: CansQuestion, _: AskContext) -> Answer:
    """Answer with the net weight and the cups, low and high: packers differ."""
    q = question
    low, high = q.can.net_kg
    net = weights(low * q.cans, high * q.cans)
    least, most = (round(x * q.cans, 1) for x in q.can.litres)
    litres = Span(least, most, "L")
    reading = say("{n} x can {name}", n=count(q.cans), name=Label(q.can.name))
    lines = (
        say("{net} net, {litres}.", net=net, litres=litres),
        say("Read as {reading}. Drained, it is less: weigh one.", reading=reading),
    )
    return Answer(
        lines,
        numbers=(number("net", net), number("volume", litres)),
        read_as=reading,
        sources=(q.can.source,),
    )


@dataclass(frozen=True, slots=True)
class WholeQuestion:
    """So much meat as bought, in cases of a weight."""

    need_kg: float
    case_kg: float
    unit: str


def read_whole(tokens: Sequence[Token], text: str, context: AskContext) -> WholeQuestion | None:
    """Read '62 kg pork how many 12kg cases': more than a portion and nobody to feed in the line."""
    line = said(tokens, text, context)
    masses = line.amounts("mass")
    if len(masses) != 2 or line.people() is not None or not _asks_cases(line):
        return None
    case = next((m for m in masses if line.beside(m, *PACKS)), None)
    if case is None or line.bare() or line.amounts("percent"):
        return None
    need = next(m for m in masses if m is not case)
    if need.base <= MOST_A_PORTION_KG or good_of(line) is None:
        return None
    return WholeQuestion(need.base, case.base, case.unit)


PACKS = ("case", "pack", "box")
MOST_A_PORTION_KG = 0.6
"""Nobody serves more meat than this to a guest: what is heavier is a total; common practice."""


def _asks_cases(line: Said) -> bool:
    return line.has("how_much") and line.has(*PACKS)


def answer_whole(question: WholeQuestion, _: AskContext) -> Answer:
    """Answer with whole cases and what is left over."""
    q = question
    row = bought("", q.need_kg, "kg", (Pack(q.case_kg, "kg"),))
    cases = sum(n for _, n in row.packs)
    reading = say(
        "{need} as bought, in cases of {case}",
        need=weight(q.need_kg, q.unit),
        case=weight(q.case_kg, q.unit),
    )
    lines = (
        say(
            "{cases} ({total}).",
            cases=count(cases, "cases"),
            total=weight(cases * q.case_kg, q.unit),
        ),
        say("Read as {reading}: {exact}.", reading=reading, exact=_exact(q)),
    )
    numbers = (
        Number("cases", cases, "count"),
        number("bought", weight(cases * q.case_kg, q.unit)),
        number("left_over", weight(cases * q.case_kg - q.need_kg, q.unit)),
    )
    return Answer(lines, numbers=numbers, read_as=reading, sources=(SUM,))


def _exact(q: WholeQuestion) -> Qty:
    return Qty(round(q.need_kg / q.case_kg, 1), "cases")


TOPICS = (
    Topic("cans", Rank.EXACT, read_cans, answer_cans),
    Topic("whole cases", Rank.EXACT, read_whole, answer_whole),
)
