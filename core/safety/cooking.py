"""Is it cooked? One rule book at a time, by the food's class, time at temperature and guests.

A food is judged as everything it may still be: it is OK only if each of them is. Rows from memory
can say NOT YET, never OK; a food without a row is UNKNOWN.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from functools import cache
from itertools import product

from core.model import Finding, FoodClass, Line, Profile, Verdict, say
from core.safety.degrees import Degrees, Limit, is_food_temperature
from core.safety.food import Exact, Food, Kind, State, food_of_class
from core.safety.heat_met import Cooked, aim_of, met, wanted_at
from core.safety.hold import hold_table
from core.safety.pink import Guests, pink_finding
from core.safety.rules import Rule, finding, rule_of, rules
from core.safety.words import KINDS, PROFILES, at_for, span, told_apart, wants
from core.safety.worst import judged

__all__ = ["cook_verdict"]


class _Said(IntEnum):
    """What the rows say of one thing a food may be."""

    OK = 0
    UNSURE = 1
    FAIL = 2


@dataclass(frozen=True, slots=True)
class _Judged:
    exact: Exact
    said: _Said
    rule: Rule | None


def cook_verdict(
    food: Food | FoodClass,
    heat: Cooked,
    profile: Profile | None,
    guests: Guests | None = None,
    about: str = "",
) -> Finding:
    """Return whether food is cooked by a rule book, or by the worst of all when none is set.

    Parameters
    ----------
    food
        What is known of it, or the class on its card.
    heat
        One core reading with its hold, or a log of readings.
    profile
        The event's rule book; None judges by each alone and gives the worst.
    guests
        Who eats it and who has approved serving it pink; None is unknown.
    about
        The load, batch or dish it is for.

    Returns
    -------
    Finding
        OK, NOT YET or UNKNOWN, citing the row.
    """
    if isinstance(food, FoodClass):
        food = food_of_class(food)
    known = food
    if not is_food_temperature(heat.core):
        return not_a_reading(heat.core, profile, about)
    return judged(
        profile, lambda each: _verdict(known, heat, each, guests or Guests(), about), _demand
    )


def not_a_reading(read: Degrees, profile: Profile | None, about: str = "") -> Finding:
    """Return UNKNOWN for a temperature no food can have."""
    text = say(
        "{verdict}. {read} is no temperature of food: check the probe and the unit.",
        verdict=Verdict.UNKNOWN,
        read=read.words(),
    )
    return finding(None, Verdict.UNKNOWN, text, profile=profile, about=about)


def _verdict(food: Food, heat: Cooked, profile: Profile, guests: Guests, about: str) -> Finding:
    found = [_one(exact, food, heat, profile) for exact in food.exact()]
    if all(each.said is _Said.OK for each in found):
        return _ok(found, food, heat, about)
    pink = pink_finding(food, heat, profile, guests, about)
    if pink is not None and pink.verdict is Verdict.OK:
        return pink
    failed = [each for each in found if each.said is _Said.FAIL]
    passed = [each for each in found if each.said is _Said.OK]
    if failed and passed:
        return _depends(passed, failed, food, heat, profile, about)
    if failed:
        return pink or _not_yet(failed, food, heat, about)
    return pink or _no_row(found, profile, about)


@cache
def _rows(profile: Profile, exact: Exact) -> tuple[Rule, ...]:
    return tuple(
        rule
        for rule in rules("cooking", "cook")
        if rule.profile is profile
        and exact.kind in rule.row["kinds"]
        and exact.state
        in (*rule.row.get("states", (exact.state,)), *rule.row.get("also_states", ()))
        and exact.cut in rule.row.get("cuts", (exact.cut,))
        and (
            exact.kind is not Kind.EGG or exact.to_order is rule.row.get("to_order", exact.to_order)
        )
        and not (exact.cut == "roast" and exact.state in rule.row.get("also_states", ()))
    )


def _one(exact: Exact, food: Food, heat: Cooked, profile: Profile) -> _Judged:
    rows = _rows(profile, exact)
    sure = [rule for rule in rows if rule.may_clear]
    for rule in sure:
        if met(rule, exact, food, heat):
            return _Judged(exact, _Said.OK, rule)
    if sure:
        return _Judged(exact, _Said.FAIL, sure[0])
    unsure = [rule for rule in rows if not met(rule, exact, food, heat)]
    if unsure:
        return _Judged(exact, _Said.FAIL, unsure[0])
    return _Judged(exact, _Said.UNSURE, rows[0] if rows else None)


def _limit_and_hold(each: _Judged, food: Food) -> tuple[Limit, float]:
    if each.rule is None:
        raise AssertionError("only judged rows are worded")
    return aim_of(each.rule, each.exact, food)


def _hardest(found: list[_Judged], food: Food) -> _Judged:
    """Return the one that asks most: that is what has to be met."""
    return max(found, key=lambda each: _asks(each, food))


def _asks(each: _Judged, food: Food) -> tuple[float, float]:
    limit, seconds = _limit_and_hold(each, food)
    return round(limit.c), seconds


def _read(heat: Cooked) -> Line:
    if heat.hold_s > 0:
        return say("Core {core} held {hold}", core=heat.core.words(), hold=span(heat.hold_s))
    return say("Core {core}", core=heat.core.words())


def _ok(found: list[_Judged], food: Food, heat: Cooked, about: str) -> Finding:
    hardest = _hardest(found, food)
    rule = hardest.rule
    asked = wants(*_stated(hardest, food, heat), heat.core)
    text = say("{verdict}. {read}; {asked}.", verdict=Verdict.OK, read=_read(heat), asked=asked)
    if rule is not None and rule.row.get("hold") == "poultry":
        text = say(
            "{verdict}. {read}; {asked}. Below 74 °C only with a logged hold, humidity and your"
            " authority's agreement.",
            verdict=Verdict.OK,
            read=_read(heat),
            asked=asked,
        )
    if rule is not None and rule.row.get("hold") == "roasts" and heat.core.c < 62.7:
        text = say(
            "{verdict}. {read}; {asked}. In a dry pit under 121 °C this row does not count: then"
            " 70 °C.",
            verdict=Verdict.OK,
            read=_read(heat),
            asked=asked,
        )
    return finding(rule, Verdict.OK, text, about=about)


def _stated(each: _Judged, food: Food, heat: Cooked) -> tuple[Limit, float]:
    """Return the row as it was met: a table at this core, else the row itself."""
    rule = each.rule
    if rule is not None and "hold" in rule.row:
        wanted = wanted_at(rule, each.exact, food, heat.core)
        if wanted is not None:
            return Limit(heat.core.c, heat.core.f), wanted
    return _limit_and_hold(each, food)


def _not_yet(failed: list[_Judged], food: Food, heat: Cooked, about: str) -> Finding:
    hardest, mildest = _hardest(failed, food), min(failed, key=lambda each: _asks(each, food))
    if _asks(hardest, food) != _asks(mildest, food):
        return _not_yet_two(mildest, hardest, food, heat, about)
    text = say(
        "{verdict}. {read}; {asked}. {act}",
        verdict=Verdict.NOT_YET,
        read=_read(heat),
        asked=wants(*_stated(hardest, food, heat), heat.core),
        act=_to_do(hardest, food, heat),
    )
    return finding(hardest.rule, Verdict.NOT_YET, text, about=about)


def _not_yet_two(mild: _Judged, hard: _Judged, food: Food, heat: Cooked, about: str) -> Finding:
    fine, other = told_apart(mild.exact, hard.exact)
    text = say(
        "{verdict}. {read}; {asked} if {fine}, {hard} if {other}.",
        verdict=Verdict.NOT_YET,
        read=_read(heat),
        asked=wants(*_limit_and_hold(mild, food), heat.core),
        fine=fine,
        hard=at_for(*_limit_and_hold(hard, food), heat.core),
        other=other,
    )
    return finding(hard.rule, Verdict.NOT_YET, text, about=about)


def _to_do(each: _Judged, food: Food, heat: Cooked) -> Line:
    if each.rule is None:
        raise AssertionError("only judged rows are worded")
    wanted = wanted_at(each.rule, each.exact, food, heat.core)
    limit, seconds = _limit_and_hold(each, food)
    if wanted is not None and wanted > heat.hold_s:
        more = span(wanted - heat.hold_s)
        if wanted - heat.hold_s <= 180 or limit.c <= heat.core.c:
            return say("Hold {core} for {more} more.", core=heat.core.words(), more=more)
        return say(
            "Hold {core} for {more} more, or {aim}.",
            core=heat.core.words(),
            more=more,
            aim=at_for(limit, seconds, heat.core),
        )
    if seconds <= 0:
        return say("Go on to {limit}.", limit=limit.words(heat.core))
    return say("Go on to {limit}, then {hold}.", limit=limit.words(heat.core), hold=span(seconds))


def _depends(
    passed: list[_Judged],
    failed: list[_Judged],
    food: Food,
    heat: Cooked,
    profile: Profile,
    about: str,
) -> Finding:
    one, other = min(product(passed, failed), key=lambda pair: _apart(pair[0].exact, pair[1].exact))
    fine, fails = told_apart(one.exact, other.exact)
    text = say(
        "{verdict}. {read}: enough if {fine}, not if {fails} ({asked}). Say which.",
        verdict=Verdict.UNKNOWN,
        read=_read(heat),
        fine=fine,
        fails=fails,
        asked=wants(*_limit_and_hold(other, food), heat.core),
    )
    return finding(other.rule, Verdict.UNKNOWN, text, profile=profile, about=about)


def _apart(one: Exact, other: Exact) -> int:
    return sum(
        (
            4 * (one.kind is not other.kind),
            one.cut is not other.cut,
            2 * (one.state is not other.state),
            one.to_order is not other.to_order,
        )
    )


def _no_row(found: list[_Judged], profile: Profile, about: str) -> Finding:
    gap = next((each for each in found if each.rule is None), None)
    if gap is None:
        unsure = next(each for each in found if each.said is _Said.UNSURE)
        text = say(
            "{verdict}. The {profile} number is not confirmed, so it clears nothing. Ask your"
            " authority.",
            verdict=Verdict.UNKNOWN,
            profile=PROFILES[profile],
        )
        return finding(unsure.rule, Verdict.UNKNOWN, text, profile=profile, about=about)
    text = say(
        "{verdict}. The {profile} rules give no number for {food}. Ask your authority.",
        verdict=Verdict.UNKNOWN,
        profile=PROFILES[profile],
        food=_food_words(gap.exact),
    )
    return finding(None, Verdict.UNKNOWN, text, profile=profile, about=about)


def _food_words(exact: Exact) -> Line:
    if exact.state in {State.STUFFED, State.MINCED}:
        return say("{kind}, {state}", kind=KINDS[exact.kind], state=_state_words(exact.state))
    return KINDS[exact.kind]


def _state_words(state: State) -> Line:
    return say("stuffed") if state is State.STUFFED else say("minced")


@dataclass(frozen=True, slots=True)
class Target:
    """What a rule book asks of one thing a food may be."""

    rule: Rule
    exact: Exact
    limit: Limit
    seconds: float


def targets(food: Food, profile: Profile) -> tuple[Target, ...]:
    """Return what a rule book asks of a food, the least first; () where it has no row for it."""
    found: dict[tuple[float, float], Target] = {}
    for exact in food.exact():
        for rule in _rows(profile, exact)[:1]:
            limit, seconds = aim_of(rule, exact, food)
            found.setdefault((round(limit.c), seconds), Target(rule, exact, limit, seconds))
    return tuple(found[key] for key in sorted(found))


def _demand(found: Finding) -> float:
    """Return how hot the rule of a finding wants the food, for choosing among rule books."""
    rule = rule_of(found)
    if rule is None:
        return 0.0
    if "temp_c" in rule.row:
        return float(rule.row["temp_c"])
    name = str(rule.row.get("hold", ""))
    return hold_table(name).aim.c if name and name != "poultry" else 0.0
