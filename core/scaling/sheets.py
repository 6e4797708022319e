"""What the paper carries: prep by station and day, load-out, tub labels, the buy list by supplier.

Values only; drawing them as text, CSV or PDF is the edge's work.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil

from core.model import Buy, Cards, Dish, StationKind, Step
from core.scaling.expand import batches_for, menu_prepared, needs_of
from core.scaling.lists import buy_list

_EXACT = 1e-9


@dataclass(frozen=True, slots=True)
class Amount:
    """So much of a thing, kg, L, pieces or portions."""

    name: str
    qty: float
    unit: str


@dataclass(frozen=True, slots=True)
class PrepLine:
    """One job of the prep sheet: do what to how much of which dish, with what goes in.

    `never_over_min` is the hard maximum, printed large; `day` 0 is the day of the event.
    """

    day: int
    station: str
    dish: str
    do: str
    total: Amount
    ideal_min: float | None
    never_over_min: float | None
    keep_below_c: float | None
    goods: tuple[Amount, ...] = ()


def prep_sheet(
    cards: Cards, heads: int, fixed: Mapping[str, int] | None = None
) -> tuple[PrepLine, ...]:
    """Every step of every dish and card inside it, by day, then station, in the order of the card.

    The goods of a card stand with its first step: that is where somebody weighs them.
    """
    lines: list[PrepLine] = []
    for dish, batches in _made_dishes(cards, heads, fixed):
        total = Amount(dish.name, batches * dish.batch.amount, dish.batch.unit)
        goods = tuple(
            Amount(n.label, n.qty, n.unit) for n in needs_of(cards, dish, batches) if n.of is dish
        )
        for index, step in enumerate(dish.steps):
            lines.append(_prep_line(dish, step, total, goods if index == 0 else ()))
    return tuple(sorted(lines, key=lambda line: (line.day, line.station)))


def _prep_line(dish: Dish, step: Step, total: Amount, goods: tuple[Amount, ...]) -> PrepLine:
    return PrepLine(
        step.day or 0,
        step.station or "",
        dish.name,
        step.do,
        total,
        step.ideal_min,
        step.never_over_min,
        step.keep_below_c,
        goods,
    )


def _made_dishes(
    cards: Cards, heads: int, fixed: Mapping[str, int] | None
) -> list[tuple[Dish, float]]:
    """Return every card that is made with its batches: menu dishes and the cards inside them."""
    batches: dict[str, float] = {}
    for dish_id, portions in menu_prepared(cards, heads, fixed).items():
        dish = cards.dish(dish_id)
        if not portions:
            continue
        count = batches_for(dish, portions)
        batches[dish_id] = batches.get(dish_id, 0.0) + count
        for need in needs_of(cards, dish, count):
            if need.card is not None:
                inner = need.qty / need.card.batch.amount
                batches[need.card.id] = batches.get(need.card.id, 0.0) + inner
    inside_first = sorted(batches, key=lambda d: _depth(cards, cards.dish(d)))
    return [(cards.dish(d), batches[d]) for d in inside_first]


def _depth(cards: Cards, dish: Dish) -> int:
    inner = [cards.dish(x.card) for x in dish.ingredients if x.card]
    return 1 + max((_depth(cards, d) for d in inner), default=0)


@dataclass(frozen=True, slots=True)
class TubLabel:
    """What goes on the tape: what, how much, which tub of how many, what is in it.

    `allergens` None means that not every ingredient is known, and the label must say so.
    """

    what: str
    number: int
    of: int
    total: Amount
    allergens: tuple[str, ...] | None
    may_contain: tuple[str, ...]
    keep_below_c: float | None
    never_over_min: float | None


def tub_labels(
    cards: Cards, heads: int, fixed: Mapping[str, int] | None = None
) -> tuple[TubLabel, ...]:
    """One label for each tub or lot of everything that is made."""
    labels: list[TubLabel] = []
    for dish, batches in _made_dishes(cards, heads, fixed):
        total = batches * dish.batch.amount
        lots = [step for step in dish.steps if step.lot]
        each = lots[0].lot if lots and lots[0].lot else total
        count = max(ceil(total / each - _EXACT), 1) if each else 1
        allergens, may = _allergens(cards, dish)
        strict = [s.never_over_min for s in dish.steps if s.never_over_min is not None]
        cold = [s.keep_below_c for s in dish.steps if s.keep_below_c is not None]
        for number in range(1, count + 1):
            share = min(each, total - each * (number - 1))
            labels.append(
                TubLabel(
                    dish.name,
                    number,
                    count,
                    Amount(dish.name, share, dish.batch.unit),
                    allergens,
                    may,
                    min(cold, default=None),
                    min(strict, default=None),
                )
            )
    return tuple(labels)


def _allergens(cards: Cards, dish: Dish) -> tuple[tuple[str, ...] | None, tuple[str, ...]]:
    """Return what is known to be in a dish; None as soon as one label is not confirmed."""
    found: set[str] = set()
    may: set[str] = set()
    known = True
    for need in needs_of(cards, dish, 1.0):
        good = need.ingredient
        may.update(good.may_contain)
        if good.card:
            continue
        if good.allergens is None or not good.label_confirmed:
            known = False
        found.update(good.allergens or ())
    return (tuple(sorted(found)) if known else None), tuple(sorted(may))


@dataclass(frozen=True, slots=True)
class LoadOutItem:
    """One thing to carry to the van: `id` is stable, so that three people can tick at once."""

    id: str
    group: str
    what: str
    count: int
    spare: bool = False


_ALWAYS_TWO = (
    "lighter",
    "instant-read thermometer",
    "tongs",
    "tin opener",
    "corkscrew",
    "gas spanner",
    "fuse",
    "torch",
)
"""Two of anything that stops the job; common practice."""

_ALWAYS = (
    "handwash set",
    "soap and paper",
    "sanitiser and strips",
    "fire extinguisher",
    "bucket and lid for ash",
    "first-aid kit",
    "bin bags",
    "allergy sheet",
    "emergency card",
)


def load_out_list(
    cards: Cards, heads: int, fixed: Mapping[str, int] | None = None
) -> tuple[LoadOutItem, ...]:
    """Everything that leaves the yard: stations, tubs of food, probes, and what stops the job.

    Shelter, tables, fire gear and handwash go in last, because they come out first.
    """
    items = [
        LoadOutItem(f"tub/{label.what}/{label.number}", "food", label.what, 1)
        for label in tub_labels(cards, heads, fixed)
    ]
    items += [LoadOutItem(f"probe/{p.id}", "probes", p.id, 1) for p in cards.kit.probes]
    items += [LoadOutItem(f"two/{name}", "spares", name, 2, spare=True) for name in _ALWAYS_TWO]
    items += [LoadOutItem(f"always/{name}", "site", name, 1) for name in _ALWAYS]
    stays = {StationKind.FRIDGE, StationKind.TUB}
    families: dict[str, int] = {}
    for station in cards.kit.stations:
        if station.kind not in stays:
            families[station.family or station.id] = (
                families.get(station.family or station.id, 0) + 1
            )
    items += [LoadOutItem(f"kit/{name}", "stations", name, n) for name, n in families.items()]
    return tuple(items)


@dataclass(frozen=True, slots=True)
class Supplier:
    """The lines of the buy list that go to one supplier."""

    name: str
    lines: tuple[Buy, ...]


def buy_by_supplier(
    cards: Cards,
    heads: int,
    suppliers: Mapping[str, str],
    fixed: Mapping[str, int] | None = None,
) -> tuple[Supplier, ...]:
    """The buy list sorted by who sells it.

    Parameters
    ----------
    suppliers
        Supplier by good, folded name; what is not named stands under ''.
    """
    groups: dict[str, list[Buy]] = {}
    for line in buy_list(cards, heads, fixed):
        groups.setdefault(suppliers.get(line.item.casefold(), ""), []).append(line)
    return tuple(Supplier(name, tuple(lines)) for name, lines in sorted(groups.items()))
