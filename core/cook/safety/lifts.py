"""Serving in spite of a verdict: the chef says why, a second person agrees, both stand in the log.

Never for poultry or what may be poultry, cooling, allergens, the sick or an alarm.
"""

from __future__ import annotations

from datetime import datetime

from core.cook.decision import Dated, Decision, Notice
from core.cook.safety.labels import cards_of
from core.cook.safety.said import verdicts
from core.cook.state import Cook, items
from core.cook.subjects import folded, items_named, key_of, loads_named
from core.errors import NotAllowedError, UnknownNameError
from core.facts import AgreeLift, Choice, Entry, LiftStop, QuestionAsked, StopLifted, VerdictGiven
from core.model import Answer, Finding, Label, Lead, Line, Person, Role, Sound, Verdict, say
from core.safety.food import Food, Kind, food_of_dish
from core.safety.lifting import Lift, refusal

STOPS = frozenset({Verdict.STOP, Verdict.BIN, Verdict.NOT_YET, Verdict.UNKNOWN})
LONGEST_REASON = 120


def lift_asked(cook: Cook, wish: LiftStop, by: str, at: datetime) -> Decision:
    """Ask a second person whether they agree with the chef; refuse what nobody lifts."""
    entry = _verdict(cook, wish.about)
    found = _finding(entry)
    food = food_of(cook, found.about)
    asker = cards_of(cook).person(by)
    second = _second(cook, by)
    lift = Lift(by, asker.role if asker else Role.CREW, wish.reason, second.id if second else None)
    refused = refusal(found, lift, food)
    if refused is not None:
        return Decision(answer=Answer((_still(found), refused), found.verdict))
    assert second is not None
    reason = wish.reason.strip()[:LONGEST_REASON]
    lines = (
        found.text,
        say("{who} wants to lift it: {reason}. Two people: do you agree?",
            who=Label(asker.name if asker else by), reason=Label(reason)),
    )  # fmt: skip
    picks = (Choice(say("I agree"), AgreeLift(entry.seq, by, reason)), Choice(say("no, it stands")))
    question = QuestionAsked(f"lift/{cook.seq}", (second.id,), lines, picks, Sound.ALARM)
    notice = Notice(question.key, (second.id,), lines, Sound.ALARM,
                    tuple(p.line for p in picks), kind="finding")  # fmt: skip
    answer = (_still(found), say("It stands until {who} agrees.", who=Label(second.name)))
    return Decision((Dated(at, question),), Answer(answer, found.verdict), (notice,))


def lift_agreed(cook: Cook, wish: AgreeLift, by: str, at: datetime) -> Decision:
    """Lift a verdict that the chef wanted lifted, on a second person's word."""
    entry = next((e for e in verdicts(cook) if e.seq == wish.verdict), None)
    if entry is None:
        return Decision(answer=Answer((say("That verdict was taken back. Nothing to lift."),)))
    found = _finding(entry)
    newer = [e for e in verdicts(cook) if e.seq > entry.seq
             and _finding(e).about == found.about]  # fmt: skip
    if newer:
        return Decision(answer=Answer((say("There is a newer verdict: {found}",
                                           found=_finding(newer[-1]).text),)))  # fmt: skip
    chef = cards_of(cook).person(wish.chef)
    lift = Lift(wish.chef, chef.role if chef else Role.CREW, wish.reason, by)
    refused = refusal(found, lift, food_of(cook, found.about))
    if refused is not None:
        return Decision(answer=Answer((refused,), found.verdict))
    fact = StopLifted(entry.seq, found.about, found.rule, wish.reason, wish.chef, by)
    second = cards_of(cook).person(by)
    line = say("LIFTED by {chef} and {second}: {about}. Reason: {reason}.",
               chef=Label(chef.name if chef else wish.chef),
               second=Label(second.name if second else by), about=Label(found.about or "?"),
               reason=Label(wish.reason))  # fmt: skip
    told = tuple(dict.fromkeys([wish.chef, *_readers(cook, found.about)]))
    notice = Notice(f"lift/{cook.seq}/done", tuple(p for p in told if p != by), (line,),
                    Sound.ONCE, kind="finding")  # fmt: skip
    answer = Answer((line, say("It stays in the log as it was, with both names.")))
    return Decision((Dated(at, fact),), answer, (notice,) if notice.to else ())


def _still(found: Finding) -> Line:
    return found.text


def _finding(entry: Entry) -> Finding:
    assert isinstance(entry.fact, VerdictGiven)
    return entry.fact.finding


def _verdict(cook: Cook, about: str) -> Entry:
    """Return the newest verdict that stands about a thing; '' means the newest of all."""
    latest: dict[str, Entry] = {}
    for entry in verdicts(cook):
        latest[_finding(entry).about] = entry
    standing = [e for e in latest.values() if _finding(e).verdict in STOPS
                and e.seq not in cook.safety.lifted]  # fmt: skip
    keys = _keys(cook, about) if about else None
    found = [e for e in standing if keys is None or _finding(e).about in keys]
    if not found:
        known = ", ".join(dict.fromkeys(_finding(e).about for e in standing if _finding(e).about))
        raise UnknownNameError("stop", about or "?", known or "-")
    return max(found, key=lambda e: e.seq)


def _keys(cook: Cook, about: str) -> frozenset[str]:
    """Return everything a name may be in a verdict's `about`: a station, a load's runs, a probe."""
    keys = {about, *(s.id for s in cards_of(cook).kit.stations if folded(s.id) == folded(about))}
    try:
        keys |= {key_of(item) for item in items_named(cook, about)}
        keys |= {run.key for load in loads_named(cook, about) for run in load.runs}
    except UnknownNameError:
        pass
    return frozenset(keys)


def food_of(cook: Cook, about: str) -> Food | None:
    """Return the food a verdict is about; of a box, everything its dishes may be.

    What cannot be told, in an event with poultry on its cards, may be poultry.
    """
    cards = cards_of(cook)
    item = items(cook.plan).get(about) if cook.plan else None
    dish = item.dish if item else about.split("/", 1)[0]
    card = next((d for d in cards.dishes if d.id == dish), None)
    if card is not None:
        return food_of_dish(card)
    foods = [food_of_dish(d) for d in cards.dishes]
    kinds = frozenset(k for f in foods if f for k in f.kinds)
    return Food(kinds=kinds) if Kind.POULTRY in kinds else None


def _second(cook: Cook, by: str) -> Person | None:
    """Return who is asked beside the chef: their backup, else a lead, else anybody."""
    cards = cards_of(cook)
    me = cards.person(by)
    backup = cards.person(me.backup) if me and me.backup else None
    leads = [cards.leading(lead) for lead in Lead]
    people = [backup, *leads, *cards.crew]
    return next((p for p in people if p and p.id != by and p.id not in cook.safety.off), None)


def _readers(cook: Cook, about: str) -> list[str]:
    return [r.who for r in cook.readings if r.about == about and r.who]


def check_lifter(cook: Cook, by: str) -> None:
    """Refuse a lift by anybody but the chef, naming the chef."""
    person = cards_of(cook).person(by)
    if person is None or person.role is not Role.CHEF:
        chef = cards_of(cook).chef
        raise NotAllowedError("a safety stop", chef.name if chef else "the chef")
