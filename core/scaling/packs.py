"""Whole packs: the cheapest mix that covers the need, by a small integer programme.

The solver is OR-Tools CP-SAT and is imported only when there is a choice to make. Sizes go in as
whole thousandths, prices as whole hundredths, so the answer is exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from core.errors import CannotPlanError, OutOfRangeError
from core.model import Pack

_EXACT = 1e-9
_MILLI = 1000
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
    counts = [ceil(need / packs[0].amount - _EXACT)] if len(packs) == 1 else _solved(need, packs)
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


def _solved(need: float, packs: Sequence[Pack]) -> list[int]:
    from ortools.sat.python import cp_model

    sizes = [max(round(pack.amount * _MILLI), 1) for pack in packs]
    wanted = ceil(need * _MILLI - _EXACT)
    model = cp_model.CpModel()
    most = [ceil(wanted / size) for size in sizes]
    counts = [model.new_int_var(0, n, f"n{i}") for i, n in enumerate(most)]
    bought = sum(size * count for size, count in zip(sizes, counts, strict=True))
    model.add(bought >= wanted)
    # One objective in two parts: the second can never outweigh one step of the first.
    over = bought - wanted
    model.add(over < max(sizes))  # else a pack could be left in the shop
    if _priced(packs):
        cents = [round((pack.price or 0.0) * _CENTS) for pack in packs]
        model.minimize(sum(c * n for c, n in zip(cents, counts, strict=True)) * max(sizes) + over)
    else:
        model.minimize(over * (sum(most) + 1) + sum(counts))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    status = solver.solve(model)
    if status != cp_model.OPTIMAL:
        raise CannotPlanError("no mix of packs covers the amount")
    return [solver.value(count) for count in counts]
