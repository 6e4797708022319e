"""Where everything stands: status, what is next, what is mine, who is who, the emergency card."""

from __future__ import annotations

from datetime import datetime

from core.calls import calls_owed
from core.cook import Cook, Phase
from core.cook.names import STAGES, thing_of, verb_of
from core.cook.reports import late_loads
from core.cook.subjects import items_named
from core.errors import CannotPlanError, OutOfSequenceError
from core.model import (
    Answer,
    Call,
    Clock,
    Label,
    Lead,
    Line,
    Load,
    Number,
    Qty,
    StepRun,
    say,
)

LINES = 4


def status(cook: Cook, now: datetime) -> Answer:
    """Return plates, what is on which fire, what is late: four lines."""
    plan = cook.plan
    if plan is None:
        raise CannotPlanError("nothing is cooking yet")
    past = {Phase.OVER, Phase.GONE}
    done = sum(all(cook.phase(r.key) in past for r in load.runs) for load in plan.loads)
    first = say(
        "Plates {clock}, {heads}. Plan {letter}. Done {done} of {loads}.",
        clock=Clock(plan.plates_at),
        heads=Qty(plan.heads, "heads", 0),
        letter=Label(plan.letter),
        done=Qty(done, "", 0),
        loads=Qty(len(plan.loads), "loads", 0),
    )
    on = [run for run in plan.runs() if cook.phase(run.key) is Phase.RUNNING]
    lines = [_running(cook, run) for run in sorted(on, key=lambda r: (not r.on_fire, r.end))]
    late = late_loads(cook)
    tail = [_late(max(late, key=lambda x: -x.slack_min))] if late else []
    more = [] if lines else [say("Nothing on the fires {clock}.", clock=Clock(now))]
    numbers = (Number("plates_at", plan.plates_at.isoformat(), "time"),)
    return Answer((first, *(more + lines)[: LINES - 1 - len(tail)], *tail), numbers=numbers)


def _running(cook: Cook, run: StepRun) -> Line:
    where = cook.job(run.key).station or run.station or ""
    fields = {
        "thing": thing_of(run, cook.cards),
        "verb": verb_of(run.do),
        "clock": Clock(run.end),
        "where": Label(where),
    }
    if where:
        return say("{thing}: {verb} on {where} to {clock}", **fields)
    return say("{thing}: {verb} to {clock}", **fields)


def _late(load: Load) -> Line:
    return say(
        "{load} ready {clock}: {late} late.",
        load=Label(f"{load.dish.replace('-', ' ')} {load.name}"),
        clock=Clock(load.ready),
        late=Qty(-load.slack_min, "min", 0),
    )


def next_up(cook: Cook, person: str) -> Answer:
    """Return the next two things for anybody and the next for the asker."""
    owed = calls_owed(cook)
    coming = [c for c in owed if c.rung == 0][:2]
    mine = next((c for c in owed if person in c.to), None)
    lines = [say("{n}. {call}", n=n, call=_with_names(cook, c)) for n, c in enumerate(coming, 1)]
    if mine is None:
        lines.append(say("You: nothing more."))
    elif mine not in coming or len(mine.to) > 1:
        lines.append(say("You: {call}", call=mine.line))
    else:
        lines.append(say("You: that is {n}.", n=coming.index(mine) + 1))
    waiting = cook.open_calls(person)
    if waiting:
        lines.append(say("Not ticked: {call}", call=waiting[-1].call.line))
    return Answer(tuple(lines[:LINES]))


def _with_names(cook: Cook, call: Call) -> Line:
    people = [cook.cards.person(p) for p in call.to] if cook.cards else []
    names = ", ".join(p.name for p in people if p)
    return say("{call} ({who})", call=call.line, who=Label(names or "all"))


def mine(cook: Cook, person: str) -> Answer:
    """Return the asker's next jobs."""
    owed = [c for c in calls_owed(cook) if person in c.to and c.kind in {"start", "tick", "end"}]
    jobs = tuple(c.line for c in owed[:LINES])
    return Answer(jobs or (say("Nothing for you in the plan."),))


def running_cook(cook: Cook, now: datetime) -> Answer:
    """Return what was started: plates, the next action, how many calls and how many with sound."""
    plan = cook.plan
    if plan is None:
        raise CannotPlanError("nothing is cooking yet")
    owed = calls_owed(cook)
    first = say("{cook} runs: plates {clock}, {heads}.", cook=Label(cook.id),
                clock=Clock(plan.plates_at), heads=Qty(plan.heads, "heads", 0))  # fmt: skip
    loud = sum(1 for call in owed if call.sound)
    count = say("{n} to come, {loud} with sound.", n=Qty(len(owed), "calls", 0), loud=loud)
    coming = [c for c in owed if c.at >= now][:1]
    return Answer((first, count, *(say("Next: {call}", call=c.line) for c in coming)))


def look(cook: Cook, subject: str) -> Answer:
    """Return when to look at a load next and what to expect there."""
    runs = [i for i in items_named(cook, subject) if isinstance(i, StepRun)]
    on = [r for r in runs if cook.phase(r.key) is Phase.RUNNING and r.on_fire]
    if not on:
        raise OutOfSequenceError(Label(subject), STAGES["waiting"], say("CHECK"))
    run = on[0]
    thing = thing_of(run, cook.cards)
    looks = [c for c in calls_owed(cook) if c.about == run.key and c.kind in {"check", "end"}]
    lines = tuple(call.line for call in looks[:2])
    return Answer(lines or (say("{thing}: off about {clock}.", thing=thing, clock=Clock(run.end)),))


def who(cook: Cook) -> Answer:
    """Return who leads what."""
    cards = cook.cards
    if cards is None:
        raise CannotPlanError("nothing is cooking yet")
    led = [(say("Chef"), cards.chef)]
    led += [(_LEADS[lead], cards.leading(lead)) for lead in Lead]
    parts = [say("{what}: {who}", what=w, who=Label(p.name)) for w, p in led if p is not None]
    rest = [p.name for p in cards.crew if p not in {x for _, x in led}]
    if rest:
        parts.append(say("Crew: {who}", who=Label(", ".join(rest))))
    pairs = [parts[i : i + 2] for i in range(0, len(parts), 2)]
    return Answer(tuple(_pair(p) for p in pairs)[:LINES])


_LEADS = {
    Lead.PIT: say("Pit"),
    Lead.COLD: say("Cold"),
    Lead.FRONT: say("Front"),
    Lead.ALLERGY: say("Allergies"),
    Lead.NIGHT: say("Night"),
}


def _pair(parts: list[Line]) -> Line:
    if len(parts) == 1:
        return parts[0]
    return Line("{a} · {b}", {"a": parts[0], "b": parts[1]})


def sos(cook: Cook) -> Answer:
    """Return the emergency card: number, site and gate first, no questions."""
    card = cook.cards.event.emergency if cook.cards else None
    if card is None:
        return Answer((say("CALL AMBULANCE NOW. No site address on the card: say where you are."),))
    lines = [
        say(
            "CALL {number} NOW. {address}, {gate}.",
            number=Label(card.number),
            address=Label(card.address),
            gate=Label(card.gate),
        )
    ]
    if card.first_aider:
        lines.append(say("First aider: {who}.", who=Label(card.first_aider)))
    lines.append(say("Stay with them. Chef is told."))
    return Answer(tuple(lines))
