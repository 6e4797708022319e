"""The pinned card: plates, plan, fires, rules, who to ask, the emergency line."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from core.cook.names import listed
from core.model import Cards, Clock, Label, Lead, Line, Plan, Qty, Value, Who, say
from core.safety.clocks import Side
from core.safety.holding import held_to, hold_rule
from core.safety.words import PROFILES


def card_lines(cards: Cards, plan: Plan, now: datetime) -> tuple[Line, ...]:
    """Return what stays on top of the crew's room, as the plan stands."""
    first = say(
        "{event}: plates {plates}, {heads}. PLAN {letter} {clock}.",
        event=Label(cards.event.name),
        plates=Clock(plan.plates_at),
        heads=Qty(plan.heads, "heads", 0),
        letter=Label(plan.letter),
        clock=Clock(now),
    )
    return (first, *_lights(cards, plan), rules_line(cards), *_people(cards), *_emergency(cards))


def _lights(cards: Cards, plan: Plan) -> Iterator[Line]:
    day = cards.event.day
    lights = [
        t for t in plan.tasks
        if t.do == "light" and t.station and cards.event.local(t.start).date() == day
    ]  # fmt: skip
    parts = [
        say("{station} {clock}", station=Label(t.station or ""), clock=Clock(t.start))
        for t in sorted(lights, key=lambda t: t.start)
    ]
    if parts:
        yield say("Light {fires}.", fires=listed(parts, 6))


def rules_line(cards: Cards) -> Line:
    """Return whose food rules hold here, with the limits in force: the house's where stricter."""
    event = cards.event
    if event.profile is None:
        return say("Rules: no region set, so the strictest of all.")
    fields: dict[str, Value] = {"profile": PROFILES[event.profile]}
    hot = held_to(hold_rule(Side.HOT, event.profile), Side.HOT, event.house)
    cold = held_to(hold_rule(Side.COLD, event.profile), Side.COLD, event.house)
    if hot is None or cold is None:
        return say("Rules: {profile}.", **fields)
    return say("Rules: {profile}. Hot {hot} or more, cold {cold} or less.", **fields,
               hot=hot.words(), cold=cold.words())  # fmt: skip


def _people(cards: Cards) -> Iterator[Line]:
    allergy = cards.leading(Lead.ALLERGY) or cards.chef
    if allergy is not None:
        yield say("Allergies: ask {who}.", who=Who(allergy.id))


def _emergency(cards: Cards) -> Iterator[Line]:
    card = cards.event.emergency
    if card is not None:
        yield say("Emergency {number}: {address}, {gate}. First aid: {who}.",
                  number=Label(card.number), address=Label(card.address), gate=Label(card.gate),
                  who=Label(card.first_aider or "-"))  # fmt: skip
