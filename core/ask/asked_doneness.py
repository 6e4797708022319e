"""Is it done? One core reading with a food, two that disagree, or a piece on its way."""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.ask.asked_setback import BEFORE_SEAR
from core.ask.safety_said import (
    Temp,
    all_read,
    food_of,
    guests_of,
    has_food,
    number,
    phrases,
    place_of,
    rules_of,
    spans_min,
    temps,
    told,
    told_so,
)
from core.ask.said import Said
from core.ask.tell import THUMB
from core.ask.topic import AskContext
from core.model import Answer, Dish, Finding, Line, Number, Profile, Qty, Span, Verdict, say
from core.safety.clocks import Side
from core.safety.cooking import cook_verdict
from core.safety.degrees import Degrees, core_reading
from core.safety.food import Food, Kind
from core.safety.heat_met import Heat
from core.safety.ovens import oven_finding
from core.safety.pink import Guests
from core.safety.probes import disagreement, ruling
from core.safety.rules import MAY_CLEAR
from core.safety.worst import worst

_BARE = (20.0, 212.0)
_CUES = phrases(
    "ya, safe, seguro, segura, cooked, red, rojo, roja, pink, rosa, rosado, enough, basta, "
    "vale, listo, lista, eat, comer, still, rare, medium, crudo, cruda, undercooked, "
    "saco, after, tras"
)
_CUE_CONCEPTS = phrases("pull, done, core, ok, reads, probe, temp, rest, hold, serve, cooked, off")

_ELSE = phrases("brine, rub, cure, charcoal, gas, pellets, wood, ice, wind, bleach, oil, costing")


@dataclass(frozen=True, slots=True)
class DoneQuestion:
    """A food and what its thermometers say; several reads are of one piece."""

    food: Food
    reads: tuple[Degrees, ...]
    hold_s: float
    surface: Degrees | None
    seared: bool | None
    pit: Degrees | None
    profile: Profile | None
    guests: Guests
    red: bool
    known: bool


def read_done(line: Said, context: AskContext) -> DoneQuestion | None:
    """Read 'el cerdo a 61 ya?', 'salmon 48 pull?', '2 probes say 58 n 64 same pork'."""
    if line.amounts("mass") or line.amounts("volume") or line.people() or line.has("how_much"):
        return None
    found = temps(line, bare=_BARE)
    pits = [t for t in found if place_of(line, t) == "pit"]
    surfaces = [t for t in found if place_of(line, t) == "surface"]
    cores = [t for t in found if t not in pits and t not in surfaces and _core(t)]
    if not cores or not (has_food(line) or line.has("core")):
        return None
    fat = len(line.amounts("percent"))
    if not (any(t.unit for t in cores) or _asks(line)) or line.has(*_ELSE):
        return None
    if not all_read(line, found, spans_min(line), more=fat):
        return None
    return DoneQuestion(
        food_of(line, context),
        tuple(core_reading(t.read.f, fahrenheit=True) if t.read.fahrenheit
              else core_reading(t.read.c, fahrenheit=False) for t in cores),
        _hold_s(line),
        surfaces[0].read if surfaces else None,
        _seared(line),
        pits[0].read if pits else None,
        rules_of(line, context),
        guests_of(line, context),
        line.says("red", "rojo", "roja", "bloody"),
        has_food(line),
    )  # fmt: skip


def _core(temp: Temp) -> bool:
    return -30.0 <= temp.read.c <= 120.0


def _asks(line: Said) -> bool:
    return line.has(*_CUE_CONCEPTS) or line.says(*_CUES) or line.text.rstrip().endswith("?")


_COOKING = phrases(
    "smoked, grilled, roasted, baked, fried, cooking, cooked, in the oven, after, ahumado, "
    "asado, horneado, frito, cocinado, cocido, tras, despues, al horno"
)


def _hold_s(line: Said) -> float:
    """Return for how long the core was held, s: only where holding or resting is said.

    '40 min' may be how long it cooked, which says nothing; a span in seconds never is.
    """
    spans = spans_min(line)
    if not spans:
        return 0.0
    held = line.has("hold", "rest") or line.says("reposo", "de reposo", "mantenido", "mantenida")
    lasted = line.says("for", "durante", "during") and not line.says(*_COOKING)
    lasted = lasted and not line.has("smoke", "sear")
    shortest = min(spans)
    return shortest * 60 if held or lasted or shortest < 2 else 0.0


_SEARED = phrases(
    "colour change, color change, browned all over, seared all over, all over, cambio de color,"
    " dorado por fuera, marcado por fuera"
)


def _seared(line: Said) -> bool | None:
    return True if told_so(line, *_SEARED) else None


def answer_done(question: DoneQuestion, context: AskContext) -> Answer:
    """Answer with the verdict on the reading that counts, and what to do."""
    del context
    read = ruling(question.reads, Side.HOT)
    heat = Heat(read, question.hold_s, question.surface, question.seared)
    if not question.known:
        return _what_food(read)
    found = cook_verdict(question.food, heat, question.profile, question.guests)
    oven = oven_finding(question.food, heat, question.pit)
    if oven is not None and question.profile in {None, Profile.US}:
        found = worst((found, oven))
    doubt = disagreement(question.reads, Side.HOT) if len(question.reads) > 1 else None
    numbers = (number("core", read.words()),)
    reading = say("core {core}", core=read.words())
    if doubt is not None:
        verdict = found.verdict or Verdict.UNKNOWN
        first = say("{verdict}. Two readings: the lower counts, {read}.", verdict=verdict,
                    read=read.words())  # fmt: skip
        ice = say("Trust neither: ice slush, half ice half water, stir, 0 °C ±1.")
        answer = told(found, numbers=numbers, read_as=reading)
        return Answer((first, ice, found.text), verdict, numbers, reading, sources=answer.sources)
    return told(
        found,
        *_more(question, read, found.verdict),
        numbers=numbers,
        read_as=reading,
        question=_ask_back(question, found),
        choices=_choices(question, found),
    )


def _what_food(read: Degrees) -> Answer:
    text = say("{verdict}. Core {core} of what?", verdict=Verdict.UNKNOWN, core=read.words())
    return Answer(
        (text,),
        Verdict.UNKNOWN,
        (number("core", read.words()),),
        question=say("Which food?"),
        choices=(say("chicken"), say("whole pork"), say("burger"), say("fish")),
    )


def _more(question: DoneQuestion, read: Degrees, verdict: Verdict | None) -> tuple[Line, ...]:
    lines: list[Line] = []
    if question.food.kinds == {Kind.FISH} and verdict is not Verdict.OK and read.c < 63:
        lines.append(
            say(
                "House rule for public events: {limit}. Less only if the menu says so and the chef"
                " has OK'd it by name.",
                limit=Qty(145, "°F") if read.fahrenheit else Qty(63, "°C"),
            )
        )
    if question.red:
        lines.append(say("Red marrow or smoke colour says nothing: the core counts."))
        if question.food.kinds == {Kind.POULTRY} and verdict is Verdict.OK:
            lines.append(say("For guests {range} eats better.", range=Span(80, 82, "°C")))
    if question.profile is None:
        lines.append(say("No rule book set: the strictest counts."))
    return tuple(lines)


def _ask_back(question: DoneQuestion, found: Finding) -> Line | None:
    verdict, depends = found.verdict, found.status in MAY_CLEAR
    if verdict is Verdict.UNKNOWN and depends and len(question.food.states) > 1:
        return say("Whole, or injected or minced?")
    return None


def _choices(question: DoneQuestion, found: Finding) -> tuple[Line, ...]:
    if _ask_back(question, found) is None:
        return ()
    return (say("whole"), say("injected"), say("minced"))


# ------------------------------------------------------------------ when to look next


@dataclass(frozen=True, slots=True)
class LookQuestion:
    """A core at so many minutes; `start`, `pit` and `target` °C where cards or words say."""

    core: Degrees
    minutes: float
    start_c: float
    pit_c: float
    target_c: float
    target_from: str
    said: bool = False


_START_C = 5.0  # out of the fridge; common practice
_PIT_C = 120.0
_TARGET_C = 52.0


def read_look(line: Said, context: AskContext) -> LookQuestion | None:
    """Read '47 at 35min when pull', '47 a los 35 min, cuando saco'."""
    minutes = [m for m in spans_min(line) if m >= 3]
    cores = temps(line, bare=(1.0, 212.0))
    if len(minutes) != 1 or not 1 <= len(cores) <= 2 or line.amounts("mass"):
        return None
    pulls = line.has("pull") or line.says("saco", "lo saco")
    if line.says(*BEFORE_SEAR):
        return None
    if not (pulls or (line.has("when") and line.has("off", "done"))):
        return None
    step = _step(context)
    target = cores[1].read.c if len(cores) == 2 else step[2]
    said = len(cores) == 2
    return LookQuestion(cores[0].read, minutes[0], step[0], step[1], target, step[3], said)


def _step(context: AskContext) -> tuple[float, float, float, str]:
    dishes: tuple[Dish, ...] = context.cards.dishes if context.cards else ()
    found = [s for d in dishes for s in d.steps if s.until_core_c is not None and s.temp_c]
    steps = [s for s in found if s.until_core_c is not None and s.until_core_c <= 63]
    if len(steps) != 1:
        return _START_C, _PIT_C, _TARGET_C, ""
    only = steps[0]
    start = _START_C if only.start_temp_c is None else only.start_temp_c
    return start, only.temp_c or _PIT_C, only.until_core_c or _TARGET_C, only.id


def answer_look(question: LookQuestion, context: AskContext) -> Answer:
    """Answer with the earliest minute to look, what to expect then, and one more reading."""
    from core.ask.asked_look import looked

    known = looked(question.core.c, question.minutes, context) if not question.said else None
    if known is not None:
        return known
    now_c, minutes, target = question.core.c, question.minutes, question.target_c
    if now_c >= target:
        text = say("Pull now: {core}, target {target}.", core=question.core.words(),
                   target=Qty(target, "°C"))  # fmt: skip
        return Answer((text,), numbers=(Number("check_at", minutes, "min"),), sources=(THUMB,))
    rate = (now_c - question.start_c) / minutes
    straight = minutes + (target - now_c) / rate
    check = math.floor(straight)
    low, high = target - 1, target
    lines = (
        say(
            "Check at {check}, expect {expect}. Pull {target}.",
            check=Qty(check, "min", 0),
            expect=Span(low, high, "°C", 0),
            target=Qty(target, "°C"),
        ),
        say("Rising {rate} °C a minute and slowing. A thermometer outranks this.",
            rate=Qty(round(rate, 1), "")),
        say("Send me one more reading at {at}.", at=Qty(check - 1, "min", 0)),
    )  # fmt: skip
    return Answer(
        lines,
        numbers=(
            Number("check_at", check, "min"),
            Number("expect", target - 0.5, "°C", low, high),
            Number("pull", target, "°C"),
        ),
        read_as=say("core {core} after {minutes}, target {target}", core=question.core.words(),
                    minutes=Qty(minutes, "min", 0), target=Qty(target, "°C")),
        sources=(THUMB,),
    )  # fmt: skip
