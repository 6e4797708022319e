"""Reports of steps: on, off, flip, done, moved, binned.

*Refuse the impossible, warn about the unsafe*: a report is refused when the table `NEXT` does not
allow it or the time cannot be; anything else is booked as it was said, and what it moves with it.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.decision import Dated, Decision, Notice, WrongTimeError, booked, sentence
from core.cook.names import STAGES, VERBS, dish_name, listed, thing_of, verb_of
from core.cook.slips.force import basis
from core.cook.state import Cook, Made, Phase, items
from core.cook.subjects import (
    ENDS,
    FIRE_JOBS,
    STARTS,
    Item,
    candidates,
    items_named,
    key_of,
    legal,
    loads_named,
    plan_of,
)
from core.errors import CannotPlanError, OutOfRangeError, OutOfSequenceError, UnknownNameError
from core.facts import (
    CallAnswered,
    Fact,
    LateReported,
    ReadingTaken,
    Report,
    ReportStep,
    Retimed,
    StepReported,
)
from core.model import (
    Answer,
    Clock,
    Label,
    Line,
    Load,
    Place,
    Qty,
    Reading,
    Sound,
    StepRun,
    Task,
    say,
)
from core.planner import replan

ANSWERS: dict[Report, frozenset[str]] = {
    Report.START: frozenset({"start", "tick"}),
    Report.DONE: frozenset({"start", "end", "check", "flip", "tick", "limit"}),
    Report.DISCARD: frozenset({"start", "end", "check", "flip", "tick", "limit"}),
}
"""Which kinds of calls about a job a report answers."""

SNOOZE_MIN = 5.0
NEAR = timedelta(hours=6)
LONG_GONE = timedelta(hours=3)
TOGETHER = timedelta(minutes=2)
OPEN = frozenset({Phase.WAITING, Phase.RUNNING})
RETIME_MIN = 0.5  # what moves less than half a minute has not moved


def step_reported(cook: Cook, wish: ReportStep, by: str, at: datetime, now: datetime) -> Decision:
    """Book a report of a step and everything it moves."""
    if wish.verb == "flip":
        return _flipped(cook, wish, at)
    found = picked(cook, wish, at)
    facts: list[Dated] = []
    for item in found:
        _possible(cook, item, wish, at)
        facts += _one(cook, item, wish, by, at)
    after = booked(cook, tuple(facts), by, now)
    facts += [Dated(now, fact) for fact in retimed(after, now)]
    after = booked(cook, tuple(facts), by, now)
    on = on_unticked(cook, found[0], at) if wish.verb in ENDS else None
    answer = _echo(after, found, wish, at, on)
    return Decision(tuple(facts), answer, late_notice(cook, after))


def _one(cook: Cook, item: Item, wish: ReportStep, by: str, at: datetime) -> list[Dated]:
    """Return the facts of a report of one run or task."""
    key = key_of(item)
    count = _pieces(cook, item, wish) if wish.report is Report.DISCARD else None
    facts: list[Dated] = [*_before(cook, item, wish.report, at), *_left_running(cook, item, at)]
    on = on_unticked(cook, item, at) if wish.verb in ENDS else None
    if on is not None:
        facts.append(Dated(on, StepReported(key, Report.START)))
        facts += [Dated(at, CallAnswered(c)) for c in answered_calls(cook, key, Report.START)]
    facts.append(Dated(at, StepReported(key, wish.report, count, wish.station)))
    if wish.core_c is not None:
        reading = Reading(wish.core_c, Place.CORE, at, by, about=key)
        facts.append(Dated(at, ReadingTaken(reading)))
    facts += [Dated(at, CallAnswered(call)) for call in answered_calls(cook, key, wish.report)]
    return facts


def picked(cook: Cook, wish: ReportStep, at: datetime) -> list[Item]:
    """Return the runs or tasks a report is about: the next in the plan that may take it.

    'brine out' means every tub that is in; '4/5 out' the first four of them.
    """
    if wish.report is Report.DISCARD:
        return _discarded(cook, wish)
    named = candidates(cook, wish.subject, wish.verb)
    if not named:
        known = listed(
            list({i.do: verb_of(i.do) for i in items_named(cook, wish.subject)}.values())
        )
        raise UnknownNameError("step", VERBS.get(wish.verb) or wish.verb or wish.subject, known)
    usual = {Report.DONE: Phase.RUNNING, Report.START: Phase.WAITING}.get(wish.report)
    can = [item for item in named if legal(cook, item, wish.report)]
    first = [item for item in can if cook.phase(key_of(item)) is usual]
    if wish.verb in STARTS and wish.report is Report.START:
        can = [item for item in can if not _fire_before(cook, item)]
        first = [item for item in first if item in can]
    if wish.verb in ENDS:  # a thing that never went on cannot come off
        can = [item for item in can if wish.subject and on_unticked(cook, item, at) is not None]
    elif not wish.subject and wish.verb in {"", "done"}:
        can = []  # 'done' alone ends what runs
    found = first or can
    if not found:
        raise _out_of_sequence(cook, named, wish)
    near = [item for item in found if abs(item.start - at) <= NEAR]  # not yesterday's fire
    return _siblings(cook, near or found, wish)


def on_unticked(cook: Cook, item: Item, at: datetime) -> datetime | None:
    """Return when a waiting load surely went on, though nobody ticked it: as it was called.

    Only where the call is at least half its time on the fire ago; None where it is not, or where
    nobody was called.
    """
    if not isinstance(item, StepRun) or not item.on_fire:
        return None
    if cook.phase(item.key) is not Phase.WAITING:
        return None
    about = (m.call for m in cook.calls.values() if m.call.about == item.key)
    called = min((c.at for c in about if c.kind == "start"), default=None)
    return called if called and at - called >= (item.end - item.start) / 2 else None


def _fire_before(cook: Cook, item: Item) -> bool:
    """Say whether these pieces are on, or still wait for, an earlier fire: 'on' is not 'sear'."""
    if not isinstance(item, StepRun):
        return False
    earlier = [r for r in earlier_runs(cook, item) if r.on_fire]
    return any(cook.phase(r.key) in OPEN for r in earlier)


def _siblings(cook: Cook, found: list[Item], wish: ReportStep) -> list[Item]:
    """Return what goes with the first found.

    All lots of a step that was named; the batches of a load that go on several fires at once.
    """
    item = found[0]
    if isinstance(item, StepRun):
        return [item, *_beside(found, item)] if _names_load(cook, item, wish) else [item]
    if item.step is None or wish.subject.casefold() in {item.id, (item.station or "").casefold()}:
        return [item]
    same = (item.dish, item.step)
    lots: list[Item] = [i for i in found if isinstance(i, Task) and (i.dish, i.step) == same]
    return lots[: wish.count] if wish.count else lots


def _names_load(cook: Cook, item: StepRun, wish: ReportStep) -> bool:
    named = {load.id for load in loads_named(cook, wish.subject)} if wish.subject else set()
    return f"{item.dish}/{item.load}" in named and item.unit != item.load


def _beside(found: list[Item], first: StepRun) -> list[Item]:
    """Return the batches of the same step planned on other fires at about the same minute."""
    return [
        i
        for i in found
        if isinstance(i, StepRun)
        and i is not first
        and (i.dish, i.load, i.step) == (first.dish, first.load, first.step)
        and i.station != first.station
        and abs(i.start - first.start) <= TOGETHER
    ]


def _discarded(cook: Cook, wish: ReportStep) -> list[Item]:
    """Return where the pieces to be binned are now: one run a load, the furthest it has come."""
    named = items_named(cook, wish.subject)
    loads: dict[str, Item] = {}
    for item in named:
        if not legal(cook, item, Report.DISCARD) or item.do in FIRE_JOBS:
            continue
        key = f"{item.dish}/{item.load}" if isinstance(item, StepRun) else (item.dish or item.id)
        begun = cook.phase(key_of(item)) is not Phase.WAITING
        if begun or key not in loads:
            loads[key] = item
    runs = [i for i in loads.values() if isinstance(i, StepRun)]
    found: list[Item] = [*runs] or list(loads.values())
    if not found:
        raise _out_of_sequence(cook, named, wish)
    return found[:1] if wish.count is not None else found


def _out_of_sequence(cook: Cook, named: list[Item], wish: ReportStep) -> OutOfSequenceError:
    item = named[0]
    verb = VERBS.get(wish.verb) or Label(wish.verb or item.do)
    stage = STAGES[cook.phase(key_of(item)).value]
    return OutOfSequenceError(thing_of(item, cook.cards), stage, verb)


def _possible(cook: Cook, item: Item, wish: ReportStep, at: datetime) -> None:
    started = cook.job(key_of(item)).started
    if started is not None and at < started:
        raise WrongTimeError(Clock(at), f"it started {cook_clock(cook, started)}")
    if wish.report is Report.START or wish.report is Report.DONE:
        _in_order(cook, item, at)


def _in_order(cook: Cook, item: Item, at: datetime) -> None:
    """Refuse what cannot be: food that has not met its fire is not rested, cut or served.

    A fire that was called, and by its time is over, was met: nobody ticked it, that is all.
    """
    if isinstance(item, StepRun):
        fires: dict[int, list[Phase]] = {}
        for run in earlier_runs(cook, item):
            if run.on_fire:
                fires.setdefault(run.index, []).append(cook.phase(run.key))
        unmet = {
            r.index for r in earlier_runs(cook, item)
            if r.on_fire and not (f"{r.key}/start" in cook.calls and at >= r.end)
        }  # fmt: skip
        raw = any(
            index in unmet and all(p is Phase.WAITING for p in phases)
            for index, phases in fires.items()
        )
    elif item.do == "serve":
        loads = plan_of(cook).loads
        last = [max((r.index for r in x.runs if r.on_fire), default=-1) for x in loads]
        ends = [r for x, top in zip(loads, last, strict=True) for r in x.runs if r.index == top]
        raw = bool(ends) and all(cook.phase(r.key) is Phase.WAITING for r in ends)
    else:
        raw = False
    if raw:
        thing = thing_of(item, cook.cards)
        what = thing if thing.text else say("Food")
        raise OutOfSequenceError(what, STAGES["raw"], verb_of(item.do))


def earlier_runs(cook: Cook, item: StepRun) -> list[StepRun]:
    """Return the runs these pieces go through before this one, all batches of the whole load."""
    load = next(x for x in plan_of(cook).loads if any(r.key == item.key for r in x.runs))
    whole = item.unit == load.name
    return [
        r for r in load.runs
        if r.index < item.index and (whole or r.unit in {item.unit, load.name})
    ]  # fmt: skip


def cook_clock(cook: Cook, at: datetime) -> str:
    """Return an instant as site time for an error."""
    return f"{cook.cards.event.local(at):%H:%M}" if cook.cards else f"{at:%H:%M}"


def _pieces(cook: Cook, item: Item, wish: ReportStep) -> int | None:
    if wish.count is None:
        return None
    whole = item.count or 0
    left = whole - cook.job(key_of(item)).gone
    if not 0 < wish.count <= max(left, 1):
        raise OutOfRangeError("count", wish.count, f"1 to {left}")
    all_gone = wish.report is Report.DISCARD and wish.count == left
    return None if all_gone else wish.count


def unit_runs(cook: Cook, item: StepRun) -> list[StepRun]:
    """Return the runs these pieces go through: their own unit's and the whole load's."""
    load = next(x for x in plan_of(cook).loads if any(r.key == item.key for r in x.runs))
    return [r for r in load.runs if r.unit in {item.unit, load.name} or r.unit == r.load]


def _before(cook: Cook, item: Item, report: Report, at: datetime) -> list[Dated]:
    """Return the ends of what must be over when this starts: nobody ticks a rest."""
    if not isinstance(item, StepRun) or report is Report.DISCARD:
        return []
    earlier = [r for r in unit_runs(cook, item) if r.index < item.index]
    open_ = [r for r in earlier if cook.phase(r.key) in {Phase.WAITING, Phase.RUNNING}]
    done: list[Dated] = []
    for run in open_:
        when = min(at, max(run.end, cook.job(run.key).started or run.end))
        done.append(Dated(when, StepReported(run.key, Report.DONE)))
        done += [Dated(at, CallAnswered(k)) for k in answered_calls(cook, run.key, Report.DONE)]
    return done


def _left_running(cook: Cook, item: Item, at: datetime) -> list[Dated]:
    """Return the end of the same job on the load before, which nobody ticked: hands have moved."""
    if not isinstance(item, StepRun) or item.on_fire:
        return []
    same = [r for r in plan_of(cook).runs() if (r.dish, r.index) == (item.dish, item.index)]
    left = [r for r in same if r.start < item.start and r.load != item.load]
    return [
        Dated(at, StepReported(r.key, Report.DONE))
        for r in left
        if cook.phase(r.key) is Phase.RUNNING
    ]


def answered_calls(cook: Cook, key: str, report: Report) -> list[str]:
    """Return the open calls about a job that a report answers."""
    kinds = ANSWERS.get(report, frozenset())
    made = cook.calls.values()
    return [
        m.call.key
        for m in made
        if m.call.about == key and m.answered_by is None and m.call.kind in kinds
    ]


def _flipped(cook: Cook, wish: ReportStep, at: datetime) -> Decision:
    """A flip changes no stage: it answers the call to flip."""
    named = candidates(cook, wish.subject, "") if wish.subject else []
    keys = {key_of(item) for item in named if cook.phase(key_of(item)) is Phase.RUNNING}
    flips = [
        m.call.key
        for m in cook.calls.values()
        if m.call.kind == "flip" and m.answered_by is None and (not keys or m.call.about in keys)
    ]
    if wish.subject and not keys:
        raise _out_of_sequence(cook, named, wish)
    text = say("Flip noted {clock}.", clock=Clock(at))
    return Decision(tuple(Dated(at, CallAnswered(k)) for k in flips), Answer((text,)))


def retimed(cook: Cook, now: datetime) -> list[Fact]:
    """Return what the facts so far move, as one fact; empty when nothing moves."""
    if cook.plan is None or cook.cards is None:
        return []
    cards, told = basis(cook, now, decided=True)
    plan = cook.plan
    try:
        new = replan(cards, plan, told, letter=plan.letter, reason=plan.reason, same_loads=True)
    except CannotPlanError:  # a true report is taken all the same; the plan stays as it was told
        return []
    was = items(cook.plan)
    times = {
        key: (item.start, item.end)
        for key, item in items(new).items()
        if key in was
        and _moved(was[key], item)
        and cook.phase(key) in OPEN
        and not gone_by(cook, was[key], now)
    }
    return [Retimed(times)] if times else []


def gone_by(cook: Cook, item: Item, now: datetime) -> bool:
    """Say whether a job nobody ticked lies so far back that it was done or never will be."""
    return cook.phase(key_of(item)) is Phase.WAITING and now - item.start > LONG_GONE


def _moved(was: Item, item: Item) -> bool:
    shift = max(abs(item.start - was.start), abs(item.end - was.end))
    return shift > timedelta(minutes=RETIME_MIN)


def snoozed(cook: Cook, made: Made, by: str, at: datetime, now: datetime) -> Decision:
    """Put a call's job off by 5 min: it rings again then, and what hangs on it moves along."""
    key = made.call.about
    item = items(plan_of(cook))[key]
    running = cook.phase(key) is Phase.RUNNING
    until = max(item.end if running else item.start, now) + timedelta(minutes=SNOOZE_MIN)
    facts: tuple[Dated, ...] = (Dated(at, LateReported(key, until, SNOOZE_MIN)),)
    moved = retimed(booked(cook, facts, by, now), now)
    facts += tuple(Dated(now, fact) for fact in moved)
    after = booked(cook, facts, by, now)
    line = say("{thing} put off to {clock}.", thing=thing_of(item, cook.cards), clock=Clock(until))
    return Decision(facts, Answer((line,)), late_notice(cook, after))


def _echo(
    cook: Cook, found: list[Item], wish: ReportStep, at: datetime, on: datetime | None = None
) -> Answer:
    """Return what was understood and what comes next for these pieces."""
    item = found[0]
    thing: Label | Line = thing_of(item, cook.cards)
    if not thing.text:
        thing = say("All")
    elif len({getattr(i, "load", None) for i in found}) > 1 and item.dish:
        thing = Label(dish_name(item.dish, cook.cards))
    gone = wish.count if wish.count is not None else sum(i.count or 0 for i in found)
    said = {
        Report.START: say("{thing}: {verb} {clock}.", thing=thing, verb=verb_of(item.do),
                          clock=Clock(at)),
        Report.DONE: say("{thing}: {verb} done {clock}.", thing=thing, verb=verb_of(item.do),
                         clock=Clock(at)),
        Report.MOVE: say("{thing} moved to {station} {clock}.", thing=thing,
                         station=Label(wish.station or ""), clock=Clock(at)),
        Report.DISCARD: say("{thing}: {n} binned {clock}.", thing=thing,
                            n=Qty(gone, "pcs", 0), clock=Clock(at)),
        Report.READING: say("{thing} noted {clock}.", thing=thing, clock=Clock(at)),
    }[wish.report]  # fmt: skip
    tubs = say("{n} of them.", n=len(found)) if len(found) > 1 else None
    as_called = (
        say("Nobody ticked it on: taken as {clock}, as called.", clock=Clock(on)) if on else None
    )
    core, then = _core_line(item, wish), _next_line(cook, item, wish)
    return Answer(sentence(said, tubs or as_called, core, then))


def _core_line(item: Item, wish: ReportStep) -> Line | None:
    if wish.core_c is None or not isinstance(item, StepRun) or item.until_core_c is None:
        return None
    if wish.core_c + 0.5 >= item.until_core_c:
        return None
    return say(
        "NOT YET: {core} read, {target} wanted. Probe a second piece.",
        core=Qty(wish.core_c, "°C"),
        target=Qty(item.until_core_c, "°C"),
    )


def _next_line(cook: Cook, item: Item, wish: ReportStep) -> Line | None:
    if not isinstance(item, StepRun):
        return None
    key, plan = item.key, plan_of(cook)
    now = next(run for run in plan.runs() if run.key == key)
    if wish.report is Report.START:
        if now.until_core_c is not None:
            return say(
                "Off about {clock} at {core}: the thermometer decides.",
                clock=Clock(now.end),
                core=Qty(now.until_core_c, "°C"),
            )
        return say("Ends {clock}.", clock=Clock(now.end))
    after = [r for r in plan.runs() if r.load == now.load and r.dish == now.dish]
    mine = [r for r in after if r.unit in {now.unit, now.load} or now.unit == now.load]
    coming = [r for r in mine if r.index > now.index and cook.phase(r.key) is Phase.WAITING]
    if not coming:
        return None
    first = min(coming, key=lambda r: (r.start, r.key))
    return say(
        "Next: {verb} {thing} {clock}.",
        verb=verb_of(first.do),
        thing=thing_of(first, cook.cards),
        clock=Clock(max(first.start, now.end)),
    )


def late_loads(cook: Cook) -> list[Load]:
    """Return the loads that miss their plates and are still to be served."""
    loads = cook.plan.loads if cook.plan else ()
    served = [t for t in cook.plan.tasks if t.do == "serve"] if cook.plan else []
    if any(cook.phase(t.id) is Phase.OVER for t in served):
        return []
    late = [load for load in loads if load.slack_min < -1]
    return [x for x in late if any(cook.phase(run.key) in OPEN for run in x.runs)]


def late_notice(before: Cook, after: Cook) -> tuple[Notice, ...]:
    """Tell the chef, once a load, when a report makes food later than its plates."""
    if before.plan is None or after.plan is None or after.cards is None:
        return ()
    chef = after.cards.chef
    was = {load.id: load.slack_min for load in before.plan.loads}
    late = [x for x in late_loads(after) if was.get(x.id, 0) >= -1]
    if not late or chef is None:
        return ()
    worst = min(late, key=lambda load: load.slack_min)
    line = say(
        "{load} ready {clock}, {late} late. Say 'plates' with a new time to move them.",
        load=Label(f"{worst.dish} {worst.name}".replace("-", " ")),
        clock=Clock(worst.ready),
        late=Qty(-worst.slack_min, "min", 0),
    )
    key = f"late/{worst.id}/{after.seq}"
    return (Notice(key, (chef.id,), (line,), Sound.ONCE, kind="finding"),)
