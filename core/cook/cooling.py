"""Hot food cooling: questions at the right moments, a verdict from the readings, no silent end.

A pot is tracked from its first reading; a chill step that follows a fire is tracked from its
start. Silence never closes it: a limit nobody read at rings until somebody answers.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from core.cook.safety.probes import FOOD, trusted
from core.cook.state import Cook, Phase
from core.cook.subjects import Item, in_order, key_of
from core.model import Finding, StationKind, StepRun
from core.safety.cooling import AskMoment, Cooling, ask_moments, cooling_verdict
from core.safety.degrees import Degrees

CHILLS = frozenset({"chill", "cool"})
HEATS = frozenset({"boil", "reduce", "smoke", "char", "sear", "grill", "toast", "cook", "finish"})
HOT_C = 40.0  # a first reading above this is of hot food
NEAR = timedelta(hours=8)
GN_CM2 = 53.0 * 32.5  # EN 631-1


def cooling_items(cook: Cook) -> Iterator[Item]:
    """Yield the first lot of each chill step that is being tracked."""
    seen: set[tuple[str | None, str | None]] = set()
    for item in in_order(cook.plan) if cook.plan else ():
        step = (item.dish, item.step)
        if item.do not in CHILLS or step in seen:
            continue
        if _tracked(cook, item):
            seen.add(step)
            yield item


def _tracked(cook: Cook, item: Item) -> bool:
    if any(value >= HOT_C for _, value in _readings(cook, item)):
        return True
    return cook.phase(key_of(item)) is Phase.RUNNING and _follows_heat(cook, item)


def _follows_heat(cook: Cook, item: Item) -> bool:
    dish = cook.cards.dish(item.dish) if cook.cards and item.dish else None
    steps = dish.steps if dish else ()
    index = next((n for n, s in enumerate(steps) if s.id == item.step), 0)
    before = steps[index - 1] if index else None
    return before is not None and (before.do in HEATS or before.station == StationKind.RING)


def _readings(cook: Cook, item: Item) -> list[tuple[datetime, float]]:
    """Return the readings of any lot of this step."""
    prefix = _step_prefix(item)
    return [
        (r.at, r.value)
        for r in trusted(cook)
        if r.place in FOOD and (r.about == prefix or r.about.startswith(prefix + "/"))
    ]


def _step_prefix(item: Item) -> str:
    if isinstance(item, StepRun):
        return item.key
    return f"{item.dish}/{item.step}"


def cooling_of(cook: Cook, item: Item) -> Cooling:
    """Return what is known of one pot's cooling."""
    reads = tuple((at, Degrees(value)) for at, value in _readings(cook, item))
    hot = any(read.c >= HOT_C for _, read in reads)
    started = None if hot else cook.job(key_of(item)).started
    return Cooling(reads, started, about=_step_prefix(item), depth_cm=_depth_cm(cook, item))


def _depth_cm(cook: Cook, item: Item) -> float | None:
    """Return how deep one lot lies in a GN 1/1 pan, cm: no usual container is as shallow."""
    dish = cook.cards.dish(item.dish) if cook.cards and item.dish else None
    step = dish.step(item.step) if dish and item.step else None
    if step is None or step.lot is None or step.lot_unit not in {"kg", "L"}:
        return None
    return step.lot * 1000 / GN_CM2


def cooling_finding(cook: Cook, item: Item, now: datetime) -> Finding | None:
    """Return the verdict on a pot after a reading; None where nothing hot is being cooled."""
    if cook.cards is None or item.do not in CHILLS or not _tracked(cook, item):
        return None
    return cooling_verdict(cooling_of(cook, item), cook.cards.event.profile, now)


def moments(cook: Cook) -> Iterator[tuple[Item, AskMoment]]:
    """Yield the questions still owed of every pot that is cooling."""
    if cook.cards is None or not cook.entries:
        return
    now = cook.entries[-1].heard
    for item in cooling_items(cook):
        phase = cook.phase(key_of(item))
        if phase is Phase.GONE or (phase is Phase.OVER and not _readings(cook, item)):
            continue  # a tick closes nothing that was read hot: only a reading does
        for moment in ask_moments(cooling_of(cook, item), cook.cards.event.profile, now):
            yield item, moment


def keyed_moments(cook: Cook) -> Iterator[tuple[str, Item, AskMoment]]:
    """Yield the same with the key of each question's call."""
    for item, moment in moments(cook):
        yield f"{key_of(item)}/cool/{moment.at:%dT%H%M}", item, moment
