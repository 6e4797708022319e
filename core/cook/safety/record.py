"""Each safety fact as one line of the record. Who was sick is nobody's business: no name."""

from __future__ import annotations

from typing import assert_never

from core.allergens.answers import joined
from core.allergens.words import NAMES
from core.cook.names import dish_name, thing_of
from core.cook.state import Cook, items
from core.facts import (
    AlarmRaised,
    BatchMade,
    BrandSwapped,
    CrewBack,
    CrewOff,
    FoodBinned,
    IceChecked,
    LabelConfirmed,
    LabelShown,
    PinkApproved,
    ProbeDoubted,
    SafetyFact,
    StopLifted,
)
from core.model import Clock, Label, Line, Qty, say
from core.safety.site import Alarm

PHOTO_SHOWN = 12

WHYS = {
    "dropped": say("dropped"),
    "wet": say("wet"),
    "disagrees": say("disagrees with another"),
    "ice": say("failed in ice"),
}
ALARMS = {
    Alarm.CO: say("carbon monoxide"),
    Alarm.GAS: say("gas"),
    Alarm.GREASE: say("grease fire"),
    Alarm.ASH: say("hot ash"),
    Alarm.REACTION: say("allergic reaction"),
    Alarm.COLLAPSE: say("somebody faint"),
    Alarm.FIRE: say("fire"),
    Alarm.BURN: say("burn or cut"),
    Alarm.LIGHTNING: say("lightning"),
    Alarm.CHOKING: say("choking"),
    Alarm.DOWN: say("somebody down"),
}


def told(fact: SafetyFact, cook: Cook) -> Line:
    """Return what a safety fact says."""
    match fact:
        case StopLifted():
            return say("LIFTED #{seq} {about} by {chef} and {second}: {reason}", seq=fact.verdict,
                       about=thing(fact.about, cook), chef=_name(fact.chef, cook),
                       second=_name(fact.second, cook), reason=Label(fact.reason))  # fmt: skip
        case BrandSwapped(ingredient=ingredient, photo=photo):
            return say("other brand: {what}{photo}", what=Label(ingredient), photo=_photo(photo))
        case LabelShown(ingredient=ingredient, photo=photo):
            return say("label photographed: {what}{photo}", what=Label(ingredient),
                       photo=_photo(photo))  # fmt: skip
        case LabelConfirmed():
            return say("label of {what}: {list} (read by {first}, confirmed by {second}){photo}",
                       what=Label(fact.ingredient), list=label_words(fact),
                       first=_name(fact.read_by, cook), second=_name(fact.confirmed_by, cook),
                       photo=_photo(fact.photo))  # fmt: skip
        case BatchMade(dish=dish, number=number, uses=uses):
            name = Label(dish_name(dish, cook.cards))
            if uses:
                return say("{dish} batch {number} made with {uses}", dish=name, number=number,
                           uses=Label(", ".join(uses)))  # fmt: skip
            return say("{dish} batch {number} made", dish=name, number=number)
        case ProbeDoubted(probe=probe, why=why, since=since):
            if since is None:
                return say("{probe} in doubt ({why}): all its readings", probe=Label(probe),
                           why=WHYS.get(why, say("in doubt")))  # fmt: skip
            return say("{probe} in doubt ({why}): its readings since {clock}", probe=Label(probe),
                       why=WHYS.get(why, say("in doubt")), clock=Clock(since))  # fmt: skip
        case IceChecked(probe=probe, celsius=celsius, good=good):
            passed = say("passed") if good else say("failed")
            return say("{probe} in ice {read}: {passed}", probe=Label(probe),
                       read=Qty(celsius, "°C", 1), passed=passed)  # fmt: skip
        case CrewOff(hours=hours):
            return say("one of the crew off sick, {hours} off food", hours=Qty(hours, "h"))
        case CrewBack():
            return say("one of the crew back from sick")
        case FoodBinned(about=about):
            return say("BINNED for safety: {what}", what=thing(about, cook))
        case PinkApproved(dish=dish, by=by):
            return say("{dish} may be served pink: {who} answers for it",
                       dish=Label(dish_name(dish, cook.cards)), who=_name(by, cook))  # fmt: skip
        case AlarmRaised(alarm=alarm):
            what = ALARMS[Alarm(alarm)] if alarm else say("SOS")
            return say("ALARM: {what}", what=what)
        case _:
            assert_never(fact)


def label_words(fact: LabelConfirmed) -> Line:
    """Return what a confirmed label names."""
    names = tuple(NAMES[t] for t in (*fact.allergens, *fact.may_contain) if t in NAMES)
    return joined(names) if names else say("no allergen on it")


def thing(about: str, cook: Cook) -> Label:
    """Return what a key of a run, task, box or dish is called."""
    item = items(cook.plan).get(about) if cook.plan else None
    return thing_of(item, cook.cards) if item else Label(about or "?")


def _name(person: str, cook: Cook) -> Label:
    someone = cook.cards.person(person) if cook.cards else None
    return Label(someone.name if someone else person)


def _photo(photo: str | None) -> Label:
    return Label(f" [{photo[:PHOTO_SHOWN]}]" if photo else "")
