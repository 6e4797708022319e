"""The first stage sized to the second: no load bigger than the next fire takes within the gap.

Half-cooked meat is never parked. Where the card bounds the gap between two fires, the last batch
of a load has to be on the second one before it is over, so what the second cannot take in that
time must not go on the first together.
"""

from __future__ import annotations

from math import floor

from core.model import Dish, Station, Step
from core.planner.durations import step_length, weather_counts
from core.planner.kitchen import Kitchen
from core.scaling.packing import pieces_per_load

_EPS = 1e-6


def most_in_gap(kitchen: Kitchen, dish: Dish, index: int) -> int | None:
    """Return the pieces of one load that the next fire can take before any waits too long.

    Parameters
    ----------
    kitchen
        The cards, and the fires that are out.
    dish, index
        The dish and its step on the first fire.

    Returns
    -------
    int or None
        None where nothing bounds it: no second fire, no longest gap, or no fire left to say it by.

    Notes
    -----
    Batches go on a fire one after the other, so in a gap of 2 to 10 min a fire starts
    1 + floor(8 / length of a batch) of them. Arithmetic.
    """
    first = dish.steps[index]
    after = [n for n in range(index + 1, len(dish.steps)) if dish.steps[n].instead_of is None]
    if first.gap_max_min is None or not after or not kitchen.is_fire(dish.steps[after[0]]):
        return None
    step = dish.steps[after[0]]
    fires = [s for s in kitchen.stations(step) if s.id not in kitchen.out]
    batch = max((batch_on(dish, s) for s in fires), default=0)
    if not batch:
        return None
    there = [p for p in kitchen.able(dish, after[0], raw=False) if _comes(kitchen, p)]
    hands = len(there) // step.hands if step.hands else len(fires)
    room = first.gap_max_min - first.gap_min
    turns = floor(room / _turn_min(kitchen, step, batch, fires[0]) + _EPS) + 1
    return batch * turns * max(min(len(fires), hands), 1)


def batch_on(dish: Dish, station: Station) -> int:
    """Return the pieces that go on a fire together; 0 where nobody knows."""
    held = pieces_per_load(dish, station) or 0
    return held * (max(station.racks, 1) if station.load_by == "rack" else 1)


def _turn_min(kitchen: Kitchen, step: Step, batch: int, fire: Station) -> float:
    """Return the minutes from one batch on a fire to the next, in the weather before plates."""
    counts = weather_counts(kitchen.stations(step), step)
    weather = kitchen.clock.weather(kitchen.plates) if counts else None
    long = step_length(step, batch, max(step.hands, 1), weather, fire=True)
    return max(long.ideal + fire.swap_min, _EPS)


def _comes(kitchen: Kitchen, person: str) -> bool:
    """Return whether somebody is there at all; a shift of no length is nobody's."""
    return any(begins < ends for begins, ends in kitchen.hands[person].shifts)
