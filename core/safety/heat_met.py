"""Whether a core was hot enough for long enough for one row: from one reading, or from a log."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from core.safety.degrees import Degrees, Limit, limit_in
from core.safety.food import Exact, Food, Kind
from core.safety.hold import HoldTable, hold_table, poultry_table
from core.safety.rules import Rule

CLIMB_C_PER_S = 1.0
"""No core over a fire climbs faster (own bound; the published lethality curve climbs 0.28 °C/s), so
a core 6 °C past a row has been above it for 6 s at least."""

MAX_GAP_S = 900.0
"""Between readings further apart than this nothing is credited (common practice: 15 min rounds)."""


@dataclass(frozen=True, slots=True)
class Heat:
    """One core reading, and for how many seconds it was at least that. Surface where it was read.

    `seared` is True when every outside surface has its cooked colour, both faces included; None is
    not known.
    """

    core: Degrees
    hold_s: float = 0.0
    surface: Degrees | None = None
    seared: bool | None = None

    def held(self, limit: Limit) -> float:
        """Return for how many seconds the core was at least `limit`; 0 if it is below."""
        if not limit.reached(self.core):
            return 0.0
        return self.hold_s + max(0.0, (self.core.c - limit.c) / CLIMB_C_PER_S)

    def share(self, table: HoldTable) -> float:
        """Return which share of a table's time was reached; 1 is enough."""
        wanted = table.at(self.core)
        if wanted is None:
            return 0.0
        climbed = max(
            (
                (self.hold_s + (self.core.c - row_c) / CLIMB_C_PER_S) / seconds
                for row_c, seconds in zip(table.temps_c, table.seconds, strict=True)
                if row_c <= self.core.c and seconds > 0
            ),
            default=0.0,
        )
        return 1.0 if wanted == 0.0 else max(self.hold_s / wanted, climbed)


@dataclass(frozen=True, slots=True)
class CoreLog:
    """Core readings in order of time. An interval counts at the lower of its two readings."""

    points: tuple[tuple[datetime, Degrees], ...]
    surface: Degrees | None = None
    seared: bool | None = None

    @property
    def core(self) -> Degrees:
        """Return the hottest reading."""
        return max((read for _, read in self.points), key=lambda read: read.c)

    @property
    def hold_s(self) -> float:
        """Return how long the core stayed within half a degree of its hottest."""
        peak = self.core.c
        return self.held(Limit(peak - 0.5))

    def _steps(self) -> Sequence[tuple[Degrees, float]]:
        return [
            (min(one, two, key=lambda read: read.c), (later - at).total_seconds())
            for (at, one), (later, two) in zip(self.points, self.points[1:], strict=False)
        ]

    def held(self, limit: Limit) -> float:
        """Return the longest unbroken time at or above a limit, s."""
        best = run = 0.0
        for low, seconds in self._steps():
            run = run + seconds if limit.reached(low) and seconds <= MAX_GAP_S else 0.0
            best = max(best, run)
        peak = self.core
        climbed = max(0.0, (peak.c - limit.c) / CLIMB_C_PER_S) if limit.reached(peak) else 0.0
        return max(best, climbed)

    def share(self, table: HoldTable) -> float:
        """Return the sum over the log of time over time wanted; 1 is enough."""
        if table.at(self.core) == 0.0:
            return 1.0
        total = 0.0
        for low, seconds in self._steps():
            wanted = table.at(low)
            if wanted is not None and seconds <= MAX_GAP_S:
                total += 1.0 if wanted == 0.0 else seconds / wanted
        return max(total, Heat(self.core).share(table))


Cooked = Heat | CoreLog


def rule_table(rule: Rule, exact: Exact, food: Food) -> HoldTable | None:
    """Return the table a rule points to; None for a single row, or where there is no table."""
    name = rule.row.get("hold")
    if name == "poultry":
        species = food.species if exact.kind is Kind.POULTRY else None
        return poultry_table(species, food.fat_pct)
    return hold_table(name) if name else None


def met(rule: Rule, exact: Exact, food: Food, heat: Cooked) -> bool:
    """Say whether a row was met."""
    if "hold" in rule.row:
        table = rule_table(rule, exact, food)
        return table is not None and heat.share(table) >= 1.0 - 1e-9
    limit = limit_in(rule.row, "temp")
    wanted = float(rule.row["seconds"])
    return limit.reached(heat.core) and heat.held(limit) >= wanted - 1e-9


def wanted_at(rule: Rule, exact: Exact, food: Food, core: Degrees) -> float | None:
    """Return the seconds a row wants at this core; None where it is below the row."""
    if "hold" in rule.row:
        table = rule_table(rule, exact, food)
        return table.at(core) if table else None
    return float(rule.row["seconds"]) if limit_in(rule.row, "temp").reached(core) else None


def aim_of(rule: Rule, exact: Exact, food: Food) -> tuple[Limit, float]:
    """Return what to tell the cook: a temperature and the seconds there."""
    table = rule_table(rule, exact, food)
    if table is None:
        return limit_in(rule.row, "temp"), float(rule.row.get("seconds", 0))
    seconds = table.at(Degrees(table.aim.c)) or 0.0
    return table.aim, seconds
