"""Enough able people at every moment, without saying who: the hands of a model.

For every union of who is able, no more hands are on at once than there are people in it (Hall's
condition). Who exactly does what is settled afterwards, the times being fixed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations
from math import inf

from core.planner.engine.horizon import Horizon
from core.planner.engine.solver import Model, Stay, Var
from core.planner.jobs import Hand, Op, Problem, Slot

_MANY_SKILLS = 6  # all unions of more able-sets than this are too many
_NOT_AT_THE_ENDS_MIN = 60.0

Touched = tuple[Stay, frozenset[str], int]


def limit_hands(
    problem: Problem,
    horizon: Horizon,
    model: Model,
    start: Mapping[str, Var],
    fixed: Mapping[str, Slot],
) -> dict[str, Var]:
    """Write the hands of a problem into a model; returns when everybody's break begins."""
    touches = list(_touches(problem, horizon, model, start, fixed))
    sets = sorted({able for _, able, _ in touches}, key=sorted)
    breaks = _breaks(problem, horizon, model)
    for union in unions(sets):
        stays = [stay for stay, able, _ in touches if able <= union]
        needs = [hands for _, able, hands in touches if able <= union]
        away = [
            stay
            for name in sorted(union)
            for stay in _away(problem.hands[name], horizon, model, breaks)
        ]
        if sum(needs) + len(away) > len(union):
            model.add_cumulative([*stays, *away], [*needs, *(1 for _ in away)], len(union))
    return breaks


def _touches(
    problem: Problem,
    horizon: Horizon,
    model: Model,
    start: Mapping[str, Var],
    fixed: Mapping[str, Slot],
) -> Iterator[Touched]:
    for key, op in sorted(problem.ops().items()):
        for n, touch in enumerate(op.work(_minutes(op, fixed.get(key)))):
            begins = start[key] + horizon.long(touch.offset)
            stay = model.new_fixed_size_interval_var(
                begins, horizon.long(touch.minutes), f"{key} hands {n}"
            )
            yield stay, frozenset(touch.able), touch.hands


def _minutes(op: Op, slot: Slot | None) -> float:
    return op.ideal if slot is None else slot.end - slot.start


def _breaks(problem: Problem, horizon: Horizon, model: Model) -> dict[str, Var]:
    found: dict[str, Var] = {}
    for name, hand in sorted(problem.hands.items()):
        window = hand.break_window or middle(hand)
        if hand.break_min and window is not None:
            low, high = (horizon.tick(minute) for minute in window)
            found[name] = model.new_int_var(low, max(high, low), f"break {name}")
    return found


def middle(hand: Hand) -> tuple[float, float] | None:
    """Return when a break may begin, where nothing says: not in the first or last hour."""
    inside = [s for s in hand.shifts if s[0] > -inf and s[1] < inf]
    if not inside:
        return None
    begins, ends = max(inside, key=lambda s: s[1] - s[0])
    low = begins + _NOT_AT_THE_ENDS_MIN
    high = ends - _NOT_AT_THE_ENDS_MIN - hand.break_min
    return (low, high) if high > low else None


def _away(hand: Hand, horizon: Horizon, model: Model, breaks: Mapping[str, Var]) -> Iterator[Stay]:
    """Yield when a person is not there: off shift, on a break."""
    at = horizon.begins
    for begins, ends in sorted(hand.shifts):
        if begins > at:
            yield horizon.stay(model, at, begins, f"{hand.id} off")
        at = max(at, ends)
    if at < horizon.ends:
        yield horizon.stay(model, at, horizon.ends, f"{hand.id} off")
    if hand.id in breaks:
        yield model.new_fixed_size_interval_var(
            breaks[hand.id], horizon.long(hand.break_min), f"{hand.id} break"
        )


def unions(sets: list[frozenset[str]]) -> list[frozenset[str]]:
    """Return every distinct union of the sets; of very many, each and all together."""
    if len(sets) > _MANY_SKILLS:
        return [*sets, frozenset().union(*sets)]
    found = {
        frozenset().union(*chosen)
        for size in range(1, len(sets) + 1)
        for chosen in combinations(sets, size)
    }
    return sorted(found, key=lambda s: (len(s), sorted(s)))
