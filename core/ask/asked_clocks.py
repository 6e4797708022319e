"""Food out of temperature: 'mayo slaw been out 3h its 33', 'rice out 5 hours'."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from core.ask.safety_said import (
    NO_CLOCK,
    has_food,
    phrases,
    place_of,
    rules_of,
    spans_min,
    temps,
    told,
    told_so,
    word_at,
)
from core.ask.said import Said
from core.ask.topic import AskContext
from core.model import (
    Answer,
    Finding,
    HouseLimits,
    Line,
    Number,
    Profile,
    Verdict,
    say,
)
from core.safety.clocks import Out, Side, out_verdict
from core.safety.degrees import Degrees
from core.safety.rules import rule_of
from core.safety.words import span
from core.safety.worst import worst
from core.words import Num, Time

_OUT = phrases(
    "left out, been out, sat out, out of the fridge, out since, unheld, out for, "
    "unrefrigerated, on the table, on the line, at room temp, room temperature, ambient, total, "
    "h rule, hour rule, lleva fuera, ha estado fuera, estuvo fuera, sin frio, fuera desde, en "
    "la mesa, en la linea, fuera de la nevera, en total"
)
_SUN = phrases("in the sun, al sol, on the counter, on the bench, en la encimera")
_NIGHT = phrases(
    "overnight, all night, last night, last nite, anoche, toda la noche, since yesterday"
)
_SINCE = frozenset({"since", "desde", "las"})
_NIGHT_MIN = 360.0
"""A night is 6 h at least."""
_COLD_FOODS = phrases(
    "mayo, slaw, salad, dressing, cheese, cream, milk, egg, yoghurt, vinaigrette, sauce, raw, "
    "garlic_oil, lettuce, butter"
)
_HOT_FOODS = phrases("hot, hot_box, pulled_pork, brisket, ribs, sausage, burger")
_RULE_4H = phrases(
    "4 h rule, 4h rule, 4 hour rule, time control, written procedure, procedure, marked, tphc, "
    "procedimiento, marcado, marcada, regla de 4 h"
)
_UNMARKED = phrases("unmarked, not marked, no procedure, no label, sin marcar, sin procedimiento")
_RULE_6H = phrases("6 h rule, 6h rule, 6 hour rule, regla de 6 h, six hour rule")


@dataclass(frozen=True, slots=True)
class OutQuestion:
    """Food out: what is known of it, in which rule book; minutes None where nobody said."""

    minutes: float | None
    sides: tuple[Side, ...]
    air: Degrees | None
    warmest: Degrees | None
    procedure: bool
    six_hours: bool
    since: datetime | None
    profile: Profile | None
    garlic: bool = False
    raw: bool = False


def read_out(line: Said, context: AskContext) -> OutQuestion | None:
    """Read 'mayo slaw been out 3h its 33', 'ensalada fuera 3 h a 33 grados'."""
    minutes = [m for m in spans_min(line) if m >= 1]
    if line.says(*_NIGHT):
        minutes.append(_NIGHT_MIN)
    since = _since(line, context)
    out = line.has("left_out") or line.says(*_OUT)
    long_out = bool(minutes) and max(minutes) >= 60
    out = out or (line.has("off") and bool(minutes) and _cold_food(line))
    out = out or (line.has("off") and long_out and has_food(line))
    out = out or (bool(minutes) and line.says("lleva") and _cold_food(line))
    out = out or (bool(minutes) and line.says(*_SUN) and (_cold_food(line) or has_food(line)))
    rule = line.says(*_RULE_4H, *_RULE_6H)
    if not (out or rule) or line.amounts("mass") or line.has("brine", "marinade", "thaw"):
        return None
    if line.has("chill") and not line.says(*_SUN, *_NIGHT):
        return None
    found = temps(line, bare=(10.0, 130.0))
    air = [t.read for t in found if place_of(line, t) != "warmest"]
    warm = [t.read for t in found if place_of(line, t) == "warmest"]
    six = line.says(*_RULE_6H)
    spans = [m for m in minutes if not (rule and m in {240.0, 360.0} and len(minutes) > 1)]
    if not spans and since is None and not _cold_food(line) and not has_food(line):
        return None
    return OutQuestion(
        sum(spans) if spans else None,
        (Side.COLD,) if six else _sides(line),
        max(air, key=lambda r: r.c) if air else None,
        max(warm, key=lambda r: r.c) if warm else None,
        told_so(line, *_RULE_4H, *_RULE_6H) and not line.says(*_UNMARKED),
        six,
        since,
        rules_of(line, context),
        line.has("garlic_oil") or (line.has("garlic") and line.has("oil")),
        line.has("raw"),
    )


def _cold_food(line: Said) -> bool:
    return line.has(*_COLD_FOODS)


def _sides(line: Said) -> tuple[Side, ...]:
    if line.has(*_HOT_FOODS) and not _cold_food(line):
        return (Side.HOT,)
    if _cold_food(line) or line.has("cold"):
        return (Side.COLD,)
    return (Side.COLD, Side.HOT)


def _since(line: Said, context: AskContext) -> datetime | None:
    """Return the instant of 'since 12:40', the latest one not after now."""
    if context.now is None or not line.has("from"):
        return None
    times = _clocks(line)
    if len(times) != 1:
        return None
    zone = context.cards.event.zone if context.cards else UTC
    local = context.now.astimezone(zone).replace(
        hour=times[0].hour, minute=times[0].minute, second=0, microsecond=0
    )
    return local if local <= context.now else local - timedelta(days=1)


def _clocks(line: Said) -> list[Time]:
    """Return the times of day of a line: '12:40', or the 9 of 'since 9'."""
    found = []
    for at, token in enumerate(line.tokens):
        if isinstance(token, Time):
            found.append(token)
        elif isinstance(token, Num) and token.clock is not None:
            found.append(token.clock)
        elif (
            isinstance(token, Num) and word_at(line, at - 1) in _SINCE and token.value in range(24)
        ):
            found.append(Time(int(token.value), 0, ambiguous=True, text=token.text))
    return found


def _hour_after_since(line: Said, at: int, value: float) -> bool:
    return word_at(line, at - 1) in _SINCE and value in range(24)


def answer_out(question: OutQuestion, context: AskContext) -> Answer:
    """Answer with the verdict of the worst side, counting from when it was last good."""
    now = context.now or NO_CLOCK
    house = context.cards.event.house if context.cards else HouseLimits()
    since = question.since
    if question.minutes is not None:
        since = now - timedelta(minutes=question.minutes)
    found = worst(
        out_verdict(_out(question, side, since, now), question.profile, house)
        for side in question.sides
    )
    left = (found.deadline - now) if found.deadline else None
    if context.now is None and left is not None and found.verdict is not Verdict.BIN:
        found = replace(found, text=_without_clock(found, question.minutes or 0.0, left))
    return told(
        found,
        *_advice(question, found),
        numbers=_numbers(question, found, context, left),
        read_as=_read_as(question),
    )


def _out(question: OutQuestion, side: Side, since: datetime | None, now: datetime) -> Out:
    return Out(
        side,
        since,
        now,
        air=question.air,
        warmest=question.warmest,
        procedure=question.procedure,
        six_hours=question.six_hours,
        raw=question.raw,
    )


def _without_clock(found: Finding, minutes: float, left: timedelta) -> Line:
    return say(
        "{verdict}. Out {out}, {left} left.",
        verdict=found.verdict or Verdict.UNKNOWN,
        out=span(minutes * 60),
        left=span(left.total_seconds()),
    )


def _advice(question: OutQuestion, found: Finding) -> tuple[Line, ...]:
    if question.garlic:
        return (say("No taste, no reheat: garlic in oil at room temperature can carry botulism."),)
    rule = rule_of(found)
    if found.verdict is Verdict.BIN and rule is not None and rule.id == "house.hot_weather":
        return (say("House rule in hot weather: 1 h at 32 °C and more."),)
    if found.verdict is Verdict.UNKNOWN and question.minutes is None and question.since is None:
        return (say("Since when? The clock runs from the last good reading."),)
    return ()


def _numbers(
    question: OutQuestion, found: Finding, context: AskContext, left: timedelta | None
) -> tuple[Number, ...]:
    numbers = [] if question.minutes is None else [Number("out", question.minutes, "min")]
    if found.deadline is not None and context.now is not None:
        numbers.append(Number("deadline", found.deadline.isoformat(), "time"))
    if left is not None and left.total_seconds() > 0:
        numbers.append(Number("left", round(left.total_seconds() / 60), "min"))
    return tuple(numbers)


def _read_as(question: OutQuestion) -> Line | None:
    if question.minutes is None:
        return None
    if question.air is None:
        return say("out {time}", time=span(question.minutes * 60))
    return say("out {time}, air {air}", time=span(question.minutes * 60), air=question.air.words())
