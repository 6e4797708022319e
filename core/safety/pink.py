"""Pink meat: only where rule book, cut and guests allow it, and somebody answers for it."""

from __future__ import annotations

from dataclasses import dataclass

from core.model import Finding, Label, Line, Profile, Verdict, say
from core.safety.degrees import limit_in
from core.safety.food import Food, State
from core.safety.heat_met import Cooked
from core.safety.rules import Rule, finding, of_profile

ADVISORY = say(
    "Served pink. Raw or undercooked meat can make you ill, more so the very young, the old, the"
    " pregnant and the sick. Ask us."
)
"""What the menu or a sign must say beside a dish served pink."""


@dataclass(frozen=True, slots=True)
class Guests:
    """Who eats it: `vulnerable` if any are very young, old, pregnant or ill; None is not known.

    `approver` is who has approved serving it pink, by name; `pink` whether that is wanted at all.
    """

    vulnerable: bool | None = None
    approver: str | None = None
    pink: bool = False


def pink_finding(
    food: Food, heat: Cooked, profile: Profile, guests: Guests, about: str
) -> Finding | None:
    """Return OK where every condition is met, what is missing where pink is wanted, else None."""
    allowed = [rule for rule in of_profile("pink", profile, "cooking") if _suits(rule, food)]
    for rule in allowed:
        if not _missing(rule, food, heat, guests):
            return _served_pink(rule, guests, about)
    if allowed and guests.pink:
        rule = min(allowed, key=lambda each: len(_missing(each, food, heat, guests)))
        return _not_pink(rule, _missing(rule, food, heat, guests), about)
    return None


def _suits(rule: Rule, food: Food) -> bool:
    return (
        food.kinds <= set(rule.row["kinds"])
        and food.states == {State.INTACT}
        and food.cuts <= set(rule.row["cuts"])
        and guests_may(rule)
    )


def guests_may(rule: Rule) -> bool:
    """Say whether a row is one that may clear; pink meat is never cleared from memory."""
    return rule.may_clear


def _missing(rule: Rule, food: Food, heat: Cooked, guests: Guests) -> tuple[Line, ...]:
    row = rule.row
    gaps: list[Line] = []
    if row["labelled"] and not food.labelled:
        gaps.append(say("a label saying whole-muscle intact beef"))
    if "surface_c" in row and not _hot_outside(rule, heat):
        gaps.append(say("both faces at {limit}", limit=limit_in(row, "surface").words(heat.core)))
    if ("surface_c" in row or row.get("surface_seared")) and heat.seared is not True:
        gaps.append(say("cooked colour all over the outside"))
    if guests.vulnerable is not False:
        gaps.append(say("no very young, old, pregnant or ill guests"))
    if row["approver"] and not guests.approver:
        gaps.append(say("a named person who approves it"))
    return tuple(gaps)


def _hot_outside(rule: Rule, heat: Cooked) -> bool:
    return heat.surface is not None and limit_in(rule.row, "surface").reached(heat.surface)


def _served_pink(rule: Rule, guests: Guests, about: str) -> Finding:
    if not rule.row["advisory"]:
        text = say(
            "{verdict}. Labelled whole-muscle steak, both faces cooked: no core asked.",
            verdict=Verdict.OK,
        )
    else:
        text = say(
            "{verdict}. Pink, approved by {who}. Say so in writing: {advisory}",
            verdict=Verdict.OK,
            who=Label(guests.approver or ""),
            advisory=ADVISORY,
        )
    return finding(rule, Verdict.OK, text, about=about)


def _not_pink(rule: Rule, gaps: tuple[Line, ...], about: str) -> Finding:
    text = say("{verdict}. Pink wants first: {gap}.", verdict=Verdict.NOT_YET, gap=listed(gaps))
    return finding(rule, Verdict.NOT_YET, text, lift_by=("chef",), about=about)


def listed(lines: tuple[Line, ...]) -> Line:
    """Return lines as a list in one."""
    whole = lines[0]
    for each in lines[1:]:
        whole = say("{first}; {second}", first=whole, second=each)
    return whole
