"""What a guest's question about allergens gets: the verdict, where it is, whom to call."""

from __future__ import annotations

from collections.abc import Sequence

from core.allergens.contents import (
    NOTHING_MADE,
    Content,
    Made,
    Swap,
    contains,
    dishes_using,
    served,
)
from core.allergens.lists import legal_list
from core.allergens.words import NAMES, is_within
from core.model import Answer, Cards, Clock, Dish, Label, Lead, Line, Profile, Source, Verdict, say

LABELS = Source("labels", "labels of the ingredients on the cards", "", "card")


def allergen_answer(
    cards: Cards,
    made: Made,
    what: tuple[str, ...],
    profile: Profile | None = None,
    dish: str | None = None,
) -> Answer:
    """Return what a guest's question about allergens gets: verdict, where it is, whom to call.

    Parameters
    ----------
    cards
        The event's cards.
    made
        Batches made and brands swapped.
    what
        The allergens asked for, ids of the table.
    profile
        Only for the note that an allergen is on no list of that law; never for the verdict.
    dish
        The dish asked about; None looks at the whole menu.
    """
    if dish is not None:
        return _of_dish(cards, cards.dish(dish), made, what, profile)
    return _of_menu(cards, made, what)


def _of_dish(
    cards: Cards, dish: Dish, made: Made, what: tuple[str, ...], profile: Profile | None
) -> Answer:
    found = tuple(contains(cards, dish, token, made) for token in what)
    verdict = _worst(found)
    also = _also(cards, dish, made, what)
    lines = [
        _first(verdict, dish, found, also),
        _batch_line(dish, made, found),
        _near_line(cards, dish, made),
        _call_line(cards),
        _list_note(what, profile),
    ]
    return Answer(tuple(line for line in lines if line)[:4], verdict, sources=(LABELS,))


def _also(cards: Cards, dish: Dish, made: Made, what: tuple[str, ...]) -> tuple[str, ...]:
    """Return what else is in a dish, the wider word for two of one kind."""
    inside = [t for t in NAMES if contains(cards, dish, t, made).verdict is Verdict.YES]
    other = [t for t in inside if not any(is_within(t, each) for each in what)]
    return widest(other)


def widest(tokens: Sequence[str]) -> tuple[str, ...]:
    """Return the tokens that are within none of the others.

    Examples
    --------
    >>> widest(["hazelnut", "nuts", "milk"])
    ('nuts', 'milk')
    """
    return tuple(t for t in tokens if not any(is_within(t, each) for each in tokens if each != t))


def _worst(found: tuple[Content, ...]) -> Verdict:
    order = (Verdict.YES, Verdict.NOT_CONFIRMED, Verdict.NO)
    return min((each.verdict for each in found), key=order.index, default=Verdict.NOT_CONFIRMED)


def _first(verdict: Verdict, dish: Dish, found: tuple[Content, ...], also: tuple[str, ...]) -> Line:
    text = _single(verdict, dish, found[0]) if len(found) == 1 else _pairs(verdict, dish, found)
    if not also:
        return text
    names = joined(tuple(NAMES[token] for token in also))
    return say("{answer} Also in it: {list}.", answer=text, list=names)


def _pairs(verdict: Verdict, dish: Dish, found: tuple[Content, ...]) -> Line:
    return say(
        "{verdict}. {dish}: {list}.",
        verdict=verdict,
        dish=Label(dish.name),
        list=joined(tuple(_pair(each) for each in found)),
    )


def _single(verdict: Verdict, dish: Dish, found: Content) -> Line:
    name, dish_name = NAMES[found.token], Label(dish.name)
    match found.verdict:
        case Verdict.YES:
            return say(
                "{verdict}. {dish}: {allergen} in {where}.",
                verdict=verdict,
                dish=dish_name,
                allergen=name,
                where=Label(", ".join(found.where[:3])),
            )
        case Verdict.NO:
            return say(
                "{verdict}. {dish}: no {allergen}, every label confirmed.",
                verdict=verdict,
                dish=dish_name,
                allergen=name,
            )
        case _:
            return say(
                "{verdict}. {dish}: {allergen} not ruled out. Don't serve it to them.",
                verdict=verdict,
                dish=dish_name,
                allergen=name,
            )


def _pair(found: Content) -> Line:
    name = NAMES[found.token]
    match found.verdict:
        case Verdict.YES:
            return say("{allergen} YES", allergen=name)
        case Verdict.NO:
            return say("{allergen} NO", allergen=name)
        case _:
            return say("{allergen} NOT CONFIRMED", allergen=name)


def _batch_line(dish: Dish, made: Made, found: tuple[Content, ...]) -> Line:
    gaps = tuple(dict.fromkeys(name for each in found for name in each.open))
    unread = say("Label not confirmed: {names}.", names=Label(", ".join(gaps[:4])))
    batch = made.batches.get(dish.id)
    if batch is None:
        return unread if gaps else say("From the card; no batch is logged yet.")
    told = say("Batch {number}, made {at}.", number=batch[0], at=Clock(batch[1]))
    return say("{batch} {gaps}", batch=told, gaps=unread) if gaps else told


def joined(lines: tuple[Line, ...]) -> Line:
    """Return lines as one list."""
    whole = lines[0]
    for each in lines[1:]:
        whole = say("{list}, {next}", list=whole, next=each)
    return whole


def made_near(cards: Cards, dish: Dish, made: Made = NOTHING_MADE) -> tuple[tuple[str, str], ...]:
    """Return allergens of other dishes made on the same stations: (allergen, station)."""
    mine = {step.station for step in dish.steps if step.station}
    inside = {token for token in NAMES if contains(cards, dish, token, made).verdict is Verdict.YES}
    found: dict[str, str] = {}
    for other in cards.dishes:
        shared = mine & {step.station for step in other.steps if step.station}
        if other.id == dish.id or not shared:
            continue
        for token in NAMES:
            if token not in inside and contains(cards, other, token, made).verdict is Verdict.YES:
                found.setdefault(token, min(shared))
    return tuple(found.items())


def _near_line(cards: Cards, dish: Dish, made: Made) -> Line | None:
    near = made_near(cards, dish, made)
    if not near:
        return None
    names = tuple(NAMES[token] for token in widest([token for token, _ in near])[:5])
    return say("Made near: {list} (same {place}).", list=joined(names), place=Label(near[0][1]))


def _list_note(what: tuple[str, ...], profile: Profile | None) -> Line | None:
    if profile is None:
        return None
    listed = legal_list(profile)
    off = tuple(NAMES[t] for t in what if not any(is_within(t, each) for each in listed))
    if not off:
        return None
    return say("On no list of the law here, and told all the same: {list}.", list=joined(off))


def _call_line(cards: Cards) -> Line:
    who = cards.leading(Lead.ALLERGY) or cards.chef
    if who is None:
        return say("Severe allergy: ask the chef before serving.")
    return say("Severe allergy: call {who} before serving.", who=Label(who.name))


def _of_menu(cards: Cards, made: Made, what: tuple[str, ...]) -> Answer:
    dishes = served(cards)
    found = [(dish, tuple(contains(cards, dish, t, made) for t in what)) for dish in dishes]
    by = {
        verdict: tuple(dish.name for dish, each in found if _worst(each) is verdict)
        for verdict in (Verdict.YES, Verdict.NOT_CONFIRMED, Verdict.NO)
    }
    verdict = next((v for v, names in by.items() if names), Verdict.NOT_CONFIRMED)
    lines = [_menu_line(verdict, what, found, by[verdict])]
    if verdict is not Verdict.NOT_CONFIRMED and by[Verdict.NOT_CONFIRMED]:
        names = Label(", ".join(by[Verdict.NOT_CONFIRMED]))
        lines.append(say("Not confirmed, don't serve: {names}.", names=names))
    if verdict is not Verdict.NO and by[Verdict.NO]:
        lines.append(say("Without, every label confirmed: {names}.",
                         names=Label(", ".join(by[Verdict.NO]))))  # fmt: skip
    lines.append(_call_line(cards))
    return Answer(tuple(lines), verdict, sources=(LABELS,))


def _menu_line(
    verdict: Verdict,
    what: tuple[str, ...],
    found: list[tuple[Dish, tuple[Content, ...]]],
    names: tuple[str, ...],
) -> Line:
    asked = joined(tuple(NAMES[token] for token in what))
    dishes = Label(", ".join(names) or "?")
    match verdict:
        case Verdict.YES:
            inside = (
                f"{dish.name} ({', '.join(dict.fromkeys(w for c in each for w in c.where[:2]))})"
                for dish, each in found
                if dish.name in names
            )
            return say(
                "{verdict}. {allergen}: {names}.",
                verdict=verdict,
                allergen=asked,
                names=Label(", ".join(inside)),
            )
        case Verdict.NO:
            return say(
                "{verdict}. No {allergen} in {names}, every label confirmed.",
                verdict=verdict,
                allergen=asked,
                names=dishes,
            )
        case _:
            return say(
                "{verdict}. {allergen} not ruled out: {names}. Don't serve.",
                verdict=verdict,
                allergen=asked,
                names=dishes,
            )


# ------------------------------------------------------------------ swaps


def swap_answer(cards: Cards, made: Made, swap: Swap) -> Answer:
    """Return what a swapped brand does: its dishes are not confirmed until the label is."""
    del made
    hit = dishes_using(cards, swap.ingredient)
    names = Label(", ".join(dish.name for dish in hit) or swap.ingredient)
    if swap.confirmed and swap.allergens is not None:
        text = say("Label confirmed for {names}.", names=names)
        return Answer((text,), sources=(LABELS,))
    lines = (
        say(
            "{verdict}: allergens of {names}, until the label is photographed and confirmed.",
            verdict=Verdict.NOT_CONFIRMED,
            names=names,
        ),
        say("Tell the lane: ask the chef."),
    )
    return Answer(
        lines,
        Verdict.NOT_CONFIRMED,
        question=say("Photo of the label?"),
        choices=(say("photo"),),
        sources=(LABELS,),
    )
