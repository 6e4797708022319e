"""What is lost on the way: in peeling, in cooking, and who does not come.

Two published tables of produce disagree where stalks or leaves are counted or not; both are told.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from core.ask.goods import good_of
from core.ask.said import Said, said
from core.ask.tell import count, number, weight, weights
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Line, Number, Source, Span, say
from core.scaling.heads import after_no_shows
from core.scaling.yields import as_purchased_kg, edible_kg
from core.tables import Row
from core.tables.quantities import row, rows, source_of
from core.words import Token

PRODUCE: Mapping[str, str] = {
    "cabbage": "cabbage, green, trimmed and cored",
    "carrot": "carrots, peeled",
    "celery": "celery, trimmed",
    "onion": "onions, dry, peeled",
    "garlic": "garlic, dry, peeled",
    "potato": "potatoes, white, pared",
    "lettuce": "lettuce, iceberg, trimmed and cored",
    "tomato": "tomatoes, cored",
    "pepper": "peppers, sweet, stemmed seeded cored",
    "corn": "corn, kernels cut from ear",
    "mushroom": "mushrooms, trimmed",
    "aubergine": "eggplant, pared",
    "leek": "leeks, bulb and lower leaf",
    "lemon": "lemons, juice only",
    "avocado": "avocado",
}
"""Concept to row of the produce table."""

_CLEAN = ("trim", "yield", "peeled", "pelado", "pelada", "peladas", "pelados", "limpio", "limpia")
_LOST = ("yield", "loss", "losses", "lose", "lost", "rendimiento", "merma", "pierde", "queda")


@dataclass(frozen=True, slots=True)
class PeeledQuestion:
    """A vegetable, perhaps with a weight; `clean` says at which end it was weighed, if said."""

    item: Row
    kg: float | None
    unit: str
    clean: bool | None


def read_peeled(tokens: Sequence[Token], text: str, context: AskContext) -> PeeledQuestion | None:
    """Read 'how many kg of potatoes for 5 kg peeled', 'merma de la col'."""
    line = said(tokens, text, context)
    name = next((item for concept, item in PRODUCE.items() if line.has(concept)), None)
    if name is None or not (line.has("trim") or line.says(*_CLEAN, *_LOST)):
        return None
    if line.has("dressing", "brine", "load") or line.people() is not None:
        return None
    item = next(r for r in rows("produce", "trim") if r["item"] == name)
    mass = line.only("mass")
    if mass is None:
        return PeeledQuestion(item, None, "kg", None)
    return PeeledQuestion(item, mass.base, mass.unit, _weighed_clean(line))


def _weighed_clean(line: Said) -> bool | None:
    """Return whether the weight is of clean produce: 'to buy for 5 kg', or the other way round."""
    if line.says("buy", "comprar", "compro", "to buy"):
        return True
    if line.says("bought", "comprado", "comprados", "compradas", "from", "de bruto"):
        return False
    return None


def _kept(item: Row) -> list[float]:
    """Return the fractions that the two tables print, lower first."""
    found = [item.get("card_percent"), item.get("refuse_edible_percent")]
    return sorted(value / 100 for value in found if value is not None)


def answer_peeled(question: PeeledQuestion, _: AskContext) -> Answer:
    """Answer with what is left, or what to buy; where the end is unclear, with both."""
    q = question
    low, high = _kept(q.item)[0], _kept(q.item)[-1]
    left = Span(round(low * 100), round(high * 100), "%")
    source = source_of("produce", q.item, q.item["item"])
    share = say("{item}: {left} is left.", item=q.item["item"], left=left)
    kept = Number("left", round((low + high) * 50), "%", left.low, left.high)
    if q.kg is None:
        return Answer((share,), numbers=(kept,), read_as=_named(q.item), sources=(source,))
    to_buy = weights(as_purchased_kg(q.kg, high), as_purchased_kg(q.kg, low), q.unit)
    clean = weights(edible_kg(q.kg, low), edible_kg(q.kg, high), q.unit)
    buying = say("{kg} clean: buy {bought}.", kg=weight(q.kg, q.unit), bought=to_buy)
    cleaning = say("{kg} bought: {clean} clean.", kg=weight(q.kg, q.unit), clean=clean)
    if q.clean is None:
        return Answer(
            (buying, cleaning, share),
            read_as=_named(q.item),
            question=say("Is that the bought weight or the clean one?"),
            choices=(say("bought"), say("to buy")),
            sources=(source,),
        )
    line, told = (buying, to_buy) if q.clean else (cleaning, clean)
    numbers = (number("bought" if q.clean else "clean", told), kept)
    return Answer((line, share), numbers=numbers, read_as=_named(q.item), sources=(source,))


def _named(item: Row) -> Line:
    return say("what is left of {item}", item=item["item"])


@dataclass(frozen=True, slots=True)
class MeatYieldQuestion:
    """What trimming and cooking leave of a meat."""

    good: str


def read_meat_yield(
    tokens: Sequence[Token], text: str, context: AskContext
) -> MeatYieldQuestion | None:
    """Read 'brisket yield', 'merma del cerdo'."""
    line = said(tokens, text, context)
    good = good_of(line)
    known = {r["key"] for r in rows("rules", "loss")}
    if (
        good is None
        or good not in known
        or line.amounts("mass")
        or line.people() is not None
        or line.bare()
    ):
        return None
    if not (line.has("trim") or line.says(*_LOST)):
        return None
    return MeatYieldQuestion(good)


_PUBLISHED: Mapping[str, tuple[str, ...]] = {
    "brisket": ("beef brisket whole, boneless, 1/8 in trim",),
    "pulled pork": ("pork Boston butt roast, bone-in",),
    "ribs": ("pork spareribs",),
}
"""Nearest published row: braised or roasted, so a longer smoke leaves less."""


def answer_meat_yield(question: MeatYieldQuestion, context: AskContext) -> Answer:
    """Answer with each loss and what is left; the house's own first, the nearest table last."""
    found = row("rules", "loss", question.good)
    lines: list[Line] = []
    sources: list[Source] = [source_of("rules", found)]
    for measured in context.house:
        if measured.item.casefold() == question.good:
            share = Span(measured.fraction * 100, measured.fraction * 100, "%")
            lines.append(
                say(
                    "House: {left} {state} ({n} cooks).",
                    left=share,
                    state=measured.state.value,
                    n=count(measured.cooks),
                )
            )
            sources.insert(0, Source("house", "measured by the house", "", "house"))
    left, trim, cook = (_percents(found[key]) for key in ("left", "trim", "cook"))
    lines.append(say("{left} of the bought is left (rule of thumb).", left=left))
    lines.append(say("Trim takes {trim}, cooking {cook} of the rest.", trim=trim, cook=cook))
    for item in _PUBLISHED.get(question.good, ()):
        near = next(r for r in rows("cooking_yields", "edible") if r["item"] == item)
        lines.append(
            say(
                "Nearest published: {percent}, {method}. Smoked to pull leaves less.",
                percent=Span(near["percent"], near["percent"], "%"),
                method=near["method"],
            )
        )
        sources.append(source_of("cooking_yields", near, near["item"]))
    numbers = (
        Number("left", round((left.low + left.high) / 2, 1), "%", left.low, left.high),
        Number("trim", round((trim.low + trim.high) / 2, 1), "%", trim.low, trim.high),
        Number("cook", round((cook.low + cook.high) / 2, 1), "%", cook.low, cook.high),
    )
    reading = say("what is left of {item}", item=question.good)
    return Answer(tuple(lines[:4]), numbers=numbers, read_as=reading, sources=tuple(sources))


def _percents(pair: Sequence[float]) -> Span:
    return Span(round(pair[0] * 100), round(pair[1] * 100), "%")


@dataclass(frozen=True, slots=True)
class NoShowsQuestion:
    """How many of those expected come."""

    heads: int
    kind: str


def read_no_shows(
    tokens: Sequence[Token], text: str, context: AskContext
) -> NoShowsQuestion | None:
    """Read 'no shows 300 free', 'cuantos no vienen de 300'."""
    line = said(tokens, text, context)
    if not line.says("no shows", "no show", "noshows", "no vienen", "ausencias"):
        return None
    bare = [value for _, value in line.bare()]
    heads = line.crowd() or (int(bare[0]) if len(bare) == 1 else context.to_feed)
    if heads is None:
        return None
    if line.has("rain", "wind") or line.says("bad weather", "mal tiempo"):
        return NoShowsQuestion(heads, "bad weather")
    free = line.says("free", "public", "gratis", "libre", "publico")
    return NoShowsQuestion(heads, "free public" if free else "private")


def answer_no_shows(question: NoShowsQuestion, _: AskContext) -> Answer:
    """Answer with the fewest and the most who come; never cook for the fewest alone."""
    found = row("rules", "no_show", question.kind)
    fewest, most = after_no_shows(question.heads, found["low"], found["high"])
    reading = say(
        "{heads} expected, {kind}", heads=count(question.heads, "people"), kind=question.kind
    )
    lines = (
        say("{come} come.", come=Span(fewest, most, "people", 0)),
        say(
            "Read as {reading}. Rule of thumb; the guarantee is what you cook for.", reading=reading
        ),
    )
    return Answer(
        lines,
        numbers=(Number("come", round((fewest + most) / 2), "count", fewest, most),),
        read_as=reading,
        sources=(source_of("rules", found),),
    )


TOPICS = (
    Topic("peeled", Rank.LOOSE, read_peeled, answer_peeled),
    Topic("meat yield", Rank.LOOSE, read_meat_yield, answer_meat_yield),
    Topic("no-shows", Rank.EXACT, read_no_shows, answer_no_shows),
)
