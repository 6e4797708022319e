"""Fire and the site asked about: how far, coals in a tent; and raw egg and red beans."""

from __future__ import annotations

from core.ask.asked_hazards import Ruled
from core.ask.safety_said import phrases, told_so
from core.ask.said import Said
from core.ask.topic import AskContext
from core.model import Number
from core.safety.kitchen import enclosed_finding, raw_egg_finding, red_beans_finding
from core.safety.site import Near, clearance_verdict

_NEAR: tuple[tuple[tuple[str, ...], Near], ...] = (
    (phrases("tent, gazebo, canopy, carpa, toldo"), Near.TENT),
    (phrases("booth, puesto"), Near.BOOTH),
    (
        phrases("other grill, other cooking, vehicle, vehicles, car, van, coche, furgoneta"),
        Near.OTHER_COOKING,
    ),
    (
        phrases(
            "wall, wooden, fence, building, house, barn, hedge, tree, trees, pared, madera,"
            " edificio, valla, granero, combustible, seto, arbol"
        ),
        Near.BUILDING,
    ),
)
_FIRE = phrases("grill, charcoal, embers, pit, ring, wood, griddle, oven, gas")


def read_clearance(line: Said, context: AskContext) -> Ruled | None:
    """Read 'charcoal grill 8 ft from a wooden wall', 'parrilla a 2 m de la carpa'."""
    del context
    length = line.only("length")
    ash = line.says("ash", "ashes", "ceniza", "cenizas")
    if length is None or not (line.has(*_FIRE) or line.says("fire", "flame", "fuego") or ash):
        return None
    near = next((near for words, near in _NEAR if line.says(*words)), None)
    if near is None and not (ash and line.has("wood", "tent")):
        return None
    if ash:
        metal = told_so(line, "metal", "lidded", "lid", "tapa")
        near = Near.ASH if metal else Near.LOOSE_ASH
    found = clearance_verdict(near or Near.BUILDING, length.base / 100)
    return Ruled(found, numbers=(Number("distance", length.value, length.unit),))


_INSIDE = phrases(
    "in the tent, in a tent, in tent, inside, indoors, in the van, in a van, in van, in the garage,"
    " garage, trailer, en la carpa, dentro, en la furgoneta, en el garaje, garaje, en carpa"
)
_BURNS = ("charcoal", "embers", "grill", "pit", "ring", "wood", "gas", "griddle")


def read_enclosed(line: Said, context: AskContext) -> Ruled | None:
    """Read 'charcoal in the van ok?', 'barbacoa dentro de la carpa'."""
    del context
    if not line.has(*_BURNS) or not line.says(*_INSIDE):
        return None
    if line.amounts("length") or line.amounts("mass") or line.amounts("time"):
        return None
    return Ruled(enclosed_finding())


def read_red_beans(line: Said, context: AskContext) -> Ruled | None:
    """Read 'kidney beans slow cooked in smoker ok?', 'alubias rojas al ahumador'."""
    del context
    red = line.says("kidney beans", "kidney bean", "red beans", "alubias rojas", "judias rojas",
                    "frijoles rojos", "red kidney beans")  # fmt: skip
    slow = line.has("smoke", "pit", "oven") or line.says(
        "slow", "slow cooked", "raw", "soaked", "soak", "ok", "safe", "lento", "crudas", "remojo"
    )
    if not red or not slow or line.amounts("mass") or line.people():
        return None
    return Ruled(red_beans_finding())


def read_raw_egg(line: Said, context: AskContext) -> Ruled | None:
    """Read 'mayo homemade raw egg ok?', 'mayonesa casera con huevo crudo'."""
    event = context.cards.event if context.cards else None
    home = line.says("homemade", "home made", "casera", "raw egg", "raw eggs", "raw yolk",
                     "raw yolks", "huevo crudo", "huevos crudos", "yema cruda")  # fmt: skip
    egg = line.has("mayo", "egg", "dressing")
    if not (home and egg) or line.amounts("mass") or line.amounts("volume"):
        return None
    if line.amounts("time") or line.has("core", "temp", "done"):
        return None
    weak = bool(event and any(guest.vulnerable for guest in event.guests))
    return Ruled(raw_egg_finding(weak=weak))
