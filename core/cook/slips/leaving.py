"""Food on a fire that went out: it goes to another fire that can take it, as soon as one can.

Until then the lid stays shut: a shut pit falls slowly, and half-cooked meat is never parked.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from core.cook.around import PIT_BACK_MIN, around_of, is_down
from core.cook.forecast import cores_of
from core.cook.state import Cook, Phase
from core.cook.subjects import plan_of
from core.errors import OutOfRangeError
from core.facts.slips import LoadMoving
from core.model import FIRES, Station, StepRun

FALLEN_K = 20.0
"""So far below its set point a shut pit without fire stands in the first quarter of an hour; common
practice: 20 to 35 °C."""

CLEAR_MIN = 3.0
"""Between one load off a fire and another onto it; common practice, 1 to 3 min."""

CARRY_MIN = 2.0


def moves_off(cook: Cook, now: datetime) -> tuple[LoadMoving, ...]:
    """Return where the food on fires that are down goes, or stays, and when it is off there."""
    found: list[LoadMoving] = []
    for run in plan_of(cook).runs():
        where = cook.job(run.key).station or run.station or ""
        on = cook.phase(run.key) is Phase.RUNNING and run.on_fire
        if not on or where not in cook.slips.down or run.key in cook.slips.moving:
            continue
        until = cook.slips.down[where].until
        soon = until is not None and until <= now + timedelta(minutes=CARRY_MIN * 4)
        # back before the food could be carried: it stays
        move = None if soon else _move(cook, run, now, {m.station for m in found})
        found.append(move or _stays(cook, run, where, now))
    return tuple(found)


def _stays(cook: Cook, run: StepRun, where: str, now: datetime) -> LoadMoving:
    """Return a load that has nowhere to go: lid shut, until its own fire is back."""
    back = cook.slips.down[where].until or now + timedelta(minutes=PIT_BACK_MIN)
    return LoadMoving(run.key, where, back, _off(cook, run, now, back))


def stays(cook: Cook, move: LoadMoving) -> bool:
    """Say whether a load waits on its own fire and goes nowhere."""
    run = next((r for r in plan_of(cook).runs() if r.key == move.run), None)
    return run is not None and (cook.job(run.key).station or run.station) == move.station


def _move(cook: Cook, run: StepRun, now: datetime, taken: set[str]) -> LoadMoving | None:
    fires = [s for s in _fires(cook, run) if s.id not in taken]
    free = sorted((_free_at(cook, fire, now), fire.id) for fire in fires)
    if not free:
        return None
    at, station = free[0]
    return LoadMoving(run.key, station, at, _off(cook, run, now, at))


def _fires(cook: Cook, run: StepRun) -> list[Station]:
    """Return the fires that may do this step and work."""
    cards = cook.cards
    assert cards is not None
    step = cards.dish(run.dish).steps[run.index]
    fires = cards.kit.matching(step.station or "")
    return [s for s in fires if s.kind in FIRES and s.id not in cook.slips.down]


def _free_at(cook: Cook, fire: Station, now: datetime) -> datetime:
    """Return when a fire has nothing on it any more and can be loaded."""
    on = [
        run.end
        for run in plan_of(cook).runs()
        if (cook.job(run.key).station or run.station) == fire.id
        and cook.phase(run.key) is Phase.RUNNING
    ]
    if not on:
        return now + timedelta(minutes=CARRY_MIN)
    return max(*on, now) + timedelta(minutes=CLEAR_MIN)


def _off(cook: Cook, run: StepRun, now: datetime, at: datetime) -> datetime:
    """Return when the load is off its new fire: the heat model's word, else the minutes lost."""
    seen = _forecast(cook, run, now, at)
    return seen or max(run.end, now) + (at - now)


def _forecast(cook: Cook, run: StepRun, now: datetime, at: datetime) -> datetime | None:
    """Return when the core is there, if the fire is out until the load is on the other one."""
    started, cards = cook.job(run.key).started, cook.cards
    around = around_of(cook, run, now)
    if cards is None or started is None or around is None or run.until_core_c is None:
        return None
    from core.heat.estimate import estimate

    dish = cards.dish(run.dish)
    log = around.pit.log
    if not is_down(log, around.pit.set_c):
        log = (*log, (now, around.pit.set_c - FALLEN_K))
    pit = replace(around.pit, log=log, back_at=at)
    tested = dish.batch.amount if dish.batch.unit in {"pieces", "portions"} else 0.0
    try:
        step, cores = dish.steps[run.index], cores_of(cook, run)
        seen = estimate(step, dish.piece, pit, cores, started, now, None, tested)
    except OutOfRangeError:
        return None
    return seen.pull_at
