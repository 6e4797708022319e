"""Questions about what is on the fire now: how long it has left, is the fire back, is it stuck.

They need a cook under way. The heat model answers, from the load's own card, fire and readings;
where it cannot speak the plan's times are told, and said to be. A core that is only mentioned in
a question is used for its answer and not booked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from core.ask.asked_look import answer_mention, read_mention
from core.ask.names import matching
from core.ask.on_fire import by_unit, measured_runs
from core.ask.said import Said, said
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Clock, Label, Line, Number, Place, Qty, StepRun, say
from core.words import Token

if TYPE_CHECKING:
    from core.cook import Cook
    from core.heat.estimate import Forecast

_LEFT = ("left", "to go", "ready", "done", "finished", "come off", "come out", "falta",
         "faltan", "queda", "quedan", "lista", "listo", "listas", "sale", "sacamos", "saco",
         "sacar")  # fmt: skip
_MOST = 3


@dataclass(frozen=True, slots=True)
class LeftQuestion:
    """How long the loads of a dish, or one load, have left."""

    cook: Cook
    runs: tuple[StepRun, ...]
    now: datetime


def read_left(tokens: Sequence[Token], text: str, context: AskContext) -> LeftQuestion | None:
    """Read 'cuanto le falta al cordero', 'how long has A got left', 'when is the lamb done'."""
    cook, now = context.cook, context.now
    line = said(tokens, text)
    asks = line.has("how_long", "when", "how_much") or line.says("cuanto", "cuando")
    if cook is None or now is None or not asks or not (line.says(*_LEFT) or line.has("pull")):
        return None
    if any(line.amounts(kind) for kind in ("mass", "volume", "time")) or line.people() is not None:
        return None
    runs = _named_runs(line, cook)
    return LeftQuestion(cook, runs, now) if runs else None


def _named_runs(line: Said, cook: Cook) -> tuple[StepRun, ...]:
    """Return the measured loads that are on and meant: one by name, a dish's, or all there are."""
    on = measured_runs(cook)
    by_name = by_unit(line, on)
    if by_name:
        return by_name
    dishes = {d.name: d.id for d in cook.cards.dishes} if cook.cards else {}
    named = {dishes[name] for name in matching(line, dishes)}
    if named:
        return tuple(r for r in on if r.dish in named)
    return on if len({r.dish for r in on}) == 1 else ()


def answer_left(question: LeftQuestion, _: AskContext) -> Answer:
    """Answer with when to look at the first, what to expect there, and who is behind it."""
    from core.cook.forecast import forecast_of
    from core.cook.left import left_line
    from core.cook.names import thing_of

    cook, now = question.cook, question.now
    lines: list[Line] = []
    numbers: list[Number] = []
    sources = []
    for n, run in enumerate(question.runs[:_MOST]):
        thing = thing_of(run, cook.cards)
        line, seen = left_line(cook, run, now, behind=n > 0), forecast_of(cook, run, now)
        if line is None or seen is None:
            lines.append(say("{thing}: off about {clock} by the plan.", thing=thing,
                             clock=Clock(run.end)))  # fmt: skip
            numbers.append(Number("off", run.end.isoformat(), "time"))
            continue
        sources.append(seen.source)
        lines.append(line)
        numbers += _numbers(seen, first=n == 0)
    if cook.plates_at is not None:
        lines.append(say("Plates {clock}.", clock=Clock(cook.plates_at)))
    reading = say("how long {thing} has left", thing=thing_of(question.runs[0], cook.cards))
    return Answer(tuple(lines), None, tuple(numbers), reading, sources=tuple(sources[:1]))


def _numbers(seen: Forecast, *, first: bool) -> list[Number]:
    found = []
    if seen.pull_at is not None:
        found.append(Number("pull_at", seen.pull_at.isoformat(), "time"))
    if first and seen.check_at is not None and seen.expect_c is not None:
        found.append(Number("check_at", seen.check_at.isoformat(), "time"))
        found.append(Number("expect", round(seen.expect_c, 1), "°C", seen.expect_low_c,
                            seen.expect_high_c))  # fmt: skip
    return found


# ------------------------------------------------------------------ is the fire back


@dataclass(frozen=True, slots=True)
class BackQuestion:
    """Whether a fire is back at its temperature: the cook, the fire's log and its loads."""

    cook: Cook
    station: str
    log: tuple[tuple[datetime, float], ...]
    runs: tuple[StepRun, ...]
    now: datetime


_BACK = ("back up", "back yet", "up yet", "recovered", "recovering", "ya esta", "recuperado",
         "se recupera", "ya llego", "ya ha subido", "back")  # fmt: skip


def read_back(tokens: Sequence[Token], text: str, context: AskContext) -> BackQuestion | None:
    """Read 'pit back up yet', 'ya esta el ahumador', with a cook under way."""
    cook, now = context.cook, context.now
    line = said(tokens, text)
    if cook is None or now is None or cook.cards is None:
        return None
    if not line.has("pit", "oven", "grill") or not line.says(*_BACK) or line.bare():
        return None
    fires = {s.id.casefold(): s.id for s in cook.cards.kit.stations}
    named = next((fires[w] for w in line.plain.split() if w in fires), None)
    read = [r for r in cook.readings if r.place is Place.PIT]
    station = named or (max(read, key=lambda r: r.at).about if read else None)
    if station is None:
        return None
    log = tuple(sorted((r.at, r.value) for r in read if r.about == station))
    on = tuple(r for r in measured_runs(cook) if (cook.job(r.key).station or r.station) == station)
    return BackQuestion(cook, station, log, on, now)


def answer_back(question: BackQuestion, _: AskContext) -> Answer:
    """Answer with the rate, when it is there, and what that does to the loads in it."""
    from core.heat.pit import back_up

    cook = question.cook
    target = next((r.temp_c for r in question.runs if r.temp_c is not None), None)
    back = back_up(question.log, target if target is not None else 1e6)
    reading = say("{fire} coming back", fire=Label(question.station))
    if back is None:
        one = question.log[-1][1] if question.log else None
        if one is not None and target is not None and one >= target - 3:
            return Answer((say("{now}: it is back.", now=Qty(round(one), "°C")),), read_as=reading)
        text = say("I can't tell: give me the pit now, and again in 5 min.")
        return Answer((text,), read_as=reading)
    now = Qty(round(back.now_c), "°C")
    rate = Qty(round(back.per_min_k, 1), "°C")
    numbers = [
        Number("pit", round(back.now_c), "°C"),
        Number("rate", round(back.per_min_k, 1), "°C"),
    ]
    if target is not None and back.now_c >= target - 3:
        first = say("{now}: it is back.", now=now)
    elif target is None:
        first = say("{now}, {rate} a minute.", now=now, rate=rate)
    elif back.at is None:
        first = say("{now} and not rising. Vents, fuel, lid.", now=now)
    elif back.at <= question.now:
        first = say("{now} at {clock}, rising {rate} a minute: it should be back. Read it now.",
                    now=now, clock=Clock(question.log[-1][0]), rate=rate)  # fmt: skip
    else:
        numbers.append(Number("back_at", back.at.isoformat(), "time"))
        first = say("{now} and rising {rate} a minute: about {target} at {at}.", now=now,
                    rate=rate, target=Qty(target, "°C"), at=Clock(back.at))  # fmt: skip
    lines = [first, *_took(question, target)]
    for run in question.runs[:2]:
        line, minutes = _effect(cook, run, question.now)
        lines.append(line)
        if minutes is not None:
            numbers.append(Number("late", minutes, "min"))
    return Answer(tuple(lines[:4]), None, tuple(numbers), reading)


def _took(question: BackQuestion, target: float | None) -> tuple[Line, ...]:
    """Return how long the fire has been down, against what its card says it takes."""
    if target is None:
        return ()
    down: datetime | None = None
    took: float | None = None
    for at, value in question.log:
        if value < target - 10 and down is None:
            down, took = at, None
        elif value >= target - 3 and down is not None:
            took, down = (at - down).total_seconds() / 60, None
    if down is not None:
        took = (question.now - down).total_seconds() / 60
    station = question.cook.cards.station(question.station) if question.cook.cards else None
    if took is None or station is None:
        return ()
    down_for = Qty(round(took), "min", 0)
    if station.recovery_min:
        return (
            say("Down for {took}; its card says {usual}.", took=down_for,
                usual=Qty(station.recovery_min, "min", 0)),
        )  # fmt: skip
    return (say("Down for {took}.", took=down_for),)


def _effect(cook: Cook, run: StepRun, now: datetime) -> tuple[Line, int | None]:
    """Return what the fire's log has cost a load and whether its plates feel it."""
    from core.cook.around import around_of
    from core.cook.names import thing_of
    from core.heat.plateau import cost_of_log

    thing = thing_of(run, cook.cards)
    started, around = cook.job(run.key).started, around_of(cook, run, now)
    if started is None or around is None or cook.cards is None:
        return say(
            "{thing}: off about {clock} by the plan.", thing=thing, clock=Clock(run.end)
        ), None
    dish = cook.cards.dish(run.dish)
    cost = cost_of_log(dish.steps[run.index], dish.piece, around.pit, started, now)
    load = cook.plan.load(f"{run.dish}/{run.load}") if cook.plan else None
    load = load or next((x for x in cook.plan.loads if run in x.runs), None) if cook.plan else None
    late = load.slack_min < -1 if load else False
    plates = say("its plates are late") if late else say("no effect on plates")
    if cost is None:
        return say("{thing}: can't be forecast with the fire like this.", thing=thing), None
    minutes = round(cost)
    if abs(minutes) < 1:
        return say("{thing} on time, {plates}.", thing=thing, plates=plates), 0
    return (
        say("{thing} now {minutes} late, {plates}.", thing=thing, minutes=Qty(minutes, "min", 0),
            plates=plates),
        minutes,
    )  # fmt: skip


TOPICS = (
    Topic("core mentioned", Rank.IMPOSSIBLE, read_mention, answer_mention),
    Topic("fire back now", Rank.IMPOSSIBLE, read_back, answer_back),
    Topic("time left", Rank.IMPOSSIBLE, read_left, answer_left),
)
