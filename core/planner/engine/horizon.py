"""From when to when a model looks, and in which ticks."""

from __future__ import annotations

from dataclasses import dataclass

from core.planner.engine.solver import Model, Stay


@dataclass(frozen=True, slots=True)
class Horizon:
    """From when to when the model looks, in minutes, and how many ticks a minute has."""

    begins: float
    ends: float
    ticks: int

    def tick(self, minute: float) -> int:
        """Return a minute as ticks after the beginning, within it."""
        inside = min(max(minute, self.begins), self.ends)
        return round((inside - self.begins) * self.ticks)

    def long(self, minutes: float) -> int:
        """Return a length in ticks."""
        return round(min(minutes, self.ends - self.begins) * self.ticks)

    def minute(self, tick: int) -> float:
        """Return ticks as a minute."""
        return self.begins + tick / self.ticks

    def stay(self, model: Model, begins: float, ends: float, name: str) -> Stay:
        """Return a stay from one minute to another, as far as it is within the horizon."""
        start, end = self.tick(begins), self.tick(min(ends, self.ends))
        return model.new_fixed_size_interval_var(start, max(end - start, 0), name)
