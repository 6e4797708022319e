"""Two fires: half-cooked meat is never parked, and cooking in two goes wants its procedure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from core.model import Clock, Finding, Label, Line, Profile, Verdict, say
from core.safety.food import Food, Kind, State
from core.safety.rules import finding, the
from core.safety.words import PROFILES, span
from core.safety.worst import judged


@dataclass(frozen=True, slots=True)
class Gap:
    """Meat between its first fire and its second: off when, on again when, None while it waits."""

    off: datetime
    on: datetime | None = None
    about: str = ""


def gap_verdict(gap: Gap, food: Food | None, now: datetime) -> Finding | None:
    """Return a warning at 8 min between two fires and a stop at 10 min; None before.

    Whole beef and lamb that are served pink anyway are warned about, not stopped; whatever may be
    poultry, pork, opened or minced is stopped.
    """
    rule = the("house", "house.stage_gap")
    until = gap.on or now
    waited = until - gap.off
    warn = timedelta(minutes=float(rule.row["warn_min"]))
    stop = timedelta(minutes=float(rule.row["max_min"]))
    if waited < warn:
        return None
    deadline = gap.off + stop
    if waited < stop or may_wait(food):
        text = say(
            "{verdict}. {what} half cooked {waited}: on the second fire by {deadline}.",
            verdict=Verdict.NOT_YET,
            what=Label(gap.about),
            waited=span(waited.total_seconds()),
            deadline=Clock(deadline),
        )
        return finding(rule, Verdict.NOT_YET, text, deadline=deadline, about=gap.about)
    text = say(
        "{verdict}. {what} half cooked {waited}: finish it now on any fire, or bin it.",
        verdict=Verdict.STOP,
        what=Label(gap.about),
        waited=span(waited.total_seconds()),
    )
    return finding(rule, Verdict.STOP, text, deadline=deadline, about=gap.about)


def parked_too_long(found: Finding, minutes: float) -> Finding:
    """Return a finding on parked meat in words without a clock, for a line that gave none."""
    waited = span(minutes * 60)
    text = say("{verdict}. Half cooked {waited}, limit 10 min: finish it now on any fire, or bin"
               " it.", verdict=Verdict.STOP, waited=waited)  # fmt: skip
    if found.verdict is not Verdict.STOP:
        text = say("{verdict}. Half cooked {waited}, limit 10 min: on the second fire now.",
                   verdict=Verdict.NOT_YET, waited=waited)  # fmt: skip
    return replace(found, text=text, deadline=None)


def gap_choices() -> tuple[Line, ...]:
    """Return what can be done about parked meat."""
    return (say("sear now"), say("back on the first fire"), say("bin it"))


def may_wait(food: Food | None) -> bool:
    """Say whether waiting half cooked is only warned of: whole beef and lamb, nothing else."""
    return (
        food is not None and food.kinds <= {Kind.BEEF, Kind.LAMB} and food.states == {State.INTACT}
    )


@dataclass(frozen=True, slots=True)
class TwoGoes:
    """Cooked in two goes: how long the first heat was, whether it was chilled by the cooling rule
    right after, and whether an approved written procedure covers it. None is not known.
    """

    first_min: float | None = None
    chilled: bool | None = None
    procedure: bool | None = None
    about: str = ""


def two_goes_verdict(cook: TwoGoes, profile: Profile | None) -> Finding:
    """Return whether meat cooked in part earlier may be finished now.

    Poultry, pork and everything else alike: a first heat of 60 min or less, chilling by the cooling
    rule at once, an approved written procedure, and then the full temperature of its class.
    """
    return judged(profile, lambda each: _two_goes(cook, each))


def _two_goes(cook: TwoGoes, profile: Profile) -> Finding:
    rule = the("other", "us.noncontinuous")
    if cook.chilled is False:
        text = say(
            "{verdict}. Half cooked and not chilled at once: smoke and sear are one cook.",
            verdict=Verdict.BIN,
        )
        return _of(profile, Verdict.BIN, text, cook)
    first_max = float(rule.row["first_max_min"])
    if cook.first_min is not None and cook.first_min > first_max:
        text = say(
            "{verdict}. First heat {first}, limit {limit}: not to be finished later.",
            verdict=Verdict.BIN,
            first=span(cook.first_min * 60),
            limit=span(first_max * 60),
        )
        return _of(profile, Verdict.BIN, text, cook)
    known = cook.first_min is not None and cook.chilled and cook.procedure
    if known and profile is Profile.US:
        text = say(
            "{verdict}. By your written procedure: now cook it to its full temperature.",
            verdict=Verdict.OK,
        )
        return finding(rule, Verdict.OK, text, about=cook.about)
    if known:
        text = say(
            "{verdict}. The {profile} rules give no procedure for cooking in two goes.",
            verdict=Verdict.UNKNOWN,
            profile=PROFILES[profile],
        )
        return finding(None, Verdict.UNKNOWN, text, profile=profile, about=cook.about)
    text = say(
        "{verdict}. Only if chilled to 5 °C right after smoking (57 to 21 °C in 2 h), first heat"
        " 60 min at most, by a written procedure, then full temperature.",
        verdict=Verdict.UNKNOWN,
    )
    return _of(profile, Verdict.UNKNOWN, text, cook)


def _of(profile: Profile, verdict: Verdict, text: Line, cook: TwoGoes) -> Finding:
    rule = the("other", "us.noncontinuous") if profile is Profile.US else None
    return finding(rule, verdict, text, profile=profile, about=cook.about)
