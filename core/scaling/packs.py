"""Whole packs: the cheapest mix that covers the need, by a small integer programme.

One size needs no choice, two are counted through, more go to OR-Tools CP-SAT, which is imported
only then. Sizes are whole thousandths and prices whole hundredths, so the answer is exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from core.errors import CannotPlanError, OutOfRangeError
from core.model import Pack

_EXACT = 1e-9
_MILLI = 1000
_MICRO = 1_000_000
_SMALL = 0.1
_COUNTED_THROUGH = 5000
_CENTS = 100
_PACKS_AT_MOST = 100_000


@dataclass(frozen=True, slots=True)
class PackChoice:
    """How many of which pack; bought and left over in the packs' unit; None where unpriced."""

    packs: tuple[tuple[Pack, int], ...]
    bought: float
    leftover: float
    cost: float | None


def whole_packs(need: float, packs: Sequence[Pack]) -> PackChoice:
    """Packs that cover the need at the least cost, then with the least left over.

    Parameters
    ----------
    need
        In the unit of the packs, 0 or more.
    packs
        What is on offer, one unit throughout. If any has no price, the least left over decides,
        then the fewest packs.

    Returns
    -------
    PackChoice
        Packs with a count above 0, largest first.

    Raises
    ------
    OutOfRangeError
        If the need is negative, a size is not above 0, or units differ.
    CannotPlanError
        If no packs are given, or it would take more than 100,000 of them.

    Examples
    --------
    >>> choice = whole_packs(62.6, [Pack(12, "kg", 86.40)])
    >>> choice.packs[0][1], choice.bought, round(choice.leftover, 1), choice.cost
    (6, 72.0, 9.4, 518.4)
    """
    _check(need, packs)
    if need <= _EXACT:
        return PackChoice((), 0.0, 0.0, 0.0 if _priced(packs) else None)
    if need / max(p.amount for p in packs) > _PACKS_AT_MOST:
        raise CannotPlanError("more packs than anyone can carry: check the amount")
    counts = _best_counts(need, packs)
    chosen = tuple((pack, count) for pack, count in zip(packs, counts, strict=True) if count)
    bought = sum(pack.amount * count for pack, count in chosen)
    cost = round(sum((p.price or 0.0) * n for p, n in chosen), 2) if _priced(packs) else None
    ordered = tuple(sorted(chosen, key=lambda row: -row[0].amount))
    return PackChoice(ordered, float(bought), max(bought - need, 0.0), cost)


def _check(need: float, packs: Sequence[Pack]) -> None:
    if not packs:
        raise CannotPlanError("no packs are on offer")
    if not need >= 0:
        raise OutOfRangeError("need", need, "0 or more")
    if any(not pack.amount > 0 for pack in packs):
        raise OutOfRangeError("pack", min(p.amount for p in packs), "above 0")
    if len({pack.unit for pack in packs}) > 1:
        raise OutOfRangeError("packs", ", ".join(p.unit for p in packs), "in one unit")


def _priced(packs: Sequence[Pack]) -> bool:
    return all(pack.price is not None for pack in packs)


def _whole_numbers(need: float, packs: Sequence[Pack]) -> tuple[int, list[int]]:
    """Return need and sizes as whole numbers; finer where a pack is a few grams of saffron."""
    scale = _MICRO if min(pack.amount for pack in packs) < _SMALL else _MILLI
    return ceil(need * scale - _EXACT), [max(round(p.amount * scale), 1) for p in packs]


def _best_counts(need: float, packs: Sequence[Pack]) -> list[int]:
    """Return how many of each pack; two sizes are counted through, more go to the solver."""
    if len(packs) == 1:
        return [ceil(need / packs[0].amount - _EXACT)]
    wanted, sizes = _whole_numbers(need, packs)
    cents = [round((p.price or 0.0) * _CENTS) for p in packs] if _priced(packs) else None
    first_most = ceil(wanted / sizes[0])
    if len(packs) == 2 and first_most <= _COUNTED_THROUGH:
        return _counted(wanted, sizes, cents, first_most)
    return _solved(wanted, sizes, cents)


def _counted(wanted: int, sizes: list[int], cents: list[int] | None, most: int) -> list[int]:
    """Return the best of every number of the first pack, the second making up the rest."""

    def mix(first: int) -> tuple[int, int]:
        return first, max(ceil((wanted - first * sizes[0]) / sizes[1]), 0)

    def worth(counts: tuple[int, int]) -> tuple[int, int]:
        over = sum(n * size for n, size in zip(counts, sizes, strict=True)) - wanted
        if cents is None:
            return over, sum(counts)
        return sum(n * c for n, c in zip(counts, cents, strict=True)), over

    best = min((mix(first) for first in range(most + 1)), key=worth)
    return list(best)


def _solved(wanted: int, sizes: list[int], cents: list[int] | None) -> list[int]:
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    most = [ceil(wanted / size) for size in sizes]
    counts = [model.new_int_var(0, n, f"n{i}") for i, n in enumerate(most)]
    over = sum(size * count for size, count in zip(sizes, counts, strict=True)) - wanted
    model.add(over >= 0)
    model.add(over < max(sizes))  # else a pack could be left in the shop
    # One objective in two parts: the second can never outweigh one step of the first.
    if cents is None:
        model.minimize(over * (sum(most) + 1) + sum(counts))
    else:
        model.minimize(sum(c * n for c, n in zip(cents, counts, strict=True)) * max(sizes) + over)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    status = solver.solve(model)
    if status != cp_model.OPTIMAL:
        raise CannotPlanError("no mix of packs covers the amount")
    return [solver.value(count) for count in counts]
