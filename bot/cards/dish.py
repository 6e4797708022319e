"""A dish card: a tested batch, its ingredients as bought, its piece, its steps in order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bot.cards import readers as r
from bot.cards.errors import among
from bot.cards.section import Section, Sheet
from bot.cards.steps import StepRow, check_steps, read_step
from core.model import Batch, Dish, FoodClass, Hold, Ingredient, Piece

SAFETY = ("hot", "cold", "time")


@dataclass(frozen=True, slots=True)
class DishCard:
    """A dish, and the sections its parts were read from."""

    dish: Dish
    sheet: Sheet
    top: Section
    fits: Section
    ingredients: tuple[Section, ...]
    steps: tuple[StepRow, ...]


def read_dish_sheet(sheet: Sheet, stem: str) -> DishCard:
    """Return a dish; what is wrong with it is noted on the sheet."""
    top = sheet.top()
    dish_id = top.maybe("id", r.name) or stem
    piece = _piece(top.section("piece"))
    fits = top.section("fits")
    hold = _hold(top.section("hold"))
    ingredients = top.sections("ingredient")
    rows = tuple(read_step(section) for section in top.sections("step"))
    dish = Dish(
        id=dish_id,
        name=top.maybe("name", r.text) or dish_id,
        batch=top.need("batch", r.batch, Batch(1, "pieces")),
        portion=top.maybe("portion", r.batch),
        cuts=top.maybe("cuts", r.whole(1, 1000)),
        piece=piece,
        fits=_fits(fits),
        ingredients=tuple(_ingredient(section) for section in ingredients),
        steps=tuple(row.step for row in rows),
        hold=hold,
    )
    top.close()
    card = DishCard(dish, sheet, top, fits, ingredients, rows)
    _check_amounts(card)
    check_steps(rows, piece)
    return card


def _piece(s: Section) -> Piece:
    piece = Piece(
        weight_kg=s.maybe("weight", r.piece_kg),
        thickness_cm=s.maybe("thickness", r.thickness),
        footprint=s.maybe("footprint", r.rectangle),
        food_class=s.maybe("class", r.one_of(FoodClass)),
        fat=s.maybe("fat", r.part),
    )
    s.close()
    return piece


def _fits(s: Section) -> Mapping[str, int]:
    """Return pieces per rack or batch by station; here the keys are the crew's own names."""
    return {key: s.take(key, r.whole(1, 10_000), 1) for key in s.keys()}  # noqa: SIM118 (no dict)


def _hold(s: Section) -> Hold:
    hold = Hold(
        min_temp_c=s.maybe("min_temp", r.food_temp),
        quality_max_min=s.maybe("quality_max", r.some_time),
        safety=s.maybe("safety", r.choice(*SAFETY)) or "",
    )
    s.close()
    if hold.min_temp_c is not None and hold.safety == "cold":
        s.wrong("min_temp", "what is held cold has no lowest temperature", 'safety = "hot"?')
    return hold


def _ingredient(s: Section) -> Ingredient:
    card = s.maybe("card", r.name)
    amount = s.maybe("qty", r.batch)
    ingredient = Ingredient(
        name=s.maybe("name", r.text) or card or "",
        card=card,
        qty=amount.amount if amount else None,
        unit=amount.unit if amount else "",
        parts=s.maybe("parts", r.number(0.01, 1000)),
        fill_to_l=s.maybe("fill_to", r.litres),
        eaten=s.take("eaten", r.flag, True),
        trim=s.take("trim", r.lost, "0 %"),
        cook_yield=s.maybe("cook_yield", r.left),
        allergens=s.maybe("allergens", r.names(r.allergen)),
        may_contain=s.take("may_contain", r.names(r.allergen), []),
        label_confirmed=s.take("label_confirmed", r.flag, False),
        packs=s.take("packs", r.listed(r.pack), []),
    )
    s.close()
    _check_ingredient(s, ingredient)
    return ingredient


def _check_ingredient(s: Section, x: Ingredient) -> None:
    if not s.has("name") and not s.has("card"):
        s.wrong("", "has neither name nor card", "name a good, or the id of another card")
    if s.has("qty") and (s.has("parts") or s.has("fill_to")):
        s.wrong("qty", "is given beside parts or fill_to", "either qty, or parts and fill_to")
    if not (s.has("qty") or s.has("parts") or s.has("fill_to")):
        s.wrong("", "has no amount", 'qty = "1.9 kg", or parts and fill_to')
    if x.card and s.has("allergens"):
        s.wrong("allergens", f"the card {x.card} says what is in it", "leave it out here")
    if x.unit == "portions":
        s.wrong("qty", "nobody buys portions", "give kg, L or pieces")
    if both := set(x.allergens or ()) & set(x.may_contain):
        s.wrong("may_contain", f"{min(both)} is in allergens already", "say it once")
    for pack in x.packs:
        if x.unit and pack.unit != x.unit:
            s.wrong("packs", f"a pack in {pack.unit} of what is in {x.unit}", "use the same unit")


def _check_amounts(card: DishCard) -> None:
    dish, top = card.dish, card.top
    if not dish.ingredients:
        top.wrong("", "there is no ingredient", "begin each with [[ingredient]]")
    if not dish.steps:
        top.wrong("", "there is no step", "begin each with [[step]] and do")
    if dish.portion is None:
        return
    if dish.portion.unit == "portions":
        top.wrong("portion", "a portion is not made of portions", 'like "2 pieces" or "162 g"')
    elif _too_big(dish.portion, dish.batch):
        top.wrong("portion", "is more than the whole batch", "check both amounts")
    counted = {dish.batch.unit, dish.portion.unit}
    if "pieces" in counted and counted & {"kg", "L"} and dish.piece.weight_kg is None:
        top.wrong(
            "portion", "in pieces and by weight at once", "give the [piece] a weight, or one unit"
        )


def _too_big(portion: Batch, batch: Batch) -> bool:
    return portion.unit == batch.unit and portion.amount > batch.amount


def check_cards(cards: tuple[DishCard, ...]) -> None:
    """Note every card reference that leads nowhere, or round in a circle."""
    by_id = {card.dish.id: card for card in cards}
    for card in cards:
        for x, s in zip(card.dish.ingredients, card.ingredients, strict=True):
            if x.card and x.card not in by_id:
                s.wrong("card", f"there is no dish {x.card}", among(x.card, tuple(by_id)))
            elif x.card and card.dish.id in _made_from(x.card, by_id):
                s.wrong(
                    "card",
                    f"{x.card} is itself made from {card.dish.id}",
                    "no card may wait for itself",
                )


def _made_from(dish_id: str, by_id: Mapping[str, DishCard]) -> set[str]:
    """Return the dish and all cards it is made from, near or far."""
    found: set[str] = set()
    waiting = [dish_id]
    while waiting:
        one = waiting.pop()
        if one not in found and one in by_id:
            found.add(one)
            waiting += [x.card for x in by_id[one].dish.ingredients if x.card]
    return found
