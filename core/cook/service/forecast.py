"""Running out: how many are left, at which pace, until when, how short, which portion would do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import floor

from core.cook.service.counts import (
    Main,
    guests_left,
    mains,
    pace_per_min,
    pieces_a_plate,
    plan_per_min,
    started_at,
)
from core.cook.state import Cook
from core.facts import SetPortion
from core.model import Answer, Call, Clock, Dish, Label, Line, Number, Qty, Sound, Who, say

WARN_MIN = 15.0
"""The warning comes so long before the last plate (the trade's wish list: 15 min or less)."""


@dataclass(frozen=True, slots=True)
class Outlook:
    """Plates left, when they are gone at the pace counted, and how many guests get none."""

    left: int
    out_at: datetime | None
    per_min: float | None
    minutes: float | None
    guests: int

    @property
    def short(self) -> int:
        """Return how many guests the plates that are left do not reach."""
        return max(self.guests - self.left, 0)


def outlook(cook: Cook, now: datetime) -> Outlook:
    """Return the forecast: plates that are left over the pace since service began.

    Examples
    --------
    >>> from datetime import UTC
    >>> outlook(Cook(), datetime(2026, 10, 9, 19, 55, tzinfo=UTC)).left
    0
    """
    left = round(sum(m.left for m in mains(cook)))
    pace = pace_per_min(cook, now)
    counts = cook.service.counts
    if pace is None or not counts:
        return Outlook(left, None, None, None, guests_left(cook))
    held = cook.service.held
    last = max(counts[-1].at, now if held is not None else counts[-1].at)
    out_at = last + timedelta(minutes=left / pace[0])
    return Outlook(left, out_at, pace[0], pace[1], guests_left(cook))


def left_answer(cook: Cook, now: datetime, *, chef: bool) -> Answer:
    """Answer 'how many left': plates, pace, when they are gone, how short, what would do."""
    seen = outlook(cook, now)
    dishes = mains(cook)
    first = say("{left} left{parts}.", left=Qty(seen.left, "plates", 0), parts=_parts(dishes))
    numbers = [Number("left", seen.left, "count")]
    if seen.per_min is None or seen.out_at is None or seen.minutes is None:
        said = say("Nobody counted plates yet. Like: 210 out.")
        return Answer((first, said), numbers=tuple(numbers))
    pace = say(
        "{out} in {minutes}, {pace}/min → out {clock}.",
        out=Qty(cook.service.out, "", 0),
        minutes=Qty(round(seen.minutes), "min", 0),
        pace=Qty(round(seen.per_min, 1), "", 1),
        clock=Clock(seen.out_at),
    )
    numbers += [
        Number("pace", round(seen.per_min, 2), "1/min"),
        Number("out_at", seen.out_at.isoformat(), "time"),
        Number("short", seen.short, "count"),
    ]
    return Answer((first, pace, *_short_lines(cook, seen, chef)), numbers=tuple(numbers))


def _parts(dishes: tuple[Main, ...]) -> Line:
    if len(dishes) < 2:
        return say("")
    a, b = sorted(dishes, key=lambda m: -m.left)[:2]
    one, two = Label(a.dish.name), Label(b.dish.name)
    n, m = round(a.left), round(b.left)
    if a.counted or b.counted:
        return say(" ({one} {n}, {two} {m})", one=one, n=n, two=two, m=m)
    return say(" (about {one} {n}, {two} {m})", one=one, n=n, two=two, m=m)


def _short_lines(cook: Cook, seen: Outlook, chef: bool) -> Iterator[Line]:
    if not seen.short:
        yield say("Guests left about {n}: enough.", n=seen.guests)
        return
    yield say("Guests left about {n}: short {short}.", n=seen.guests, short=seen.short)
    fixes = fixes_for(cook, seen)
    if fixes:
        boss = cook.cards.chef if cook.cards else None
        who = Who(boss.id) if boss else Label("chef")
        line = fix_line(fixes)
        yield line if chef or boss is None else say("{fix} Ask {who}.", fix=line, who=who)


# ------------------------------------------------------------------ a smaller portion


@dataclass(frozen=True, slots=True)
class Fix:
    """A smaller portion of a main: so much instead of so much, and how many guests that feeds."""

    dish: Dish
    amount: float
    was: float
    unit: str
    feeds: int
    guests: int

    @property
    def wish(self) -> SetPortion:
        """Return what a tap on it stands for."""
        return SetPortion(self.dish.id, self.amount, self.unit)


def fixes_for(cook: Cook, seen: Outlook) -> tuple[Fix, ...]:
    """Return the portions that would do, the least cut first; none when nobody goes short."""
    biggest = max(mains(cook), key=lambda m: m.left, default=None)
    if biggest is None or not seen.short or seen.left <= 0:
        return ()
    share = biggest.left / max(seen.left, 1)
    guests = round(seen.guests * share)
    portion = portion_now(cook, biggest.dish)
    if portion is None or guests <= 0:
        return ()
    was, unit = portion
    stock = biggest.left * was
    if unit == "g":
        enough = floor(stock / guests / 5) * 5
        return (Fix(biggest.dish, enough, was, unit, guests, guests),) if enough > 0 else ()
    found = []
    for amount in range(int(was) - 1, 0, -1):
        feeds = floor(stock / amount)
        found.append(Fix(biggest.dish, amount, was, unit, min(feeds, guests), guests))
        if feeds >= guests:
            break
    return (found[0], found[-1]) if len(found) > 1 else tuple(found)


def portion_now(cook: Cook, dish: Dish) -> tuple[float, str] | None:
    """Return what a guest gets of a dish now: slices, or grams of a piece nobody has cut."""
    changed = cook.service.portions.get(dish.id)
    if changed is not None:
        return changed.amount, changed.unit
    if dish.cuts:
        return dish.cuts * pieces_a_plate(dish), "slices"
    cooked = next((i.cook_yield for i in dish.ingredients if i.cook_yield), None)
    if dish.piece.weight_kg is None or cooked is None:
        return None
    return round(dish.piece.weight_kg * 1000 * cooked * pieces_a_plate(dish)), "g"


def fix_line(fixes: tuple[Fix, ...]) -> Line:
    """Return the portions that would do, in one sentence."""
    first, last = fixes[0], fixes[-1]
    what = say("{dish}: {now} not {was}", dish=Label(first.dish.name),
               now=Qty(first.amount, first.unit, 0), was=Qty(first.was, "", 0))  # fmt: skip
    if first.feeds >= first.guests:
        return say("{what}, feeds all {guests}.", what=what, guests=first.guests)
    if last is first:
        return say("{what}, feeds {feeds} of {guests}.", what=what, feeds=first.feeds,
                   guests=first.guests)  # fmt: skip
    return say("{what} feeds {feeds} of {guests}; {least} feeds all.", what=what,
               feeds=first.feeds, guests=first.guests,
               least=Qty(last.amount, "", 0))  # fmt: skip


# ------------------------------------------------------------------ the warning by itself


def warnings(cook: Cook) -> Iterator[Call]:
    """Yield the warning a quarter of an hour before plates run out while guests still wait."""
    cards, counts = cook.cards, cook.service.counts
    if cards is None or not counts or cook.service.held is not None:
        return
    seen = outlook(cook, counts[-1].at)
    if seen.out_at is None or not seen.short or seen.left <= 0:
        return
    front = next((p for p in cards.crew if "front" in p.leads), None)
    to = dict.fromkeys(p.id for p in (front, cards.chef) if p is not None)
    at = max(seen.out_at - timedelta(minutes=WARN_MIN), counts[-1].at)
    line = say("RUNNING OUT {clock}: {left} left, about {guests} to feed. 'how many left'?",
               clock=Clock(seen.out_at), left=Qty(seen.left, "plates", 0),
               guests=seen.guests)  # fmt: skip
    yield Call("service/out", at, tuple(to) or ("room",), line, Sound.ONCE, "out", "service",
               choices=(say("done"),))  # fmt: skip


__all__ = ["fix_line", "fixes_for", "left_answer", "outlook", "plan_per_min", "portion_now",
           "started_at", "warnings"]  # fmt: skip
