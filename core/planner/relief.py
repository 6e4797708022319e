"""What would help when a plan does not fit: one thing changed at a time, and solved to be true.

Cheapest first: asking the host for minutes, then slower lanes, then a borrowed fire or tub, then a
pair of hands, then fewer guests. Where nothing but fewer guests helps alone, the cheapest mix: all
of it at once, and the dearest that is not needed left out again (Junker, QuickXplain, AAAI 2004:
preferred relaxations, by deletion). A limit of food safety is never on offer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from math import inf

from core.errors import CannotPlanError
from core.model import Cards, Line, say
from core.planner.assemble import Result
from core.planner.build import problem_of
from core.planner.judge import IN_TIME, fit_of, spare_of
from core.planner.kitchen import Kitchen
from core.planner.levers import Lever, Party, at_most, levers, with_station
from core.planner.listing import list_schedule
from core.planner.turns import in_turn
from core.planner.validate import MOST_HEADS, validate, validate_problem

__all__ = ["Party", "Remedy", "fits", "remedies", "solved", "with_station"]

ENOUGH = 3
GRID = 8
"""A few guests fewer sometimes fit worse (a load of one), so we look at so many numbers first."""

MOST_OF_MIX = 4
"""More than four things at once is another event."""

Good = Callable[[Party], bool]


@dataclass(frozen=True, slots=True)
class Remedy:
    """What makes it fit: in words, and the cards and numbers that were solved.

    `kind` is later, slower, kit, person, mix or fewer.
    """

    kind: str
    text: Line
    party: Party

    @property
    def cards(self) -> Cards:
        """Return the cards it was solved with."""
        return self.party.cards

    @property
    def heads(self) -> int:
        """Return the guests it was solved for."""
        return self.party.heads

    @property
    def shift(self) -> float:
        """Return the minutes plates moved."""
        return self.party.shift


def solved(cards: Cards, heads: int, shift: float = 0.0) -> Result:
    """Return the solved problem for these cards.

    Raises
    ------
    CannotPlanError
        If there is no plan.
    """
    kitchen = Kitchen(cards, heads, shift)
    validate(kitchen)
    problem = problem_of(kitchen)
    validate_problem(problem)
    return in_turn(Result(kitchen, problem, list_schedule(problem)))


def fits(cards: Cards, heads: int, shift: float = 0.0) -> str:
    """Return 'yes', 'tight' or 'no', as a plan would say."""
    try:
        return fit_of(solved(cards, heads, shift))
    except CannotPlanError:
        return "no"


def in_hand(cards: Cards, heads: int, shift: float = 0.0) -> float:
    """Return the minutes the tightest load is ready before it is needed; -inf without a plan."""
    try:
        return spare_of(solved(cards, heads, shift))
    except CannotPlanError:
        return -inf


def remedies(kitchen: Kitchen, most: int = ENOUGH, spare: float = IN_TIME) -> tuple[Remedy, ...]:
    """Return up to `most` remedies, cheapest first.

    Parameters
    ----------
    kitchen
        What does not fit.
    most
        How many are enough.
    spare
        What the tightest load shall have in hand, min; by default everybody is served in time.
    """
    start = Party(kitchen.cards, kitchen.heads, kitchen.shift)

    def good(party: Party) -> bool:
        return in_hand(party.cards, party.heads, party.shift) >= spare

    found: list[Remedy] = []
    if start.heads <= MOST_HEADS:
        found = list(_alone(kitchen, start, good, most))
        if not found:
            found = list(_mixed(kitchen, start, good))
    if len(found) < most:
        found.extend(_fewer(start, good))
    return tuple(found[:most])


def _alone(kitchen: Kitchen, start: Party, good: Good, most: int) -> Iterator[Remedy]:
    """Yield what helps by itself, one of a kind, each at its least."""
    kinds: set[str] = set()
    for lever in levers(kitchen):
        if len(kinds) == most:
            return
        if lever.kind in kinds:
            continue
        level = _least_level(lever, start, good)
        if level is not None:
            kinds.add(lever.kind)
            yield Remedy(lever.kind, lever.words(level), lever.pulled(start, level))


def _least_level(lever: Lever, start: Party, good: Good) -> int | None:
    """Return the least level of a lever that is good, taking more never to be worse."""
    low, high = -1, lever.levels - 1
    if not good(lever.pulled(start, high)):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if good(lever.pulled(start, middle)) else (middle, high)
    return high


def _mixed(kitchen: Kitchen, start: Party, good: Good) -> Iterator[Remedy]:
    """Yield the cheapest mix, if everything at once helps at all.

    Later plates are no part of it: what is short of fires is as short an hour on.
    """
    chosen = [(lever, lever.levels - 1) for lever in levers(kitchen) if lever.kind != "later"]
    if not good(_all(start, chosen)):
        return
    for lever, level in sorted(chosen, key=lambda pull: -pull[0].cost):
        without = [pull for pull in chosen if pull[0] is not lever]
        if good(_all(start, without)):
            chosen = without
            continue
        for lower in range(level):
            less = [(a, lower if a is lever else n) for a, n in chosen]
            if good(_all(start, less)):
                chosen = less
                break
    if len(chosen) <= MOST_OF_MIX:
        texts = [lever.words(level) for lever, level in chosen]
        yield Remedy("mix", reduce(_and, texts), _all(start, chosen))


def _all(start: Party, pulls: Sequence[tuple[Lever, int]]) -> Party:
    return reduce(lambda party, pull: pull[0].pulled(party, pull[1]), pulls, start)


def _and(first: Line, then: Line) -> Line:
    return say("{first} and {then}", first=first, then=then)


def _fewer(start: Party, good: Good) -> Iterator[Remedy]:
    """Yield fewer guests, as many as can be."""
    top = min(start.heads - 1, MOST_HEADS)
    grid = sorted({top * n // GRID for n in range(1, GRID + 1)}, reverse=True)
    low = next((heads for heads in grid if heads and good(replace(start, heads=heads))), 0)
    high = min(heads for heads in (*grid, top + 1) if heads > low)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if good(replace(start, heads=middle)) else (low, middle)
    if low:
        party = replace(start, heads=low)
        yield Remedy("fewer", at_most(low), party)
