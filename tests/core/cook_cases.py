"""A cook of the golden wedding, as far as a test wants it."""

from __future__ import annotations

from datetime import datetime
from functools import cache

from bot.cards import read_event
from bot.examples import GOLDEN_WEDDING
from core.cook import Cook, Decision, decide
from core.cook.decision import booked
from core.facts import GiveReading, Report, ReportStep, StartCook, Wish
from core.model import Cards, Moment, Place, Reading


@cache
def cards() -> Cards:
    """Return the wedding's cards."""
    return read_event(GOLDEN_WEDDING)


def at(clock: str, day: int = 0) -> datetime:
    """Return an instant of the wedding's day from site time."""
    hour, minute = clock.split(":")
    return cards().event.instant(Moment(day, int(hour), int(minute)))


@cache
def started() -> Cook:
    """Return the cook just started."""
    wish = StartCook("golden-wedding-1", cards(), {})
    then = at("09:00")
    return booked(Cook(), decide(Cook(), wish, by="ana", at=then, now=then).facts, "ana", then)


def wish(
    cook: Cook, what: Wish, by: str, clock: str, heard: str | None = None
) -> tuple[Cook, Decision]:
    """Decide a wish and book it."""
    now = at(heard or clock)
    decision = decide(cook, what, by=by, at=at(clock), now=now)
    return booked(cook, decision.facts, by, now), decision


def said(cook: Cook, subject: str, verb: str, clock: str, by: str = "bo") -> Cook:
    """Report a start or an end."""
    report = Report.DONE if verb in {"off", "done", "out"} else Report.START
    return wish(cook, ReportStep(subject, verb, report), by, clock)[0]


def read(cook: Cook, about: str, value: float, clock: str, place: Place = Place.CORE) -> Decision:
    """Give a reading and return what is answered."""
    reading = Reading(value, place, at(clock), "bo", about)
    return wish(cook, GiveReading(reading), "bo", clock)[1]
