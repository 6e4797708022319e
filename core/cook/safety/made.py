"""Batches as they were made and brands swapped: what every answer on allergens rests on.

A batch is known because somebody said so, or because the mixing on its card was ticked. The label
of another brand counts for every batch that may hold it, and so does the card's: only when all
batches of a dish are younger than the swap does the new label stand alone.
"""

from __future__ import annotations

from datetime import datetime

from core.allergens.contents import Made, Swap
from core.allergens.words import same_thing
from core.cook.decision import Dated, Decision
from core.cook.names import dish_name
from core.cook.safety.book import Batch, Brand
from core.cook.state import Cook, Phase, items
from core.errors import OutOfRangeError, UnknownNameError
from core.facts import BatchMade, MakeBatch
from core.model import Answer, Cards, Clock, Label, Number, Task, say
from core.safety.holding import date_mark

MAKES = frozenset({"mix", "blend", "dress", "fill", "reduce", "toast", "make", "assemble"})
"""What is done when a batch is there; boiling and chilling prepare one (common practice)."""

MOST_BATCHES = 99


def made_of(cook: Cook) -> Made:
    """Return batches and brands as the log has them."""
    if cook.cards is None:
        return Made({})
    batches = batches_of(cook)
    latest: dict[str, tuple[int, datetime]] = {}
    first: dict[str, datetime] = {}
    added: dict[str, tuple[str, ...]] = {}
    for batch in batches:
        latest[batch.dish] = (batch.number, batch.at)
        first.setdefault(batch.dish, batch.at)
        added[batch.dish] = (*added.get(batch.dish, ()), *batch.uses)
    nowhere = tuple(b.ingredient for b in cook.safety.brands if not named(cook.cards, b.ingredient))
    if nowhere:
        added[""] = nowhere
    brands = sorted(cook.safety.brands, key=lambda b: b.allergens is None)  # the open ones decide
    return Made(latest, tuple(_swap(b) for b in brands), first, added)


def _swap(brand: Brand) -> Swap:
    return Swap(
        brand.ingredient,
        None,  # it may have been in use before anybody said so
        brand.allergens,
        brand.may_contain,
        confirmed=brand.allergens is not None,
        seen=brand.at,
        own=not brand.other,
    )


def batches_of(cook: Cook) -> tuple[Batch, ...]:
    """Return every batch known, oldest first; ticks of the card's mixing count as made."""
    told = list(cook.safety.batches)
    ticked: list[Batch] = []
    for item in items(cook.plan).values() if cook.plan else ():
        job = cook.job(item.id) if isinstance(item, Task) else cook.job(item.key)
        if item.do in MAKES and item.dish and job.phase is Phase.OVER and job.ended:
            ticked.append(Batch(item.dish, 0, job.ended))
    ticked = [t for t in ticked if not any(_is_told(t, b) for b in told)]
    found = sorted((*told, *ticked), key=lambda b: (b.at, b.number))
    count: dict[str, int] = {}
    numbered = []
    for batch in found:
        number = batch.number or count.get(batch.dish, 0) + 1
        count[batch.dish] = max(number, count.get(batch.dish, 0))
        numbered.append(Batch(batch.dish, number, batch.at, batch.uses))
    return tuple(numbered)


def _is_told(ticked: Batch, told: Batch) -> bool:
    """Say whether a tick and a word are of the same batch: within half an hour."""
    return ticked.dish == told.dish and abs((ticked.at - told.at).total_seconds()) <= 1800


def goods_of(cards: Cards) -> tuple[str, ...]:
    """Return the ingredients of all cards, each once."""
    names = (i.name for d in cards.dishes for i in d.ingredients if i.card is None)
    return tuple(dict.fromkeys(names))


def named(cards: Cards, ingredient: str) -> tuple[str, ...]:
    """Return the ingredients of all cards that somebody may have meant."""
    return tuple(name for name in goods_of(cards) if same_thing(ingredient, name))


def batch_made(cook: Cook, wish: MakeBatch, at: datetime) -> Decision:
    """Book a batch as made; what went in beside the card is a label nobody has read."""
    cards = cook.cards
    dish = next((d for d in cards.dishes if d.id == wish.dish), None) if cards else None
    if cards is None or dish is None:
        raise UnknownNameError("dish", wish.dish, ", ".join(d.id for d in cards.dishes)
                               if cards else "")  # fmt: skip
    if wish.number is not None and not 1 <= wish.number <= MOST_BATCHES:
        raise OutOfRangeError("batch", wish.number, f"1 to {MOST_BATCHES}")
    known = [b.number for b in batches_of(cook) if b.dish == dish.id]
    number = wish.number or max(known, default=0) + 1
    beside = tuple(u for u in wish.uses if not _on_card(cards, dish.id, u))
    fact = BatchMade(dish.id, number, beside)
    name = Label(dish_name(dish.id, cards))
    lines = [say("{dish} batch {number}, made {clock}.", dish=name, number=number,
                 clock=Clock(at))]  # fmt: skip
    if beside:
        lines.append(
            say("{names}: not on the card, so no allergen is ruled out in it.",
                names=Label(", ".join(beside)))
        )  # fmt: skip
    line = date_mark(cards.event.profile)
    lines += [line] if line is not None else []
    numbers = (Number("batch", number, "count"),)
    return Decision((Dated(at, fact),), Answer(tuple(lines), numbers=numbers))


def _on_card(cards: Cards, dish: str, ingredient: str) -> bool:
    """Say whether a thing is on a dish's card or on the cards it is made of."""
    wanted, seen = [dish], set[str]()
    while wanted:
        looked = wanted.pop()
        card = next((d for d in cards.dishes if d.id == looked), None)
        if card is None or card.id in seen:
            continue
        seen.add(card.id)
        if any(same_thing(ingredient, i.card or i.name) for i in card.ingredients):
            return True
        wanted += [i.card for i in card.ingredients if i.card]
    return False
