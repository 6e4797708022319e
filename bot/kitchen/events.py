"""A new event from what was said: like another one, the house's dishes, checked as a folder is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from bot.cards import CardError, CardsError, cards_of, dish_in
from bot.cards.writing import crew_text, dish_text, event_text
from bot.kitchen.talk import Base, Said
from core.cook.plans import used_cards
from core.errors import KitchenError
from core.facts import CardKind
from core.model import Cards, Dish, Label, Line, Qty, say
from core.planner import capacity
from core.trial.event import dishes_for, event_lines, event_of
from core.trial.event_values import Context
from core.trial.fields import Field, Tap
from core.trial.goods import slug
from core.words.atoms import folded

MOST_TAPS = 4
MOST_MISTAKES = 3


def fitted(said: Said, each: Field, values: Mapping[str, str]) -> Field:
    """Return a field with the taps that only this house has: its events, its dishes."""
    if each.name == "like":
        taps = tuple(Tap(say("{name}", name=Label(base.name)), base.key, (folded(base.name),))
                     for base in said.bases[:MOST_TAPS])  # fmt: skip
        return replace(each, taps=taps)
    if each.name == "menu":
        dishes = [c.card for c in said.book.offered(CardKind.DISH)][:MOST_TAPS]
        known = dishes_known(said, values)
        taps = tuple(Tap(say("{name}", name=Label(known[d].name)), f"{d}=", (folded(d),))
                     for d in dishes if d in known)  # fmt: skip
        return replace(each, taps=taps)
    return each


def context_of(said: Said, values: Mapping[str, str]) -> Context:
    """Return what an answer may name here, and today at the site."""
    known = dishes_known(said, values)
    dishes = {folded(name): key for key, dish in known.items() for name in (key, dish.name)}
    likes = {folded(base.name): base.key for base in said.bases}
    likes |= {folded(base.key): base.key for base in said.bases}
    today = said.now.astimezone(said.host.zone).date()
    return Context(today, dishes, likes)


def dishes_known(said: Said, values: Mapping[str, str]) -> dict[str, Dish]:
    """Return every dish an event may serve: the other event's, and the house's own over them."""
    base = base_of(said, values)
    found = {dish.id: dish for dish in base.cards.dishes} if base is not None else {}
    for card in said.book.offered(CardKind.DISH):
        for name, text in card.texts.items():
            try:
                found[card.card] = dish_in(name, text)
            except CardsError:
                continue  # a card of an older release that reads no more is not offered
    return found


def base_of(said: Said, values: Mapping[str, str]) -> Base | None:
    """Return the event that this one is like."""
    wanted = values.get("like", "")
    return next((base for base in said.bases if base.key == wanted), None)


def built(said: Said, values: Mapping[str, str]) -> tuple[Cards, dict[str, str]]:
    """Return an event's cards and the texts of its folder, read back from them.

    Raises
    ------
    CardsError
        If what was said does not make an event, with every mistake.
    """
    base = base_of(said, values)
    if base is None:
        raise CardsError((CardError("kit.toml", 1, "", "there is no kit and crew", "choose one"),))
    event = event_of(values, slug(values["name"]), base.cards.event)
    dishes = dishes_for(event.menu, dishes_known(said, values))
    texts = {
        "event.toml": event_text(event),
        "kit.toml": base.texts["kit.toml"],
        "crew.toml": crew_text(base.cards.crew),
        **{f"dishes/{dish.id}.toml": dish_text(dish) for dish in dishes},
    }
    return cards_of(texts), texts


def shown_event(said: Said, values: Mapping[str, str]) -> tuple[Line, ...]:
    """Return an event as it stands, and what its kit, crew and window can feed."""
    try:
        cards, _ = built(said, values)
    except CardsError as bad:
        return mistakes(bad.errors)
    return (*event_lines(cards), _booking(cards))


def _booking(cards: Cards) -> Line:
    """Return what the kit, crew and window feed; first of all where that is fewer than asked."""
    try:
        found = capacity(used_cards(cards)[0])
    except KitchenError as bad:
        return Line(bad.template, {k: Label(str(v)) for k, v in bad.fields.items()})
    heads = Qty(cards.event.heads, "heads", 0)
    if not found.tight or cards.event.heads >= (found.fails or cards.event.heads + 1):
        return say("{heads} do not fit. {text}", heads=heads, text=found.text)
    if cards.event.heads > (found.ok or 0):
        return say("{heads} are tight. {text}", heads=heads, text=found.text)
    return say("{heads} fit. {text}", heads=heads, text=found.text)


def mistakes(errors: Sequence[CardError]) -> tuple[Line, ...]:
    """Return the first mistakes of cards, as 'pitcrier check' words them, and how many more."""
    lines = [say("{mistake}", mistake=Label(str(error)[:300])) for error in errors[:MOST_MISTAKES]]
    if len(errors) > MOST_MISTAKES:
        lines.append(say("And {n} more.", n=len(errors) - MOST_MISTAKES))
    return tuple(lines)
