"""Clocks of food out of temperature: from the last known good reading, added up, never guessed.

A clock that starts when somebody noticed is the classic false 'safe': the food has been warm since
some moment after its last good reading, so that reading is where the clock starts.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from core.model import Clock, Finding, HouseLimits, Line, Profile, Verdict, say
from core.safety.degrees import Degrees, Limit, limit_in
from core.safety.rules import Rule, finding, of_profile, the
from core.safety.words import PROFILES, span
from core.safety.worst import judged


class Side(StrEnum):
    """Food that should be cold, or hot."""

    COLD = "cold"
    HOT = "hot"


@dataclass(frozen=True, slots=True)
class Out:
    """Food out of temperature as far as is known.

    `since` is the last reading known to be good, None if there is none; `before_min` what it was
    out earlier, in `periods` goes; `air` and `warmest` temperatures around and in it. `procedure`
    is True where time stands in for temperature by a written procedure and the food bears its
    discard time; `six_hours` where that is the 6 h one; `cut_produce` where it is the one for cut
    produce or an opened can that started warm. `raw` for food still to be cooked.
    """

    side: Side
    since: datetime | None
    now: datetime
    before_min: float = 0.0
    periods: int = 0
    air: Degrees | None = None
    warmest: Degrees | None = None
    procedure: bool = False
    six_hours: bool = False
    cut_produce: bool = False
    raw: bool = False
    about: str = ""

    @property
    def minutes(self) -> float | None:
        """Return how long it has been out in all; None if that cannot be known."""
        if self.since is None or self.now < self.since:
            return None
        return (self.now - self.since).total_seconds() / 60 + self.before_min

    def until(self, limit_min: float) -> datetime | None:
        """Return the instant at which so many minutes will have been used up."""
        if self.since is None:
            return None
        return self.since + timedelta(minutes=limit_min - self.before_min)


def out_verdict(out: Out, profile: Profile | None, house: HouseLimits | None = None) -> Finding:
    """Return whether food out of temperature may still be used, and until when.

    Parameters
    ----------
    out
        What is known of it.
    profile
        The rule book; None gives the worst of all.
    house
        The house's own limits: they shorten, never lengthen.

    Returns
    -------
    Finding
        OK with a deadline, BIN, or UNKNOWN where nothing tells how long.
    """
    if out.minutes is None:
        return finding(None, Verdict.UNKNOWN, _untold(out), profile=profile, about=out.about)
    return judged(profile, lambda each: _out(out, each, house or HouseLimits()))


def _untold(out: Out) -> Line:
    if out.since is not None:
        return say(
            "{verdict}. The clock went backwards: {since} is after now. Which time is right?",
            verdict=Verdict.UNKNOWN,
            since=Clock(out.since),
        )
    return say(
        "{verdict}. No reading says when it was last good. Take load-out as the start, or bin it.",
        verdict=Verdict.UNKNOWN,
    )


def _out(out: Out, profile: Profile, house: HouseLimits) -> Finding:
    rows = [rule for rule in of_profile("out", profile) if _applies(rule, out)]
    found = _by_book(rows, out, profile)
    if found.verdict is Verdict.BIN:
        return found
    by_house = _by_house(out, house, has_row=any(rule.may_clear for rule in rows))
    for each in by_house:
        if each.verdict is Verdict.BIN:
            return each
    tight = _tightened(found, by_house, out)
    unsure = next((each for each in by_house if each.verdict), None)
    if found.verdict is Verdict.OK and unsure is not None:
        return _or_sooner(unsure, tight, out)
    return tight


def _or_sooner(unsure: Finding, found: Finding, out: Out) -> Finding:
    """Return what is not known of the air with the deadline that holds even when it is cool."""
    if found.deadline is None:
        return unsure
    rule = the("house", "house.hot_weather")
    text = say(
        "{verdict}. Out {out}: bin by {deadline}; at {limit} air it was binned at {hot}. How warm"
        " is it?",
        verdict=Verdict.UNKNOWN,
        out=span((out.minutes or 0.0) * 60),
        deadline=Clock(found.deadline),
        limit=Limit(float(rule.row["air_from_c"])).words(),
        hot=Clock(out.until(float(rule.row["max_min"])) or out.now),
    )
    return replace(unsure, text=text, deadline=found.deadline)


def _tightened(found: Finding, by_house: list[Finding], out: Out) -> Finding:
    """Return the finding with the house's earlier deadline, where there is one."""
    first = min((each for each in by_house if each.deadline), key=_when, default=None)
    if first is None or (found.deadline and found.deadline <= _when(first)):
        return found
    text = say(
        "{verdict}. Out {out}: use or bin by {deadline} ({why}).",
        verdict=found.verdict or Verdict.UNKNOWN,
        out=span((out.minutes or 0.0) * 60),
        deadline=Clock(_when(first)),
        why=first.text,
    )
    return replace(found, text=text, deadline=first.deadline)


def _when(found: Finding) -> datetime:
    if found.deadline is None:
        raise AssertionError("only findings with a deadline are compared")
    return found.deadline


def _applies(rule: Rule, out: Out) -> bool:
    row = rule.row
    if row["what"] not in {"both", out.side} or (out.raw and row.get("ready_to_eat")):
        return False
    needs = row.get("needs")
    if needs == "procedure" and (not out.procedure or out.six_hours):
        return False
    if needs == "procedure_6h" and not (out.procedure and out.six_hours):
        return False
    if needs is None and out.procedure and rule.profile is Profile.US:
        return False  # the procedure takes the place of the general advice
    if row.get("only") == "cut_produce" and not out.cut_produce:
        return False
    if out.cut_produce and needs == "procedure" and "only" not in row:
        return False
    if "air_max_c" in row:
        return out.air is not None and limit_in(row, "air_max").kept(out.air)
    return True


def _by_book(rows: list[Rule], out: Out, profile: Profile) -> Finding:
    if not rows:
        text = say(
            "{verdict}. The {profile} rules give no time for this.",
            verdict=Verdict.UNKNOWN,
            profile=PROFILES[profile],
        )
        return finding(None, Verdict.UNKNOWN, text, profile=profile, about=out.about)
    for rule in rows:
        broken = _broken(rule, out)
        if broken is not None:
            return broken
    in_time = [rule for rule in rows if _left(rule, out) > 0]
    if not in_time:
        return _binned(max(rows, key=lambda rule: float(rule.row["max_min"])), out)
    return _still(in_time[0], out)


def _left(rule: Rule, out: Out) -> float:
    return float(rule.row["max_min"]) - (out.minutes or 0.0)


def _broken(rule: Rule, out: Out) -> Finding | None:
    row = rule.row
    if row.get("single") and out.periods > 0:
        text = say(
            "{verdict}. It was out before, and one period is all there is.", verdict=Verdict.BIN
        )
        return finding(rule, Verdict.BIN, text, about=out.about)
    if "stay_max_c" not in row:
        return None
    limit = limit_in(row, "stay_max")
    if out.warmest is None:
        text = say(
            "{verdict}. The warmest part must stay at {limit} or less: probe it.",
            verdict=Verdict.UNKNOWN,
            limit=limit.words(),
        )
        return finding(rule, Verdict.UNKNOWN, text, about=out.about)
    if not limit.kept(out.warmest):
        text = say(
            "{verdict}. Warmest part {warmest}, limit {limit}.",
            verdict=Verdict.BIN,
            warmest=out.warmest.words(),
            limit=limit.words(out.warmest),
        )
        return finding(rule, Verdict.BIN, text, about=out.about)
    return None


def _binned(rule: Rule, out: Out) -> Finding:
    limit_min = float(rule.row["max_min"])
    text = say(
        "{verdict}. Out {out}, limit {limit}. No chilling again, no using first.",
        verdict=Verdict.BIN,
        out=span((out.minutes or 0.0) * 60),
        limit=span(limit_min * 60),
    )
    return finding(rule, Verdict.BIN, text, deadline=out.until(limit_min), about=out.about)


def _still(rule: Rule, out: Out) -> Finding:
    deadline = out.until(float(rule.row["max_min"]))
    verdict = Verdict.OK if rule.may_clear else Verdict.UNKNOWN
    text = say(
        "{verdict}. Out {out}, {left} left: use or bin by {deadline}.",
        verdict=verdict,
        out=span((out.minutes or 0.0) * 60),
        left=span(_left(rule, out) * 60),
        deadline=Clock(deadline or out.now),
    )
    if rule.row.get("then") == "refrigerate":
        text = say(
            "{verdict}. Out {out} in all: use it, or back to 5 °C or less by {deadline}.",
            verdict=verdict,
            out=span((out.minutes or 0.0) * 60),
            deadline=Clock(deadline or out.now),
        )
    if rule.row.get("then") == "use now":
        text = say(
            "{verdict}. Out {out} in all: use it now, not back to the fridge. Bin at {deadline}.",
            verdict=verdict,
            out=span((out.minutes or 0.0) * 60),
            deadline=Clock(deadline or out.now),
        )
    return finding(rule, verdict, text, deadline=deadline, about=out.about)


# ------------------------------------------------------------------ the house's own limits


def _by_house(out: Out, house: HouseLimits, *, has_row: bool) -> list[Finding]:
    """Return what the house's limits say: BIN, UNKNOWN, or only a deadline (no verdict)."""
    found = []
    if house.table_max_min is not None:
        found.append(_house(the("house", "house.table"), house.table_max_min, out))
    if not has_row:
        rule = the("house", "house.out")
        found.append(_house(rule, float(rule.row["max_min"]), out))
    if out.side is Side.COLD and not out.procedure:
        found.extend(_hot_weather(out))
    return found


def _hot_weather(out: Out) -> list[Finding]:
    rule = the("house", "house.hot_weather")
    limit_min = float(rule.row["max_min"])
    if out.air is not None:
        return [_house(rule, limit_min, out)] if is_hot_weather(out.air) else []
    if (out.minutes or 0.0) < limit_min:
        return []
    text = say(
        "{verdict}. Out {out}. How warm is the air? At {limit} or more it was binned after 1 h.",
        verdict=Verdict.UNKNOWN,
        out=span((out.minutes or 0.0) * 60),
        limit=Limit(float(rule.row["air_from_c"])).words(),
    )
    return [finding(rule, Verdict.UNKNOWN, text, about=out.about)]


def is_hot_weather(air: Degrees) -> bool:
    """Say whether the hot-weather rule holds: 32 °C and more, or above 90 °F read in °F."""
    row = the("house", "house.hot_weather").row
    if air.fahrenheit:
        return air.f > float(row["air_over_f"])
    return air.c >= float(row["air_from_c"])


def _house(rule: Rule, limit_min: float, out: Out) -> Finding:
    if (out.minutes or 0.0) >= limit_min:
        return _binned(replace(rule, row={**rule.row, "max_min": limit_min}), out)
    own = say("house rule {limit}", limit=span(limit_min * 60))
    return replace(
        finding(rule, Verdict.OK, own, deadline=out.until(limit_min), about=out.about), verdict=None
    )
