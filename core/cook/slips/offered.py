"""What can be done about what went wrong: each thing to do with its whole plan.

Everything is computed from the cook as it stands, so the same offers come out again at the tap.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil, inf

from core.cook.change import next_letter
from core.cook.decision import Dated, booked
from core.cook.names import dish_name, listed, thing_of
from core.cook.slips.force import basis
from core.cook.slips.leaving import moves_off, stays
from core.cook.slips.resized import resized
from core.cook.state import Cook, Phase
from core.cook.subjects import plan_of
from core.errors import CannotPlanError
from core.facts.slips import LoadMoving, Part, ServedApart, SlipFact, StationLent
from core.model import Clock, Label, Line, Load, Plan, Station, StationKind, Value, say
from core.planner import options, replan, rerouted

MOST = 3
HOTTER_MIN = 10.0
"""A pit that is hot already takes so long to searing heat; common practice."""

NEVER_MIN = 0.75
EATEN = timedelta(minutes=5)
BOT = "bot"


@dataclass(frozen=True, slots=True)
class Offer:
    """One thing to do: its key, whose part it is, its words, its plan, what is booked with it."""

    key: str
    part: Part
    text: Line
    plan: Plan
    late_min: float
    facts: tuple[SlipFact, ...] = ()


def offers(cook: Cook, now: datetime) -> tuple[Offer, ...]:
    """Return up to three things that can be done now, the least late first.

    One alone, the plan as it then is, where nothing is late. What helps nothing is left out. None
    at all where no plan can be made any more.
    """
    leave = moves_off(cook, now)
    keep = carried_on(cook, now)
    if keep is not None and keep.late_min <= NEVER_MIN:
        return (keep,)
    late = keep.late_min if keep is not None else inf
    found = list(_plain(cook, leave, now) if keep is not None else _other_ways(cook, leave, now))
    for lent in _lends(cook, keep.plan if keep else plan_of(cook), now):
        found.extend(_with(cook, (*leave, lent), f"lend/{lent.station}", now))
    if keep is not None:
        found.extend(_apart(cook, leave, keep, now))
    both = [o for o in found if o.key.startswith("lend/")]
    for offer in both[:1]:
        found.extend(_apart(cook, offer.facts, offer, now))
    better = [o for o in found if o.late_min < late - NEVER_MIN]
    ranked = sorted(better, key=lambda o: (o.late_min > NEVER_MIN, _rank(o), o.late_min, o.key))
    return tuple(ranked[:MOST]) or ((keep,) if keep is not None else ())


def still_due(cook: Cook, made: Plan, now: datetime) -> list[Load]:
    """Return the loads of a new plan whose plates still wait for them.

    Once plates go out, what should have been ready before has been eaten, ticked or not.
    """
    plan = plan_of(cook)
    begun = plan.plates_at <= now
    eaten = {x.id for x in plan.loads if begun and x.ready + EATEN <= now}
    return [x for x in made.loads if x.id not in eaten]


def late_by(cook: Cook, made: Plan, now: datetime) -> float:
    """Return the minutes by which the worst of what is still due misses its plates."""
    return max((-x.slack_min for x in still_due(cook, made, now)), default=0.0)


def carried_on(cook: Cook, now: datetime) -> Offer | None:
    """Return what happens if nobody does anything but carry food off what is out.

    None where that is no plan: half-cooked meat would be parked, or a job finds no hands.
    """
    leave = moves_off(cook, now)
    cards, told = basis(supposing(cook, leave, now), now)
    plan = plan_of(cook)
    try:
        made = replan(cards, plan, told, letter=next_letter(plan.letter), reason="")
    except CannotPlanError:
        return None
    late = late_by(cook, made, now)
    return Offer("keep", Part.FIRE, _carry_on(cook, leave, made), made, late, leave)


def _other_ways(cook: Cook, facts: tuple[SlipFact, ...], now: datetime) -> Iterator[Offer]:
    """Yield every load that lost its fire done another way, where nothing else is a plan."""
    cards, told = basis(supposing(cook, facts, now), now)
    plan = plan_of(cook)
    found = rerouted(cards, plan, told, letter=next_letter(plan.letter))
    if found is not None:
        yield Offer(
            "ways", Part.FIRE, found.text, found.plan, late_by(cook, found.plan, now), facts
        )


def _rank(offer: Offer) -> int:
    """What changes only the fire comes before what the guests notice."""
    return 0 if offer.part is Part.FIRE else 1


def offer_named(cook: Cook, key: str, now: datetime) -> Offer | None:
    """Return the offer of this key as it stands now; None if it is no longer there."""
    return next((o for o in offers(cook, now) if o.key == key), None)


def _plain(cook: Cook, facts: tuple[SlipFact, ...], now: datetime) -> Iterator[Offer]:
    """Yield what the planner knows to do: another way for a load, plates later."""
    hypo = supposing(cook, facts, now)
    cards, told = basis(hypo, now)
    plan = plan_of(cook)
    for option in options(cards, plan, told, letter=next_letter(plan.letter)):
        if option.kind == "keep":
            continue
        part = Part.PROMISE if option.kind == "later" else Part.FIRE
        key = option.kind if option.kind != "way" else f"way/{_turned(plan, option.plan)}"
        yield Offer(key, part, option.text, option.plan, late_by(cook, option.plan, now), facts)


def _turned(was: Plan, now: Plan) -> str:
    """Return the load that takes another way in the new plan."""
    for load in now.loads:
        before = was.load(load.id)
        if before and {r.step for r in load.runs} - {r.step for r in before.runs}:
            return load.id
    return "?"


def _carry_on(cook: Cook, facts: tuple[SlipFact, ...], made: Plan) -> Line:
    going = [f for f in facts if isinstance(f, LoadMoving) and not stays(cook, f)]
    parts = [_moving_line(cook, fact) for fact in going]
    smaller = resized(plan_of(cook), made, cook.cards)
    if smaller is not None:
        parts.append(say("smaller loads: {loads}", loads=smaller))
    return listed(parts, 2) if parts else say("apply")


def _moving_line(cook: Cook, fact: LoadMoving) -> Line:
    run = next((r for r in plan_of(cook).runs() if r.key == fact.run), None)
    fields: dict[str, Value] = {"station": Label(fact.station), "clock": Clock(fact.at)}
    thing = thing_of(run, cook.cards) if run else Label(fact.run)
    return say("{thing} → {station} {clock}", thing=thing, **fields)


def supposing(cook: Cook, facts: tuple[SlipFact, ...], now: datetime) -> Cook:
    """Return the cook as it would be with these facts."""
    return booked(cook, tuple(Dated(now, fact) for fact in facts), BOT, now)


def _with(cook: Cook, facts: tuple[SlipFact, ...], key: str, now: datetime) -> Iterator[Offer]:
    """Yield the plan with these facts, in words by what is new in them."""
    hypo = supposing(cook, facts, now)
    cards, told = basis(hypo, now)
    plan = plan_of(cook)
    try:
        made = replan(cards, plan, told, letter=next_letter(plan.letter), reason="")
    except CannotPlanError:
        return
    lent = next(f for f in reversed(facts) if isinstance(f, StationLent))
    text = say("{station} at full heat as a grill from {clock}", station=Label(lent.station),
               clock=Clock(lent.start))  # fmt: skip
    yield Offer(key, Part.FIRE, text, made, late_by(cook, made, now), facts)


def _lends(cook: Cook, plan: Plan, now: datetime) -> Iterator[StationLent]:
    """Yield pits with nothing on them and nothing to come, in place of grills that are down."""
    cards = cook.cards
    assert cards is not None
    down = [s for s in cards.kit.stations if s.id in cook.slips.down and _is_grill(s)]
    busy = {
        cook.job(run.key).station or run.station
        for run in plan.runs()
        if cook.phase(run.key) in {Phase.WAITING, Phase.RUNNING} and run.end > now
    }
    for grill in down[:1]:
        for pit in cards.kit.stations:
            free = pit.id not in busy and pit.id not in cook.slips.down
            if pit.kind is StationKind.SMOKER and free and pit.id not in cook.slips.lent:
                hot = now + timedelta(minutes=HOTTER_MIN)
                yield StationLent(pit.id, grill.family or grill.id, hot)
                return


def _is_grill(station: Station) -> bool:
    return station.kind is StationKind.GRILL


def _apart(cook: Cook, facts: tuple[SlipFact, ...], late: Offer, now: datetime) -> Iterator[Offer]:
    """Yield serving the other dishes first, and the late one as soon as it is ready."""
    cards = cook.cards
    assert cards is not None
    due = still_due(cook, late.plan, now)
    worst = min(due, key=lambda load: load.slack_min, default=None)
    if plan_of(cook).plates_at <= now:
        return  # the others are out already
    if worst is None or late.late_min <= NEVER_MIN:
        return
    others = [m.dish for m in cards.event.menu if m.dish != worst.dish and not m.on_demand]
    if not others:
        return
    apart = ServedApart({worst.dish: float(ceil(late.late_min))})
    hypo = supposing(cook, (*facts, apart), now)
    cards_now, told = basis(hypo, now)
    plan = plan_of(cook)
    try:
        made = replan(cards_now, plan, told, letter=next_letter(plan.letter), reason="")
    except CannotPlanError:
        return
    at = plan.plates_at + timedelta(minutes=ceil(late.late_min))
    text = say("{first} first, {dish} from {clock}", first=_named(cook, others),
               dish=Label(dish_name(worst.dish, cards)), clock=Clock(at))  # fmt: skip
    key = "apart" if not late.key.startswith("lend/") else f"both/{late.key}"
    if key != "apart":
        text = say("both: {lent}; {apart}", lent=late.text, apart=text)
    yield Offer(key, Part.PROMISE, text, made, late_by(cook, made, now), (*facts, apart))


def _named(cook: Cook, dishes: list[str]) -> Line:
    return listed([Label(dish_name(d, cook.cards)) for d in dishes], 2)
