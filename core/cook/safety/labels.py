"""Labels: another brand flips every dish that uses it; two people who agree on a label close it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from core.allergens.answers import joined, swap_answer
from core.allergens.contents import Swap, dishes_using
from core.allergens.words import NAMES
from core.cook.decision import Dated, Decision, Notice
from core.cook.safety.made import made_of, named
from core.cook.state import Cook
from core.errors import CannotPlanError, NotAllowedError
from core.facts import (
    AgreeLabel,
    BrandSwapped,
    Choice,
    LabelConfirmed,
    LabelShown,
    QuestionAsked,
    ReadLabel,
    ShowLabel,
    SwapBrand,
)
from core.model import (
    Answer,
    Cards,
    Label,
    Lead,
    Line,
    Person,
    Role,
    Sound,
    Verdict,
    say,
)


def cards_of(cook: Cook) -> Cards:
    """Return the cards; without any there is nothing to read a label for."""
    if cook.cards is None:
        raise CannotPlanError("nothing is cooking yet")
    return cook.cards


def meant(cards: Cards, ingredient: str) -> str:
    """Return a card's name for what was said; the word itself where it may be several."""
    found = named(cards, ingredient)
    return found[0] if len(found) == 1 else ingredient


def keepers(cards: Cards) -> tuple[Person, ...]:
    """Return who keeps the allergen sheet: the chef and the allergy person, once each."""
    people = [cards.chef, cards.leading(Lead.ALLERGY)]
    return tuple({p.id: p for p in people if p is not None}.values())


def brand_swapped(cook: Cook, wish: SwapBrand, by: str, at: datetime) -> Decision:
    """Book another brand; its dishes answer NOT CONFIRMED from this moment on."""
    cards = cards_of(cook)
    found = named(cards, wish.ingredient)
    ingredient = meant(cards, wish.ingredient)
    answer = replace(swap_answer(cards, made_of(cook), Swap(ingredient)), question=None, choices=())
    fact = Dated(at, BrandSwapped(ingredient, wish.photo))
    dishes = [d.name for d in dishes_using(cards, ingredient)] if found else []
    if not found:
        lines = (
            say("{verdict}: every dish, for every allergen. '{what}' is on no card.",
                verdict=Verdict.NOT_CONFIRMED, what=Label(ingredient)),
            say("Which card's ingredient is it? Until then the lane asks the chef."),
        )  # fmt: skip
        answer = Answer(lines, Verdict.NOT_CONFIRMED)
    return Decision((fact,), answer, _lane(cook, cards, dishes, by))


def _lane(cook: Cook, cards: Cards, dishes: list[str], by: str) -> tuple[Notice, ...]:
    """Return word to everybody whom guests ask; who must read the label is called, see `watch`."""
    lane = tuple(
        p.id
        for p in cards.crew
        if (p.role in {Role.LANE, Role.FRONT, Role.RUNNER} or Lead.FRONT in p.leads) and p.id != by
    )
    names = Label(", ".join(dishes)) if dishes else say("every dish")
    chef = Label(cards.chef.name if cards.chef else "?")
    told = say("NOT CONFIRMED: allergens of {names}. Asked about one? Ask {chef}.",
               names=names, chef=chef)  # fmt: skip
    notice = Notice(f"brand/{cook.seq}", lane, (told,), Sound.ONCE, kind="finding")
    return (notice,) if lane else ()


def label_shown(cook: Cook, wish: ShowLabel, at: datetime) -> Decision:
    """Keep a picture of a label; a picture alone confirms nothing."""
    ingredient = meant(cards_of(cook), wish.ingredient)
    line = say("Photo kept with {what}. Not confirmed until somebody reads it out.",
               what=Label(ingredient))  # fmt: skip
    return Decision((Dated(at, LabelShown(ingredient, wish.photo)),),
                    Answer((line,), Verdict.NOT_CONFIRMED))  # fmt: skip


def label_read(cook: Cook, wish: ReadLabel, by: str, at: datetime) -> Decision:
    """Take what a label says to the other of chef and allergy person; alone, they confirm it."""
    cards = cards_of(cook)
    people = keepers(cards)
    mine = next((p for p in people if p.id == by), None)
    if mine is None:
        raise NotAllowedError("the allergen sheet", " / ".join(p.name for p in people) or "?")
    if not named(cards, wish.ingredient):
        raise CannotPlanError("no card uses '{what}'", what=wish.ingredient)
    label = ReadLabel(meant(cards, wish.ingredient), wish.allergens, wish.may_contain, wish.photo)
    others = [p for p in people if p.id != by]
    if not others:
        return _confirmed(cook, label, by, by, at)
    lines = (
        say("Label of {what}, read by {who}: {list}. Is it so?", what=Label(label.ingredient),
            who=Label(mine.name), list=told_of(label)),
    )  # fmt: skip
    picks = (Choice(say("so it is"), AgreeLabel(label, by)), Choice(say("leave it")))
    to = tuple(p.id for p in others)
    question = QuestionAsked(f"label/{cook.seq}", to, lines, picks, Sound.ALARM)
    notice = Notice(question.key, to, lines, Sound.ALARM, tuple(p.line for p in picks),
                    kind="finding")  # fmt: skip
    answer = Answer(
        (
            say("{verdict}: {who} must agree. {what}: {list}.", verdict=Verdict.NOT_CONFIRMED,
                who=Label(others[0].name), what=Label(label.ingredient), list=told_of(label)),
        ),
        Verdict.NOT_CONFIRMED,
    )  # fmt: skip
    return Decision((Dated(at, question),), answer, (notice,))


def label_agreed(cook: Cook, wish: AgreeLabel, by: str, at: datetime) -> Decision:
    """Confirm a label that somebody else read."""
    people = {p.id for p in keepers(cards_of(cook))}
    if by not in people or by == wish.first:
        raise NotAllowedError("the allergen sheet", ", ".join(sorted(people)))
    return _confirmed(cook, wish.label, wish.first, by, at)


def _confirmed(cook: Cook, label: ReadLabel, first: str, by: str, at: datetime) -> Decision:
    cards = cards_of(cook)
    fact = LabelConfirmed(
        label.ingredient, label.allergens, label.may_contain, first, by, label.photo
    )
    dishes = Label(", ".join(d.name for d in dishes_using(cards, label.ingredient)))
    line = say("Label of {what} confirmed: {list}. In {dishes}.", what=Label(label.ingredient),
               list=told_of(label), dishes=dishes)  # fmt: skip
    lane = tuple(
        p.id
        for p in cards.crew
        if (p.role in {Role.LANE, Role.FRONT} or Lead.FRONT in p.leads or p.id == first)
        and p.id != by
    )
    notice = Notice(f"label/{cook.seq}/done", lane, (line,), Sound.ONCE, kind="finding")
    return Decision((Dated(at, fact),), Answer((line,)), (notice,) if lane else ())


def told_of(label: ReadLabel) -> Line:
    """Return what a label says, as it is said back."""
    inside = tuple(NAMES[t] for t in label.allergens if t in NAMES)
    perhaps = tuple(NAMES[t] for t in label.may_contain if t in NAMES)
    if inside and perhaps:
        return say("{list}; may contain {more}", list=joined(inside), more=joined(perhaps))
    if perhaps:
        return say("may contain {more}", more=joined(perhaps))
    return joined(inside) if inside else say("no allergen on it")
