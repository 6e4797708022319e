"""Seconds a core must stay at a temperature, from the printed tables.

Between rows the logarithm of the seconds is interpolated, which returns every printed row; one
fitted line is up to 9 % short on meat and 25 % on fat birds. Below the first row nothing counts;
between the last timed row and the one reached at once the last time holds.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from core.safety.degrees import Degrees, Limit
from core.tables import table

_EPS = 1e-9


@dataclass(frozen=True, slots=True)
class HoldTable:
    """Rows of one table: temperatures in °C, and °F where the document prints it, and seconds.

    `steps` charts have nothing between their rows; `aim` is the row to tell a cook.
    """

    temps_c: tuple[float, ...]
    temps_f: tuple[float, ...] | None
    seconds: tuple[float, ...]
    aim: Limit
    steps: bool = False

    def at(self, read: Degrees) -> float | None:
        """Return the seconds wanted at a core temperature; None below the first row.

        Examples
        --------
        >>> hold_table("roasts").at(Degrees(60.0))
        720.0
        """
        in_f = read.fahrenheit and self.temps_f is not None
        grid = self.temps_f if in_f and self.temps_f else self.temps_c
        value = (read.f if in_f else read.c) + _EPS
        if value < grid[0]:
            return None
        at = min(bisect_right(grid, value) - 1, len(grid) - 1)
        if self.steps or at == len(grid) - 1:
            return self.seconds[at]
        return _between(value, grid[at : at + 2], self.seconds[at : at + 2])

    @property
    def floor(self) -> Limit:
        """Return the coldest row: below it nothing counts."""
        return Limit(self.temps_c[0], self.temps_f[0] if self.temps_f else None)


def _between(value: float, grid: Sequence[float], seconds: Sequence[float]) -> float:
    if value - grid[0] < 2 * _EPS or seconds[1] <= 0.0:
        return seconds[0]
    share = (value - grid[0]) / (grid[1] - grid[0])
    return float(seconds[0] * (seconds[1] / seconds[0]) ** share)


@cache
def hold_table(name: str) -> HoldTable:
    """Return 'roasts' (6.5 log of Salmonella in meat), 'a2', 'uk' or 'uk_strict'."""
    cooking = table("food_safety_cooking")
    if name == "roasts":
        rows = table("food_safety_meat")["lethality"]["rows"]
        return HoldTable(
            tuple(float(r["printed_c"]) for r in rows),
            tuple(float(r["temp_f"]) for r in rows),
            tuple(float(r["log_6_5_s"]) for r in rows),
            aim=Limit(62.8, 145),
        )
    if name == "a2":
        part = cooking["a2"]
        return HoldTable(
            tuple(float(r["temp_c"]) for r in part["rows"]),
            tuple(float(r["temp_f"]) for r in part["rows"]),
            tuple(float(r["seconds"]) for r in part["rows"]),
            aim=Limit(float(part["aim_c"]), float(part["aim_f"])),
            steps=True,
        )
    part = cooking["uk_equivalents" if name == "uk" else "uk_equivalents_e_coli"]
    return HoldTable(
        tuple(float(r["temp_c"]) for r in part["rows"]),
        None,
        tuple(float(r["seconds"]) for r in part["rows"]),
        aim=Limit(70.0),
    )


_AT_ONCE_F = 165.0
_BELOW_10_S = 10.0


def _printed(seconds: float, temp_f: float) -> float:
    """Return a cell: 'below 10 s' counts as 10 s until 165 °F, which is at once everywhere."""
    return _BELOW_10_S if seconds <= 0.0 and temp_f < _AT_ONCE_F else seconds


@cache
def poultry_table(species: str | None, fat_pct: float | None) -> HoldTable | None:
    """Return seconds for 7 log of Salmonella in chicken or turkey by fat.

    Parameters
    ----------
    species
        chicken, turkey, or None: unknown, the longer of both. Other birds have no table: None.
    fat_pct
        Percent; None: the longest of all levels up to 12 %. Between levels the fatter counts, and
        where the print dips with fat the larger; above 12 % there is no table.

    References
    ----------
    USDA FSIS, Time-Temperature Tables for Cooking Ready-To-Eat Poultry Products, Attachment 2.

    Examples
    --------
    >>> from core.safety.degrees import of_f
    >>> poultry_table("chicken", 12).at(of_f(150)) / 60
    4.2
    """
    printed = table("food_safety_poultry")["poultry"]
    if species not in {None, "chicken", "turkey"} or (fat_pct is not None and fat_pct > 12):
        return None
    rows = [
        row["seconds"]
        for each in (("chicken", "turkey") if species is None else (species,))
        for row in printed[each]
        if fat_pct is None or row["fat_pct"] <= max(1, math.ceil(fat_pct))
    ]
    temps_f = tuple(float(f) for f in printed["temps_f"])
    longest = tuple(
        _printed(float(max(column)), f)
        for column, f in zip(zip(*rows, strict=True), temps_f, strict=True)
    )
    return HoldTable(
        tuple(round((f - 32) / 1.8, 1) for f in temps_f),  # printed to 0.1 °C
        temps_f,
        longest,
        aim=Limit(73.9, 165),
    )
