"""Marinades and thawing: what is safe to keep, to use again and to leave standing."""

from __future__ import annotations

from dataclasses import dataclass

from core.model import Finding, Profile, Qty, Verdict, say
from core.safety.degrees import Degrees, Limit, limit_in
from core.safety.rules import Rule, finding, the
from core.safety.words import span
from core.safety.worst import judged

# ------------------------------------------------------------------ marinades


@dataclass(frozen=True, slots=True)
class Marinade:
    """A used marinade or a marinating batch: boiled? poultry? how many days, how cold?"""

    reused: bool = False
    boiled: bool = False
    poultry: bool = False
    days: float | None = None
    kept: Degrees | None = None
    about: str = ""


def marinade_verdict(marinade: Marinade, profile: Profile | None) -> Finding:
    """Return whether a marinade may be used again, or meat may stay in it."""
    reuse = the("marinade", "marinade.reuse", "hazards")
    if marinade.reused and not marinade.boiled:
        text = say(
            "{verdict}. Only boiled: a full boil of 1 min, and it will be salty. Better the clean"
            " portion kept back.",
            verdict=Verdict.NOT_YET,
        )
        return finding(reuse, Verdict.NOT_YET, text, profile=profile, about=marinade.about)
    if marinade.reused:
        text = say("{verdict}. Boiled, it may go on cooked food.", verdict=Verdict.OK)
        return finding(reuse, Verdict.OK, text, profile=profile, about=marinade.about)
    row = "marinade.poultry" if marinade.poultry else "marinade.red_meat"
    rule = the("marinade", row, "hazards")
    limit = float(rule.row["max_days"])
    if marinade.days is None:
        text = say("{verdict}. Since when is it in?", verdict=Verdict.UNKNOWN)
        return finding(rule, Verdict.UNKNOWN, text, profile=profile, about=marinade.about)
    if marinade.days > limit:
        text = say(
            "{verdict}. In for {days}, limit {limit}.",
            verdict=Verdict.BIN,
            days=Qty(marinade.days, "d"),
            limit=Qty(limit, "d"),
        )
        return finding(rule, Verdict.BIN, text, profile=profile, about=marinade.about)
    if marinade.kept is None or not Limit(5.0, 41).kept(marinade.kept):
        text = say(
            "{verdict}. The {limit} count only at 5 °C or less. How cold is it?",
            verdict=Verdict.UNKNOWN,
            limit=Qty(limit, "d"),
        )
        return finding(rule, Verdict.UNKNOWN, text, profile=profile, about=marinade.about)
    text = say(
        "{verdict}. In for {days}, limit {limit}.",
        verdict=Verdict.OK,
        days=Qty(marinade.days, "d"),
        limit=Qty(limit, "d"),
    )
    return finding(rule, Verdict.OK, text, profile=profile, about=marinade.about)


# ------------------------------------------------------------------ thawing


@dataclass(frozen=True, slots=True)
class Thaw:
    """A thawing: where ('fridge', 'water', 'cooking', 'microwave', 'table'), how warm, how long.

    `raw_above_min` is how long the raw food was above 5 °C, preparation included; None unknown.
    """

    where: str
    read: Degrees | None = None
    water: Degrees | None = None
    raw_above_min: float | None = None
    about: str = ""


def thaw_verdict(thaw: Thaw, profile: Profile | None) -> Finding:
    """Return whether food thaws safely; on a table it never does."""
    return judged(profile, lambda each: _thaw(thaw, each))


def _thaw(thaw: Thaw, profile: Profile) -> Finding:
    rule = the("other", "us.thaw_water" if thaw.where == "water" else "us.thaw_cold")
    mine = rule if profile is Profile.US else None
    if thaw.where == "table":
        text = say(
            "{verdict}: never thaw on the table. Fridge, or cold water changed every 30 min.",
            verdict=Verdict.STOP,
        )
        return finding(mine, Verdict.STOP, text, profile=profile, about=thaw.about)
    if thaw.where == "water":
        return _in_water(rule, mine, thaw, profile)
    if thaw.read is not None and not limit_in(rule.row, "max").kept(thaw.read):
        text = say(
            "{verdict}. {read}, over 5 °C: cook it now or chill it.",
            verdict=Verdict.NOT_YET,
            read=thaw.read.words(),
        )
        return finding(mine, Verdict.NOT_YET, text, profile=profile, about=thaw.about)
    if profile is not Profile.US or (thaw.where == "fridge" and thaw.read is None):
        text = say("{verdict}. Probe it: 5 °C or less while it thaws.", verdict=Verdict.UNKNOWN)
        return finding(mine, Verdict.UNKNOWN, text, profile=profile, about=thaw.about)
    text = say("{verdict}. Thawing in the cold.", verdict=Verdict.OK)
    if thaw.where in {"cooking", "microwave"}:
        text = say("{verdict}. Thawed as part of cooking: straight on.", verdict=Verdict.OK)
    return finding(mine, Verdict.OK, text, about=thaw.about)


def _in_water(rule: Rule, mine: Rule | None, thaw: Thaw, profile: Profile) -> Finding:
    limit = limit_in(rule.row, "water_max")
    if thaw.water is not None and not limit.kept(thaw.water):
        text = say(
            "{verdict}. Water {water}, limit {limit}: colder, running or changed every 30 min.",
            verdict=Verdict.STOP,
            water=thaw.water.words(),
            limit=limit.words(thaw.water),
        )
        return finding(mine, Verdict.STOP, text, profile=profile, about=thaw.about)
    most = float(rule.row["raw_above_max_min"])
    if thaw.raw_above_min is not None and thaw.raw_above_min > most:
        text = say(
            "{verdict}. Raw above 5 °C for {time}, limit {limit}.",
            verdict=Verdict.BIN,
            time=span(thaw.raw_above_min * 60),
            limit=span(most * 60),
        )
        return finding(mine, Verdict.BIN, text, profile=profile, about=thaw.about)
    known = thaw.water is not None and thaw.raw_above_min is not None
    if profile is Profile.US and known:
        text = say("{verdict}. Cook it at once when thawed, same day.", verdict=Verdict.OK)
        return finding(mine, Verdict.OK, text, about=thaw.about)
    text = say(
        "{verdict}. Cold water, changed every 30 min, cook the same day. Is it under 21 °C?",
        verdict=Verdict.UNKNOWN,
    )
    return finding(mine, Verdict.UNKNOWN, text, profile=profile, about=thaw.about)
