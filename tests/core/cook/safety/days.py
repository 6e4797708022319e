"""The wedding's cook with somebody speaking to it, wish by wish, as rights allow."""

from __future__ import annotations

from dataclasses import replace

from core.calls import calls_owed
from core.cook import Cook, Decision, decide
from core.cook.decision import booked
from core.facts import Choose, GiveReading, Report, ReportStep, VerdictGiven, Wish
from core.model import Answer, Call, Finding, Place, Profile, Reading
from core.rights import check_right
from tests.core.cook_cases import at, started

__all__ = ["at", "spoken", "started"]


def spoken(cook: Cook, by: str, clock: str, what: Wish) -> tuple[Cook, Decision]:
    """Let somebody wish something; rights are checked as in the room."""
    when = at(clock)
    check_right(cook, what, by)
    decision = decide(cook, what, by=by, at=when, now=when)
    return booked(cook, decision.facts, by, when), decision


def tap(cook: Cook, by: str, clock: str, number: int) -> tuple[Cook, Decision]:
    """Let somebody tap a choice of their newest question."""
    return spoken(cook, by, clock, Choose(number))


def food(about: str, value: float, probe: str = "", who: str = "carmen") -> GiveReading:
    """Return a reading of the food in a box or of a load."""
    place = Place.TUB if about.startswith(("box", "hot", "fridge")) else Place.CORE
    return GiveReading(Reading(value, place, at("00:00"), who, about, instrument=probe))


def on_and_off(cook: Cook, load: str, on: str, off: str, core_c: float | None = None) -> Cook:
    """Report a load on and off its first fire."""
    cook, _ = spoken(cook, "bo", on, ReportStep(load, "on", Report.START))
    return spoken(cook, "bo", off, ReportStep(load, "off", Report.DONE, core_c=core_c))[0]


def calls(cook: Cook, kind: str) -> tuple[Call, ...]:
    """Return the calls of a kind that are owed."""
    return tuple(c for c in calls_owed(cook) if c.kind == kind)


def given(decision: Decision) -> list[Finding]:
    """Return the verdicts a decision books."""
    return [d.fact.finding for d in decision.facts if isinstance(d.fact, VerdictGiven)]


def words(answer: Answer | None) -> str:
    """Return the templates and labels of an answer, for finding a word in them."""
    found: list[str] = []

    def add(value: object) -> None:
        text = getattr(value, "text", None)
        found.extend([text] if isinstance(text, str) else [])
        for inner in getattr(value, "fields", {}).values():
            add(inner)

    for line in answer.lines if answer else ():
        add(line)
    return " ".join(found)


def with_profile(cook: Cook, profile: Profile | None) -> Cook:
    """Return the cook under another rule book."""
    assert cook.cards is not None
    event = replace(cook.cards.event, profile=profile)
    return replace(cook, cards=replace(cook.cards, event=event))
