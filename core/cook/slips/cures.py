"""Troubles with a known cure and nothing to re-plan: a split sauce, smoke on the guests."""

from __future__ import annotations

from datetime import datetime

from core.cook.decision import Decision, Notice
from core.cook.state import Cook, Phase
from core.cook.subjects import plan_of
from core.errors import UnknownNameError
from core.facts.slips import AskCure
from core.model import (
    Answer,
    Clock,
    Dish,
    Label,
    Line,
    Number,
    Qty,
    Sound,
    StationKind,
    say,
)

MEND_MIN_PER_KG = 12 / 14
"""Stick-blending a split sauce back, a litre at a time: 14 kg in about 12 min; common practice."""

CHOKED_K = 12.0
CHOKED_MIN = 6.0
"""A door turned out of the draught costs a pit 12 °C in 5 min, its load 6 min; common practice."""

SAUCE_C = 63.0


def cure(cook: Cook, wish: AskCure, now: datetime) -> Decision:
    """Return what mends it, in the order of doing."""
    match wish.trouble:
        case "sauce":
            return _sauce(cook, now)
        case "smoke":
            return _smoke(cook, wish.station)
        case "ember":
            return _ember(cook)
        case "split":
            line = say("Say it with the number: '+40, 7 veg' or 'now 360, 45 veg'.")
            return Decision(answer=Answer((line,)))
        case _:
            raise UnknownNameError("trouble", wish.trouble, "sauce, smoke")


def _ember(cook: Cook) -> Decision:
    """Stop and wet it before anything else; everybody hears it, for anybody may be nearest."""
    lines = (
        say("STOP. Water on it, stamp it out, fold the sides away from the wind."),
        say("Extinguisher to hand, everybody clear. If it takes hold: 'SOS'."),
    )
    told = Notice(f"ember/{cook.seq}", ("room",), lines, Sound.ONCE)
    plates = say("Food and plates: no change.")
    return Decision(answer=Answer((*lines, plates)), notices=(told,))


def _sauce(cook: Cook, now: datetime) -> Decision:
    """Off the heat, a little cold water, blended back by the litre; kept hot."""
    kg = _sauce_kg(cook)
    first = say("Off heat. A splash of cold water, stick-blend 1 L at a time, whisk the rest in.")
    numbers: tuple[Number, ...] = ()
    lines: list[Line] = [first]
    if kg:
        minutes = round(kg * MEND_MIN_PER_KG)
        numbers = (Number("mend", minutes, "min"), Number("sauce", round(kg, 1), "kg"))
        lines.append(say("Keep it ≥{hot}. {kg}: about {minutes}.", hot=Qty(SAUCE_C, "°C", 0),
                         kg=Qty(round(kg, 1), "kg"), minutes=Qty(minutes, "min", 0)))  # fmt: skip
    else:
        lines.append(say("Keep it ≥{hot}.", hot=Qty(SAUCE_C, "°C", 0)))
    if cook.plates_at is not None and cook.plates_at > now:
        lines.append(say("Lanes can open {clock} without it.", clock=Clock(cook.plates_at)))
    return Decision(answer=Answer(tuple(lines), numbers=numbers))


def _sauce_kg(cook: Cook) -> float | None:
    """Return how much sauce there is, from the plan's list of what is made."""
    if cook.cards is None or cook.plan is None:
        return None
    sauces = {d.id for d in cook.cards.dishes if _is_sauce(d)}
    made = [m.qty for m in cook.plan.make if m.item in sauces and m.unit in {"kg", "L"}]
    names = {d.name for d in cook.cards.dishes if d.id in sauces}
    made = made or [m.qty for m in cook.plan.make if m.item in names and m.unit in {"kg", "L"}]
    return made[0] if made else None


def _is_sauce(dish: Dish) -> bool:
    return any(word in f"{dish.id} {dish.name}".casefold() for word in ("sauce", "salsa", "gravy"))


def _smoke(cook: Cook, station: str) -> Decision:
    """Turn the door or move a screen, never choke the vents; what that costs the load on it."""
    pit = _pit(cook, station)
    first = say("Turn {pit}'s door away from the wind, or move a screen. Don't choke the vents.",
                pit=Label(pit))  # fmt: skip
    on = [
        run for run in plan_of(cook).runs()
        if (cook.job(run.key).station or run.station) == pit
        and cook.phase(run.key) is Phase.RUNNING
    ]  # fmt: skip
    second = say("A vent half shut: {pit} -{fall} in 5 min, the load +{more}.", pit=Label(pit),
                 fall=Qty(CHOKED_K, "°C", 0), more=Qty(CHOKED_MIN, "min", 0))  # fmt: skip
    third = (say("{load} is on it: read the pit after.", load=Label(on[0].unit)),) if on else ()
    return Decision(answer=Answer((first, second, *third)))


def _pit(cook: Cook, station: str) -> str:
    stations = cook.cards.kit.stations if cook.cards else ()
    pits = [s.id for s in stations if s.kind is StationKind.SMOKER]
    if station in pits:
        return station
    burning = [
        cook.job(r.key).station or r.station or ""
        for r in plan_of(cook).runs()
        if cook.phase(r.key) is Phase.RUNNING
    ]
    lit = [p for p in pits if p in burning] or pits
    if not lit:
        raise UnknownNameError("pit", station, ", ".join(s.id for s in stations))
    return lit[0]
