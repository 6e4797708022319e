"""Which of several findings counts: the worst, and with no rule book set, the worst of all books.

Each rule book is judged alone; nothing of one is ever mixed with another.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, datetime

from core.model import Finding, Profile, Verdict

SEVERITY: Mapping[Verdict | None, int] = {
    None: -1,
    Verdict.OK: 0,
    Verdict.NO: 0,
    Verdict.UNKNOWN: 1,
    Verdict.NOT_CONFIRMED: 2,
    Verdict.NOT_YET: 3,
    Verdict.YES: 4,
    Verdict.BIN: 5,
    Verdict.STOP: 6,
}
"""Only 0 clears. A known failure says more than a gap in the rules, so it outranks UNKNOWN."""

_STATUS = {"C": 0, "C2": 1, "house": 2, "M": 3}
_NEVER = datetime.max.replace(tzinfo=UTC)


def _nothing(_: Finding) -> float:
    return 0.0


def worst(findings: Iterable[Finding], demand: Callable[[Finding], float] = _nothing) -> Finding:
    """Return the most severe finding; among equals the earliest deadline, then what asks most.

    `demand` says how much the rule of a finding asks; then the surest source counts.

    Raises
    ------
    ValueError
        If there is none.
    """

    def badness(found: Finding) -> tuple[int, float, float, int]:
        deadline = found.deadline or _NEVER
        sure = -_STATUS.get(found.status, 4)
        return SEVERITY[found.verdict], -deadline.timestamp(), demand(found), sure

    return max(findings, key=badness)


def judged(
    profile: Profile | None,
    judge: Callable[[Profile], Finding],
    demand: Callable[[Finding], float] = _nothing,
) -> Finding:
    """Return what a rule book says; unset, the worst any of them says, each judged alone."""
    if profile is not None:
        return judge(profile)
    return worst((judge(each) for each in Profile), demand)
