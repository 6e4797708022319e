"""Each fact of a log as one line for people: the end of a demo, `pitcrier log`, the sheet."""

from __future__ import annotations

from datetime import timedelta
from typing import assert_never

from core.cook import Cook
from core.cook.learning import MEASURES, shown
from core.cook.names import job_name
from core.cook.safety.record import told as safety_told
from core.cook.service.log import logged
from core.cook.slips.record import slip_told
from core.cook.state import items
from core.facts import (
    CallAnswered,
    CallMade,
    CardsTaken,
    CookClosed,
    CookLearned,
    CookStarted,
    EndExpected,
    Entry,
    HeadsChanged,
    HeatFact,
    HeatLearned,
    HouseFact,
    HouseForgot,
    HouseTaken,
    KitchenFact,
    LateReported,
    LidOpened,
    Loaded,
    MeasurementTaken,
    PersonAdded,
    PlanAdopted,
    PlatesMoved,
    QuestionAnswered,
    QuestionAsked,
    ReadingTaken,
    Report,
    Retimed,
    SafetyFact,
    ServiceFact,
    SlipFact,
    StepReported,
    Surface,
    SurfaceReported,
    Undone,
    VerdictGiven,
)
from core.model import Clock, Label, Line, Qty, Value, say
from core.trial.told import kitchen_told

LATE_TOLD = timedelta(minutes=1)
SURFACES = {
    Surface.BARE: say("unwrapped"),
    Surface.WRAPPED: say("wrapped"),
    Surface.COVERED: say("covered"),
}
REPORTS = {
    Report.START: say("started"),
    Report.DONE: say("done"),
    Report.MOVE: say("moved"),
    Report.READING: say("read"),
    Report.DISCARD: say("binned"),
}


def line_of(entry: Entry, cook: Cook) -> Line:
    """Return what a fact says, with who said it, and when it was heard if that was later."""
    fields: dict[str, Value] = {
        "clock": Clock(entry.at),
        "what": what_of(entry, cook),
        "who": Label(name_of(entry.by, cook)),
    }
    if entry.heard - entry.at >= LATE_TOLD:
        return say("{clock} {what} ({who}, told {told})", **fields, told=Clock(entry.heard))
    return say("{clock} {what} ({who})", **fields)


def name_of(person: str, cook: Cook) -> str:
    """Return a person's name, while it is known."""
    someone = cook.cards.person(person) if cook.cards else None
    return someone.name if someone else person


def about(key: str, cook: Cook) -> Line:
    """Return a job's verb and thing by its key; the key itself when the plan has moved on."""
    item = items(cook.plan).get(key) if cook.plan else None
    if item is None:
        return say("{key}", key=Label(key))
    return job_name(item, cook.cards)


def what_of(entry: Entry, cook: Cook) -> Line:
    """Return what a fact says."""
    if isinstance(entry.fact, SafetyFact):
        return safety_told(entry.fact, cook)
    if isinstance(entry.fact, HouseFact | HeatFact):
        return learned_line(entry.fact, cook)
    if isinstance(entry.fact, KitchenFact):
        return kitchen_told(entry.fact)
    if isinstance(entry.fact, SlipFact):
        return slip_told(entry.fact, cook)
    if isinstance(entry.fact, ServiceFact):
        return logged(entry.fact, cook)
    match entry.fact:
        case CookStarted(cook=name):
            return say("cook {name} started", name=Label(name))
        case CardsTaken(texts=texts):
            return say("cards taken: {n}", n=Qty(len(texts), "files", 0))
        case PlanAdopted(plan=plan, reason=reason):
            return say("PLAN {letter}: {why}. Plates {plates}, {heads}",
                       letter=Label(plan.letter), why=reason, plates=Clock(plan.plates_at),
                       heads=Qty(plan.heads, "heads", 0))  # fmt: skip
        case HeadsChanged(heads=heads, was=was):
            return say("heads {was} → {heads}", was=Qty(was, "", 0), heads=Qty(heads, "", 0))
        case PlatesMoved(at=at, was=was_at):
            return say("plates {was} → {at}", was=Clock(was_at), at=Clock(at))
        case StepReported() as step:
            return _step(step, cook)
        case Retimed(times=times):
            return say("plan moved along: {n}", n=Qty(len(times), "jobs", 0))
        case ReadingTaken(reading=reading):
            return say("{about}: {value} {place}", about=about(reading.about, cook),
                       value=Qty(reading.value, reading.unit),
                       place=reading.place.value)  # fmt: skip
        case LateReported(item=item, minutes=minutes):
            return say("{about}: {minutes} late", about=about(item, cook),
                       minutes=Qty(minutes, "min", 0))  # fmt: skip
        case EndExpected(item=item, end=end):
            return say("{about} expected off {clock}", about=about(item, cook), clock=Clock(end))
        case CallMade(call=call):
            to = ", ".join(name_of(p, cook) for p in call.to)
            return say("called {who}: {call}", who=Label(to), call=call.line)
        case CallAnswered(key=key):
            return say("answered: {about}", about=about("/".join(key.split("/")[:-1]), cook))
        case QuestionAsked(lines=lines):
            return say("asked: {line}", line=lines[0] if lines else Label(""))
        case QuestionAnswered(number=number):
            return say("chose [{n}]", n=number)
        case Loaded(items=loaded):
            names = ", ".join(item.split("/", 1)[-1] for item in loaded)
            return say("in the van: {what}", what=Label(names))
        case PersonAdded(person=person):
            return say("{who} joined the crew", who=Label(name_of(person.id, cook)))
        case VerdictGiven(finding=finding):
            return finding.text
        case Undone(seqs=seqs):
            return say("took back {n} of the log", n=Label(", ".join(f"#{s}" for s in seqs)))
        case CookClosed():
            return say("cook closed")
        case _:
            assert_never(entry.fact)


def learned_line(fact: HouseFact | HeatFact, cook: Cook) -> Line:
    """Return what a fact of the house, or of what lies on the food, says."""
    match fact:
        case SurfaceReported(run=run, at_core_c=core) if core is not None:
            return say("{about} to be wrapped at {core}", about=about(run, cook),
                       core=Qty(core, "°C"))  # fmt: skip
        case SurfaceReported(run=run, surface=surface):
            return say("{about} {report}", about=about(run, cook), report=SURFACES[surface])
        case LidOpened(station=station):
            return say("lid of {station} opened", station=Label(station))
        case MeasurementTaken():
            return say("kept: {subject} {kind} {value}", subject=Label(fact.subject),
                       kind=MEASURES[fact.kind],
                       value=shown(fact.kind, fact.value))  # fmt: skip
        case HeatLearned(cut=cut, fire=fire, cores=cores):
            return say("{cut} on {fire}: learned from {n}", cut=Label(cut), fire=Label(fire),
                       n=Qty(len(cores), "readings", 0))  # fmt: skip
        case HouseTaken(measured=measured, heat=heat):
            return say("from the house: {n} measured, {m} learned", n=len(measured), m=len(heat))
        case HouseForgot(what=what):
            return say("no longer learned: {what}", what=Label(what))
        case CookLearned(cook=name):
            return say("learned from cook {name}", name=Label(name))
        case _:
            assert_never(fact)


def _step(step: StepReported, cook: Cook) -> Line:
    fields: dict[str, Value] = {
        "about": about(step.run, cook),
        "report": REPORTS[step.report],
    }
    if step.station:
        return say("{about} {report} → {station}", **fields, station=Label(step.station))
    if step.count is not None:
        return say("{about} {report}: {n}", **fields, n=Qty(step.count, "pcs", 0))
    return say("{about} {report}", **fields)
