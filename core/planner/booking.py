"""Capacity before promise: how many guests this kit, crew and window can feed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from core.errors import CannotPlanError
from core.model import Cards, Clock, Label, Line, Qty, Value, say
from core.planner.assemble import Result
from core.planner.explaining import reason_of
from core.planner.jobs import Group
from core.planner.judge import breaks_at
from core.planner.kitchen import Kitchen
from core.planner.relief import fits, remedies, solved
from core.planner.validate import MOST_HEADS

LOOK_BACK = 40
STEP = 10
"""Heads are told to the ten: nobody books 327."""


@dataclass(frozen=True, slots=True)
class Capacity:
    """The most that fit, the most that fit tightly, the first that fail; None: not within reach.

    `at` is when the first plates are missing at `fails`, where there is a plan to say it by.
    """

    ok: int | None
    tight: int | None
    fails: int | None
    text: Line
    fixes: tuple[Line, ...] = ()
    at: datetime | None = None


def capacity(cards: Cards, upto: int | None = None) -> Capacity:
    """Return how many guests fit, and what is the matter beyond.

    Parameters
    ----------
    cards
        The event.
    upto
        The most to look at; None means three times the heads on the card.

    Returns
    -------
    Capacity
        In tens: the most that fit with time in hand, the most that are served in time, the first
        number that fails with its clock time, and what would fix that, solved again as true.

    Notes
    -----
    Told by the list scheduler. A number it cannot feed, a better plan sometimes can; a number it
    says is fed is fed.
    """
    most = min(upto or cards.event.heads * 3, MOST_HEADS)
    known: dict[int, str] = {}

    def fit(heads: int) -> str:
        if heads not in known:
            known[heads] = fits(cards, heads)
        return known[heads]

    tight = _most(most, lambda heads: fit(heads) != "no")
    downward = range(tight or 0, max((tight or 0) - LOOK_BACK * STEP, 0), -STEP)
    ok = next((heads for heads in downward if fit(heads) == "yes"), None)
    fails = None if tight is not None and tight + STEP > most else (tight or 0) + STEP
    if fails is None:
        return Capacity(ok, tight, None, say("OK for {heads}.", heads=Qty(tight or 0, "", 0)))
    return _with_words(cards, ok, tight, fails)


def _most(top: int, good: Callable[[int], bool]) -> int | None:
    """Return the most heads, to the ten, that are good, taking fewer to be no harder."""
    low, high = 0, top // STEP
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if good(middle * STEP) else (low, middle - 1)
    return low * STEP or None


def _with_words(cards: Cards, ok: int | None, tight: int | None, fails: int) -> Capacity:
    helps = tuple(r.text for r in remedies(Kitchen(cards, fails)) if r.kind != "fewer")[:2]
    fields: dict[str, Value] = {"fails": Qty(fails, "", 0), "why": _why(cards, fails)}
    if not tight:
        text = say("Fails at {fails}: {why}", **fields)
    elif ok == tight:
        text = say("OK for {ok}, fails at {fails}: {why}", **fields, ok=Qty(tight, "", 0))
    elif ok:
        counts = {"ok": Qty(ok, "", 0), "tight": Qty(tight, "", 0)}
        text = say("OK for {ok}, tight at {tight}, fails at {fails}: {why}", **fields, **counts)
    else:
        text = say("Tight at {tight}, fails at {fails}: {why}", **fields, tight=Qty(tight, "", 0))
    if helps:
        fix = helps[0] if len(helps) == 1 else say("{one} or {other}", one=helps[0], other=helps[1])
        text = say("{what}; {fix} fixes it.", what=text, fix=fix)
    else:
        text = say("{what}.", what=text)
    return Capacity(ok, tight, fails, text, helps, _runs_out(cards, fails))


def _why(cards: Cards, heads: int) -> Line:
    """Return what gives out first, with its clock time, or why there is no plan."""
    try:
        return breaks_first(solved(cards, heads))
    except CannotPlanError as error:
        return reason_of(error)


def breaks_first(result: Result) -> Line:
    """Return which dish is missing from when on."""
    late = _late(result)
    if not late:
        return breaks_at(result) or say("too few are made")
    dish = result.kitchen.cards.dish(late[0].dish).name
    at = Clock(result.kitchen.clock.instant(late[0].needed_by))
    return say("{dish} runs out at {at}", dish=Label(dish), at=at)


def _late(result: Result) -> list[Group]:
    """Return the loads that are not ready when they are needed, first needed first."""
    late = [
        group
        for group in result.problem.groups
        if group.served
        and max(result.slot(op).end for op in result.ops_of(group)) > group.needed_by
    ]
    return sorted(late, key=lambda g: g.needed_by)


def _runs_out(cards: Cards, heads: int) -> datetime | None:
    """Return when the first plates are missing; None where there is no plan to say it by."""
    try:
        result = solved(cards, heads)
    except CannotPlanError:
        return None
    late = _late(result)
    return result.kitchen.clock.instant(late[0].needed_by) if late else None
