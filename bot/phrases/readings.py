"""Temperatures: of a load, a fire, a box. The scale is told by what can be, else it is asked."""

from __future__ import annotations

from bot.phrases.about import is_person, which
from bot.phrases.heard import Asked, Heard, Unclear, Wished
from bot.phrases.said import Said
from bot.phrases.subjects import CONTAINERS, Named, all_of, named
from core.facts import GiveReading
from core.model import Label, Place, Reading, say
from core.words import Degrees, Num, Quantity, Token, Word, core_temperature_c, pit_temperature_c

_FIRES = frozenset({"smoker", "grill", "oven", "griddle", "ring"})
_STAGE = {"smoker": "smoke", "grill": "sear", "griddle": "sear"}
_PLACES = {
    "core": Place.CORE,
    "air": Place.AIR,
    "food": Place.TUB,
    "tub": Place.TUB,
    "surface": Place.SURFACE,
}
_PASSING = frozenset(
    {"temp", "reads", "mark", "probe", "at", "now", "a", "ok", "cold", "hot", "check"}
)
_COLD_C = 20.0
DEGREES = frozenset({"°C", "°F", "°"})


def read_reading(line: Said) -> Heard | None:
    """Return a temperature that was read, a question about it, or None when the line is none."""
    if line.is_question or line.is_doubtful or line.has("left", "left_out", "people", "late"):
        return None
    things = tuple(t for t in named(line) if t.sort != "step")
    numbers = _numbers(line, things)
    if len(numbers) != 1 or not _nothing_else(line, things) or _is_sold_out(line):
        return None
    place = next(
        (_PLACES[c] for c in line.concepts if c in _PLACES and not _names(things, c)), None
    )
    asked = which(line, things)
    if asked is not None:
        return asked
    about = _about(things)
    if about is not None and about.sort == "dish" and line.has("ok"):
        return Asked(line.text)  # 'chicken 61 ok' asks for a verdict
    if about is None:
        return _of_nothing_named(line, numbers[0], place, things)
    return _reading(line, about, numbers[0], place)


def _is_sold_out(line: Said) -> bool:
    """Tell whether it says '86 lamb': there is none left, and nothing was measured."""
    first = line.tokens[0] if line.tokens else None
    return isinstance(first, Num) and first.text == "86"


def _names(things: tuple[Named, ...], concept: str) -> bool:
    """Tell whether a place word is spent on naming a station: 'tub 2'."""
    return concept == "tub" and any(t.sort == "station" and t.kind == "tub" for t in things)


def _numbers(line: Said, things: tuple[Named, ...]) -> list[Num | Quantity]:
    spent = frozenset[int]().union(*(t.used for t in things))
    return [
        w
        for i, w in enumerate(line.words)
        if i not in spent
        and ((isinstance(w, Num) and not w.alternatives)
             or (isinstance(w, Quantity) and w.unit in DEGREES))
    ]  # fmt: skip


def _nothing_else(line: Said, things: tuple[Named, ...]) -> bool:
    """Tell whether every word is the thing, the number, the place, or nobody's business."""
    spent = frozenset[int]().union(*(t.used for t in things))
    return all(_passes(w, line) for i, w in enumerate(line.words) if i not in spent)


def _passes(token: Token, line: Said) -> bool:
    if isinstance(token, Word):
        known = token.canonical in _PASSING or token.canonical in _PLACES
        return known or token.canonical in CONTAINERS or is_person(token, line)
    return isinstance(token, Num) or (isinstance(token, Quantity) and token.unit in DEGREES)


def _about(things: tuple[Named, ...]) -> Named | None:
    """Return the one thing the reading is of; None for nothing or too many."""
    exact = [t for t in things if t.sort in {"unit", "load", "station"}]
    dishes = [t for t in things if t.sort == "dish"]
    if len(exact) == 1:
        return exact[0]
    return dishes[0] if len(dishes) == 1 and not exact else None


def _of_nothing_named(
    line: Said, number: Num | Quantity, place: Place | None, things: tuple[Named, ...]
) -> Heard | None:
    """Read 'temp 7' and 'core 47', where what was measured is left out."""
    if things or (line.words == (number,) and isinstance(number, Num)):
        return Asked(line.text) if any(t.sort == "kind" for t in things) else None
    said_so = line.slash in {"temp", "check"} or line.has("temp", "core", "air", "food")
    warm = number.value >= _COLD_C or place is Place.CORE
    if not said_so and not isinstance(number, Quantity):
        return None
    if warm and place is not Place.AIR:
        return _reading(line, None, number, place or Place.CORE)
    boxes = all_of(line.ear, "cold_box")
    if place is not None and not boxes:
        return Asked(line.text)
    names = boxes[:4] if place is not None else boxes[:2]
    places = (say("air"), say("food")) if place is None else (say("{place}", place=place.value),)
    picks = tuple(say("{box} {place}", box=Label(b), place=p) for b in names for p in places)
    return Unclear(say("Air or food, and which box?"), picks or (say("air"), say("food")))


def _reading(
    line: Said, about: Named | None, number: Num | Quantity, place: Place | None
) -> Heard | None:
    fire = about is not None and about.sort == "station" and _is_fire(about)
    where = place or _usual_place(about)
    unit = number.unit if isinstance(number, Quantity) and number.unit != "°" else None
    stage = _STAGE.get(about.kind) if about else None
    degrees = (
        pit_temperature_c(number.value, unit, stage) if fire and where is Place.PIT
        else core_temperature_c(number.value, unit)
    )  # fmt: skip
    if degrees is None and about is not None and about.sort in {"unit", "load"}:
        raw = Reading(number.value, where, line.at or line.ear.now, line.ear.who, about.name)
        return Wished((GiveReading(raw),), line.at)  # refused by its number, not as a riddle
    if degrees is None:
        return Asked(line.text)
    if where is Place.PIT and stage is None and not degrees.sure:
        return Unclear(say("°C or °F?"), (say("°C"), say("°F")))
    return Wished((GiveReading(_as_reading(line, about, degrees, where)),), line.at)


def _is_fire(about: Named) -> bool:
    return about.kind in _FIRES


def _usual_place(about: Named | None) -> Place:
    """Return where a thermometer is when nobody says: a box's shows its air, never its food."""
    if about is None or about.sort != "station":
        return Place.CORE
    if _is_fire(about):
        return Place.PIT
    return Place.TUB if about.kind == "tub" else Place.AIR


def _as_reading(line: Said, about: Named | None, degrees: Degrees, where: Place) -> Reading:
    at = line.at or line.ear.now
    return Reading(
        round(degrees.celsius, 1), where, at, line.ear.who, about=about.name if about else ""
    )
