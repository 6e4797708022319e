"""Which load goes out first: the oldest that is still good; and what stands out since when."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from core.cook.safety.air import air_at
from core.cook.service.book import Stood
from core.cook.service.counts import mains, pieces, pieces_a_plate
from core.cook.state import Cook, Phase
from core.facts import Came
from core.model import Answer, Clock, Dish, Finding, Label, Line, Load, Qty, say
from core.safety.clocks import Out, Side, out_verdict

ENDED = frozenset({Phase.OVER, Phase.GONE})


@dataclass(frozen=True, slots=True)
class Ready:
    """A load that can go out: since when, until when it is as the card wants it, pieces left."""

    load: Load
    since: datetime
    until: datetime | None
    left: int
    place: str


def ready_loads(cook: Cook) -> tuple[Ready, ...]:
    """Return the loads that are ready and not eaten, the oldest first.

    Plates counted out are taken from the oldest first, as they should have been served.
    """
    eaten = {m.dish.id: m.made - m.left for m in mains(cook)}
    found = []
    for load in sorted(cook.plan.loads if cook.plan else (), key=lambda x: _since(cook, x)):
        if not _is_ready(cook, load) or cook.cards is None:
            continue
        dish = cook.cards.dish(load.dish)
        there = pieces(cook, load)
        taken = min(eaten.get(dish.id, 0.0) * pieces_a_plate(dish), there)
        eaten[dish.id] = eaten.get(dish.id, 0.0) - taken / pieces_a_plate(dish)
        left = there - round(taken)
        if left > 0:
            since = _since(cook, load)
            found.append(Ready(load, since, _until(dish, since), left, _place(cook, load)))
    return tuple(found)


def _is_ready(cook: Cook, load: Load) -> bool:
    fires = [run for run in load.runs if run.on_fire]
    return bool(fires) and all(cook.phase(run.key) in ENDED for run in fires)


def _since(cook: Cook, load: Load) -> datetime:
    """Return when a load came off its last fire, and rested where that was ticked."""
    ends = [cook.job(run.key).ended for run in load.runs if run.on_fire]
    known = [at for at in ends if at is not None]
    return max(known) if known else load.ready


def _until(dish: Dish, since: datetime) -> datetime | None:
    hold = dish.hold.quality_max_min
    return since + timedelta(minutes=hold) if hold is not None else None


def _place(cook: Cook, load: Load) -> str:
    """Return the box a load was moved to; its own name is what is on the tape else."""
    moved = [cook.job(run.key).station for run in load.runs]
    return next((s for s in reversed(moved) if s), "")


def first_answer(cook: Cook, now: datetime) -> Answer:
    """Answer 'which box first': the oldest still good, then the next; what is past its time."""
    ready = ready_loads(cook)
    if not ready:
        return Answer((say("Nothing ready in a box."),))
    good = [r for r in ready if r.until is None or r.until > now]
    past = [r for r in ready if r.until is not None and r.until <= now]
    lines = [_first(r, n) for n, r in enumerate(good[:2])]
    lines += [_past(r) for r in past[:2]]
    return Answer(tuple(lines[:4]))


def _first(ready: Ready, n: int) -> Line:
    name = _named(ready)
    since = Clock(ready.since)
    left = Qty(ready.left, "pcs", 0)
    if ready.until is None:
        return say("{load} first: {left}, off {since}.", load=name, left=left, since=since)
    if n:
        return say("Then {load}: {left}, good to {until}.", load=name, left=left,
                   until=Clock(ready.until))  # fmt: skip
    return say("{load} first: {left}, off {since}, good to {until}.", load=name, left=left,
               since=since, until=Clock(ready.until))  # fmt: skip


def _past(ready: Ready) -> Line:
    return say("{load} past its hold since {until}: probe it and taste before it goes out.",
               load=_named(ready), until=Clock(ready.until or ready.since))  # fmt: skip


def _named(ready: Ready) -> Label:
    place = f" ({ready.place})" if ready.place else ""
    return Label(f"{ready.load.dish.replace('-', ' ')} {ready.load.name}{place}")


def first_lines(cook: Cook, now: datetime) -> Iterator[Line]:
    """Yield what to serve first after a hold, and what a hold has cost: at most three lines."""
    good = [r for r in ready_loads(cook) if r.until is None or r.until > now]
    past = [r for r in ready_loads(cook) if r.until is not None and r.until <= now]
    yield from (_first(r, 0) for r in good[:1])
    yield from (_past(r) for r in past[:1])
    spent = [f for f in standing(cook, now) if f.verdict not in {None, "OK"}]
    yield from (say("{what}: {text}", what=Label(f.about), text=f.text) for f in spent[:1])


# ------------------------------------------------------------------ what stands out


def side_of_dish(dish: Dish | None) -> Side:
    """Return which side food stands on; unknown food counts as cold: its limits are stricter."""
    if dish is not None and dish.hold.safety in {"hot", "time"}:
        return Side.HOT
    return Side.HOT if dish is not None and dish.hold.min_temp_c is not None else Side.COLD


def standing(cook: Cook, now: datetime) -> tuple[Finding, ...]:
    """Return the verdict on everything that stands out, the next to run out first."""
    found = [verdict_on(cook, what, stood, now) for what, stood in cook.service.stood.items()]
    known = [f for f in found if f is not None]
    return tuple(sorted(known, key=lambda f: (f.deadline is None, f.deadline)))


def verdict_on(cook: Cook, what: str, stood: Stood, now: datetime) -> Finding | None:
    """Return the verdict on one tub, box or dish: None while it is back in the cold."""
    if stood.since is None or cook.cards is None:
        return None
    event = cook.cards.event
    dish = next((d for d in cook.cards.dishes if d.id == stood.dish), None)
    out = Out(
        side_of_dish(dish),
        stood.since,
        now,
        before_min=stood.before_min,
        periods=len(stood.spans) - 1,
        air=air_at(cook, now),
        about=dish.name if dish else what,
    )
    return out_verdict(out, event.profile, event.house)


CAME = {
    Came.OPENED: say("opened"),
    Came.DRESSED: say("dressed"),
    Came.LINE: say("on the line"),
    Came.BACK: say("back in the cold"),
}
"""What happened, as it is spoken of."""
