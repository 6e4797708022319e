"""How far below its end a piece leaves the first fire, when a sear and a rest still follow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.ask.names import matching
from core.ask.safety_said import spans_min, temps
from core.ask.said import Said, said
from core.ask.tell import figures
from core.ask.topic import AskContext
from core.model import Answer, Dish, Number, Qty, Source, Span, say
from core.tables.heat import heat_table
from core.words import Token

BEFORE_SEAR = ("before sear", "before the sear", "before searing", "before i sear", "reverse sear",
           "antes de sellar", "antes del sellado", "antes de marcar", "antes de la plancha",
           "set back", "set it back")  # fmt: skip
_SEAR_C = 290.0
_SEAR_MIN = {2.0: 3.0, 4.0: 4.0, 6.0: 5.0}
"""Minutes of a sear, all sides, by thickness, where nobody says; common practice."""


@dataclass(frozen=True, slots=True)
class SetBackQuestion:
    """A piece so thick, seared so long at so much; its final core where that was said, °C."""

    thickness_cm: float
    sear_min: float
    sear_c: float
    final_c: float | None


def read_set_back(
    tokens: Sequence[Token], text: str, context: AskContext
) -> SetBackQuestion | None:
    """Read 'pull at what before searing 5.5 cm for 56', 'a cuanto saco antes de sellar 5 cm'."""
    line = said(tokens, text)
    if not line.says(*BEFORE_SEAR) or line.amounts("mass"):
        return None
    dish = _dish(line, context)
    length = line.only("length")
    thick = length.base if length else (dish.piece.thickness_cm if dish else None)
    if thick is None:
        return None
    cores = [t.read.c for t in temps(line, bare=(40.0, 99.0)) if t.read.c < 100]
    fires = [t.read.c for t in temps(line, bare=(150.0, 500.0)) if t.read.c >= 100]
    spans = spans_min(line)
    sear = next((s for s in dish.steps if s.do == "sear"), None) if dish else None
    minutes = spans[0] if len(spans) == 1 else None
    if minutes is None and sear is not None and sear.turns_min:
        minutes = sear.ideal_min
    usual = next((m for size, m in _SEAR_MIN.items() if thick <= size), 6.0)
    fire = fires[0] if len(fires) == 1 else (sear.temp_c if sear and sear.temp_c else _SEAR_C)
    final = cores[0] if len(cores) == 1 else None
    return SetBackQuestion(thick, minutes or usual, fire, final)


def _dish(line: Said, context: AskContext) -> Dish | None:
    dishes = {d.name: d for d in context.cards.dishes} if context.cards else {}
    thick = {name: d for name, d in dishes.items() if d.piece.thickness_cm}
    found = matching(line, thick)
    return thick[found[0]] if len(found) == 1 else None


def answer_set_back(question: SetBackQuestion, _: AskContext) -> Answer:
    """Answer with what sear and rest add, and the first pull where the end was said."""
    from core.heat.rise import set_back

    back = set_back(question.thickness_cm, question.sear_min, question.sear_c)
    low, high = (
        figures(a + b, 2) for a, b in zip(sorted(back.sear_k), sorted(back.rest_k), strict=True)
    )
    sear, rest = Span(*_rounded(back.sear_k), "°C", 0), Span(*_rounded(back.rest_k), "°C", 0)
    numbers = [Number("set_back", round(back.in_all_k, 1), "°C", low, high)]
    parts = say(
        "The sear adds {sear} in {minutes}, the rest {rest} more.",
        sear=sear,
        minutes=Qty(question.sear_min, "min"),
        rest=rest,
    )
    thick = Qty(figures(question.thickness_cm, 2), "cm")
    if question.final_c is not None:
        pull = Span(round(question.final_c - high), round(question.final_c - low), "°C", 0)
        numbers.insert(0, Number("pull", round(question.final_c - back.in_all_k), "°C",
                                 pull.low, pull.high))  # fmt: skip
        first = say("Off the first fire at {pull} for {final} at the end.", pull=pull,
                    final=Qty(question.final_c, "°C"))  # fmt: skip
    else:
        first = say("Off the first fire {back} below its end.",
                    back=Span(round(low), round(high), "°C", 0))  # fmt: skip
    lines = (first, parts, say("10 min at most from fire to fire. The end is read, not reckoned."))
    reading = say("{thick} thick, then seared", thick=thick)
    table = heat_table("rules")
    row = table["sear"]
    source = Source("sear", table["sources"][row["source"]], "", row["status"])
    return Answer(lines, None, tuple(numbers), reading, sources=(source,))


def _rounded(pair: tuple[float, float]) -> tuple[float, float]:
    low, high = sorted(pair)
    return float(round(low)), float(round(high))
