"""Another head count as a table of ticks and crosses: what there is against what it takes.

What was bought and steeped for the old count is what there is; a portion may come out a tenth
smaller before it counts as short.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import ceil, floor

from core.cook.decision import Notice
from core.cook.names import dish_name, listed
from core.cook.slips.force import in_force
from core.cook.state import Cook
from core.cook.subjects import plan_of
from core.errors import OutOfRangeError, UnknownNameError
from core.facts import HeadsChanged
from core.model import (
    Cards,
    Clock,
    Dish,
    FoodClass,
    Ingredient,
    Label,
    Line,
    Load,
    MenuItem,
    Moment,
    Number,
    Per,
    Person,
    Plan,
    Qty,
    Role,
    Sound,
    say,
)
from core.scaling.expand import menu_prepared, portion_of
from core.scaling.heads import eaters, split_groups
from core.scaling.lists import buy_list
from core.scaling.loads import pieces_of_portions
from core.scaling.season import dose

SMALLER = 0.9
"""A portion may come out so much smaller, scoops level; common practice."""

STEEPS = frozenset({"brine", "marinate", "cure"})
FEW_PIECES = 4


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table: does it hold, in words, and its numbers."""

    ok: bool
    line: Line
    numbers: tuple[Number, ...] = ()


def split_of(cook: Cook, heads: int, told: Mapping[str, int], *, more: bool) -> dict[str, int]:
    """Return who eats what by dish when it was told for some: the largest dish takes the rest.

    Raises
    ------
    UnknownNameError
        If no dish of the menu's split is meant.
    OutOfRangeError
        If more eat a dish than there are people.
    """
    assert cook.cards is not None
    cards = in_force(cook.cards, cook.slips)
    group = next((g for g in split_groups(cards.event) if len(g) > 1), ())
    if not group:
        raise UnknownNameError("split of the menu", ", ".join(told), "one main for everybody")
    was = eaters(cards.event, cook.heads)
    main = max(group, key=lambda item: item.heads or 0)
    new = {item.dish: was[item.dish] for item in group}
    for word, count in told.items():
        dish = _meant(cards, group, main, word)
        new[dish] = new[dish] + count if more else count
    untold = [d for d in new if d not in {_meant(cards, group, main, w) for w in told}]
    rest = main.dish if main.dish in untold or not untold else untold[0]
    if untold:
        new[rest] = heads - sum(n for dish, n in new.items() if dish != rest)
    if any(n < 0 for n in new.values()) or sum(new.values()) != heads:
        raise OutOfRangeError("split", f"{sum(new.values())} of {heads}", f"{heads} in all")
    return new


def _meant(cards: Cards, group: tuple[MenuItem, ...], main: MenuItem, word: str) -> str:
    """Return the dish a word of a split means: 'veggie' the plant main, 'meat' the other."""
    dishes = {item.dish: cards.dish(item.dish) for item in group}
    if word in dishes:
        return word
    plants = [d for d, card in dishes.items() if card.piece.food_class is FoodClass.PLANT]
    if word == "vegetarian" and plants:
        return plants[0]
    if word == "meat":
        return next((d for d in dishes if d not in plants), main.dish)
    raise UnknownNameError("dish", word, ", ".join(card.name for card in dishes.values()))


def read_as(cook: Cook, new: Cook, heads: int) -> Line | None:
    """Return how a change was shared out among the mains: '+39 Pork collar, +6 Portobello'."""
    assert cook.cards is not None
    assert new.cards is not None
    was = eaters(in_force(cook.cards, cook.slips).event, cook.heads)
    now = eaters(in_force(new.cards, new.slips).event, heads)
    group = next((g for g in split_groups(cook.cards.event) if len(g) > 1), ())
    parts = [
        say("{n} {dish}", n=Label(f"{now[i.dish] - was[i.dish]:+d}"),
            dish=Label(dish_name(i.dish, cook.cards)))
        for i in group
    ]  # fmt: skip
    return listed(list(parts), 3) if parts else None


def table(cook: Cook, new: Cook, heads: int) -> tuple[Row, ...]:
    """Return a row for every dish of the menu; `new` is the cook with the split as told."""
    assert new.cards is not None
    cards = in_force(new.cards, new.slips)
    had = bought_heads(cook)
    stock = menu_prepared(cook.cards or cards, had)
    eating = eaters(cards.event, heads)
    rows: list[Row] = []
    for group in _grouped(cards):
        dish = cards.dish(group[0].dish)
        eats = sum(eating[item.dish] for item in group)
        have = sum(stock[item.dish] for item in group)
        if eats:
            rows.append(_row(cook, cards, dish, eats, have, had, cooked=_cooked(group)))
    return tuple(sorted(rows, key=lambda row: row.ok))


def _cooked(group: tuple[MenuItem, ...]) -> int | None:
    """Return how many pieces the chef cooks of a dish, where the card says so."""
    return group[0].make if len(group) == 1 else None


def _grouped(cards: Cards) -> list[tuple[MenuItem, ...]]:
    """Return the menu; dishes that share everybody out between them are one: two of a sauce."""
    shares = [m for m in cards.event.menu if m.share is not None and not m.on_demand]
    whole = abs(sum(m.share or 0.0 for m in shares) - 1.0) < 1e-6
    alike = len({portion_of(cards.dish(m.dish)) for m in shares}) == 1
    groups: list[tuple[MenuItem, ...]] = []
    if len(shares) > 1 and whole and alike:
        groups.append(tuple(sorted(shares, key=lambda m: len(cards.dish(m.dish).name))))
    else:
        groups += [(m,) for m in shares]
    return [*((m,) for m in cards.event.menu if m.share is None and not m.on_demand), *groups]


def bought_heads(cook: Cook) -> int:
    """Return the heads that were bought for: those in force on the eve; later is too late."""
    assert cook.cards is not None
    event = cook.cards.event
    eve = event.instant(Moment(-1, 0, 0))
    heads = event.heads
    for entry in cook.entries:
        if isinstance(entry.fact, HeadsChanged) and entry.at < eve:
            heads = entry.fact.heads
    return heads


def _row(
    cook: Cook, cards: Cards, dish: Dish, eats: int, have: int, had: int, *, cooked: int | None
) -> Row:
    portion = portion_of(dish)
    name = Label(dish_name(dish.id, cards))
    if dish.cuts and dish.cuts >= FEW_PIECES:
        return _slices(dish, name, eats, cooked or have)
    if portion.unit in {"kg", "L"}:
        return _share(name, dish, eats, have * portion.amount)
    return _pieces(cook, cards, dish, name, eats, have, had)


def _slices(dish: Dish, name: Label, eats: int, pieces: int) -> Row:
    """Return slices a head on the first pass, and what is left for seconds."""
    assert dish.cuts is not None
    slices = pieces * dish.cuts
    each = min(slices // eats, dish.cuts)
    used = each * eats
    numbers = (
        Number(f"{_snake(dish.id)}_slices", each, "count"),
        Number(f"{_snake(dish.id)}_seconds", slices - used, "count"),
    )
    line = say("{name} {eats}: {each} slices each ({used}), {left} for seconds", name=name,
               eats=eats, each=each, used=used, left=slices - used)  # fmt: skip
    return Row(each >= dish.cuts - 1, line, numbers)


def _share(name: Label, dish: Dish, eats: int, made_kg: float) -> Row:
    """Return grams a head of what is shared out, and how many go without if it is short."""
    each_g = made_kg * 1000 / eats
    card_g = portion_of(dish).amount * 1000
    number = Number(f"{_snake(dish.id)}_each", round(each_g, 1), "g")
    line = say("{name} {each} each", name=name,
               each=Qty(round(each_g, 1) if each_g < 100 else round(each_g), "g"))  # fmt: skip
    if each_g >= card_g * SMALLER:
        return Row(True, line, (number,))
    short = ceil(eats - made_kg * 1000 / (card_g * SMALLER))
    return Row(False, say("{line}, {n} short", line=line, n=Qty(short, "portions", 0)), (number,))


def _pieces(
    cook: Cook, cards: Cards, dish: Dish, name: Label, eats: int, have: int, had: int
) -> Row:
    """Return portions needed of portions there; what was cut and never steeped is salted now."""
    cut = cut_pieces(cards, dish, had)
    there = max(have, cut or 0)
    number: tuple[Number, ...] = (
        Number(f"{_snake(dish.id)}_need", eats, "count"),
        Number(f"{_snake(dish.id)}_have", there, "count"),
    )
    if eats > there:
        line = say("{name} short {n}", name=name, n=Qty(eats - there, "portions", 0))
        return Row(False, line, number)
    line = say("{name} {need} of {have}", name=name, need=eats, have=there)
    if eats == there:
        line = say("{line}, no spare", line=line)
    plain = _plain(dish, have, there)
    if eats > _steeped(cook, dish, have) and plain:
        salt = dose("dry brine", plain * (dish.piece.weight_kg or 0.0)).kg
        number = (*number, Number("dry_salt", round(salt * 1000), "g"),
                  Number("dry_salt_pieces", plain, "count"))  # fmt: skip
        line = say("{line}: dry-salt the {n} plain now, {salt}", line=line, n=plain,
                   salt=Qty(round(salt * 1000, -1), "g", 0))  # fmt: skip
    return Row(True, line, number)


def _steeped(cook: Cook, dish: Dish, have: int) -> int:
    """Return how many are in loads that the plan has now: more than that is another load."""
    loads = [x for x in plan_of(cook).loads if x.dish == dish.id]
    planned = sum(x.count for x in loads)
    return min(planned, have) if planned else have


def _plain(dish: Dish, have: int, there: int) -> int:
    """Return how many are cut and lie there unsteeped, where the card knows dry salt instead."""
    steeping = [s for s in dish.steps if s.do in STEEPS and s.per is Per.LOT]
    instead = [s for s in dish.steps if s.instead_of in {x.id for x in steeping}]
    return there - have if steeping and instead and dish.piece.weight_kg else 0


def cut_pieces(cards: Cards, dish: Dish, heads: int) -> int | None:
    """Return how many pieces the whole packs that were bought make, trimmed; None if unknown."""
    main = _main(dish)
    if main is None or dish.piece.weight_kg is None or pieces_of_portions(dish, 1) != 1:
        return None
    line = next((b for b in buy_list(cards, heads) if b.item == main.name), None)
    if line is None or not line.packs or line.unit != "kg":
        return None
    return floor((line.need + line.leftover) * (1 - main.trim) / dish.piece.weight_kg + 1e-9)


def _main(dish: Dish) -> Ingredient | None:
    """Return what a piece is cut from: the heaviest good with a pack and a loss in the fire."""
    goods = [i for i in dish.ingredients if i.packs and i.cook_yield is not None and i.unit == "kg"]
    return max(goods, key=lambda i: i.qty or 0.0, default=None)


def table_lines(rows: tuple[Row, ...]) -> list[Line]:
    """Return the table as at most two lines: crosses first, then ticks."""
    crosses = [say("✘ {what}", what=row.line) for row in rows if not row.ok]
    ticks = [say("✔ {what}", what=row.line) for row in rows if row.ok]
    marked = [*crosses, *ticks]
    half = (len(marked) + 1) // 2
    halves = [marked[:half], marked[half:]] if len(marked) > 3 else [marked]
    return [_joined(part) for part in halves if part]


def _joined(parts: list[Line]) -> Line:
    names = [f"part{n}" for n in range(len(parts))]
    text = " · ".join(f"{{{name}}}" for name in names)
    return Line(text, dict(zip(names, parts, strict=True)))


def service_line(cook: Cook, new: Plan) -> Line | None:
    """Return the loads that come on top, and when the last plates go out."""
    plan = plan_of(cook)
    more = [x for x in new.loads if plan.load(x.id) is None]
    fewer = [x for x in plan.loads if new.load(x.id) is None]
    last, was = last_plates(new), last_plates(plan)
    parts: list[Line] = [_load(x) for x in more[:2]]
    if fewer:
        parts.append(say("{n} fewer", n=Qty(len(fewer), "load", 0)))
    if last and was and abs((last - was).total_seconds()) >= 30:
        minutes = round((last - was).total_seconds() / 60)
        parts.append(
            say("last plates {clock} ({by})", clock=Clock(last), by=Label(f"{minutes:+d} min"))
        )
    return say("{what}.", what=listed(list(parts), 4)) if parts else None


def _load(load: Load) -> Line:
    return say("extra load {load} {count} {clock}", load=Label(load.name),
               count=Qty(load.count, "pcs", 0), clock=Clock(load.on))  # fmt: skip


def last_plates(plan: Plan) -> datetime | None:
    """Return when the last firsts go out; None where all go out at once."""
    ends = [t.end for t in plan.tasks if t.do == "serve" and t.end > t.start]
    last = max(ends, default=None)
    return None if last is None else last + timedelta(seconds=-last.second % 60)


def with_split(cook: Cook, heads: int, split: Mapping[str, int] | None) -> Cook:
    """Return the cook as it will be once so many are fed, with who eats what as it was told."""
    kept = split if split is not None or heads != cook.heads else cook.slips.split
    return replace(cook, slips=replace(cook.slips, split=kept))


def can_split(cook: Cook) -> bool:
    """Say whether the menu shares its guests out among mains."""
    return cook.cards is not None and any(len(g) > 1 for g in split_groups(cook.cards.event))


def heads_lines(
    cook: Cook, supposed: Cook, new: Plan, first: Line
) -> tuple[tuple[Line, ...], tuple[Number, ...]]:
    """Return the consequence, the table of ticks and crosses, the extra loads; and its numbers."""
    rows = table(cook, supposed, new.heads)
    read = read_as(cook, supposed, new.heads)
    head = say("{first}. I read {split}.", first=first, split=read) if read else first
    lines = [head, *table_lines(rows), service_line(cook, new)]
    last = last_plates(new)
    numbers = [n for row in rows for n in row.numbers]
    numbers += [Number("last_plates", last.isoformat(), "time")] if last else []
    numbers.append(Number("loads", len(new.loads), "count"))
    return tuple(line for line in lines if line is not None), tuple(numbers)


def crew_lines(cook: Cook, supposed: Cook, new: Plan) -> tuple[Line, ...]:
    """Return what the whole crew must know: the count, the extra load, how a portion changes."""
    if new.heads == cook.heads:
        return ()
    rows = table(cook, supposed, new.heads)
    extra = [x for x in new.loads if plan_of(cook).load(x.id) is None]
    parts: list[Line] = [say("{n} now.", n=Qty(new.heads, "heads", 0))]
    parts += [say("Extra load {load} {clock}.", load=Label(x.name), clock=Clock(x.on))
              for x in extra[:1]]  # fmt: skip
    numbers = {n.name: n.value for row in rows for n in row.numbers}
    slices = [v for name, v in numbers.items() if name.endswith("_slices")]
    parts += [say("{n} slices each, not more.", n=round(float(v))) for v in slices[:1]]
    if new.heads > cook.heads and any(name.endswith("_each") for name in numbers):
        parts.append(say("Scoops level."))
    names = [f"part{n}" for n in range(len(parts))]
    text = " ".join(f"{{{name}}}" for name in names)
    return (Line(text, dict(zip(names, parts, strict=True))),)


def hands_notices(cook: Cook, supposed: Cook, new: Plan, by: str) -> tuple[Notice, ...]:
    """Tell the one who salts what was never brined, and the one who fetches what is short."""
    cards = cook.cards
    if cards is None or (new.heads == cook.heads and cook.slips.split == supposed.slips.split):
        return ()
    rows = table(cook, supposed, new.heads)
    found = [
        *((row.line, _hand(cards, _SALT)) for row in rows if row.ok and _salts(row)),
        *((row.line, _hand(cards, _FETCH)) for row in rows if not row.ok),
    ]
    return tuple(
        Notice(f"heads/{n}/{cook.seq}", (person.id,), (line,), Sound.ONCE, kind="call")
        for n, (line, person) in enumerate(found)
        if person is not None and person.id != by
    )


_SALT = (Role.RAW, Role.COLD)
_FETCH = (Role.RUNNER, Role.DRIVER, Role.FRONT)


def _salts(row: Row) -> bool:
    return any(n.name == "dry_salt" for n in row.numbers)


def _hand(cards: Cards, roles: tuple[Role, ...]) -> Person | None:
    crew = cards.crew
    return next((p for role in roles for p in crew if p.role is role), cards.chef)


def _snake(dish: str) -> str:
    return dish.replace("-", "_")
