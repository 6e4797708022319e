"""Reheating for hot holding, once, fast, and to the temperature of the rule book."""

from __future__ import annotations

from dataclasses import dataclass

from core.model import Finding, Profile, Verdict, say
from core.safety.degrees import Degrees, limit_in
from core.safety.rules import Rule, finding, of_profile
from core.safety.words import PROFILES, at_for, span
from core.safety.worst import judged


@dataclass(frozen=True, slots=True)
class Reheat:
    """A reheating: the core reached, held how long, in how many minutes from cold (None unknown).

    `way` is '', 'microwave' or 'commercial' (packed ready to eat, opened here). `times` counts
    reheatings, this one too. `quality_suffers` where the full temperature would spoil the dish.
    """

    core: Degrees
    hold_s: float = 0.0
    took_min: float | None = None
    way: str = ""
    times: int = 1
    about: str = ""


def reheat_verdict(reheat: Reheat, profile: Profile | None) -> Finding:
    """Return whether food is reheated: OK, NOT YET, BIN where it took too long, or UNKNOWN."""
    return judged(profile, lambda each: _reheat(reheat, each))


def _reheat(reheat: Reheat, profile: Profile) -> Finding:
    if reheat.times > 1:
        text = say("{verdict}. Reheated before: once is all there is.", verdict=Verdict.BIN)
        return finding(None, Verdict.BIN, text, profile=profile, about=reheat.about)
    rule = _rule(reheat, profile)
    if rule is None:
        text = say(
            "{verdict}. The {profile} rules give no reheating number. Go to 74 °C within 2 h.",
            verdict=Verdict.UNKNOWN,
            profile=PROFILES[profile],
        )
        return finding(None, Verdict.UNKNOWN, text, profile=profile, about=reheat.about)
    return _by(rule, reheat, profile)


def _rule(reheat: Reheat, profile: Profile) -> Rule | None:
    if reheat.way:
        special = [r for r in of_profile("reheat_other", profile) if r.row["way"] == reheat.way]
        if special:
            return special[0]
    return next(iter(of_profile("reheat", profile)), None)


def _by(rule: Rule, reheat: Reheat, profile: Profile) -> Finding:
    limit, hold = limit_in(rule.row, "min"), float(rule.row["hold_s"])
    within = rule.row.get("within_min")
    if within is not None and reheat.took_min is not None and reheat.took_min > float(within):
        text = say(
            "{verdict}. Took {took}, limit {limit}.",
            verdict=Verdict.BIN,
            took=span(reheat.took_min * 60),
            limit=span(float(within) * 60),
        )
        return finding(rule, Verdict.BIN, text, about=reheat.about)
    if not limit.reached(reheat.core) or reheat.hold_s < hold:
        text = say(
            "{verdict}. {core}; reheat to {want}.",
            verdict=Verdict.NOT_YET,
            core=reheat.core.words(),
            want=at_for(limit, hold, reheat.core),
        )
        return finding(rule, Verdict.NOT_YET, text, about=reheat.about)
    if within is not None and reheat.took_min is None:
        text = say(
            "{verdict}. {core} is enough if it took {limit} or less from cold. How long?",
            verdict=Verdict.UNKNOWN,
            core=reheat.core.words(),
            limit=span(float(within) * 60),
        )
        return finding(rule, Verdict.UNKNOWN, text, about=reheat.about)
    if not rule.may_clear:
        text = say(
            "{verdict}. {core} keeps it, but the {profile} number is not confirmed.",
            verdict=Verdict.UNKNOWN,
            core=reheat.core.words(),
            profile=PROFILES[profile],
        )
        return finding(rule, Verdict.UNKNOWN, text, about=reheat.about)
    text = say(
        "{verdict}. {core}; the rule asks {want}.",
        verdict=Verdict.OK,
        core=reheat.core.words(),
        want=at_for(limit, hold, reheat.core),
    )
    return finding(rule, Verdict.OK, text, about=reheat.about)
