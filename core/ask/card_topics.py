"""What the event's cards say: twice of what, how far nine cabbages go, the buy list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.ask.names import concepts_of, matching
from core.ask.said import said
from core.ask.tell import CARD, SUM, count, figures, number, percent, volume, weight
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Buy, Dish, Label, Line, Make, Number, Qty, say
from core.scaling.lists import buy_list, make_list
from core.scaling.measures import folded
from core.scaling.season import dressing_for_heads
from core.tables.quantities import row
from core.words import Token


def _amount(qty: float, unit: str) -> Qty:
    match unit:
        case "kg":
            return weight(qty)
        case "L":
            return volume(qty)
        case _:
            return Qty(round(qty, 1), "")


def _number(name: str, qty: float, unit: str) -> Number:
    shown = _amount(qty, unit)
    return Number(name, shown.value, shown.unit or "count")


def _snake(name: str) -> str:
    return "_".join("".join(c if c.isalnum() else " " for c in folded(name)).split())


# ------------------------------------------------------------------ twice of what


@dataclass(frozen=True, slots=True)
class TimesQuestion:
    """So many times one of these cards; several are a question back, none too."""

    times: float
    dishes: tuple[Dish, ...]
    amount: Qty | None = None


def read_times(tokens: Sequence[Token], text: str, context: AskContext) -> TimesQuestion | None:
    """Read 'doble de aliño', 'x2 dressing', 'half the brine'."""
    line = said(tokens, text, context)
    times = line.times()
    if times is None or line.amounts("time"):
        return None
    dishes = context.cards.dishes if context.cards else ()
    names = matching(line, (d.name for d in dishes))
    amounts = line.amounts("mass") + line.amounts("volume")
    if not names and len(amounts) == 1 and line.ratio() is None:
        return TimesQuestion(times, (), Qty(amounts[0].value, amounts[0].unit))
    if not names and amounts:
        return None
    return TimesQuestion(times, tuple(d for d in dishes if d.name in names))


def answer_times(question: TimesQuestion, _: AskContext) -> Answer:
    """Answer with what goes in, or ask which one is meant."""
    if question.amount is not None:
        return _times_amount(question.times, question.amount)
    reading = say("{times} times a batch", times=Qty(question.times, ""))
    if len(question.dishes) != 1:
        return Answer(
            (_of_what(question.times),),
            read_as=reading,
            question=say("Which one?"),
            choices=tuple(_times_choice(d, question.times) for d in question.dishes[:4]),
            sources=(CARD,),
        )
    dish = question.dishes[0]
    was, now = _amount(dish.batch.amount, dish.batch.unit), dish.batch.amount * question.times
    parts = [
        say("{name} {qty}", name=Label(x.name), qty=_amount(x.qty * question.times, x.unit))
        for x in dish.ingredients
        if x.qty is not None
    ]
    lines = [
        say(
            "{now} of {dish}, from {was}.",
            now=_amount(now, dish.batch.unit),
            dish=Label(dish.name),
            was=was,
        )
    ]
    lines.extend(joined(parts))
    numbers = [_number("batch", now, dish.batch.unit)]
    numbers += [
        _number(_snake(x.name), x.qty * question.times, x.unit)
        for x in dish.ingredients
        if x.qty is not None
    ]
    return Answer(tuple(lines[:4]), numbers=tuple(numbers), read_as=reading, sources=(CARD,))


def _of_what(times: float) -> Line:
    if times == 2:
        return say("Double of what?")
    return say("Half of what?") if times == 0.5 else say("{n} times what?", n=Qty(times, ""))


def _times_amount(times: float, amount: Qty) -> Answer:
    now = Qty(figures(amount.value * times, 4), amount.unit)
    reading = say("{times} times {amount}", times=Qty(times, ""), amount=amount)
    return Answer(
        (say("{now}.", now=now),), numbers=(number("value", now),), read_as=reading, sources=(SUM,)
    )


def _times_choice(dish: Dish, times: float) -> Line:
    return say(
        "{dish} {was} -> {now}",
        dish=Label(dish.name),
        was=_amount(dish.batch.amount, dish.batch.unit),
        now=_amount(dish.batch.amount * times, dish.batch.unit),
    )


_PER_LINE = 4


def joined(parts: Sequence[Line]) -> tuple[Line, ...]:
    """Return lines of four things each; what does not fit into three lines is counted."""
    lines: list[Line] = []
    for start in range(0, min(len(parts), 3 * _PER_LINE), _PER_LINE):
        chunk = parts[start : start + _PER_LINE]
        line = chunk[0]
        for part in chunk[1:]:
            line = say("{first}, {second}", first=line, second=part)
        lines.append(line)
    return tuple(lines)


# ------------------------------------------------------------------ nine cabbages


@dataclass(frozen=True, slots=True)
class OnlyQuestion:
    """So many or so much of one good is there; how far it goes."""

    have: float
    unit: str
    name: str
    need: Buy | None


def read_only(tokens: Sequence[Token], text: str, context: AskContext) -> OnlyQuestion | None:
    """Read 'only 9 cabbages', 'solo 5 kg de puerros'."""
    line = said(tokens, text, context)
    if not line.says("only", "just", "solo", "solamente", "nada mas"):
        return None
    mass, bare = line.only("mass"), line.bare()
    if mass is None and len(bare) != 1:
        return None
    have, unit = (mass.base, "kg") if mass else (bare[0][1], "pieces")
    if context.cards and context.to_feed:
        lines = buy_list(context.cards, context.to_feed)
        names = matching(line, (b.item for b in lines))
        if len(names) == 1:
            need = next(b for b in lines if b.item == names[0])
            return OnlyQuestion(have, unit, need.item, need)
    return OnlyQuestion(have, unit, "cabbage", None) if line.has("cabbage") else None


def answer_only(question: OnlyQuestion, context: AskContext) -> Answer:
    """Answer with how much of the recipe that makes, and for how many."""
    if question.need is None:
        return _cabbages(question)
    have = _as_needed(question, question.need)
    need = question.need
    if have is None:
        return Answer(
            (say("{name} is on the card by weight. Weigh it.", name=Label(need.item)),),
            read_as=say("{name}, {n} of them", name=Label(need.item), n=Qty(question.have, "")),
            question=say("How many kg?"),
            sources=(CARD,),
        )
    part = have / need.need if need.need else 0.0
    heads = context.to_feed or 0
    reading = say(
        "{have} of {name}, {need} needed for {heads}",
        have=_amount(have, need.unit),
        name=Label(need.item),
        need=_amount(need.need, need.unit),
        heads=count(heads, "people"),
    )
    lines = (
        say(
            "{part} of the recipe: enough for {heads}.",
            part=percent(part),
            heads=count(int(heads * part), "people"),
        ),
        say("Scale everything else in it by {times}.", times=Qty(figures(part), "")),
        say("Read as {reading}.", reading=reading),
    )
    numbers = (
        Number("factor", figures(part), "count"),
        Number("heads", int(heads * part), "count"),
    )
    return Answer(lines, numbers=numbers, read_as=reading, sources=(CARD, SUM))


def _as_needed(question: OnlyQuestion, need: Buy) -> float | None:
    if question.unit == need.unit:
        return question.have
    if "cabbage" in concepts_of(need.item) and need.unit == "kg":
        return float(question.have * row("rules", "cabbage_head", "cabbage")["weight_kg"])
    return None


def _cabbages(question: OnlyQuestion) -> Answer:
    shredded = row("rules", "cabbage_head", "cabbage")["shredded_kg"]
    kg = question.have * shredded if question.unit == "pieces" else question.have * 0.79
    found = dressing_for_heads(kg / shredded)
    creamy, thin = weight(found.creamy_kg), weight(found.vinaigrette_kg)
    slaw = row("rules", "side", "slaw")["grams"]
    heads = int((found.shredded_kg + found.creamy_kg) * 1000 / slaw[1])
    reading = say("{n} of cabbage", n=_amount(question.have, question.unit))
    lines = (
        say(
            "{kg} shredded: {creamy} creamy or {thin} vinaigrette.",
            kg=weight(found.shredded_kg),
            creamy=creamy,
            thin=thin,
        ),
        say("Dressed, enough for about {heads}.", heads=count(heads, "people")),
    )
    numbers = (
        number("shredded", weight(found.shredded_kg)),
        number("creamy", creamy),
        number("vinaigrette", thin),
        Number("heads", heads, "count"),
    )
    return Answer(lines, numbers=numbers, read_as=reading, sources=(found.source,))


# ------------------------------------------------------------------ how much of what


@dataclass(frozen=True, slots=True)
class NeedQuestion:
    """Goods to buy or things to make that are meant by the words."""

    buys: tuple[Buy, ...]
    makes: tuple[Make, ...]
    heads: int


def read_need(tokens: Sequence[Token], text: str, context: AskContext) -> NeedQuestion | None:
    """Read 'how much parsley', 'cuánta salmuera'."""
    line = said(tokens, text, context)
    cards, heads = context.cards, line.crowd() or context.to_feed
    if cards is None or heads is None or line.amounts("mass") or line.amounts("volume"):
        return None
    if not line.has("how_much") and not line.says("need", "hace falta", "buy", "comprar"):
        return None
    buys = buy_list(cards, heads)
    asked_now = line.crowd() is None and bool(context.makes)
    makes = context.makes if asked_now else make_list(cards, heads)
    names = matching(line, (*(b.item for b in buys), *(m.item for m in makes)))
    if not names:
        return None
    packs_asked = line.has("case", "pack") or line.says("buy", "comprar")
    made = () if packs_asked else tuple(m for m in makes if m.item in names)
    return NeedQuestion(tuple(b for b in buys if b.item in names), made, heads)


def answer_need(question: NeedQuestion, _: AskContext) -> Answer:
    """Answer with amounts, packs and what is left over."""
    reading = say("for {heads}, by the cards", heads=count(question.heads, "people"))
    bought = [_buy_line(b) for b in question.buys]
    lines = [_make_line(m) for m in question.makes] + bought
    numbers = [_number(_snake(m.item), m.qty, m.unit) for m in question.makes]
    numbers += [_number(_snake(b.item), b.need, b.unit) for b in question.buys]
    return Answer(tuple(lines[:4]), numbers=tuple(numbers), read_as=reading, sources=(CARD,))


def _make_line(made: Make) -> Line:
    return say("{name}: {qty} to make.", name=Label(made.item), qty=_amount(made.qty, made.unit))


def _buy_line(line: Buy) -> Line:
    need = _amount(line.need, line.unit)
    if not line.packs:
        return say("{name}: buy {need}.", name=Label(line.item), need=need)
    packs = [
        say("{n} x {size}", n=count(n), size=_amount(pack.amount, pack.unit))
        for pack, n in line.packs
    ]
    shown = packs[0]
    for pack in packs[1:]:
        shown = say("{first} + {second}", first=shown, second=pack)
    return say(
        "{name}: need {need}, buy {packs}, {left} left over.",
        name=Label(line.item),
        need=need,
        packs=shown,
        left=_amount(line.leftover, line.unit),
    )


TOPICS = (
    Topic("times", Rank.EXACT, read_times, answer_times),
    Topic("only", Rank.EXACT, read_only, answer_only),
    Topic("need", Rank.LOOSE, read_need, answer_need),
)
