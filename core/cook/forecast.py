"""A thermometer outranks the timer: a reading gives a load a new end, the next look with it.

The heat model is loaded when the first reading comes; a load the model cannot speak of keeps
the times of its tested batch.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from core.cook.around import PIT_BACK_MIN, PIT_OFF_K, around_of, fire_log, is_down, pit_log
from core.cook.decision import Dated
from core.cook.names import thing_of
from core.cook.safety.probes import is_doubtful
from core.cook.state import Cook, Phase
from core.errors import OutOfRangeError
from core.facts import EndExpected
from core.model import (
    FIRES,
    Clock,
    Dish,
    Label,
    Line,
    Number,
    Place,
    Qty,
    Reading,
    StepRun,
    Value,
    say,
)

if TYPE_CHECKING:
    from core.heat.estimate import Forecast

__all__ = [
    "PIT_OFF_K",
    "Outlook",
    "after_core",
    "after_pit",
    "cores_of",
    "forecast_of",
    "is_fire",
    "origin_line",
    "pit_log",
]

SAID_MIN = 1.0  # a shift below this is not worth a word


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a reading makes of one load: facts, the words, the numbers; `odd` if it cannot be."""

    facts: tuple[Dated, ...] = ()
    lines: tuple[Line, ...] = ()
    numbers: tuple[Number, ...] = ()
    odd: bool = False


def after_core(cook: Cook, run: StepRun, now: datetime) -> Outlook | None:
    """Return the outlook of a load that was just probed; None where the model cannot speak."""
    seen = forecast_of(cook, run, now)
    if seen is None:
        return None
    first = _refused_now(cook, run, seen) or seen.note
    lines = [line for line in (first, _look(seen), _pull(seen)) if line is not None]
    if seen.doubt == "odd reading":
        return Outlook((), tuple(lines), _numbers(seen), odd=True)  # the last good estimate stands
    return Outlook(_expected(run, seen, now), tuple(lines), _numbers(seen))


def _refused_now(cook: Cook, run: StepRun, seen: Forecast) -> Line | None:
    """Return why the reading just given could not be used; older ones were answered then."""
    cores = cores_of(cook, run)
    newest = Qty(cores[-1].value, "°C") if cores else None
    return next((line for line in seen.refused if line.fields.get("value") == newest), None)


def after_pit(cook: Cook, station: str, now: datetime) -> Outlook:
    """Return what a fire's reading does to every load on it: minutes gained or lost, each."""
    whole = Outlook()
    for run in cook.plan.runs() if cook.plan else ():
        where = cook.job(run.key).station or run.station
        if where != station or cook.phase(run.key) is not Phase.RUNNING:
            continue
        seen = forecast_of(cook, run, now)
        if seen is None or seen.pull_at is None:
            continue
        shift = (seen.pull_at - run.end).total_seconds() / 60
        facts, lines = whole.facts + _expected(run, seen, now), whole.lines
        if abs(shift) >= SAID_MIN:
            lines += (_shifted(cook, run, seen.pull_at, shift, now),)
        whole = Outlook(facts, lines[:3], whole.numbers)
    return whole


def _shifted(cook: Cook, run: StepRun, off: datetime, shift_min: float, now: datetime) -> Line:
    fields: dict[str, Value] = {
        "thing": thing_of(run, cook.cards),
        "shift": Qty(abs(round(shift_min)), "min", 0),
        "clock": Clock(off),
    }
    if is_down(fire_log(cook, run), run.temp_c):
        fields["back"] = Clock(now + timedelta(minutes=PIT_BACK_MIN))
        if shift_min > 0:
            return say("{thing} {shift} later, {clock}, if the fire is back by {back}.", **fields)
        return say("{thing} {shift} sooner, {clock}, if the fire is back by {back}.", **fields)
    if shift_min > 0:
        return say("{thing} {shift} later: off about {clock}.", **fields)
    return say("{thing} {shift} sooner: off about {clock}.", **fields)


def forecast_of(cook: Cook, run: StepRun, now: datetime) -> Forecast | None:
    """Return the heat model's forecast of a running load, None without thickness or target."""
    started = cook.job(run.key).started
    if cook.cards is None or started is None or run.until_core_c is None or not run.on_fire:
        return None
    around = around_of(cook, run, now)
    if around is None:
        return None
    from core.heat.estimate import estimate

    dish = cook.cards.dish(run.dish)
    step = dish.steps[run.index]
    heat = cook.house.heat(around.fire, run.dish, step.id)
    cores = cores_of(cook, run)
    try:
        return estimate(
            step, dish.piece, around.pit, cores, started, now, None, _tested(dish), heat
        )
    except OutOfRangeError:
        return None


def cores_of(cook: Cook, run: StepRun) -> tuple[Reading, ...]:
    """Return what was read of a run's core, without thermometers that failed or are doubted."""
    mine = [r for r in cook.readings if r.about == run.key and r.place is Place.CORE]
    return tuple(r for r in mine if not is_doubtful(cook, r))


def _tested(dish: Dish) -> float:
    return dish.batch.amount if dish.batch.unit in {"pieces", "portions"} else 0.0


def _expected(run: StepRun, seen: Forecast, now: datetime) -> tuple[Dated, ...]:
    if seen.pull_at is None:
        return ()
    return (Dated(now, EndExpected(run.key, seen.pull_at, seen.check_at, seen.expect_c)),)


def _look(seen: Forecast) -> Line | None:
    if seen.check_at is None or seen.expect_c is None:
        return say("Can't be forecast yet. Read again in {gap}.", gap=Qty(20, "min", 0))
    return say(
        "Check at {clock}, expect {core}.",
        clock=Clock(seen.check_at),
        core=Qty(round(seen.expect_c), "°C", 0),
    )


def _pull(seen: Forecast) -> Line | None:
    if seen.pull_low is None:
        return None
    target = Qty(seen.target_c, "°C")
    rise = Qty(round(seen.carry_over_k), "°C", 0)
    if seen.pull_high is None:
        return say("Pull at {core}, not before {low}; it may take much longer.", core=target,
                   low=Clock(seen.pull_low))  # fmt: skip
    return say(
        "Pull at {core}, {low} to {high}; it rises about {rise} more at rest ({source}).",
        core=target,
        low=Clock(seen.pull_low),
        high=Clock(seen.pull_high),
        rise=rise,
        source=origin_line(seen),
    )


def origin_line(seen: Forecast) -> Line:
    """Return what a forecast rests on, as said: 'house, 3 cooks', 'tested 4', 'rule of thumb'."""
    source = seen.source
    if source.id == "house":
        cooks = source.title.removeprefix("house, ").split(" ", 1)[0]
        return say("house, {n}", n=Qty(float(cooks), "cooks", 0))
    if source.id == "card":
        tested = source.title.removeprefix("house, tested").strip()
        return say("tested {n}", n=Label(tested)) if tested else say("the card's test")
    return say("rule of thumb")


def _numbers(seen: Forecast) -> tuple[Number, ...]:
    found = []
    if seen.check_at is not None:
        found.append(Number("check_at", seen.check_at.isoformat(), "time"))
    if seen.expect_c is not None:
        found.append(
            Number("expect", round(seen.expect_c, 1), "°C", seen.expect_low_c, seen.expect_high_c)
        )
    if seen.pull_at is not None:
        found.append(Number("pull_at", seen.pull_at.isoformat(), "time"))
    return tuple(found)


def is_fire(cook: Cook, station_id: str) -> bool:
    """Say whether a reading about this station is of a fire."""
    station = cook.cards.station(station_id) if cook.cards else None
    return station is not None and station.kind in FIRES
