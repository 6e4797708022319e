"""Who may lift what: the chef, with a reason that is logged; poultry, cooling and allergens never.

Serving anyway takes two people. Whatever is lifted stays in the log as it was, with the reason.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from core.model import Finding, Line, Role, Verdict, say
from core.safety.food import Food, Kind

CHEF = ("chef",)

NEVER = (
    "us.A3",
    "us.poultry",
    "us-consumer.poultry",
    "es.poultry",
    "au.poultry",
    "nz.poultry",
    "ca.poultry",
    "ca.whole_poultry",
    "allergen",
    "us.thermometer",
    "reading.",
)
"""Rules that nobody lifts, by the start of their id; cooling and the sick by their ids below.

A thermometer in doubt is not lifted but put in ice, and what was taken back is read again.
"""

_FINAL = frozenset({Verdict.NOT_CONFIRMED, Verdict.YES, Verdict.NO})


def may_be_lifted(found: Finding, food: Food | None = None) -> bool:
    """Say whether anybody at all may lift a finding.

    Not poultry or what may be poultry, not cooling, not allergens, not the sick, not an alarm on
    the site; and what is OK needs no lifting.
    """
    if found.verdict is Verdict.OK or found.verdict is None or found.verdict in _FINAL:
        return False
    if food is not None and Kind.POULTRY in food.kinds:
        return False
    if ".cool" in found.rule or found.rule.endswith(".sick"):
        return False
    if found.rule.startswith(("co.", "gas.", "fire.", "ash.")):
        return False
    return not found.rule.startswith(NEVER)


def lifters(found: Finding, food: Food | None = None) -> tuple[str, ...]:
    """Return the roles that may lift a finding: the chef, or nobody."""
    return CHEF if may_be_lifted(found, food) else ()


def with_lifters(found: Finding, food: Food | None = None) -> Finding:
    """Return the finding saying who may lift it."""
    return replace(found, lift_by=lifters(found, food))


@dataclass(frozen=True, slots=True)
class Lift:
    """Somebody wants to lift a stop: who, in which role, why, and who the second person is."""

    by: str
    role: Role
    reason: str
    second: str | None = None


def refusal(found: Finding, lift: Lift, food: Food | None = None) -> Line | None:
    """Return why a lift is refused; None where it may go into the log.

    Parameters
    ----------
    found
        The finding to lift.
    lift
        Who, why, and the second person.
    food
        What it is about: what may be poultry is never lifted.
    """
    if not may_be_lifted(found, food):
        return say("Nobody lifts this: not poultry, cooling or allergens.")
    if lift.role is not Role.CHEF:
        return say("Only the chef lifts this.")
    if not lift.reason.strip():
        return say("Say why: the reason goes into the log.")
    if lift.second is None or lift.second == lift.by:
        return say("Two people: who else agrees?")
    return None
