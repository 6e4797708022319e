"""Cold asked about: how long to thaw, how long a box stays cold, how deep a pan may be to cool."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from core.ask.safety_said import temps
from core.ask.said import said
from core.ask.tell import figures
from core.ask.topic import AskContext
from core.model import Answer, Clock, Line, Number, Qty, Span, say
from core.tables.heat import heat_row, heat_source
from core.words import Token

if TYPE_CHECKING:
    from core.heat.cold import Thaw

# ------------------------------------------------------------------ thawing

_WHOLE = ("turkey", "bird", "chicken", "shoulder", "brisket", "butt", "whole", "entero", "entera",
          "pavo", "pollo", "paleta")  # fmt: skip
_NO_BENCH = ("counter", "bench", "room temperature", "microwave", "encimera", "ambiente",
             "microondas", "safe", "refreeze")  # fmt: skip


@dataclass(frozen=True, slots=True)
class ThawQuestion:
    """Something frozen: one piece or packs, kg where said, and when it must be on."""

    piece_kg: float | None
    whole: bool
    half: bool


def read_thaw(tokens: Sequence[Token], text: str, _: AskContext) -> ThawQuestion | None:
    """Read 'meat still half frozen smoke at 11', 'how long to thaw 5 kg turkey'."""
    line = said(tokens, text)
    if not line.has("frozen", "thaw") or line.says(*_NO_BENCH):
        return None
    still = line.says("still", "half", "todavia", "aun", "medio", "sigue", "siguen")
    asks = line.has("how_long", "when", "how", "thaw") or still
    if not asks or temps(line) or line.has("left_out", "brine"):
        return None
    mass = line.only("mass")
    return ThawQuestion(mass.base if mass else None, line.says(*_WHOLE), still)


def answer_thaw(question: ThawQuestion, context: AskContext) -> Answer:
    """Answer with cold water, the fridge, and what to do with what is still icy inside."""
    from core.heat.cold import thaw_in_fridge, thaw_in_water

    block = float(heat_row("rules", "rules", "block")["kg"])
    whole_kg = question.piece_kg if question.whole else None
    water = thaw_in_water(whole_kg or block, single_layer=False)
    layer = thaw_in_water(block, single_layer=True)
    cold = heat_row("rules", "rules", "frozen on the fire")
    numbers = [Number("water", water.span_min.high, "min", water.span_min.low, water.span_min.high)]
    if whole_kg is not None:
        fridge = thaw_in_fridge(whole_kg).span_min
        days = Span(figures(fridge.low / 1440, 2), figures(fridge.high / 1440, 2), "day")
        first = say(
            "Fridge {days}. In cold water {water}, sealed, changed every {change}.",
            days=days,
            water=_long(water.span_min),
            change=Qty(water.change_min or 30, "min", 0),
        )
        numbers.append(Number("fridge", sum((fridge.low, fridge.high)) / 120, "h",
                              fridge.low / 60, fridge.high / 60))  # fmt: skip
    else:
        first = _in_water(water, layer, context.now)
        numbers.append(Number("single_layer", layer.span_min.high, "min", layer.span_min.low,
                              layer.span_min.high))  # fmt: skip
    second = say(
        "On the fire at -1 °C: +{more}, pull by probe. Never brine it frozen; cook it today.",
        more=Qty(float(cold["min_at_minus_1"]), "min", 0),
    )
    third = say("Never on the bench: cold water or the fridge only, 5 °C or below.")
    return Answer(
        (first, second, third),
        numbers=tuple(numbers),
        read_as=say("frozen meat to be thawed"),
        sources=(water.source,),
    )


def _long(span: Span) -> Span:
    """Return minutes as hours where they are many."""
    if span.high < 180:
        return span
    return Span(figures(span.low / 60, 2), figures(span.high / 60, 2), "h")


def _in_water(block: Thaw, layer: Thaw, now: datetime | None) -> Line:
    """Return what to do with packs now, and by when they are thawed at the latest."""
    change = Qty(block.change_min or 30, "min", 0)
    if now is None:
        return say(
            "Sealed bags in cold water now, packs broken apart, water changed every {change}:"
            " one layer {layer}, blocks {block}.",
            change=change,
            layer=layer.span_min,
            block=_long(block.span_min),
        )
    first, last = (now + timedelta(minutes=t.span_min.high) for t in (layer, block))
    return say(
        "Sealed bags in cold water now, packs broken apart, water changed every {change}:"
        " one layer {layer} (by {first}), blocks {block} (by {last}).",
        change=change,
        layer=layer.span_min,
        first=Clock(first),
        block=_long(block.span_min),
        last=Clock(last),
    )


# ------------------------------------------------------------------ a cold box

_NO_ICE = ("no ice", "without ice", "out of ice", "ice gone", "sin hielo", "no queda hielo")


@dataclass(frozen=True, slots=True)
class BoxQuestion:
    """How long a cold box stays cold, with or without ice, in the sun or not."""

    ice: bool
    sun: bool


def read_box(tokens: Sequence[Token], text: str, _: AskContext) -> BoxQuestion | None:
    """Read 'how long does a cold box stay cold without ice', 'cuanto aguanta la caja sin hielo'."""
    line = said(tokens, text)
    if not line.has("box", "cold_box") or not (
        line.has("how_long") or line.says("aguanta", "stay")
    ):
        return None
    if line.amounts("volume") or line.amounts("mass") or temps(line) or line.has("hot_box"):
        return None
    return BoxQuestion(not line.says(*_NO_ICE), line.says("sun", "sol"))


def answer_box(question: BoxQuestion, _: AskContext) -> Answer:
    """Answer with the rule of thumb, and that a probe in a tub decides."""
    from core.heat.cold import box_stays_cold_h, box_warms_min

    probe = say("A probe in the middle of a tub decides: over 5 °C the clock runs.")
    numbers: tuple[Number, ...]
    if question.ice:
        on, top = (box_stays_cold_h(ice, question.sun) for ice in (True, False))
        first = say("{on} with ice touching the food, {top} with pads on top only.", on=on, top=top)
        numbers = (Number("ice_on_food", (on.low + on.high) / 2, "h", on.low, on.high),
                   Number("pads", (top.low + top.high) / 2, "h", top.low, top.high))  # fmt: skip
        row = heat_row("rules", "rules", "box with ice on food")
    else:
        span = box_warms_min(5.0, 8.0, sun=question.sun)
        first = say("5 to 8 °C in {span}, the top layer first. Ice in now.", span=span)
        numbers = (Number("warms", (span.low + span.high) / 2, "min", span.low, span.high),)
        row = heat_row("rules", "rules", "box without ice")
    reading = say("50 L cold box, 30 °C outside, lid opened every 10 min")
    return Answer(
        (first, probe, say("Read as {reading}.", reading=reading)),
        numbers=numbers,
        read_as=reading,
        sources=(heat_source("rules", row),),
    )


# ------------------------------------------------------------------ how deep a pan may be

_DEEP = ("deep", "depth", "hondo", "honda", "de fondo", "profundidad", "de alto")
_FRIDGE_C, _ROOM_C, _HOT_C = 4.0, 20.0, 90.0


@dataclass(frozen=True, slots=True)
class PanQuestion:
    """Hot food so deep in a pan: on ice or not, stirred or not, in a fridge or a room."""

    depth_cm: float
    ice: bool
    stirred: bool
    air_c: float


def read_pan(tokens: Sequence[Token], text: str, _: AskContext) -> PanQuestion | None:
    """Read 'beans 10 cm deep on ice cool in time', 'enfriar 8 cm de fondo en la camara'."""
    line = said(tokens, text)
    depth = line.only("length")
    if depth is None or not line.says(*_DEEP) or not (line.has("chill", "ice", "fridge")):
        return None
    if line.amounts("mass") or temps(line):
        return None
    stirred = line.says("stir", "stirred", "stirring", "remover", "removido", "removiendo")
    air = _FRIDGE_C if line.has("fridge", "cold_box") else _ROOM_C
    return PanQuestion(depth.base, line.has("ice"), stirred, air)


def answer_pan(question: PanQuestion, _: AskContext) -> Answer:
    """Answer with the span to 21 °C; a forecast clears nothing, so there is no verdict."""
    from core.heat.cooling import cooling_forecast

    made = cooling_forecast(
        question.depth_cm, question.ice, question.stirred, _HOT_C, question.air_c
    )
    depth, to_21 = Qty(question.depth_cm, "cm"), made.to_21
    numbers = [Number("depth", question.depth_cm, "cm")]
    if to_21.fast is None or to_21.slow is None or to_21.likely is None:
        first = say("{depth} deep, like this: it may never be down to 5 °C.", depth=depth)
    else:
        span = Span(figures(to_21.fast / 60, 2), figures(to_21.slow / 60, 2), "h")
        numbers.append(Number("to_21", figures(to_21.likely / 60, 2), "h", span.low, span.high))
        first = say("{depth} deep: 57 to 21 °C in {span}.", depth=depth, span=span)
    second = {
        True: say("It should make 21 °C in 2 h and 5 °C in 6 h. The probe decides."),
        None: say("That may miss 21 °C in 2 h or 5 °C in 6 h. Shallower, on ice, stirred."),
        False: say("Too deep: it misses 21 °C in 2 h or 5 °C in 6 h. 4 cm, on ice, stirred."),
    }[made.two_stage]
    reading = say("{depth} of thick food in a pan", depth=depth)
    return Answer(
        (first, second, say("Read as {reading}. Only a reading clears it.", reading=reading)),
        numbers=tuple(numbers),
        read_as=reading,
        sources=(made.source,),
    )
