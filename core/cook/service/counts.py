"""Plates: how many the kitchen makes, how many are out, how many are left.

A guest eats one portion of one main; mains are the dishes cooked in loads for a part of the
guests. Where nothing is, the dish cooked for everybody counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from core.cook.state import Cook, Phase
from core.facts import Report, StepReported
from core.model import Cards, Dish, Load, MenuItem


@dataclass(frozen=True, slots=True)
class Main:
    """One main dish: portions made or still to come, and portions left as far as is known.

    `counted` says whether somebody counted what is left of this one.
    """

    dish: Dish
    made: float
    left: float
    counted: bool


def mains(cook: Cook) -> tuple[Main, ...]:
    """Return the main dishes with what is left of each."""
    if cook.cards is None or cook.plan is None:
        return ()
    made = {d.id: _made(cook, d) for d in _main_dishes(cook, cook.cards)}
    book, whole = cook.service, sum(made.values())
    counted = {d: book.left[d] for d in made if d in book.left and book.left[d].unit == "plates"}
    total = left_of(cook, whole)
    rest = total - sum(c.amount for c in counted.values())
    others = sum(n for d, n in made.items() if d not in counted)
    found = []
    for dish_id, n in made.items():
        dish = cook.cards.dish(dish_id)
        if dish_id in counted:
            since = max(book.out - counted[dish_id].out, 0) * (n / whole if whole else 0.0)
            found.append(Main(dish, n, max(counted[dish_id].amount - since, 0.0), True))
        else:
            share = n / others if others else 0.0
            found.append(Main(dish, n, max(rest * share, 0.0), False))
    return tuple(found)


def left_of(cook: Cook, made: float) -> float:
    """Return the plates left in all: as counted, less what went out since; else made less out."""
    book = cook.service
    whole = book.left.get("")
    if whole is not None and whole.unit == "plates":
        return max(whole.amount - max(book.out - whole.out, 0), 0.0)
    return max(made - book.out, 0.0)


def plates_cooked(cook: Cook) -> int:
    """Return how many plates the kitchen made in all: less what was binned before service."""
    begin = cook.plates_at
    lost = {
        e.fact.run: e.fact.count
        for e in cook.entries
        if isinstance(e.fact, StepReported) and e.fact.report is Report.DISCARD
        and (begin is None or e.at < begin)
    }  # fmt: skip
    dishes = _main_dishes(cook, cook.cards) if cook.cards else ()
    made = 0.0
    for dish in dishes:
        for load in (x for x in (cook.plan.loads if cook.plan else ()) if x.dish == dish.id):
            gone = sum(lost[r.key] or r.count for r in load.runs if r.key in lost)
            made += max(load.count - gone, 0) / pieces_a_plate(dish)
    return round(made)


def _main_dishes(cook: Cook, cards: Cards) -> tuple[Dish, ...]:
    loaded = {load.dish for load in (cook.plan.loads if cook.plan else ())}
    menu = [m for m in cards.event.menu if m.dish in loaded and not m.on_demand]
    parts = [m for m in menu if m.heads is not None or m.share is not None]
    chosen: list[MenuItem] = parts or menu[:1]
    return tuple(cards.dish(m.dish) for m in chosen)


def _made(cook: Cook, dish: Dish) -> float:
    loads = [x for x in (cook.plan.loads if cook.plan else ()) if x.dish == dish.id]
    return sum(pieces(cook, load) for load in loads) / pieces_a_plate(dish)


def pieces_a_plate(dish: Dish) -> float:
    """Return the pieces one guest gets."""
    portion = dish.portion
    return portion.amount if portion is not None and portion.unit == "pieces" else 1.0


def pieces(cook: Cook, load: Load) -> int:
    """Return the pieces of a load less what was binned of it."""
    gone = sum(cook.job(run.key).gone for run in load.runs)
    whole = {r.unit: r.count for r in load.runs if cook.phase(r.key) is Phase.GONE}
    if load.name in whole or load.id in whole:
        return 0
    return max(load.count - gone - sum(whole.values()), 0)


# ------------------------------------------------------------------ when plates go out


def started_at(cook: Cook, now: datetime) -> datetime | None:
    """Return when service began: as ticked, else as planned, never after the first count."""
    plan = cook.plan
    if plan is None:
        return None
    ticked = [cook.job(t.id).started or cook.job(t.id).ended for t in plan.tasks if t.do == "serve"]
    begun = [t for t in ticked if t is not None]
    first = min(begun) if begun else min(cook.plates_at or now, now)
    counted = cook.service.counts[0].at if cook.service.counts else first
    return min(first, counted)


def plan_per_min(cook: Cook) -> float | None:
    """Return the plates a minute the card plans: its pace, else the heads over its window."""
    if cook.cards is None or not cook.cards.event.serve:
        return None
    event = cook.cards.event
    first = event.serve[0]
    if first.per_min is not None:
        return first.per_min
    until = event.instant(first.until) if first.until else None
    if until is None or until <= event.instant(first.start):
        return None
    return cook.heads / ((until - event.instant(first.start)).total_seconds() / 60)


def pace_per_min(cook: Cook, now: datetime) -> tuple[float, float] | None:
    """Return plates a minute as counted, and over how many minutes; None when nobody counted.

    Held minutes do not count. The whole service is the measure, or what was counted in the last
    quarter of an hour and more, where somebody counted then: pace changes.
    """
    counts = cook.service.counts
    start = started_at(cook, now)
    if not counts or start is None:
        return None
    last = counts[-1]
    earlier = [c for c in counts if (last.at - c.at).total_seconds() >= RECENT_MIN * 60]
    base_at, base_out = (earlier[-1].at, earlier[-1].out) if earlier else (start, 0)
    minutes = (last.at - base_at).total_seconds() / 60 - cook.service.held_min(base_at, last.at)
    if minutes < 1 or last.out <= base_out:
        return None
    return (last.out - base_out) / minutes, minutes


RECENT_MIN = 15.0


def guests_left(cook: Cook) -> int:
    """Return how many are still to be fed, as far as plates were counted."""
    return max(cook.heads - cook.service.out, 0)
