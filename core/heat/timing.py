"""Steps that end at a temperature, timed: by the house's cooks, the card's test, or the model.

A card's own minutes stand, as its test calibrates the model. Where the house has logged enough
cooks their minutes stand in place; where a card has none, thickness, start and fire give them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from core.errors import CannotPlanError
from core.facts import HeatKnown, Known, Measure
from core.heat.card import core_after, house, time_to_core
from core.heat.learn import taught
from core.heat.prior import kind_of
from core.model import Cards, Check, Dish, Kit, Station, Step

ENOUGH_COOKS = 3
"""From so many logged cooks on their minutes stand in place of the card's."""

_GRID_MIN = 0.5  # the plan counts in half minutes
_MID = 0.5  # where a step without planned looks gets one


@dataclass(frozen=True, slots=True)
class Retimed:
    """A step whose minutes are not the card's: what they are, were, and on how many cooks.

    `cooks` 0 means the model's, from thickness, start and fire.
    """

    dish: str
    step: str
    minutes: float
    was_min: float | None
    cooks: int = 0
    day: date | None = None


def timed(
    cards: Cards, heat: Sequence[HeatKnown] = (), measured: Sequence[Known] = ()
) -> tuple[Cards, tuple[Retimed, ...]]:
    """Return the cards with every step timed that ends at a core, and what was changed.

    Parameters
    ----------
    cards
        As typed.
    heat, measured
        What the house has learned and measured of them.

    Returns
    -------
    tuple
        The cards as the plan uses them, and one entry for each step that is not the card's own.
    """
    dishes, changed = [], []
    for dish in cards.dishes:
        steps = []
        for step in dish.steps:
            new, what = _step(dish, step, cards.kit, heat, measured)
            steps.append(new)
            changed += [what] if what else []
        dishes.append(replace(dish, steps=tuple(steps)))
    if not changed:
        return cards, ()
    return replace(cards, dishes=tuple(dishes)), tuple(changed)


def _step(
    dish: Dish, step: Step, kit: Kit, heat: Sequence[HeatKnown], measured: Sequence[Known]
) -> tuple[Step, Retimed | None]:
    """Return a step with its minutes, and what they rest on where it is not the card."""
    if step.until_core_c is None:
        return step, None
    untimed = not (step.ideal_min or step.min_min or step.max_min or step.never_over_min)
    said = next((k for k in measured if _is_of(k, dish, step)), None)
    if said is not None and step.ideal_min:
        made = _stretched(step, _gridded(said.value))
        return made, Retimed(dish.id, step.id, made.ideal_min or 0.0, step.ideal_min, said.cooks,
                             said.day)  # fmt: skip
    if step.temp_c is None or dish.piece.thickness_cm is None:
        return _as_it_is(dish, step, untimed)
    stations = kit.matching(step.station or "")
    known = _learned(heat, dish, step, stations)
    if not untimed and known is None:
        return step, None
    made, what = _by_model(dish, step, stations, known if not untimed else None)
    return (made, what) if what is not None else _as_it_is(dish, step, untimed)


def _as_it_is(dish: Dish, step: Step, untimed: bool) -> tuple[Step, None]:
    """Return a step the model cannot time; one that nobody has timed is no plan.

    Raises
    ------
    CannotPlanError
        Naming the step, and what its card lacks.
    """
    if untimed and step.temp_c is not None and dish.piece.thickness_cm is not None:
        raise CannotPlanError(
            "'{step}' of {dish} has no minutes and {fire} does not bring it to {core}",
            step=step.id,
            dish=dish.name,
            fire=f"{step.temp_c:g} °C",
            core=f"{step.until_core_c:g} °C",
        )
    if untimed:
        raise CannotPlanError(
            "'{step}' of {dish} has no minutes: give them, or its temperature and the thickness",
            step=step.id,
            dish=dish.name,
        )
    return step, None


def _is_of(known: Known, dish: Dish, step: Step) -> bool:
    named = known.subject.casefold() in {
        f"{dish.id}/{step.id}",
        f"{dish.name}/{step.id}".casefold(),
    }
    return known.kind is Measure.MINUTES and named and known.cooks >= ENOUGH_COOKS


def _learned(
    heat: Sequence[HeatKnown], dish: Dish, step: Step, stations: Sequence[Station]
) -> HeatKnown | None:
    """Return what enough cooks taught on one of a step's fires; that of most cooks."""
    fires = {s.family or s.id for s in stations}
    found = [
        h
        for h in heat
        if (h.cut, h.step) == (dish.id, step.id) and h.fire in fires and h.cooks >= ENOUGH_COOKS
    ]
    return max(found, key=lambda h: h.cooks, default=None)


def _by_model(
    dish: Dish, step: Step, stations: Sequence[Station], known: HeatKnown | None
) -> tuple[Step, Retimed | None]:
    """Return a step timed by the model, as the house's cooks have taught it."""
    kind = kind_of(stations[0].kind if stations else None, step.temp_c, len(step.turns_min))
    tested = dish.batch.amount if dish.batch.unit in {"pieces", "portions"} else 0.0
    body = taught(house(dish.piece, step, kind, tested), known)
    takes = time_to_core(body, step)
    if takes is None:
        return step, None
    minutes = _gridded(takes.minutes)
    if known is not None and minutes == step.ideal_min:
        return step, None
    whole = _stretched(step, minutes) if step.ideal_min else replace(step, ideal_min=minutes)
    looks = [c.after_min for c in whole.checks if c.after_min < minutes] or [
        _gridded(_MID * minutes)
    ]
    checks = (
        *(Check(at, round(core_after(body, step, at), 1)) for at in looks),
        Check(minutes, step.until_core_c or 0.0),
    )
    what = Retimed(dish.id, step.id, minutes, step.ideal_min, known.cooks if known else 0,
                   known.day if known else None)  # fmt: skip
    return replace(whole, checks=checks), what


def _stretched(step: Step, minutes: float) -> Step:
    """Return a step that takes so long, its bounds, looks and flips along with it."""
    ratio = minutes / (step.ideal_min or minutes)

    def of(value: float | None) -> float | None:
        return None if value is None else _gridded(value * ratio)

    return replace(
        step,
        ideal_min=minutes,
        min_min=of(step.min_min),
        max_min=of(step.max_min),
        in_wind_min=of(step.in_wind_min),
        checks=tuple(replace(c, after_min=_gridded(c.after_min * ratio)) for c in step.checks),
        turns_min=tuple(_gridded(t * ratio) for t in step.turns_min),
    )


def _gridded(minutes: float) -> float:
    return max(round(minutes / _GRID_MIN) * _GRID_MIN, _GRID_MIN)
