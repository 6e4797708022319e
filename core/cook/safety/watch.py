"""What safety owes the crew now and next: calls with their verdicts, and everything unsafe.

A verdict is said once: its call's key carries the clock it is about, and its `VerdictGiven` is
booked with the call. Whoever must act is rung; unanswered it climbs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime

from core.cook.cooling import keyed_moments
from core.cook.decision import Decision
from core.cook.safety.clocks import box_watches, out_watches
from core.cook.safety.decided import food_binned
from core.cook.safety.gaps import Watch, gap_watches, waiting_with
from core.cook.safety.labels import keepers
from core.cook.safety.probes import is_doubtful, trusted
from core.cook.safety.undoing import undone_watches
from core.cook.state import Cook, Made, items
from core.cook.taps import call_taken
from core.facts import BinFood, Fact, VerdictGiven
from core.model import Answer, Call, Cards, Dish, Finding, Label, Lead, Person, Sound, say
from core.safety.food import Kind, food_of_dish
from core.safety.watch import Day, day_findings
from core.tables import tables_version

PINK_BELOW_C = 60.0

SORTS = frozenset({"gap", "box", "out", "pink", "label"})
"""Kinds of calls that are safety's own."""

COOLING = "cool"
"""Kind of the questions for what cools: at a limit nobody read they bring a verdict."""

BIN_LAST = {"gap": 3, "box": 1, "out": 1, "pink": 1}
"""Which choice of a call means that the food went into the bin."""


def watches(cook: Cook) -> Iterator[Watch]:
    """Yield everything safety has to say of food, by its moment."""
    yield from gap_watches(cook)
    yield from box_watches(cook)
    yield from out_watches(cook)
    yield from undone_watches(cook)
    yield from _labels(cook)


def _labels(cook: Cook) -> Iterator[Watch]:
    """Yield the alarm to read the label of each brand nobody has agreed on."""
    cards = cook.cards
    if cards is None:
        return
    owners = keepers(cards)
    lead = cards.leading(Lead.ALLERGY)
    first = lead if lead in owners else (owners[0] if owners else None)
    for brand in cook.safety.brands:
        if brand.allergens is not None or first is None:
            continue
        line = say("READ LABEL {what}, say 'label {what}: egg, milk' or none. Photo of it.",
                   what=Label(brand.ingredient))  # fmt: skip
        key = f"{brand.ingredient}/label/{brand.at:%dT%H%M%S}"
        yield Watch(key, "label", brand.at, brand.ingredient, line, loud=True, to=(first.id,))


def safety_calls(cook: Cook) -> Iterator[Call]:
    """Yield the calls safety owes."""
    if cook.cards is None:
        return
    for watch in watches(cook):
        to = watch.to or _leads(cook.cards, watch)
        sound = Sound.ALARM if watch.loud else Sound.ONCE
        yield Call(watch.key, watch.at, to, watch.line, sound, watch.sort, watch.about,
                   choices=watch.choices, must=watch.loud)  # fmt: skip


def _leads(cards: Cards, watch: Watch) -> tuple[str, ...]:
    """Return who leads where this happens: the front for tables, the pit for fires, else cold."""
    lead = {"out": Lead.FRONT, "pink": Lead.FRONT, "gap": Lead.PIT}.get(watch.sort, Lead.COLD)
    person = cards.leading(lead) or cards.chef
    return (person.id,) if person else ("room",)


def alive(cook: Cook) -> frozenset[str]:
    """Return the keys of safety's calls that still ask for something."""
    return frozenset(watch.key for watch in watches(cook))


def said_with(cook: Cook, calls: Sequence[Call]) -> tuple[Fact, ...]:
    """Return the verdicts that are given as these calls are made, each once."""
    if not any(call.kind in SORTS | {COOLING} for call in calls):
        return ()
    found = {watch.key: watch.finding for watch in watches(cook)}
    found |= {key: moment.finding for key, _, moment in keyed_moments(cook)}
    keys = dict.fromkeys(call.key for call in calls if call.rung == 0)
    return tuple(
        VerdictGiven(finding, tables_version())
        for key in keys
        if (finding := found.get(key)) is not None
    )


def tapped(cook: Cook, made: Made, number: int, at: datetime) -> Decision:
    """Return what a tap under one of safety's calls stands for."""
    taken = call_taken(made, at)
    call = made.call
    if number != BIN_LAST.get(call.kind):
        chosen = call.choices[number - 1] if 1 <= number <= len(call.choices) else None
        lines = (say("Noted: {what}.", what=chosen),) if chosen else ()
        answer = Answer(lines) if lines else taken.answer
        return Decision(taken.facts, answer)
    together = tuple(r.key for r in waiting_with(cook, call.about)) if call.kind == "gap" else ()
    binned = food_binned(cook, BinFood(together or (call.about,)), at)
    return Decision((*taken.facts, *binned.facts), binned.answer)


def without_sick(cook: Cook, call: Call) -> Call:
    """Return a call with nobody in it who is off sick: their backup's, else the chef's."""
    off = cook.safety.off
    if not off or not set(call.to) & set(off) or cook.cards is None:
        return call
    kept = [p for p in call.to if p not in off]
    people = kept or [p.id for p in _stand_ins(cook.cards, call.to) if p.id not in off][:1]
    return replace(call, to=tuple(dict.fromkeys(people)) or ("room",))


def _stand_ins(cards: Cards, people: Iterable[str]) -> Iterator[Person]:
    for person in map(cards.person, people):
        backup = cards.person(person.backup) if person and person.backup else None
        if backup is not None:
            yield backup
    if cards.chef is not None:
        yield cards.chef


# ------------------------------------------------------------------ everything unsafe now


def day_of(cook: Cook, cards: Cards, now: datetime) -> Day:
    """Return a cook as the engine looks at it: only readings that count, true times."""
    jobs = cook.jobs.items()
    doubted = {
        probe: doubt.since
        for probe, doubt in cook.safety.doubted.items()
        if any(is_doubtful(cook, r) for r in cook.readings)
    }
    return Day(
        cards,
        cook.plan,
        now,
        trusted(cook),
        {k: j.started for k, j in jobs if j.started},
        {k: j.ended for k, j in jobs if j.ended},
        doubted,
        approved(cook, cards),
    )


def approved(cook: Cook, cards: Cards) -> str | None:
    """Return who answers for the pink meat of a cook, where all of it is answered for."""
    menu = {m.dish for m in cards.event.menu}
    named = [cook.safety.pink.get(d.id) for d in cards.dishes if d.id in menu and served_pink(d)]
    people = [cards.person(by) for by in named if by]
    known = [p.name for p in people if p is not None]
    return known[0] if known and len(known) == len(named) else None


def served_pink(dish: Dish) -> bool:
    """Say whether a dish's last fire leaves its meat below what would kill at once."""
    food = food_of_dish(dish)
    cores = [s.until_core_c for s in dish.steps if s.until_core_c is not None]
    meat = food is not None and food.kinds <= {Kind.BEEF, Kind.LAMB}
    return meat and bool(cores) and cores[-1] < PINK_BELOW_C


def unsafe(cook: Cook, now: datetime) -> tuple[Finding, ...]:
    """Return what the engine finds unsafe in a cook now, what was lifted left out."""
    if cook.cards is None:
        return ()
    lifted = {(x.about, x.rule) for x in cook.safety.lifted.values()}
    known = items(cook.plan) if cook.plan else {}
    gone = {key for key in known if cook.job(key).phase == "gone"}
    return tuple(
        f
        for f in day_findings(day_of(cook, cook.cards, now))
        if (f.about, f.rule) not in lifted and f.about not in gone
    )
