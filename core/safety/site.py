"""The site: fire, gas, carbon monoxide, ash, clearances, and the emergency card.

Usual cautions, short enough to act on. Local codes and the fire service decide; nothing here says
that a place is safe.
"""

from __future__ import annotations

from enum import StrEnum

from core.model import Event, Finding, Label, Line, Verdict, say
from core.safety.rules import finding, the


class Alarm(StrEnum):
    """What is wrong on the site."""

    CO = "co"
    GAS = "gas"
    GREASE = "grease"
    ASH = "ash"
    REACTION = "reaction"
    COLLAPSE = "collapse"
    FIRE = "fire"
    BURN = "burn"
    LIGHTNING = "lightning"
    CHOKING = "choking"
    DOWN = "down"


def where(event: Event | None) -> Line:
    """Return gate and address as an ambulance wants them; without a card, to say where one is."""
    card = event.emergency if event else None
    if card is None:
        return say("say where you are")
    if card.gate:
        return say("{gate}, {address}", gate=Label(card.gate), address=Label(card.address))
    return say("{address}", address=Label(card.address))


def _number(event: Event | None) -> Label:
    card = event.emergency if event else None
    return Label(f" {card.number}" if card else "")


def emergency_card(event: Event | None) -> tuple[Line, ...]:
    """Return the card for one word, no questions: number, site and gate, first aider.

    Site and gate stand first, because whoever rings has to say them.
    """
    card = event.emergency if event else None
    if card is None:
        return (
            say("{verdict}. CALL the emergency number NOW: 112, 911 or 999.", verdict=Verdict.STOP),
            say("No site card: say where you are, send somebody to the gate."),
        )
    lines = [
        say(
            "{verdict}. {where}. CALL {number} NOW.",
            verdict=Verdict.STOP,
            where=where(event),
            number=Label(card.number),
        )
    ]
    if card.first_aider:
        lines.append(say("First aider: {who}.", who=Label(card.first_aider)))
    lines.append(say("Somebody to the gate. Do not leave the person alone."))
    return tuple(lines)


def alarm_lines(alarm: Alarm, event: Event | None) -> tuple[Line, ...]:
    """Return what to do at once, at most three lines; never a question first."""
    place = where(event)
    match alarm:
        case Alarm.CO:
            return (
                say("{verdict}. EVERYONE OUT of the tent now. Open the sides.",
                    verdict=Verdict.STOP),
                say("Coals, ash drum and pit out of it. Nobody goes back in."),
                say("Headache or sick = ambulance, {where}.", where=place),
            )  # fmt: skip
        case Alarm.GAS:
            return (
                say("{verdict}. Taps shut at the bottle, all flames out, everyone away.",
                    verdict=Verdict.STOP),
                say("No switches, no phones beside it. Soap test every joint before relighting."),
                say("Still hissing or smelling: fire service, {where}.", where=place),
            )  # fmt: skip
        case Alarm.GREASE:
            return (
                say("{verdict}. Lid on, fuel off. NO water. Class K extinguisher.",
                    verdict=Verdict.STOP),
                say("Out of hand: everyone away, fire service, {where}.", where=place),
            )  # fmt: skip
        case Alarm.FIRE:
            return (
                say("{verdict}. Everyone away. Fire service now, {where}.", verdict=Verdict.STOP,
                    where=place),
                say("Gas off only if you can reach the tap."),
            )  # fmt: skip
        case Alarm.ASH:
            return (
                say("{verdict}. Ash stays in lidded metal, 60 cm from anything that burns.",
                    verdict=Verdict.STOP),
                say("Wet it, stir it, cold to the hand before it moves. Never in a bag or a van."),
            )  # fmt: skip
        case Alarm.REACTION:
            return (
                say(
                    "{verdict}. CALL AMBULANCE NOW{number}: {where}.",
                    verdict=Verdict.STOP,
                    number=_number(event),
                    where=place,
                ),
                say("Their own pen? Use it. Sit or lay them down, don't leave. Keep the plate."),
                say("Chef and first aider, now."),
            )
        case Alarm.BURN:
            return (
                say("{verdict}. Burn: cool running water 20 min. Rings off. No ice, no butter.",
                    verdict=Verdict.STOP),
                say("Cut: press hard with a clean cloth, hand up."),
                say("Face, larger than the hand, or won't stop bleeding: AMBULANCE, {where}.",
                    where=place),
            )  # fmt: skip
        case Alarm.CHOKING:
            return (
                say("{verdict}. Choking: 5 blows between the shoulders, 5 thrusts above the navel.",
                    verdict=Verdict.STOP),
                say("Again until it is out. CALL AMBULANCE NOW{number}: {where}.",
                    number=_number(event), where=place),
                say("Stops breathing: lay them down, CPR."),
            )  # fmt: skip
        case Alarm.DOWN:
            return (
                say(
                    "{verdict}. CALL AMBULANCE NOW{number}: {where}.",
                    verdict=Verdict.STOP,
                    number=_number(event),
                    where=place,
                ),
                say("Breathing: on their side, nothing to drink. Not breathing: CPR now, get the"
                    " defibrillator."),
                say("Live wire: power off before you touch. Somebody to the gate."),
            )  # fmt: skip
        case Alarm.LIGHTNING:
            return (
                say("{verdict}. Lightning: everyone into cars or a real building now. Not the"
                    " tent.", verdict=Verdict.STOP),
                say("Gas off, away from poles, trees and metal. Back 30 min after the last"
                    " thunder."),
                say("Struck: AMBULANCE, {where}. Touching them is safe.", where=place),
            )  # fmt: skip
        case Alarm.COLLAPSE:
            return (
                say("{verdict}. Shade, water, wet the neck, sit 20 min. Not alone.",
                    verdict=Verdict.STOP),
                say("Confused, no sweat or vomiting: AMBULANCE, {where}.", where=place),
            )  # fmt: skip


def alarm_finding(alarm: Alarm, event: Event | None) -> Finding:
    """Return the first line of an alarm as a finding that stops the work."""
    ids = {
        Alarm.CO: "co.enclosed",
        Alarm.GAS: "gas.leak",
        Alarm.GREASE: "fire.grease",
        Alarm.ASH: "ash.metal",
    }
    rule = the("site", ids[alarm], "hazards") if alarm in ids else None
    return finding(rule, Verdict.STOP, alarm_lines(alarm, event)[0])


# ------------------------------------------------------------------ distances


class Near(StrEnum):
    """What a fire stands near."""

    BUILDING = "fire.open_flame"
    OTHER_COOKING = "fire.separation"
    TENT = "fire.tent"
    BOOTH = "fire.booth"
    APPLIANCE = "fire.solid_fuel"
    ASH = "ash.metal"
    LOOSE_ASH = "ash.loose"


def clearance_verdict(near: Near, metres: float) -> Finding:
    """Return STOP where a fire stands too near; otherwise OK by the printed distance alone.

    Parameters
    ----------
    near
        What it stands near.
    metres
        The distance, m.

    Examples
    --------
    >>> clearance_verdict(Near.BUILDING, 8 * 0.3048).verdict
    <Verdict.STOP: 'STOP'>
    """
    rule = the("site", near.value, "hazards")
    least = float(rule.row["min_m"])
    feet = float(rule.row["min_ft"])
    numbers = {"limit": _m(least), "feet": Label(f"{feet:g}")}
    if metres < least - 0.005:
        text = say(
            "{verdict}. {read} away, at least {limit} ({feet} ft). Local rules may ask more.",
            verdict=Verdict.STOP,
            read=_m(metres),
            **numbers,
        )
        return finding(rule, Verdict.STOP, text)
    text = say(
        "{verdict}. {read} away, at least {limit} ({feet} ft). Local rules may ask more.",
        verdict=Verdict.OK,
        read=_m(metres),
        **numbers,
    )
    return finding(rule, Verdict.OK, text)


def _m(metres: float) -> Label:
    return Label(f"{metres:.1f} m")


def co_verdict(ppm: float) -> Finding:
    """Return what a carbon monoxide reading means: never OK in a closed place, whatever it says."""
    rule = the("site", "co.rel", "hazards")
    if ppm >= float(rule.row["max_ppm"]):
        text = say("{verdict}. CO {ppm} ppm: everyone out, open the sides.", verdict=Verdict.STOP,
                   ppm=Label(f"{ppm:g}"))  # fmt: skip
        return finding(rule, Verdict.STOP, text)
    text = say(
        "{verdict}. CO {ppm} ppm here now. No fire in a tent, van or garage at any reading.",
        verdict=Verdict.UNKNOWN,
        ppm=Label(f"{ppm:g}"),
    )
    return finding(rule, Verdict.UNKNOWN, text)


def site_questions(event: Event | None = None) -> tuple[Line, ...]:
    """Return what to look at before anything is lit, one line each."""
    return (
        say("Fires 3 m from buildings, cars and other cooking, 6 m from tents."),
        say("Class K extinguisher within 9 m of fat or solid fuel; water or 2-A for wood."),
        say("No flame or coals in a tent. Sides open wherever something burns."),
        say("Gas bottles upright, tied, soap-tested; spares away."),
        say("Ash drum: metal, lid, 60 cm from what burns."),
        say("Handwash within 8 m: 20 L, free tap, soap, paper, bin."),
        say("Everyone knows: {where}.", where=where(event)),
    )
