"""Catch me up, who moved plates, when do I light, how long for the lamb, when do I dress."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.left import left_line
from core.cook.names import job_name, listed, thing_of, verb_of
from core.cook.reports import late_loads
from core.cook.service.holds import reason_of
from core.cook.state import Cook, Phase
from core.cook.subjects import Item, in_order, items_named, key_of
from core.errors import CannotPlanError
from core.facts import Entry, HeadsChanged, PlanAdopted, PlatesMoved
from core.model import Answer, Clock, Label, Lead, Line, Qty, Role, StepRun, Task, Value, Who, say

SOON = timedelta(minutes=30)


def catch_up(cook: Cook, person: str, now: datetime) -> Answer:
    """Return what somebody who comes late must know: at most five lines."""
    cards, plan = cook.cards, cook.plan
    if cards is None or plan is None:
        raise CannotPlanError("nothing is cooking yet")
    first = say("Plates {plates}, now {now}. {heads}, plan {letter}. {state}",
                plates=Clock(plan.plates_at), now=Clock(now), heads=Qty(cook.heads, "heads", 0),
                letter=Label(plan.letter), state=_state(cook))  # fmt: skip
    lines = [first, say("You: {job}", job=_next_of(cook, person))]
    allergy = cards.leading(Lead.ALLERGY) or cards.chef
    if allergy is not None:
        lines.append(say("Allergies: ask {who}.", who=Who(allergy.id)))
    last = _last_change(cook)
    if last is not None:
        lines.append(say("Last change: {what}", what=last))
    return Answer(tuple(lines[:5]))


def _state(cook: Cook) -> Line:
    held = cook.service.held
    if held is not None:
        return say("HELD since {clock}: {why}.", clock=Clock(held.since),
                   why=reason_of(held.reason))  # fmt: skip
    late = late_loads(cook)
    if late:
        worst = min(late, key=lambda x: x.slack_min)
        name = Label(f"{worst.dish.replace('-', ' ')} {worst.name}")
        return say("{load} {late} late.", load=name, late=Qty(round(-worst.slack_min), "min", 0))
    return say("Nothing late.")


def _next_of(cook: Cook, person: str) -> Line:
    """Return a person's next job with whom and when; what they have in hand comes first."""
    mine = [i for i in in_order(cook.plan) if person in i.crew] if cook.plan else []
    running = [i for i in mine if cook.phase(key_of(i)) is Phase.RUNNING and i.do != "break"]
    coming = [i for i in mine if cook.phase(key_of(i)) is Phase.WAITING and i.do != "break"]
    if not coming and not running:
        return say("nothing in the plan. Ask your lead.")
    item = (coming or running)[0]
    others = [p for p in item.crew if p != person]
    names = [Who(p) for p in others]
    job = job_name(item, cook.cards)
    if names:
        return say("{job} with {who} at {clock}.", job=job, who=listed(names, 3),
                   clock=Clock(item.start))  # fmt: skip
    return say("{job} at {clock}.", job=job, clock=Clock(item.start))


def _last_change(cook: Cook) -> Line | None:
    plans = [e for e in cook.entries if isinstance(e.fact, PlanAdopted)][1:]
    if not plans or not isinstance(plans[-1].fact, PlanAdopted):
        return None
    return say("{why} at {clock}.", why=plans[-1].fact.reason, clock=Clock(plans[-1].heard))


# ------------------------------------------------------------------ who changed it


def who_moved(cook: Cook, what: str) -> Answer:
    """Return who changed plates or heads, when, why, and what it was before."""
    kind = HeadsChanged if what == "heads" else PlatesMoved
    moves = [e for e in cook.entries if isinstance(e.fact, kind)]
    if not moves:
        same = say("plates") if what != "heads" else say("heads")
        return Answer((say("Nobody: {what} as first planned.", what=same),))
    last = moves[-1]
    first = say("{who} {clock}: {why}.", who=_who(cook, last), clock=Clock(last.heard),
                why=_why(cook, last))  # fmt: skip
    before = [_before(e) for e in moves[-1:]]
    return Answer((first, *before))


def _who(cook: Cook, entry: Entry) -> Line:
    someone = cook.cards.person(entry.by) if cook.cards else None
    name = Who(entry.by)
    if someone is not None and someone.role is Role.CHEF:
        return say("Chef ({name})", name=name)
    return say("{name}", name=name)


def _before(entry: Entry) -> Line:
    match entry.fact:
        case PlatesMoved(was=was, at=at):
            return say("Before: {was}. Now: {at}.", was=Clock(was), at=Clock(at))
        case HeadsChanged(was=was, heads=heads):
            return say("Before: {was}. Now: {now}.", was=Qty(was, "", 0), now=Qty(heads, "", 0))
        case _:
            raise AssertionError("only changes of the promise come here")


def _why(cook: Cook, entry: Entry) -> Line:
    """Return the reason the plan of the same moment was adopted for."""
    plans = [e.fact for e in cook.entries if isinstance(e.fact, PlanAdopted)
             and e.heard == entry.heard]  # fmt: skip
    return plans[-1].reason if plans else say("no reason given")


# ------------------------------------------------------------------ when


def when_light(cook: Cook, now: datetime, plates: datetime | None = None) -> Answer:
    """Return when each fire is to be lit and the sum behind it; for other plates, moved along."""
    tasks = [t for t in (cook.plan.tasks if cook.plan else ()) if t.do == "light"]
    lights = [t for t in tasks if cook.phase(t.id) is Phase.WAITING and t.start >= now - SOON]
    if not lights or cook.plan is None:
        return Answer((say("No fire left to light in the plan."),))
    shift = plates - cook.plan.plates_at if plates is not None else timedelta()
    lights.sort(key=lambda t: t.start)
    parts = [
        say("{station} {clock}", station=Label(t.station or ""), clock=Clock(t.start + shift))
        for t in lights
    ]
    first = say(
        "Plates {plates} → light {fires}.",
        plates=Clock(cook.plan.plates_at + shift),
        fires=listed(parts, 3),
    )
    lines = (first, *_chain(cook, lights[0], shift))
    if shift:
        lines = (*lines, say("Nothing moved: 'plates' with that time does."))
    return Answer(lines[:4])


def _chain(cook: Cook, light: Task, shift: timedelta) -> list[Line]:
    """Return the sum behind the first fire: what follows on it until plates, in minutes."""
    plan = cook.plan
    assert plan is not None
    on = [r for r in plan.runs() if r.on_fire and r.station == light.station
          and r.start >= light.start]  # fmt: skip
    if not on:
        return []
    run = min(on, key=lambda r: r.start)
    heat = Qty(round((run.start - light.start) / timedelta(minutes=1)), "min", 0)
    lines = [say("Heats {heat}, first {thing} on {clock}.", heat=heat,
                 thing=thing_of(run, cook.cards), clock=Clock(run.start + shift))]  # fmt: skip
    load = next(x for x in plan.loads if any(r.key == run.key for r in x.runs))
    took = Qty(round((load.ready - load.on) / timedelta(minutes=1)), "min", 0)
    slack = Qty(round(load.slack_min), "min", 0)
    lines.append(say("{load}: {took} from on to ready, {slack} in hand.",
                     load=Label(f"{load.dish.replace('-', ' ')} {load.name}"), took=took,
                     slack=slack))  # fmt: skip
    return lines


def when_job(cook: Cook, verb: str, subject: str, now: datetime) -> Answer:
    """Answer 'when do I dress': not yet or now, at what time, and how long before plates."""
    named = items_named(cook, subject) if subject else in_order(cook.plan) if cook.plan else []
    jobs = [i for i in named if i.do == verb and cook.phase(key_of(i)) is Phase.WAITING]
    if not jobs or cook.plan is None:
        return Answer((say("{verb}: nothing left to do in the plan.", verb=verb_of(verb)),))
    item = jobs[0]
    plates = cook.plan.plates_at
    before = Qty(round((plates - item.start) / timedelta(minutes=1)), "min", 0)
    if item.start <= now:
        return Answer((say("Now: {job}, {before} before plates {plates}.",
                           job=job_name(item, cook.cards), before=before,
                           plates=Clock(plates)),))  # fmt: skip
    first = say("Not yet. {job} at {clock}, {before} before plates {plates}.",
                job=job_name(item, cook.cards), clock=Clock(item.start), before=before,
                plates=Clock(plates))  # fmt: skip
    return Answer((first, say("I'll call you.")))


def how_long(cook: Cook, subject: str, now: datetime) -> Answer:
    """Answer 'how long for the lamb': each load's next look, what to expect, and plates."""
    runs = [i for i in items_named(cook, subject) if isinstance(i, StepRun) and i.on_fire]
    on = [r for r in runs if cook.phase(r.key) is Phase.RUNNING]
    waiting = [r for r in runs if cook.phase(r.key) is Phase.WAITING]
    ordered = sorted(on, key=lambda r: r.end)[:3]
    lines = [
        left_line(cook, r, now, behind=n > 0) or _on_fire(cook, r, now)
        for n, r in enumerate(ordered)
    ]
    if not lines and waiting:
        run = waiting[0]
        lines.append(say("{thing} not on yet: on {clock}, off about {end}.",
                         thing=thing_of(run, cook.cards), clock=Clock(run.start),
                         end=Clock(run.end)))  # fmt: skip
    if not lines:
        return Answer((say("{thing}: off the fire.", thing=Label(subject)),))
    plates = cook.plan.plates_at if cook.plan else now
    return Answer((*lines, say("Plates {clock}.", clock=Clock(plates))))


def _on_fire(cook: Cook, run: StepRun, now: datetime) -> Line:
    reads = [r for r in cook.readings if r.about == run.key and r.unit == "°C"]
    core = Qty(run.until_core_c, "°C") if run.until_core_c is not None else None
    fields: dict[str, Value] = {
        "thing": thing_of(run, cook.cards),
        "clock": Clock(max(run.end, now)),
    }
    if reads and core is not None:
        return say("{thing} {read}, out at {core}: look {clock}.", **fields,
                   read=Qty(reads[-1].value, "°C"), core=core)  # fmt: skip
    if core is not None:
        return say("{thing}, out at {core}: look {clock}.", **fields, core=core)
    return say("{thing}: off about {clock}.", **fields)


__all__ = ["Item", "catch_up", "how_long", "when_job", "when_light", "who_moved"]
