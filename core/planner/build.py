"""From cards to the planner's problem: every dish's groups, joined where one card uses another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import inf

from core.model import Dish, Tied
from core.planner.jobs import Group, Lag, Op, Problem, up
from core.planner.kitchen import Kitchen
from core.planner.loading import (
    Lot,
    beat_of,
    finish_ops,
    last_ops,
    length_of,
    load_ops,
    lots_for,
    lots_left,
    shares,
    targets,
    timed,
)
from core.planner.steps import Work, check_hands, prep_ops

_STEEPING = frozenset({"dilute", "brine", "marinate", "salt", "soak"})


def problem_of(kitchen: Kitchen) -> Problem:
    """Return everything that must be done for these heads, with its bounds."""
    slack = kitchen.cards.event.slack_min
    if slack is None:
        slack = slack_lump(kitchen)
    groups: list[Group] = []
    for dish in kitchen.dishes:
        groups.extend(dish_groups(kitchen, dish, slack))
    return Problem(
        groups=tuple(joined(kitchen, groups)),
        places=kitchen.places,
        hands=kitchen.hands,
        plates=kitchen.plates,
        slack=slack,
        hours=kitchen.hours,
        pools=kitchen.pools,
    )


def slack_lump(kitchen: Kitchen) -> float:
    """Return the spare time before first plates: so much an hour from first fire to plates.

    Notes
    -----
    Common practice: 10 min an hour, in one visible lump. The lump itself is not counted.
    """
    longest = 0.0
    for dish in kitchen.dishes:
        index = kitchen.first_fire(dish)
        if index is None:
            continue
        share = shares(kitchen, dish, index)[:1]
        if not share:
            continue
        work = _work(kitchen, dish, share[0].name, 1)
        ops = [op for op in load_ops(work, share[0], index, ()) if not op.pinned]
        heat_up = max((s.heat_up_min for s in kitchen.stations(dish.steps[index])), default=0.0)
        longest = max(longest, heat_up + length_of(ops))
    return up(kitchen.cards.event.slack_per_hour_min * longest / 60)


def _work(kitchen: Kitchen, dish: Dish, load: str = "", number: int = 0) -> Work:
    plates = kitchen.demand_of(dish).start if dish.id in kitchen.menu else kitchen.plates
    pins = kitchen.load_pins(dish.id, f"L{number}", load) if number else ()
    whole = tuple(p for p in kitchen.pins(dish.id) if p.load is None)
    return Work(kitchen, dish, load, number, (*pins, *whole), plates, plates)


def dish_groups(kitchen: Kitchen, dish: Dish, slack: float) -> list[Group]:
    """Return a dish's groups: what is done for all of it, its loads, what plates tie together."""
    fire = kitchen.first_fire(dish)
    usual = [n for n, step in enumerate(dish.steps) if step.instead_of is None]
    if fire is None or not kitchen.pieces(dish):
        return list(_prep(kitchen, dish, usual, plates=True, slack=slack))
    before = [n for n in usual if n < fire]
    whole = [n for n in before if dish.steps[n].per == "lot" or (dish.steps[n].day or 0) < 0]
    cut = max(whole, default=-1) + 1
    prep = list(_prep(kitchen, dish, [n for n in before if n < cut], plates=False, slack=slack))
    lots = lots_left(prep[0].ops) if prep else ()
    return [*prep, *_loads(kitchen, dish, cut, lots, slack)]


def _prep(
    kitchen: Kitchen, dish: Dish, indices: list[int], *, plates: bool, slack: float
) -> Iterator[Group]:
    if not indices:
        return
    work = _work(kitchen, dish)
    count = max(kitchen.pieces(dish), 1)
    ops = tuple(prep_ops(work, indices, count))
    for op in ops:
        check_hands(op, dish.steps[op.index], dish)
    needed = work.plates if plates else inf
    yield Group(
        id=dish.id,
        dish=dish.id,
        number=0,
        name="",
        count=count,
        ops=ops,
        needed_by=needed,
        last_by=needed,
        target=needed - slack if plates and not _ends_at_plates(ops) else needed,
    )


def _ends_at_plates(ops: tuple[Op, ...]) -> bool:
    return ops[-1].tied is Tied.PLATES or ops[-1].start is not None


def _loads(
    kitchen: Kitchen, dish: Dish, start: int, lots: tuple[Lot, ...], slack: float
) -> list[Group]:
    plan = kitchen.demand_of(dish)
    each = dish.portion.amount if dish.portion and dish.portion.unit == "pieces" else 1.0
    fire = kitchen.first_fire(dish) or 0
    groups: list[Group] = []
    finish: list[Op] = []
    for share in shares(kitchen, dish, fire):
        work = _work(kitchen, dish, share.name, share.number)
        ends = lots_for(lots, share)
        draft = timed(
            _group(dish, share.number, share.name, share.count),
            plan,
            each,
            share.before,
            dish.hold.quality_max_min,
        )
        about = (work.plates if plan.at_once else draft.needed_by) - slack
        chain = load_ops(replace(work, plates=draft.needed_by, around=about), share, start, ends)
        lead = length_of([op for op in chain if op.index >= fire])
        chain = load_ops(
            replace(work, plates=draft.needed_by, around=about - lead), share, start, ends
        )
        tails, last = last_ops(chain)
        tail = finish_ops(replace(work, plates=draft.needed_by), share, tails, last)
        if tail and plan.at_once:
            finish.extend(tail)
            draft = replace(draft, floor=-inf)
            groups.append(replace(draft, ops=tuple(chain)))
        else:
            groups.append(replace(draft, ops=(*chain, *tail)))
    beat, room = beat_of(kitchen, dish, list(groups[0].ops))
    timed_groups = targets(groups, slack, beat, room)
    return [*timed_groups, *_together(dish, groups, finish)]


def _group(dish: Dish, number: int, name: str, count: int) -> Group:
    return Group(f"{dish.id}/{name}", dish.id, number, name, count, (), served=True)


def _together(dish: Dish, groups: list[Group], finish: list[Op]) -> list[Group]:
    """Tie the plates work of a dish that goes out all at once: one load after the other, and not
    before every load is ready for it.
    """
    if not finish:
        return []
    steps = sorted({op.index for op in finish})
    ends = [lag for op in finish if op.index == steps[0] for lag in op.after]
    ops: list[Op] = []
    for index in steps:
        row = [op for op in finish if op.index == index]
        for place, op in enumerate(row):
            if place:
                after: tuple[Lag, ...] = (Lag(row[place - 1].key), *_not_at_once(op.after))
                start = None if op.start is None else ops[-1].start
                moved = None if start is None else start + ops[-1].ideal
                ops.append(replace(op, after=after, start=moved))
            else:
                ops.append(replace(op, after=tuple(ends) if index == steps[0] else op.after))
    needed = groups[0].needed_by
    return [
        Group(
            f"{dish.id}/",
            dish.id,
            len(groups) + 1,
            "",
            sum(g.count for g in groups),
            tuple(ops),
            needed,
            needed,
            target=needed,
            finish=True,
        )
    ]


def _not_at_once(after: tuple[Lag, ...]) -> tuple[Lag, ...]:
    return tuple(Lag(lag.key, lag.least) for lag in after)


def joined(kitchen: Kitchen, groups: list[Group]) -> list[Group]:
    """Return the groups with every used card's last step before the step that uses it."""
    by_dish: dict[str, list[Group]] = {}
    for group in groups:
        by_dish.setdefault(group.dish, []).append(group)
    extra: dict[str, tuple[Lag, ...]] = {}
    for dish in kitchen.dishes:
        for used in dish.ingredients:
            made = by_dish.get(used.card or "", [])
            if not made:
                continue
            ends = tuple(Lag(key) for g in made for key in last_ops(list(g.ops))[0])
            for key in consumers(by_dish.get(dish.id, []), eaten=used.eaten):
                extra[key] = (*extra.get(key, ()), *ends)
    used_cards = {lag.key for lags in extra.values() for lag in lags}
    return [_with(group, extra, used_cards) for group in groups]


def _with(group: Group, extra: dict[str, tuple[Lag, ...]], used: set[str]) -> Group:
    ops = tuple(
        replace(op, after=(*op.after, *extra[op.key])) if op.key in extra else op
        for op in group.ops
    )
    feeds = any(op.key in used for op in ops) and not group.served
    return replace(group, ops=ops, target=inf) if feeds else replace(group, ops=ops)


def consumers(groups: list[Group], *, eaten: bool) -> list[str]:
    """Return the ops that use what another card makes.

    What is poured away again goes into the first steeping; what is eaten into the last work off
    the fire before the food is served; neither found, only plates wait for it.
    """
    ops = [op for group in groups for op in group.ops]
    if not eaten:
        steeping = [op for op in ops if op.do in _STEEPING] or ops[:1]
        first = min((op.index for op in steeping), default=0)
        return [op.key for op in steeping if op.index == first]
    by_hand = [op for op in ops if op.hands and op.temp_c is None and op.do not in _ON_FIRE]
    last = max((op.index for op in by_hand), default=-1)
    return [op.key for op in by_hand if op.index == last]


_ON_FIRE = frozenset({"sear", "smoke", "grill", "char", "roast", "bake", "fry", "boil"})
