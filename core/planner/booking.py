"""Capacity before promise: how many guests this kit, crew and window can feed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from core.errors import CannotPlanError
from core.model import Cards, Clock, Line, Qty, say
from core.planner.assemble import Result
from core.planner.relief import fits, remedies, solved
from core.planner.validate import MOST_HEADS

LOOK_BACK = 40
STEP = 10
"""Heads are told to the ten: nobody books 327."""


@dataclass(frozen=True, slots=True)
class Capacity:
    """The most that fit, the most that fit tightly, the first that fail; None: not within reach."""

    ok: int | None
    tight: int | None
    fails: int | None
    text: Line
    fixes: tuple[Line, ...] = ()


def capacity(cards: Cards, upto: int | None = None) -> Capacity:
    """Return how many guests fit, and what is the matter beyond.

    Parameters
    ----------
    cards
        The event.
    upto
        The most to look at; None means three times the heads on the card.
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
    try:
        result = solved(cards, fails)
    except CannotPlanError as error:
        text = say(
            "OK for {ok}, fails at {fails}: {why}.",
            ok=Qty(tight or 0, "", 0),
            fails=Qty(fails, "", 0),
            why=Line(error.why, {k: _value(v) for k, v in error.values.items()}),
        )
        return Capacity(ok, tight, fails, text)
    helps = tuple(remedy.text for remedy in remedies(result, most=2))
    text = say(
        "OK for {ok}, tight at {tight}, fails at {fails} at {at}.",
        ok=Qty(ok or 0, "", 0),
        tight=Qty(tight or 0, "", 0),
        fails=Qty(fails, "", 0),
        at=Clock(result.kitchen.clock.instant(_runs_out(result))),
    )
    return Capacity(ok, tight, fails, text, helps)


def _value(value: object) -> Line | Qty:
    return Qty(float(value), "") if isinstance(value, int | float) else Line(str(value))


def _runs_out(result: Result) -> float:
    """Return when the first plates are missing."""
    late = [
        group.needed_by
        for group in result.problem.groups
        if group.served
        and max(result.slot(op).end for op in result.ops_of(group)) > group.needed_by
    ]
    return min(late, default=result.problem.plates)
