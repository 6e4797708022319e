"""What a plate costs, for the chef alone, and what a portion costs by the asker's own numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.ask.said import said
from core.ask.tell import CARD, SUM, count, number, percent, weight
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Cards, Qty, Role, say
from core.scaling.cost import plate_cost, portion_cost
from core.words import Token


@dataclass(frozen=True, slots=True)
class CostQuestion:
    """What a plate costs now."""

    cards: Cards
    heads: int


def read_cost(tokens: Sequence[Token], text: str, context: AskContext) -> CostQuestion | None:
    """Read 'cost per plate now', 'escandallo'."""
    line = said(tokens, text, context)
    if not line.has("costing") or context.cards is None or context.to_feed is None:
        return None
    return CostQuestion(context.cards, context.to_feed)


def answer_cost(question: CostQuestion, context: AskContext) -> Answer:
    """Answer the chef; anybody else is told who knows."""
    if context.role is not Role.CHEF:
        return Answer((say("Only the chef sees costs."),))
    event = question.cards.event
    now = plate_cost(question.cards, question.heads)
    plan = plate_cost(question.cards, event.heads)
    value = Qty(round(now.bought, 2), event.currency, 2)
    planned = Qty(round(plan.bought, 2), event.currency, 2)
    eaten = Qty(round(now.eaten, 2), event.currency, 2)
    lines = [
        say("{now} a plate (plan {plan}). Only you see this.", now=value, plan=planned),
        say("Of it eaten: {eaten}; the rest is whole packs.", eaten=eaten),
    ]
    if now.unpriced:
        lines.append(say("Not counted: {n} goods without a price.", n=count(len(now.unpriced))))
    numbers = (number("cost", value), number("plan", planned), number("eaten", eaten))
    reading = say("what is bought for {heads}, by plate", heads=count(question.heads, "people"))
    return Answer(tuple(lines), numbers=numbers, read_as=reading, sources=(CARD,))


@dataclass(frozen=True, slots=True)
class PortionCostQuestion:
    """A price per kilogram, a trim and a raw portion: what the portion costs."""

    price: float
    trim: float
    portion_kg: float


def read_portion_cost(
    tokens: Sequence[Token], text: str, context: AskContext
) -> PortionCostQuestion | None:
    """Read 'portion cost 7.20/kg trim 8 190g'; the numbers are the asker's own."""
    line = said(tokens, text, context)
    portion, trim = line.only("mass"), line.percent_of("trim")
    prices = [value for _, value in line.bare() if value != trim]
    if not line.has("costing") or portion is None or len(prices) != 1:
        return None
    return PortionCostQuestion(prices[0], (trim or 0.0) / 100, portion.base)


def answer_portion_cost(question: PortionCostQuestion, context: AskContext) -> Answer:
    """Answer with the cost of one portion; cook loss is not divided out of a raw one."""
    q = question
    currency = context.cards.event.currency if context.cards else ""
    cost = Qty(round(portion_cost(q.price, q.trim, q.portion_kg), 2), currency, 2)
    reading = say(
        "{price} a kg as bought, {trim} trim, {portion} raw and trimmed",
        price=Qty(q.price, currency, 2),
        trim=percent(q.trim),
        portion=weight(q.portion_kg),
    )
    return Answer(
        (say("{cost} a portion.", cost=cost), say("Read as {reading}.", reading=reading)),
        numbers=(number("cost", cost),),
        read_as=reading,
        sources=(SUM,),
    )


TOPICS = (
    Topic("portion cost", Rank.EXACT, read_portion_cost, answer_portion_cost),
    Topic("cost", Rank.LOOSE, read_cost, answer_cost),
)
