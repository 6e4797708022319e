"""Cooling: how to cool a pot, and whether one cooled in time; reheating with it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from core.ask.safety_said import NO_CLOCK, rules_of, spans_min, temps, told
from core.ask.said import Said
from core.ask.tell import THUMB, weight
from core.ask.topic import AskContext
from core.model import Answer, Clock, Line, Number, Profile, Qty, say
from core.safety.cooling import REHEAT_ONCE, Cooling, cooling_verdict, ice_kg, pans_for
from core.safety.degrees import Degrees, Limit, limit_in
from core.safety.reheat import Reheat, reheat_verdict
from core.safety.rules import Rule, of_profile

_HOW = ("how", "hot", "when", "can")
_AMBIENT = ("ambient", "room temperature", "from ambient", "temperatura ambiente")


@dataclass(frozen=True, slots=True)
class CoolQuestion:
    """So much hot food to be cooled, kg."""

    mass_kg: float
    unit: str
    profile: Profile | None


def read_cool(line: Said, context: AskContext) -> CoolQuestion | None:
    """Read '20kg beans hot how cool', 'como enfrio 20 kg de alubias'."""
    mass = line.only("mass")
    if mass is None or not line.has("chill") or not line.has(*_HOW):
        return None
    return CoolQuestion(mass.base, mass.unit, rules_of(line, context))


def answer_cool(question: CoolQuestion, context: AskContext) -> Answer:
    """Answer with pans, depth, ice and the clock of the rule book."""
    pans, depth = pans_for(question.mass_kg)
    ice = round(ice_kg(question.mass_kg))
    first, last = _clock_rules(question.profile)
    lines = (
        say(
            "{pans} GN 1/1 pans, {depth} deep, on ice, stir every 10 min. Bring {ice} ice.",
            pans=Qty(pans, "", 0),
            depth=Qty(round(depth), "cm", 0),
            ice=weight(ice, question.unit),
        ),
        _clock_line(first, last, context),
        say("I ask after 1 h. Miss {limit}: reheat to {reheat} once, or bin.",
            limit=_to(first).words(), reheat=REHEAT_ONCE.words()),
    )  # fmt: skip
    return Answer(
        lines,
        numbers=(
            Number("pans", pans, "count"),
            Number("depth", depth, "cm"),
            Number("ice", ice, "kg"),
            Number("first_stage", float(first.row["max_min"]) / 60, "h"),
            Number("last_stage", _all_min(first, last) / 60, "h"),
        ),
        read_as=say("{mass} of hot food to cool", mass=weight(question.mass_kg, question.unit)),
        sources=(first.source, THUMB),
    )


def _clock_rules(profile: Profile | None) -> tuple[Rule, Rule]:
    """Return the first and last stage of a rule book; without a number the two-stage one."""
    rows = of_profile("cooling", profile or Profile.US) or of_profile("cooling", Profile.US)
    return rows[0], rows[-1]


def _to(rule: Rule) -> Limit:
    return limit_in(rule.row, "to")


def _all_min(first: Rule, last: Rule) -> float:
    whole = float(last.row["max_min"])
    return whole if last.row["total"] else whole + float(first.row["max_min"])


def _clock_line(first: Rule, last: Rule, context: AskContext) -> Line:
    top = limit_in(first.row, "from").words()
    if context.now is None or context.cards is None:
        return say(
            "Clock from {top}: {one} within {first}, {two} within {all}.",
            top=top,
            one=_to(first).words(),
            first=Qty(float(first.row["max_min"]) / 60, "h"),
            two=_to(last).words(),
            all=Qty(_all_min(first, last) / 60, "h"),
        )
    return say(
        "Clock from {top}. At {top} now: {one} by {by}, {two} by {end}.",
        top=top,
        one=_to(first).words(),
        by=Clock(context.now + timedelta(minutes=float(first.row["max_min"]))),
        two=_to(last).words(),
        end=Clock(context.now + timedelta(minutes=_all_min(first, last))),
    )


# ------------------------------------------------------------------ did it cool in time


@dataclass(frozen=True, slots=True)
class CooledQuestion:
    """Readings by minutes from the start: '135 F at 0 h, 72 F at 2 h'."""

    points: tuple[tuple[float, Degrees], ...]
    ambient: bool
    profile: Profile | None
    from_hot: bool = False


def read_cooled(line: Said, context: AskContext) -> CooledQuestion | None:
    """Read 'chili 135 F at 0 h, 72 F at 2 h', 'onions cooled 135 to 70 F in 3 h'."""
    found = temps(line, bare=(0.0, 212.0))
    minutes = spans_min(line)
    ambient = line.says(*_AMBIENT) and line.says("reaches", "reached", "llega", "llego", "cooled")
    cooling = line.has("chill") or ambient
    at_times = len(found) == len(minutes) and len(found) >= 2
    if at_times and (cooling or (minutes[0] == 0 and found[0].read.c > found[-1].read.c)):
        points = tuple(zip(minutes, (t.read for t in found), strict=True))
        return CooledQuestion(points, ambient, rules_of(line, context))
    if cooling and len(found) == 2 and len(minutes) == 1 and found[0].read.c > found[1].read.c:
        points = ((0.0, found[0].read), (minutes[0], found[1].read))
        return CooledQuestion(points, ambient, rules_of(line, context))
    if ambient and len(found) == 1 and len(minutes) == 1:
        points = ((minutes[0], found[0].read),)
        return CooledQuestion(points, ambient, rules_of(line, context))
    if cooling and len(found) == 1 and len(minutes) == 1 and minutes[0] >= 20:
        return CooledQuestion(((minutes[0], found[0].read),), False, rules_of(line, context), True)
    return None


def answer_cooled(question: CooledQuestion, context: AskContext) -> Answer:
    """Answer with the stages of the rule book."""
    last = max(minutes for minutes, _ in question.points)
    start = (context.now or NO_CLOCK) - timedelta(minutes=last)
    cooling = Cooling(
        tuple((start + timedelta(minutes=m), read) for m, read in question.points),
        started=start if _from_start(question) else None,
        ambient=question.ambient,
    )
    found = cooling_verdict(cooling, question.profile, start + timedelta(minutes=last))
    read = question.points[-1][1].words()
    return told(
        found,
        numbers=(Number("read", read.value, read.unit), Number("after", last, "min")),
        read_as=say("{read} after {time}", read=read, time=Qty(round(last / 60, 2), "h")),
    )


def _from_start(question: CooledQuestion) -> bool:
    return question.ambient or question.from_hot or question.points[0][0] == 0


# ------------------------------------------------------------------ reheating


@dataclass(frozen=True, slots=True)
class ReheatQuestion:
    """A reheated core, how long it was held and how long it took."""

    reheat: Reheat
    profile: Profile | None


def read_reheat(line: Said, context: AskContext) -> ReheatQuestion | None:
    """Read 'reheated beans 74 in 90 min', 'recalentado a 70'."""
    if not line.has("reheat") or line.has("how_much"):
        return None
    found = temps(line, bare=(20.0, 212.0))
    if not found:
        return None
    spans = spans_min(line)
    holds = [m for m in spans if m < 5]
    took = [m for m in spans if m >= 5]
    way = "microwave" if line.says("microwave", "microondas") else ""
    again = line.says("twice", "again", "second time", "otra vez", "dos veces")
    reheat = Reheat(
        max((t.read for t in found), key=lambda r: r.c),
        min(holds) * 60 if holds else 0.0,
        max(took) if took else None,
        way,
        times=2 if again else 1,
    )
    return ReheatQuestion(reheat, rules_of(line, context))


def answer_reheat(question: ReheatQuestion, _: AskContext) -> Answer:
    """Answer by the rule book's reheating row."""
    found = reheat_verdict(question.reheat, question.profile)
    read = question.reheat.core.words()
    return told(
        found,
        numbers=(Number("core", read.value, read.unit),),
        read_as=say("reheated to {core}", core=read),
    )
