"""Somebody is sick: off food at once, for the chef's eyes only, with the food they touched."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.decision import Dated, Decision, Notice
from core.cook.names import thing_of
from core.cook.safety.labels import cards_of
from core.cook.safety.said import given
from core.cook.state import Cook, Phase, items
from core.cook.subjects import Item, key_of
from core.errors import NotAllowedError, UnknownNameError
from core.facts import (
    BinFood,
    Choice,
    CrewBack,
    CrewOff,
    QuestionAsked,
    ReportBack,
    ReportSick,
    StepReported,
)
from core.model import Answer, Clock, Finding, Label, Person, Role, Sound, StepRun, Verdict, say
from core.safety.crew import (
    Touched,
    back_on,
    sick_findings,
    sick_lines,
    sick_rule,
    work_is_eaten_as_is,
)

SHOWN = 2


def sick_reported(cook: Cook, wish: ReportSick, at: datetime) -> Decision:
    """Take somebody off food; the chef alone hears who, and which batches to bin."""
    cards = cards_of(cook)
    person = _person(cook, wish.person)
    profile = cards.event.profile
    found = sick_findings(person.name, touched(cook, person.id), profile)
    fact = Dated(at, CrewOff(person.id, float(sick_rule(profile).row["hours"])))
    said = tuple(given(at, each) for each in found[1:])
    place, _ = sick_lines()
    hours = found[0].text.fields["hours"]
    answer = Answer(
        (
            say("{verdict}. Off food now, {hours} h after the last symptom.",
                verdict=Verdict.STOP, hours=hours),
            place,
            say("The chef is told, only the chef."),
        ),
        Verdict.STOP,
    )  # fmt: skip
    asked, told = _to_chef(cook, person, found, at)
    return Decision((fact, *said, *asked), answer, told)


def _to_chef(
    cook: Cook, person: Person, found: tuple[Finding, ...], at: datetime
) -> tuple[tuple[Dated, ...], tuple[Notice, ...]]:
    """Return the chef's own question: what was touched, and one tap to bin what is eaten as it is.

    A chef who is sick is not the one to be told: then it is who stands in.
    """
    cards = cards_of(cook)
    chef = cards.chef
    deputy = cards.person(chef.backup) if chef and chef.backup else None
    to = chef if chef is not None and chef.id != person.id else deputy
    if to is None:
        return (), ()
    bins = tuple(f for f in found if f.verdict is Verdict.BIN)
    rest = tuple(f for f in found[1:] if f.verdict is not Verdict.BIN)
    lines = [found[0].text, *(f.text for f in (*bins, *rest)[:SHOWN])]
    left = len(bins) + len(rest) - SHOWN
    if left > 0:
        lines.append(say("And {n} more, all on the inspector's sheet.", n=left))
    key = f"sick/{cook.seq}"
    if not bins:
        return (), (Notice(key, (to.id,), tuple(lines), Sound.ALARM, kind="finding"),)
    abouts = tuple(f.about for f in bins)
    picks = (Choice(say("bin it"), BinFood(abouts, found[0].rule)), Choice(say("leave it")))
    question = QuestionAsked(key, (to.id,), tuple(lines), picks, Sound.ALARM)
    notice = Notice(key, (to.id,), tuple(lines), Sound.ALARM, tuple(p.line for p in picks),
                    kind="finding")  # fmt: skip
    return (Dated(at, question),), (notice,)


def back_reported(cook: Cook, wish: ReportBack, by: str, at: datetime) -> Decision:
    """Let somebody touch food again: the chef's word, and not before the hours are over."""
    cards = cards_of(cook)
    person = _person(cook, wish.person)
    since = cook.safety.off.get(person.id)
    asker = cards.person(by)
    if since is None:
        return Decision(answer=Answer((say("{who} was not off.", who=Label(person.name)),)))
    if asker is None or asker.role is not Role.CHEF:
        raise NotAllowedError("a safety stop", cards.chef.name if cards.chef else "the chef")
    free = back_on(since, cards.event.profile)
    if at < free:
        line = say("{verdict}. Not before {clock}, and only without a symptom since.",
                   verdict=Verdict.STOP, clock=Clock(free))  # fmt: skip
        return Decision(answer=Answer((line,), Verdict.STOP))
    line = say("{who} may touch food again.", who=Label(person.name))
    return Decision((Dated(at, CrewBack(person.id)),), Answer((line,)))


def _person(cook: Cook, name: str) -> Person:
    cards = cards_of(cook)
    found = cards.person(name)
    if found is None:
        raise UnknownNameError("person", name, ", ".join(p.name for p in cards.crew))
    return found


def is_off(cook: Cook, person: str) -> bool:
    """Say whether somebody must not touch food now."""
    return person in cook.safety.off


# ------------------------------------------------------------------ what they touched


def touched(cook: Cook, person: str) -> tuple[Touched, ...]:
    """Return the food somebody worked on by ticks: theirs in the plan, or ticked by them."""
    if cook.plan is None:
        return ()
    ticked = {
        e.fact.run for e in cook.entries if isinstance(e.fact, StepReported) and e.by == person
    }
    last = cook.entries[-1].heard if cook.entries else None
    found = []
    for item in items(cook.plan).values():
        job = cook.job(key_of(item))
        begun = job.phase in {Phase.RUNNING, Phase.OVER} or job.started is not None
        if not begun or item.dish is None or not (person in item.crew or key_of(item) in ticked):
            continue
        length = item.end - item.start
        end = job.ended or last or item.end
        start = job.started or max(end - length, end - timedelta(hours=6))
        found.append(_touched(cook, item, start, end))
    return tuple(sorted(found, key=lambda each: each.start))


def _touched(cook: Cook, item: Item, start: datetime, end: datetime) -> Touched:
    dish = cards_of(cook).dish(item.dish or "")
    index = item.index if isinstance(item, StepRun) else _index(cook, item)
    as_is = work_is_eaten_as_is(dish, index)
    return Touched(key_of(item), thing_of(item, cook.cards).text, start, end, as_is)


def _index(cook: Cook, item: Item) -> int:
    steps = cards_of(cook).dish(item.dish or "").steps
    return next((n for n, step in enumerate(steps) if step.id == item.step), 0)
