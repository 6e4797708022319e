"""Food found at a temperature: cold enough, hot enough, or a clock that has been running."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from core.model import Clock, Finding, HouseLimits, Line, Place, Profile, Qty, Value, Verdict, say
from core.safety.clocks import Out, Side, out_verdict
from core.safety.cooking import not_a_reading
from core.safety.degrees import Degrees, Limit, is_food_temperature, limit_in
from core.safety.rules import Rule, finding, of_profile, the
from core.safety.words import PROFILES
from core.safety.worst import judged

RECHECK_MIN = 15.0
"""When to look again after ice or heat was added (common practice)."""


def found_at(
    read: Degrees,
    place: Place | None,
    out: Out,
    profile: Profile | None,
    house: HouseLimits | None = None,
    *,
    roast: bool = False,
    under_24h: bool = False,
) -> Finding:
    """Return what food found at a temperature means.

    Parameters
    ----------
    read
        The reading.
    place
        Where: core, tub or surface is food; air is not, nor is a dial; None is not known.
    out
        Its side and the last good reading, from which a clock would run.
    profile
        The rule book; None gives the worst of all.
    house
        The event's own limits; they tighten, never loosen.
    roast
        A whole roast cooked by the roast table, which one rule book lets hold cooler.
    under_24h
        Served within 24 h of making, which one rule book lets hold warmer.
    """
    if not is_food_temperature(read):
        return not_a_reading(read, profile, out.about)
    if place is None or place in {Place.AIR, Place.PIT}:
        return finding(None, Verdict.UNKNOWN, _air_or_food(read, place, out), about=out.about)
    limits = house or HouseLimits()
    return judged(profile, lambda each: _found(read, out, each, limits, roast, under_24h))


def _air_or_food(read: Degrees, place: Place | None, out: Out) -> Line:
    if place is None:
        return say(
            "{verdict}. {read}: air or food? Probe a tub in the middle.",
            verdict=Verdict.UNKNOWN,
            read=read.words(),
        )
    return say(
        "{verdict}. {read} is the air. Probe the food, and look again at {at}.",
        verdict=Verdict.UNKNOWN,
        read=read.words(),
        at=Clock(out.now + timedelta(minutes=RECHECK_MIN)),
    )


def _found(
    read: Degrees, out: Out, profile: Profile, house: HouseLimits, roast: bool, under_24h: bool
) -> Finding:
    rule = hold_rule(out.side, profile, roast=roast)
    limit = held_to(rule, out.side, house, under_24h=under_24h)
    good = limit is not None and _good(read, limit, out.side)
    if limit is not None and good:
        return _fine(rule, limit, read, out, profile)
    if limit is None:
        return _no_limit(read, out, profile)
    clock = out_verdict(out, profile, house)
    if clock.verdict is Verdict.BIN or clock.deadline is None:
        return clock
    if clock.rule == "house.hot_weather":
        return clock  # it says both deadlines, and what is not known
    return replace(clock, text=_running(clock, read, limit, out))


def hold_rule(side: Side, profile: Profile, *, roast: bool = False) -> Rule | None:
    """Return the row for holding food of a side in a rule book; None where it has no number."""
    if side is Side.COLD:
        return next(iter(of_profile("cold_hold", profile)), None)
    rows = (*(of_profile("hot_hold_roast", profile) if roast else ()),
            *of_profile("hot_hold", profile))  # fmt: skip
    return next(iter(rows), None)


def held_to(
    rule: Rule | None, side: Side, house: HouseLimits, *, under_24h: bool = False
) -> Limit | None:
    """Return the limit in force: the rule book's, tightened by the house's; None without either."""
    own = house.cold_max_c if side is Side.COLD else house.hot_min_c
    if rule is None:
        return Limit(own) if own is not None else None
    key = "max" if side is Side.COLD else "min"
    printed = limit_in(rule.row, key)
    if under_24h and "under_24h_max_c" in rule.row:
        printed = Limit(float(rule.row["under_24h_max_c"]))
    tighter = own is not None and (own < printed.c if side is Side.COLD else own > printed.c)
    return Limit(own) if own is not None and tighter else printed


def _good(read: Degrees, limit: Limit, side: Side) -> bool:
    return limit.kept(read) if side is Side.COLD else limit.reached(read)


def _fine(rule: Rule | None, limit: Limit, read: Degrees, out: Out, profile: Profile) -> Finding:
    sure = rule is not None and rule.may_clear
    verdict = Verdict.OK if sure else Verdict.UNKNOWN
    text = say(
        "{verdict}. {read}, limit {limit} or more.",
        verdict=verdict,
        read=read.words(),
        limit=limit.words(read),
    )
    if out.side is Side.COLD:
        text = say(
            "{verdict}. {read}, limit {limit} or less.",
            verdict=verdict,
            read=read.words(),
            limit=limit.words(read),
        )
    if not sure:
        text = say(
            "{verdict}. {read} keeps {limit}, but the {profile} number is not confirmed.",
            verdict=verdict,
            read=read.words(),
            limit=limit.words(read),
            profile=PROFILES[profile],
        )
    return finding(rule, verdict, text, profile=profile, about=out.about)


def _no_limit(read: Degrees, out: Out, profile: Profile) -> Finding:
    text = say(
        "{verdict}. {read}: the {profile} rules give no number. Keep it at 5 °C or less.",
        verdict=Verdict.UNKNOWN,
        read=read.words(),
        profile=PROFILES[profile],
    )
    if out.side is Side.HOT:
        text = say(
            "{verdict}. {read}: the {profile} rules give no number. Keep it at 63 °C or more.",
            verdict=Verdict.UNKNOWN,
            read=read.words(),
            profile=PROFILES[profile],
        )
    return finding(None, Verdict.UNKNOWN, text, profile=profile, about=out.about)


def _running(clock: Finding, read: Degrees, limit: Limit, out: Out) -> Line:
    since = Clock(out.since or out.now)
    deadline = Clock(clock.deadline or out.now)
    fields: dict[str, Value] = {
        "verdict": clock.verdict or Verdict.UNKNOWN,
        "read": read.words(),
        "limit": limit.words(read),
        "since": since,
        "deadline": deadline,
    }
    if out.side is Side.COLD:
        return say(
            "{verdict}. {read}, over {limit}; last good {since}: use or bin by {deadline}.",
            **fields,
        )
    return say(
        "{verdict}. {read}, under {limit}; last good {since}: reheat, or bin by {deadline}.",
        **fields,
    )


# ------------------------------------------------------------------ dates and labels


def use_by_verdict(made_days_ago: int, kept: Degrees | None, profile: Profile | None) -> Finding:
    """Return whether ready-to-eat food kept cold may still be used, day of making being day 1.

    Parameters
    ----------
    made_days_ago
        Whole days since it was made or opened; of a mix, its oldest part. 0 is today.
    kept
        The warmest it was kept at; None is not known.
    profile
        The rule book; only one has a number here, elsewhere the label or the house decides.
    """
    return judged(profile, lambda each: _use_by(made_days_ago, kept, each))


def _use_by(made_days_ago: int, kept: Degrees | None, profile: Profile) -> Finding:
    if profile is not Profile.US:
        text = say(
            "{verdict}. The {profile} rules give no number of days. Go by the label.",
            verdict=Verdict.UNKNOWN,
            profile=PROFILES[profile],
        )
        return finding(None, Verdict.UNKNOWN, text, profile=profile)
    rule = the("other", "us.date_mark")
    day, last = made_days_ago + 1, int(rule.row["max_days"])
    days = Qty(day, "d", 0)
    if day > last:
        text = say(
            "{verdict}. Day {day}, limit day {last}.", verdict=Verdict.BIN, day=day, last=last
        )
        return finding(rule, Verdict.BIN, text)
    if kept is None or not limit_in(rule.row, "max").kept(kept):
        text = say(
            "{verdict}. {days} old: the {last} days count only at 5 °C or less. How cold was it?",
            verdict=Verdict.UNKNOWN,
            days=days,
            last=last,
        )
        return finding(rule, Verdict.UNKNOWN, text)
    text = say("{verdict}. Day {day} of {last}.", verdict=Verdict.OK, day=day, last=last)
    return finding(rule, Verdict.OK, text)


def date_mark(profile: Profile | None) -> Line | None:
    """Return how many days cold ready-to-eat food keeps, for its label; None where no number is."""
    if profile is not Profile.US:
        return None
    rule = the("other", "us.date_mark")
    return say(
        "Label it: day 1 is today, bin after day {days}, {limit} or less.",
        days=int(rule.row["max_days"]),
        limit=limit_in(rule.row, "max").words(),
    )


def time_label(out_at: datetime, limit_min: float) -> Line:
    """Return what to write on food that has time instead of temperature: out, and bin."""
    return say(
        "OUT {out} BIN {bin}",
        out=Clock(out_at),
        bin=Clock(out_at + timedelta(minutes=limit_min)),
    )
