"""What is still to be said, to whom, when: computed from the plan and what has happened.

A call's key is stable: unchanged keys stay, moved ones move, gone ones vanish, and one that was
made is not made again unless a later plan moved its job and nobody had answered. Calls are
for jobs on a fire or with hands, for looks and flips, and for hard maxima. A must-do climbs:
its owner, 3 min later the backup, 6 min later the lead, and stops when anybody answers.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from core.cook import Cook, Job, Made, Phase
from core.cook.cooling import keyed_moments
from core.cook.names import thing_of, verb_of
from core.cook.safety.watch import COOLING, SORTS, alive, safety_calls, without_sick
from core.cook.service.owed import service_calls
from core.cook.service.review import review_calls
from core.cook.service.silence import quieted
from core.cook.slips.owed import slip_calls, waits
from core.cook.state import items
from core.model import (
    Call,
    Cards,
    Clock,
    Label,
    Lead,
    Line,
    Person,
    Plan,
    Qty,
    Role,
    Sound,
    StepRun,
    Task,
    Value,
    say,
)

MERGE_MIN = 3
BACKUP_MIN, LEAD_MIN = 3, 6
LIMIT_AHEAD_MIN = 10
MOVED_MIN = 2.0
IN_HAND_MIN = 12.0
BATCHES_MIN = 15.0
"""Batches of one load on one person's fire within this are said in one push, each with its time."""
LIMIT_RUNGS = 4
"""A hard maximum goes on ringing past the lead, every three minutes, until it has passed."""
MUST = frozenset({"start", "end", "limit"})
QUIET = frozenset({"break"})
"""Jobs that ask nothing of anybody: no push."""
ROOM = ("room",)


def calls_owed(cook: Cook) -> tuple[Call, ...]:
    """Return every call still to be made, by time then key."""
    if cook.plan is None or cook.cards is None:
        return ()
    said = review_calls(cook) if cook.closed else _wanted(cook)
    wanted = tuple(quieted(cook, (without_sick(cook, c) for c in said if not waits(cook, c))))
    owed = [call for call in (_again(cook, w) for w in wanted) if call is not None]
    if not cook.closed:
        owed += quieted(cook, _climbs(cook, _moved_keys(cook, wanted)))
    return tuple(sorted(owed, key=lambda c: (c.at, -c.sound, c.key)))


def calls_of(plan: Plan, cards: Cards) -> tuple[Call, ...]:
    """Return every call of a day that goes to plan: before a job, and while it runs."""
    before = Cook(cards=cards, plan=plan, heads=plan.heads, plates_at=plan.plates_at)
    running = {key: Job(Phase.RUNNING, job.start) for key, job in items(plan).items()}
    found = (*calls_owed(before), *calls_owed(replace(before, jobs=running)))
    return tuple(sorted({c.key: c for c in found}.values(), key=lambda c: (c.at, c.key)))


def _moved_keys(cook: Cook, wanted: Iterable[Call]) -> frozenset[str]:
    """Return the keys of calls made for a time their job has left since."""
    moved: set[str] = set()
    for call in wanted:
        made, _ = _last_made(cook, call.key)
        if made is not None and _moved_on(cook, made, call):
            moved.add(made.call.key)
    return frozenset(moved)


def _wanted(cook: Cook) -> Iterator[Call]:
    assert cook.plan is not None
    for run in cook.plan.runs():
        yield from _run_calls(cook, run)
    for task in cook.plan.tasks:
        if cook.phase(task.id) is Phase.WAITING and _has_doer(task):
            yield _call(cook, task, "tick", task.start, _start_line(cook, task))
        yield from _limit(cook, task)
    yield from _cooling(cook)
    yield from service_calls(cook)
    yield from safety_calls(cook)
    yield from slip_calls(cook)


def _cooling(cook: Cook) -> Iterator[Call]:
    """Yield the questions for the temperature of what is cooling; loud at a limit nobody read."""
    for key, item, moment in keyed_moments(cook):
        about = item.key if isinstance(item, StepRun) else item.id
        name = thing_of(item, cook.cards)
        line = say("{thing}: {question}", thing=name, question=moment.line)
        if moment.finding is not None:
            line = say("{text} {thing}", text=moment.finding.text, thing=name)
        sound = Sound.ALARM if moment.loud else Sound.ONCE
        yield Call(key, moment.at, _doers(cook, item), line, sound, COOLING, about,
                   must=moment.loud, step=item.step or item.do)  # fmt: skip


def cooling_keys(cook: Cook) -> Iterator[str]:
    """Yield the keys of the cooling questions that nobody has answered with a reading."""
    return (call.key for call in _cooling(cook))


def base_key(key: str) -> str:
    """Return a call's key without its rung and its repeats."""
    return key.partition("!")[0].partition("#")[0]


def _has_doer(task: Task) -> bool:
    return (bool(task.crew) or task.do in {"light", "feed"}) and task.do not in QUIET


def _hands(cook: Cook, run: StepRun) -> int:
    """Return how many hands the card wants; a rest or a wait wants none and is not called."""
    assert cook.cards is not None
    return cook.cards.dish(run.dish).steps[run.index].hands


def _run_calls(cook: Cook, run: StepRun) -> Iterator[Call]:
    phase = cook.phase(run.key)
    if phase is Phase.WAITING and (run.on_fire or _hands(cook, run)):
        yield _call(cook, run, "start", run.start, _start_line(cook, run))
    called = f"{run.key}/start" in cook.calls  # nobody ticked it: it is on all the same, perhaps
    if run.on_fire and (phase is Phase.RUNNING or (phase is Phase.WAITING and called)):
        yield from _looks(cook, run)
        if run.until_core_c is not None or not run.turns:
            yield _call(cook, run, "end", run.end, _end_line(cook, run))
    yield from _limit(cook, run)


def _looks(cook: Cook, run: StepRun) -> Iterator[Call]:
    for n, (at, core_c) in enumerate(run.checks, start=1):
        if at < run.end:
            line = say("CHECK {thing}: expect {core} · {clock}", thing=_thing(cook, run),
                       core=Qty(round(core_c), "°C"), clock=Clock(at))  # fmt: skip
            yield _call(cook, run, "check", at, line, n)
    for n, at in enumerate(run.turns, start=1):
        line = say("FLIP {thing} · {clock}", thing=_thing(cook, run), clock=Clock(at))
        yield _call(cook, run, "flip", at, line, n)


def _limit(cook: Cook, item: StepRun | Task) -> Iterator[Call]:
    """Yield the alarm before a hard maximum; an ideal is only a nudge, this one rings."""
    key = item.key if isinstance(item, StepRun) else item.id
    running = cook.phase(key) is Phase.RUNNING
    if item.never_after is None or not running:
        return
    started = cook.job(key).started or item.start
    limit = started + (item.never_after - item.start)  # from when it really went in
    at = limit - timedelta(minutes=LIMIT_AHEAD_MIN)
    line = say("TAKE OUT {thing} now ({verb}). Max {clock}.", verb=verb_of(item.do),
               thing=thing_of(item, cook.cards), clock=Clock(limit))  # fmt: skip
    yield replace(_call(cook, item, "limit", at, line), sound=Sound.ALARM)


def _call(
    cook: Cook, item: StepRun | Task, kind: str, at: datetime, line: Line, n: int = 0
) -> Call:
    about = item.key if isinstance(item, StepRun) else item.id
    key = f"{about}/{kind}{n or ''}"
    choices = (say("done"), say("+5 min")) if kind in MUST or kind == "tick" else (say("done"),)
    at_it = kind in {"end", "flip"} and _in_hand(cook, item)  # they stand there: no second push
    on_fire = isinstance(item, StepRun) and item.on_fire
    must = kind == "limit" or (kind in MUST and on_fire and not at_it)
    load = f"{item.dish}/{item.load}" if isinstance(item, StepRun) else item.load
    sound = Sound.SILENT if at_it else Sound.ONCE
    to = _doers(cook, item)
    return Call(key, at, to, line, sound, kind, about, 0, choices, must, load, item.step or item.do)


def _in_hand(cook: Cook, item: StepRun | Task) -> bool:
    """Say whether somebody stands at this fire until it is over: a sear, a short grilling."""
    if not isinstance(item, StepRun) or not item.on_fire or cook.cards is None:
        return False
    step = cook.cards.dish(item.dish).steps[item.index]
    return step.hands > 0 and (step.ideal_min or 0.0) <= IN_HAND_MIN


def _thing(cook: Cook, item: StepRun | Task) -> Label:
    return thing_of(item, cook.cards)


def _start_line(cook: Cook, item: StepRun | Task) -> Line:
    """Return verb · thing · place · how · clock time."""
    thing = _thing(cook, item)
    fields: dict[str, Value] = {"verb": verb_of(item.do), "clock": Clock(item.start)}
    text = "{verb}"
    if thing.text:
        text += " {thing}"
        fields["thing"] = thing
    if item.station and item.station != thing.text:
        text += " → {station}"
        fields["station"] = Label(item.station)
    if item.temp_c is not None:
        text += " · {temp}"
        fields["temp"] = Qty(item.temp_c, "°C", 0)
    if isinstance(item, StepRun) and item.until_core_c is not None and _in_hand(cook, item):
        text += " · ≥{core}"
        fields["core"] = Qty(item.until_core_c, "°C", 0)
    if item.count and isinstance(item, StepRun):
        text += " · {count}"
        fields["count"] = Qty(item.count, "pcs", 0)
    return Line(text + " · {clock}", fields)


def _end_line(cook: Cook, run: StepRun) -> Line:
    fields: dict[str, Value] = {"thing": _thing(cook, run), "clock": Clock(run.end)}
    if run.until_core_c is None:
        return say("PULL {thing} · {clock}", **fields)
    fields["core"] = Qty(run.until_core_c, "°C")
    return say("PULL {thing} at {core} · look {clock}", **fields)


def _doers(cook: Cook, item: StepRun | Task) -> tuple[str, ...]:
    """Return who does it: those in the plan, else who leads that part, else the chef."""
    if item.crew:
        return item.crew
    cards = cook.cards
    assert cards is not None
    on_fire = isinstance(item, StepRun) and item.on_fire
    lead = Lead.PIT if on_fire or item.do in {"light", "feed"} else Lead.COLD
    person = cards.leading(lead) or _of_role(cards, Role.PIT if lead is Lead.PIT else Role.COLD)
    owner = person or cards.chef
    return (owner.id,) if owner else ROOM


def _of_role(cards: Cards, role: Role) -> Person | None:
    return next((p for p in cards.crew if p.role is role), None)


def _again(cook: Cook, call: Call) -> Call | None:
    """Return the call if it is still owed: not made, or made for a time that has moved on."""
    made, times = _last_made(cook, call.key)
    if made is None:
        return call
    if made.answered_by is None and _moved_on(cook, made, call):
        return replace(call, key=f"{call.key}#{times}")
    return None


def _last_made(cook: Cook, key: str) -> tuple[Made | None, int]:
    """Return the newest making of a call and how often it was made."""
    made, times = cook.calls.get(key), 1
    while f"{key}#{times}" in cook.calls:
        made = cook.calls[f"{key}#{times}"]
        times += 1
    return made, times


def _moved_on(cook: Cook, made: Made, call: Call) -> bool:
    """Say whether a call's job has left the time it was called for.

    The end of what is on and was not ticked drifts with the clock: that alone is no news, only a
    better guess of it or somebody's word is.
    """
    at = call.at
    if call.kind == "end" and cook.phase(call.about) is Phase.RUNNING:
        at = min(at, cook.late.get(call.about, made.call.at))
    return at - made.call.at > timedelta(minutes=MOVED_MIN)


def _climbs(cook: Cook, moved: frozenset[str]) -> Iterator[Call]:
    """Yield the next rung of each must-do nobody has answered; what has moved waits its turn."""
    kinds = {m.call.kind for m in cook.calls.values()}
    asking = alive(cook) if kinds & SORTS else frozenset()
    cooling = frozenset(cooling_keys(cook)) if COOLING in kinds else frozenset()
    climbing: set[tuple[str | None, str, str | None, int]] = set()
    for made in cook.calls.values():
        call = made.call
        base = call.key.split("!")[0]
        stale = not call.must or made.answered_by is not None or base in moved
        if call.kind == COOLING:
            wanted = base_key(base) in cooling
        else:
            wanted = base in asking if call.kind in SORTS else _alive(cook, call)
        if stale or not wanted:
            continue
        rung = call.rung + 1
        key = f"{base}!{rung}"
        to = _rung(cook, base, call, rung)
        if key in cook.calls or not to or _enough(cook, call, base, rung):
            continue
        batch = (call.load, call.kind, call.step, rung)
        if call.load is not None and call.kind in {"start", "end"} and batch in climbing:
            continue
        climbing.add(batch)
        at = call.at + timedelta(minutes=BACKUP_MIN if rung == 1 else LEAD_MIN - BACKUP_MIN)
        climbed = replace(call, key=key, at=at, to=to, sound=Sound.ALARM, rung=rung)
        yield without_sick(cook, climbed)


def _alive(cook: Cook, call: Call) -> bool:
    """Say whether a call's job still wants doing; a call of a job that is over is stale."""
    phase = cook.phase(call.about)
    return phase is Phase.WAITING if call.kind == "start" else phase is Phase.RUNNING


def _enough(cook: Cook, call: Call, base: str, rung: int) -> bool:
    """Say whether a call climbs no further.

    Of a load's batches at one step one climbs for all. The lead hears once a load that nobody
    ticks it, not at every step; a hard maximum always.
    """
    if call.kind == "limit":
        return rung > LIMIT_RUNGS
    others = [
        m.call for m in cook.calls.values()
        if m.call.rung and m.answered_by is None and m.call.load == call.load
        and m.call.load is not None and base_key(m.call.key) != base_key(base)
    ]  # fmt: skip
    told_lead = any(other.rung == 2 for other in others)
    batches = any((other.kind, other.step) == (call.kind, call.step) for other in others)
    return rung > 2 or batches or (rung == 2 and told_lead)


def _rung(cook: Cook, base: str, call: Call, rung: int) -> tuple[str, ...]:
    """Return who is told next: the owner's backup, then who leads their part, then the chef."""
    cards = cook.cards
    assert cards is not None
    first = cook.calls[base].call.to if base in cook.calls else call.to
    owner = cards.person(first[0]) if first != ROOM else None
    part = PARTS.get(owner.role, Lead.PIT) if owner else Lead.PIT
    backup = cards.person(owner.backup) if owner and owner.backup else None
    line = [backup, cards.leading(part), cards.chef] if rung == 1 else [
        cards.leading(part), cards.chef]  # fmt: skip
    told = {*first, *(call.to if rung == 2 else ())}
    person = next((p for p in line if p is not None and p.id not in told), None)
    if person is None:
        return call.to if call.kind == "limit" else ()
    return (person.id,)


PARTS = {
    Role.COLD: Lead.COLD,
    Role.FRONT: Lead.FRONT,
    Role.LANE: Lead.FRONT,
    Role.RUNNER: Lead.FRONT,
}
"""Who leads whom, beside the pit lead."""


def due(owed: Sequence[Call], now: datetime) -> tuple[Call, ...]:
    """Return the calls to make now: what is due, and to the same people what falls due soon.

    Two pushes to one person within 3 min become one at the earlier time, and so do the batches
    of a load that follow on the same hands; each line keeps its own clock time and its own key.
    Alarms wait for nothing, but those of one load to one person ring together.
    """
    ripe = [c for c in owed if c.at <= now]
    people = {person for c in ripe if c.sound is Sound.ONCE for person in c.to}
    soon = now + timedelta(minutes=MERGE_MIN)
    later = [c for c in owed if c.at > now and c.sound is not Sound.SILENT]
    near = [c for c in later if c.sound is Sound.ONCE and c.at <= soon and people.issuperset(c.to)]
    said = [*ripe, *near]
    more = [c for c in later if c not in near and any(_with(c, first, soon) for first in said)]
    return (*said, *more)


def _with(call: Call, first: Call, soon: datetime) -> bool:
    """Say whether a call is said with another: the next batch, or an alarm of the same load."""
    if call.load is None or (call.load, call.to, call.sound) != (first.load, first.to, first.sound):
        return False
    if call.sound is Sound.ALARM:
        return call.at <= soon
    batch = call.kind == first.kind == "start" and call.step == first.step
    return batch and call.at - first.at <= timedelta(minutes=BATCHES_MIN)


def next_due(owed: Iterable[Call]) -> datetime | None:
    """Return when the next call falls due; None when nothing is owed."""
    return min((call.at for call in owed), default=None)


def merged(calls: Sequence[Call]) -> tuple[tuple[str, tuple[Call, ...]], ...]:
    """Return each person's calls in messages: alarms together, the others together."""
    people = dict.fromkeys(p for call in calls for p in call.to if p not in call.quiet)
    groups: list[tuple[str, tuple[Call, ...]]] = []
    for person in people:
        mine = [c for c in calls if person in c.to and person not in c.quiet]
        loud = tuple(c for c in mine if c.sound is Sound.ALARM)
        groups += [(person, loud)] if loud else []
        quiet = tuple(c for c in mine if c.sound is not Sound.ALARM)
        groups += [(person, quiet)] if quiet else []
    return tuple(groups)
