"""Alarms: answered at once, no question, site and gate first."""

from __future__ import annotations

from dataclasses import dataclass

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


_REACTION = phrases(
    "swollen, swelling, hives, anaphylaxis, anaphylactic, epipen, pen, cant breathe, can t "
    "breathe, cannot breathe, not breathing, throat closing, throat is closing, hinchado, "
    "hinchada, hinchados, hinchadas, labios hinchados, no respira, no puede respirar, se ahoga, "
    "ronchas, urticaria, choking, reaccion alergica, allergic reaction, shock anafilactico, "
    "anafilaxia"
)
_GAS = phrases(
    "gas leak, smell gas, smells of gas, smell of gas, leaking gas, huele a gas, escape de gas, "
    "fuga de gas, olor a gas"
)
_SMELL = phrases("smell, smells, smelling, leak, leaking, leaks, hissing, huele, olor, fuga, silba")
_BODY = phrases(
    "hand, hands, arm, arms, finger, fingers, face, leg, himself, herself, myself, mano, manos,"
    " brazo, dedo, dedos, cara, pierna, se ha quemado, se quemo, me he quemado, se ha cortado"
)
_CO = phrases(
    "smoke alarm, co alarm, carbon monoxide, alarma de humo, alarma de co, monoxido, monoxido "
    "de carbono, detector de co, co detector"
)
_GREASE = phrases(
    "grease fire, fat fire, oil on fire, fat on fire, grease on fire, oil fire, aceite en "
    "llamas, aceite ardiendo, grasa ardiendo, grasa en llamas, fuego de aceite, incendio de "
    "aceite, arde el aceite, arde la grasa"
)
_FIRE = phrases("on fire, in flames, incendio, en llamas, ardiendo, arde")
_ASH = phrases("hot ash, hot ashes, ash in, ashes in, ceniza caliente, cenizas calientes")
_FAINT = phrases(
    "heat stroke, heatstroke, golpe de calor, insolacion, collapsed, unconscious, passed out, "
    "fainted, desmayado, desmayada, inconsciente, se desmaya, mareado, mareada, dizzy, faint"
)


def read_alarm(line: Said, context: AskContext) -> AlarmQuestion | None:
    """Read 'woman swollen lips after salad', 'co alarm in tent', 'paco mareado', 'sos'."""
    del context
    ppm = line.only("ppm")
    if ppm is not None and line.says("co", "monoxide", "monoxido"):
        return AlarmQuestion(Alarm.CO, ppm.base)
    if line.amounts("mass") or line.amounts("volume"):
        return None
    if line.says(*_REACTION) or line.has("choking"):
        return AlarmQuestion(Alarm.REACTION)
    if line.says(*_GAS):
        return AlarmQuestion(Alarm.GAS)
    if line.has("gas") and line.says(*_SMELL):
        return AlarmQuestion(Alarm.GAS)
    if line.has("hurt") and line.says(*_BODY):
        return AlarmQuestion(Alarm.BURN)
    if line.says(*_CO) or line.has("smoke_alarm"):
        return AlarmQuestion(Alarm.CO)
    if line.says(*_GREASE):
        return AlarmQuestion(Alarm.GREASE)
    if line.says(*_FIRE):
        return AlarmQuestion(Alarm.FIRE)
    if line.says(*_FAINT) or line.has("faint"):
        return AlarmQuestion(Alarm.COLLAPSE)
    if line.says(*_ASH) and not spans_min(line):
        return AlarmQuestion(Alarm.ASH)
    if line.has("sos"):
        return AlarmQuestion(None)
    return None


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
