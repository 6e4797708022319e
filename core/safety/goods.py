"""Goods coming in and what goes home: verdicts at the edges of the day."""

from __future__ import annotations

from dataclasses import dataclass

from core.model import Finding, HouseLimits, Profile, Verdict, say
from core.safety.degrees import Degrees, Limit, limit_in
from core.safety.food import Food, Kind, State
from core.safety.rules import Rule, finding, of_profile, the
from core.safety.words import PROFILES
from core.safety.worst import judged


@dataclass(frozen=True, slots=True)
class Delivery:
    """A chilled delivery: what, the warmest reading of it, how many packs were probed inside.

    `outside` is True where the reading was of the outer face or the air, not the food.
    """

    read: Degrees
    food: Food | None = None
    packs: int = 1
    outside: bool = False
    about: str = ""


def delivery_verdict(
    delivery: Delivery, profile: Profile | None, house: HouseLimits | None = None
) -> Finding:
    """Return whether to take a chilled delivery. The house refuses over 5 °C in every rule book."""
    return judged(profile, lambda each: _delivery(delivery, each, house or HouseLimits()))


def _delivery(delivery: Delivery, profile: Profile, house: HouseLimits) -> Finding:
    rules = _limits(delivery, profile)
    own = the("house", "house.receive_cold")
    limits = [(rule, limit_in(rule.row, "max")) for rule in (*rules, own)]
    if house.cold_max_c is not None:
        limits.append((own, Limit(house.cold_max_c)))
    over = [(rule, limit) for rule, limit in limits if not limit.kept(delivery.read)]
    if over and delivery.outside:
        return _probe_inside(over[0][0], delivery, profile)
    if over:
        return _refused(*over[0], delivery, profile)
    sure = [rule for rule in rules if rule.may_clear]
    if not sure:
        text = say(
            "{verdict}. {read}, but the {profile} rules give no confirmed number.",
            verdict=Verdict.UNKNOWN,
            read=delivery.read.words(),
            profile=PROFILES[profile],
        )
        return finding(None, Verdict.UNKNOWN, text, profile=profile, about=delivery.about)
    text = say(
        "{verdict}. {read}, limit {limit}. Into the cold now.",
        verdict=Verdict.OK,
        read=delivery.read.words(),
        limit=min((limit for _, limit in limits), key=lambda each: each.c).words(delivery.read),
    )
    return finding(sure[0], Verdict.OK, text, about=delivery.about)


def _probe_inside(rule: Rule, delivery: Delivery, profile: Profile) -> Finding:
    text = say(
        "{verdict}. {read} outside. Probe between two packs before you sign.",
        verdict=Verdict.UNKNOWN,
        read=delivery.read.words(),
    )
    return finding(rule, Verdict.UNKNOWN, text, profile=profile, about=delivery.about)


def _refused(rule: Rule, limit: Limit, delivery: Delivery, profile: Profile) -> Finding:
    text = say(
        "{verdict}: refuse it. {read}, limit {limit}. Probe a second case first; photo and driver's"
        " name.",
        verdict=Verdict.BIN,
        read=delivery.read.words(),
        limit=limit.words(delivery.read),
    )
    return finding(rule, Verdict.BIN, text, profile=profile, about=delivery.about)


def _limits(delivery: Delivery, profile: Profile) -> tuple[Rule, ...]:
    special = [
        rule for rule in of_profile("received", profile) if _is_for(str(rule.row["food"]), delivery)
    ]
    return (*special, *of_profile("cold_hold", profile))


def _is_for(row_food: str, delivery: Delivery) -> bool:
    food = delivery.food
    if row_food == "any":
        return True
    if food is None:
        return row_food in {"poultry", "minced"}
    if row_food == "poultry":
        return Kind.POULTRY in food.kinds
    if row_food == "minced":
        return State.MINCED in food.states and food.states != frozenset(State)
    return False


# ------------------------------------------------------------------ leftovers


@dataclass(frozen=True, slots=True)
class Leftover:
    """What is left: whether it was on the line, the last logged temperature and its side.

    None is not known.
    """

    on_line: bool | None
    last: Degrees | None = None
    hot: bool = False
    about: str = ""


def leftover_verdict(left: Leftover, profile: Profile | None) -> Finding:
    """Return whether food may go home or be kept: never what was on the line, house default no."""
    rule = the("house", "house.leftovers")
    if left.on_line is not False:
        text = say(
            "{verdict}: what was on the line. Only unserved boxes logged at 5 °C or less, or 63 °C"
            " or more, labelled 'eat today'. House default: no.",
            verdict=Verdict.BIN,
        )
        return finding(rule, Verdict.BIN, text, profile=profile, about=left.about)
    return judged(profile, lambda each: _kept(left, each))


def _kept(left: Leftover, profile: Profile) -> Finding:
    section, key = ("hot_hold", "min") if left.hot else ("cold_hold", "max")
    rule = next(iter(of_profile(section, profile)), None)
    house = Limit(63.0) if left.hot else Limit(5.0, 41)
    if left.last is None:
        text = say(
            "{verdict}. No logged temperature, so it does not leave.", verdict=Verdict.UNKNOWN
        )
        return finding(rule, Verdict.UNKNOWN, text, profile=profile, about=left.about)
    limits = [house, *([limit_in(rule.row, key)] if rule else [])]
    good = all((each.reached if left.hot else each.kept)(left.last) for each in limits)
    if not good:
        text = say("{verdict}. Last logged {read}.", verdict=Verdict.BIN, read=left.last.words())
        return finding(rule, Verdict.BIN, text, profile=profile, about=left.about)
    if rule is None or not rule.may_clear:
        text = say(
            "{verdict}. {read}, but the {profile} rules give no confirmed number.",
            verdict=Verdict.UNKNOWN,
            read=left.last.words(),
            profile=PROFILES[profile],
        )
        return finding(rule, Verdict.UNKNOWN, text, profile=profile, about=left.about)
    text = say(
        "{verdict}. {read}: box it, label it 'eat today', only if the chef allows.",
        verdict=Verdict.OK,
        read=left.last.words(),
    )
    return finding(rule, Verdict.OK, text, about=left.about)
