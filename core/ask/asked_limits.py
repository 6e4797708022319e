"""What the rule book asks: 'what temp for burgers', 'hot hold temp?', 'how long out'."""

from __future__ import annotations

from dataclasses import dataclass

from core.ask.safety_said import NO_CLOCK, food_of, has_food, phrases, rules_of, temps
from core.ask.said import Said
from core.ask.topic import AskContext
from core.model import Answer, HouseLimits, Line, Number, Profile, Source, say
from core.safety.clocks import Out, Side, out_verdict
from core.safety.cooking import Target, targets
from core.safety.degrees import Degrees, Limit
from core.safety.food import Food
from core.safety.holding import held_to, hold_rule
from core.safety.rules import Rule, sources_of
from core.safety.words import PROFILES, at_for, span, told_apart

_LIKE = Degrees(0.0)


# ------------------------------------------------------------------ cooked to what


@dataclass(frozen=True, slots=True)
class TargetQuestion:
    """To what a food is to be cooked."""

    food: Food
    profile: Profile | None


_WHAT = phrases(
    "what temp, what temperature, temp for, temperature for, which temperature, target temp,"
    " que temperatura, a que temperatura, temperatura para, temperatura del, temperatura de,"
    " cuantos grados, how hot, internal temp, core for, core temp for"
)


def read_target(line: Said, context: AskContext) -> TargetQuestion | None:
    """Read 'what temp for burgers', 'a que temperatura el pollo'."""
    if not line.says(*_WHAT) or not has_food(line) or temps(line) or line.bare():
        return None
    if line.amounts("mass") or line.has("smoke", "pit", "oven", "brine", "hot_box", "box"):
        return None
    return TargetQuestion(food_of(line, context), rules_of(line, context))


def answer_target(question: TargetQuestion, _: AskContext) -> Answer:
    """Answer with the row of the rule book; unset, with the strictest of all."""
    found = _rows_of(question)
    if not found:
        book = question.profile or Profile.US
        text = say("The {profile} rules give no number for that. Ask your authority.",
                   profile=PROFILES[book])  # fmt: skip
        return Answer((text,))
    mild, hard = found[0], found[-1]
    lines = [_target_line(mild, hard)]
    if mild is not hard:
        fine, other = told_apart(mild.exact, hard.exact)
        lines.append(say("The first if {fine}, the second if {other}.", fine=fine, other=other))
    if question.profile is None and hard.rule.profile is not None:
        lines.append(say("No rule book set: the strictest counts."))
    numbers = [Number("core", mild.limit.c, "°C")]
    if mild.seconds:
        numbers.append(Number("hold", mild.seconds, "s"))
    return Answer(tuple(lines), numbers=tuple(numbers), sources=_sources(found))


def _rows_of(question: TargetQuestion) -> tuple[Target, ...]:
    if question.profile is not None:
        return targets(question.food, question.profile)
    books = [found for book in Profile if (found := targets(question.food, book))]
    return max(books, key=lambda found: (found[-1].limit.c, found[-1].seconds), default=())


def _target_line(mild: Target, hard: Target) -> Line:
    first = at_for(mild.limit, mild.seconds, _LIKE)
    if mild is hard:
        return say("The rule asks core {limit}.", limit=first)
    return say("The rule asks core {limit}, or {hard}.", limit=first,
               hard=at_for(hard.limit, hard.seconds, _LIKE))  # fmt: skip


def _sources(found: tuple[Target, ...]) -> tuple[Source, ...]:
    return tuple(dict.fromkeys(target.rule.source for target in found))


# ------------------------------------------------------------------ held at what


@dataclass(frozen=True, slots=True)
class HoldQuestion:
    """At what hot or cold food is held."""

    side: Side
    profile: Profile | None


_HOT = phrases("hot hold, hot holding, hold hot, keep hot, mantener caliente, en caliente")
_COLD = phrases("cold hold, cold holding, cold limit, keep cold, mantener frio, en frio")


def read_hold(line: Said, context: AskContext) -> HoldQuestion | None:
    """Read 'hot hold temp?', 'cold limit?', 'a cuanto en caliente'."""
    hot, cold = line.says(*_HOT), line.says(*_COLD)
    asks = line.has("temp", "what") or line.says("limit", "limite", "cuanto", "minimum", "minimo")
    if hot is cold or not asks or temps(line) or line.bare() or line.amounts("mass"):
        return None
    return HoldQuestion(Side.HOT if hot else Side.COLD, rules_of(line, context))


def answer_hold(question: HoldQuestion, context: AskContext) -> Answer:
    """Answer with the limit in force: the rule book's, tightened by the house's."""
    house = context.cards.event.house if context.cards else HouseLimits()
    books = (question.profile,) if question.profile else tuple(Profile)
    found = [
        (limit, rule)
        for book in books
        if (limit := held_to(rule := hold_rule(question.side, book), question.side, house))
    ]
    if not found:
        text = say("The {profile} rules give no number for that. Ask your authority.",
                   profile=PROFILES[books[0]])  # fmt: skip
        return Answer((text,))
    choose = min if question.side is Side.COLD else max
    limit, rule = choose(found, key=lambda pair: pair[0].c)
    return Answer(
        (_hold_line(question.side, limit), *_which(question.profile)),
        numbers=(Number("limit", limit.c, "°C"),),
        sources=(rule.source,) if isinstance(rule, Rule) else (),
    )


def _hold_line(side: Side, limit: Limit) -> Line:
    if side is Side.COLD:
        return say("{limit} or less.", limit=limit.words())
    return say("{limit} or more.", limit=limit.words())


def _which(profile: Profile | None) -> tuple[Line, ...]:
    return () if profile else (say("No rule book set: the strictest counts."),)


# ------------------------------------------------------------------ out how long


@dataclass(frozen=True, slots=True)
class StayQuestion:
    """How long food may stay out."""

    profile: Profile | None


_OUT = phrases(
    "stay out, be out, sit out, left out, keep out, out for, estar fuera, aguanta fuera,"
    " dejar fuera"
)


def read_stay(line: Said, context: AskContext) -> StayQuestion | None:
    """Read 'how long can salad stay out', 'cuanto puede estar fuera la mayo'."""
    asks = line.has("how_long", "how_much") or line.says("how long", "cuanto", "cuanto tiempo")
    if not asks or not line.says(*_OUT) or line.amounts("time") or line.amounts("mass"):
        return None
    return StayQuestion(rules_of(line, context))


def answer_stay(question: StayQuestion, context: AskContext) -> Answer:
    """Answer with the clock of the rule book, and the hour of hot weather."""
    now = context.now or NO_CLOCK
    house = context.cards.event.house if context.cards else HouseLimits()
    mild = Out(Side.COLD, now, now, air=Degrees(20.0))
    found = out_verdict(mild, question.profile, house)
    minutes = 120.0
    if found.deadline is not None:
        minutes = (found.deadline - now).total_seconds() / 60
    lines = (
        say("{time}; {hot} at 32 °C and more. From its last good reading, added up.",
            time=span(minutes * 60), hot=span(min(60.0, minutes) * 60)),
        *_which(question.profile),
    )  # fmt: skip
    return Answer(
        lines,
        numbers=(Number("out", minutes, "min"), Number("hot_weather", min(60.0, minutes), "min")),
        sources=sources_of((found,)),
    )
