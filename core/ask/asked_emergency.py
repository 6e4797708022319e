"""Alarms: answered at once, no question, site and gate first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from core.ask import alarm_words as words
from core.ask.alarm_words import Heard
from core.ask.safety_said import phrases, spans_min
from core.ask.said import Said
from core.ask.topic import AskContext
from core.model import Answer, Number, Verdict
from core.safety.rules import sources_of
from core.safety.site import Alarm, alarm_finding, alarm_lines, co_verdict, emergency_card


@dataclass(frozen=True, slots=True)
class AlarmQuestion:
    """An alarm; None asks for the emergency card."""

    alarm: Alarm | None
    ppm: float | None = None


_ASH = phrases("hot ash, hot ashes, ash in, ashes in, ceniza caliente, cenizas calientes")


def read_alarm(line: Said, context: AskContext) -> AlarmQuestion | None:
    """Read 'woman swollen lips after salad', 'co alarm in tent', 'paco mareado', 'sos'."""
    del context
    ppm = line.only("ppm")
    if ppm is not None and line.says("co", "monoxide", "monoxido"):
        return AlarmQuestion(Alarm.CO, ppm.base)
    alarm = alarm_heard(line.text)
    if alarm is not None:
        return AlarmQuestion(alarm)
    if line.says(*_ASH) and not spans_min(line) and not line.amounts("mass"):
        return AlarmQuestion(Alarm.ASH)
    heard = Heard(line.text)
    calls = heard.any(words.CALLS) and heard.any(words.NUMBERS)
    if line.has("sos") or heard.any(words.SOS_WORDS) or calls:
        return AlarmQuestion(None)
    return None


def alarm_heard(text: str) -> Alarm | None:
    """Return which alarm a line raises; numbers and weights in it never mute one.

    Examples
    --------
    >>> alarm_heard("3 people dizzy in tent with charcoal"), alarm_heard("swolen lips, 2 kg slaw")
    (<Alarm.CO: 'co'>, <Alarm.REACTION: 'reaction'>)
    """
    line = Heard(text)
    return next((alarm for alarm, is_it in _RULES if is_it(line)), None)


def is_supposed(text: str) -> bool:
    """Say whether an alarm is only asked about or practised."""
    return Heard(text).is_supposed


def _reaction(line: Heard) -> bool:
    if line.says(words.PHRASES_REACTION):
        return True
    if line.any(words.SWELL):
        return line.any(words.BODY_SWELLS) or not line.any(words.FOOD_SWELLS)
    return line.any(words.ALLERGIC) and line.any(words.ATE) and not line.says(("can", "puede"))


def _choking(line: Heard) -> bool:
    if line.any(words.CHOKE) or line.says(words.PHRASES_CHOKE):
        return not line.says(("vents", "vent", "fire", "pit", "tiro"))
    return False


def _breathless(line: Heard) -> bool:
    return line.any(words.BREATH - {"aire"}) and line.any(words.HARDLY)


def _down(line: Heard) -> bool:
    if line.says(words.PHRASES_DOWN) or line.any(words.DOWN - words.FALLS):
        return True
    return line.any(words.FALLS) and not line.any(words.THINGS_THAT_FALL)


def _monoxide(line: Heard) -> bool:
    if line.any(words.MONOXIDE):
        return True
    if line.any(words.DETECTOR) and line.any(words.SMOKE_OR_CO):
        return True
    place = line.any(words.ENCLOSED)
    if line.any(words.DIZZY) or line.says(("dolor de cabeza", "head ache", "head hurts")):
        return place or line.any(words.FUMES) or line.any(words.SEVERAL) or _counts_people(line)
    return line.any(words.ILL) and place and line.any(words.FUMES)


def _counts_people(line: Heard) -> bool:
    return any(word.isdigit() and 2 <= int(word[:4]) <= 999 for word in line.words[:3])


def _gas(line: Heard) -> bool:
    if not (line.any(words.GAS | {"gass"}) and line.any(words.SMELL)):
        return False
    return not line.any(words.NEVER_LEAKS)


def _alight(line: Heard) -> bool:
    return line.says(words.ABLAZE) or line.any(words.BURNS)


def _grease(line: Heard) -> bool:
    named = line.says(("grease fire", "fat fire", "oil fire", "fuego de aceite",
                       "incendio de aceite"))  # fmt: skip
    return named or (line.any(words.FAT) and _alight(line))


def _fire(line: Heard) -> bool:
    if line.says(("on fire", "in flames", "caught fire", "en llamas")):
        return True
    if line.any(words.FIRE_ALONE - {"fire", "fuego"}):
        return True
    if _alight(line) and line.any(words.THINGS_THAT_BURN):
        return True
    return line.says((*words.ABLAZE[-2:], "arde todo")) or line.shouts_fire


def _hurt(line: Heard) -> bool:
    if line.says(("me he cortado", "se ha cortado", "me he quemado", "se ha quemado", "me queme",
                  "cut himself", "cut herself", "cut myself", "bleeding badly")):  # fmt: skip
        return True
    return line.any(words.HURT) and line.any(words.BODY)


def _lightning(line: Heard) -> bool:
    close = line.says(words.PHRASES_STORM) or line.any(words.LIGHTNING)
    fire = line.says(("lightening smoker", "lightening grill", "lightening pit"))
    return close and not fire and not line.any(words.FORECAST)


def _heat(line: Heard) -> bool:
    return (
        line.any(words.HEAT)
        or line.says(words.PHRASES_HEAT)
        or line.any(words.DIZZY - {"headache", "headaches"})
    )


_RULES: tuple[tuple[Alarm, Callable[[Heard], bool]], ...] = (
    (Alarm.REACTION, _reaction),
    (Alarm.CHOKING, _choking),
    (Alarm.REACTION, _breathless),
    (Alarm.CO, _monoxide),
    (Alarm.DOWN, _down),
    (Alarm.GAS, _gas),
    (Alarm.GREASE, _grease),
    (Alarm.FIRE, _fire),
    (Alarm.BURN, _hurt),
    (Alarm.LIGHTNING, _lightning),
    (Alarm.COLLAPSE, _heat),
)
"""In the order they are tried: what kills soonest first."""


def answer_alarm(question: AlarmQuestion, context: AskContext) -> Answer:
    """Answer with what to do now; never a question."""
    event = context.cards.event if context.cards else None
    if question.alarm is None:
        return Answer(emergency_card(event), Verdict.STOP)
    if question.ppm is not None:
        found = co_verdict(question.ppm)
        return Answer(
            (found.text,),
            found.verdict,
            (Number("co", question.ppm, "ppm"),),
            sources=sources_of((found,)),
        )
    sources = sources_of((alarm_finding(question.alarm, event),))
    return Answer(alarm_lines(question.alarm, event), Verdict.STOP, sources=sources)
