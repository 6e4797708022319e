"""A core mentioned in a question: '47 at 35 when pull', of the load or card that is meant."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from core.ask.on_fire import by_unit, measured_runs
from core.ask.safety_said import spans_min, temps
from core.ask.said import said
from core.ask.topic import AskContext
from core.model import Answer, Label, Line, Number, Place, Qty, Reading, Span, StepRun, say
from core.words import Token

if TYPE_CHECKING:
    from core.heat.estimate import Forecast


@dataclass(frozen=True, slots=True)
class MentionQuestion:
    """A core of a named load so many minutes after it went on."""

    run: StepRun
    core_c: float
    minutes: float


def read_mention(tokens: Sequence[Token], text: str, context: AskContext) -> MentionQuestion | None:
    """Read 'A 35 at 44 min', 'la B 30 a los 25 min'."""
    if context.cook is None:
        return None
    line = said(tokens, text)
    minutes, cores = spans_min(line), temps(line, bare=(1.0, 212.0))
    runs = by_unit(line, measured_runs(context.cook))
    if len(runs) != 1 or len(minutes) != 1 or len(cores) != 1 or minutes[0] < 3:
        return None
    return MentionQuestion(runs[0], cores[0].read.c, minutes[0])


def answer_mention(question: MentionQuestion, context: AskContext) -> Answer:
    """Answer as to the same core with 'when pull'."""
    found = _with_core(question.run, question.core_c, question.minutes, context)
    return found or Answer((say("Can't be forecast yet."),))


def looked(core_c: float, minutes: float, context: AskContext) -> Answer | None:
    """Return the answer to '47 at 35 when pull' from the load or card that is meant; else None.

    With a cook under way it is the load that has been on for about so long; without one the one
    step of the cards that ends at a pull temperature.
    """
    return _of_load(core_c, minutes, context) or _of_card(core_c, minutes, context)


def _of_load(core_c: float, minutes: float, context: AskContext) -> Answer | None:
    cook, now = context.cook, context.now
    if cook is None or now is None:
        return None
    off = [
        (abs((now - started).total_seconds() / 60 - minutes), r, started)
        for r in measured_runs(cook)
        if (started := cook.job(r.key).started) is not None
    ]
    near = sorted((x for x in off if x[0] <= max(8.0, 0.25 * minutes)), key=lambda x: x[0])
    if not near or (len(near) > 1 and near[1][0] - near[0][0] < 4):
        return None
    return _with_core(near[0][1], core_c, minutes, context)


def _with_core(run: StepRun, core_c: float, minutes: float, context: AskContext) -> Answer | None:
    """Return the forecast of a load as if this core had been read then."""
    from core.cook.forecast import forecast_of
    from core.cook.names import thing_of

    cook, now = context.cook, context.now
    started = cook.job(run.key).started if cook else None
    if cook is None or now is None or started is None:
        return None
    at = min(started + timedelta(minutes=minutes), now)
    mentioned = Reading(core_c, Place.CORE, at, "", about=run.key)
    seen = forecast_of(replace(cook, readings=(*cook.readings, mentioned)), run, now)
    if seen is None:
        return None
    thing = thing_of(run, cook.cards)
    book = say("Not booked: say '{load} {core}' to re-time it.", load=Label(run.unit),
               core=Qty(core_c, ""))  # fmt: skip
    return _told(seen, started, thing, (book,))


def _of_card(core_c: float, minutes: float, context: AskContext) -> Answer | None:
    dishes = context.cards.dishes if context.cards else ()
    found = [
        (d, s)
        for d in dishes
        for s in d.steps
        if s.until_core_c is not None and core_c < s.until_core_c <= 63 and s.temp_c
        and s.checks and d.piece.thickness_cm and not s.instead_of
    ]  # fmt: skip
    if len(found) != 1 or context.cards is None:
        return None
    from core.heat.estimate import estimate
    from core.heat.pit import Pit
    from core.heat.prior import kind_of

    dish, step = found[0]
    stations = context.cards.kit.matching(step.station or "")
    kind = kind_of(stations[0].kind if stations else None, step.temp_c, len(step.turns_min))
    start = _ZERO if context.now is None else context.now - timedelta(minutes=minutes)
    now = start + timedelta(minutes=minutes)
    tested = dish.batch.amount if dish.batch.unit in {"pieces", "portions"} else 0.0
    mentioned = Reading(core_c, Place.CORE, now, "")
    pit = Pit(kind, step.temp_c or 0.0)
    seen = estimate(step, dish.piece, pit, (mentioned,), start, now, None, tested)
    return _told(seen, start, Label(dish.name), ())


_ZERO = datetime.fromisoformat("2000-01-01T12:00+00:00")


def _told(seen: Forecast, start: datetime, thing: Label | Line, more: tuple[Line, ...]) -> Answer:
    """Return a look in minutes since the food went on, with its band; never a single minute."""
    from core.cook.forecast import origin_line

    target = Qty(seen.target_c, "°C")
    if seen.check_at is None or seen.expect_c is None:
        return Answer((seen.note or say("Can't be forecast yet."), *more))
    check = _minutes(start, seen.check_at)
    lines: list[Line] = []
    numbers = [Number("check_at", check, "min")]
    if seen.pull_at is not None and seen.pull_at <= seen.check_at and seen.readings:
        lines.append(say("Pull now: {thing}, target {target}.", thing=thing, target=target))
    else:
        low, high = round(seen.expect_low_c or 0), round(seen.expect_high_c or 0)
        lines.append(
            say("Check at {check}, expect {expect}. Pull {target}.", check=Qty(check, "min", 0),
                expect=Span(low, max(high, low + 1), "°C", 0), target=target)
        )  # fmt: skip
        numbers.append(Number("expect", round(seen.expect_c, 1), "°C", low, high))
    numbers.append(Number("pull", seen.target_c, "°C"))
    if seen.pull_low is not None and seen.pull_high is not None and seen.pull_at is not None:
        span = Span(_minutes(start, seen.pull_low), _minutes(start, seen.pull_high), "min", 0)
        numbers.append(Number("pull_at", _minutes(start, seen.pull_at), "min", span.low, span.high))
        lines.append(
            say("{thing}: {span}, then about {rise} more at rest ({source}).", thing=thing,
                span=span, rise=Qty(round(seen.carry_over_k), "°C", 0),
                source=origin_line(seen))
        )  # fmt: skip
    lines += [seen.note] if seen.note is not None else []
    reading = say("{thing}, target {target}", thing=thing, target=target)
    return Answer((*lines, *more)[:4], None, tuple(numbers), reading, sources=(seen.source,))


def _minutes(start: datetime, at: datetime) -> int:
    return round((at - start).total_seconds() / 60)
