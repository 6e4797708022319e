"""Charcoal, gas, pellets; ice, water and plates for the crowd."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from core.ask.load_topics import size_cm
from core.ask.said import said
from core.ask.tell import SUM, THUMB, count, figures, number, span, volume, weight, weights
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Line, Number, Qty, Span, say
from core.safety.cooling import ice_kg
from core.scaling.fuel import bottle_hours, charcoal_for, pellets_kg, splits_kg
from core.scaling.ice import (
    drinking_water_l,
    drinks_ice_kg,
    ice_per_box_kg,
    ice_to_cool_kg,
    serviceware,
    washing_water_l,
)
from core.tables.quantities import row, source_of
from core.words import Ratio, Token

_FOOD_FRIDGE_C = 5.0
_OPEN_AIR = 0.5


@dataclass(frozen=True, slots=True)
class CharcoalQuestion:
    """Charcoal for hours on a grate of so many square metres."""

    grate_m2: float
    hours: float
    sides: Line


def read_charcoal(
    tokens: Sequence[Token], text: str, context: AskContext
) -> CharcoalQuestion | None:
    """Read 'carbon para 3h parrilla 1,2x0,6'; without a size, the event's own grills."""
    line = said(tokens, text, context)
    hours = line.only("time")
    if not line.has("charcoal", "embers") or hours is None:
        return None
    sizes = line.sizes()
    if sizes:
        size = size_cm(sizes[0])
        grates = line.count_of("grill", "grate") or line.times() or 1
        sides = say("{a} x {b}", a=Qty(size.width_cm / 100, ""), b=Qty(size.depth_cm / 100, "m"))
        area = size.width_cm * size.depth_cm / 1e4 * grates
        return CharcoalQuestion(area, hours.base / 60, sides)
    grills = [s for s in context.cards.kit.stations if s.kind == "grill"] if context.cards else []
    area = sum(s.size.width_cm * s.size.depth_cm / 1e4 for s in grills if s.size)
    if not area:
        return None
    sides = say("the event's grills, {area}", area=Qty(figures(area), "m²"))
    return CharcoalQuestion(area, hours.base / 60, sides)


def answer_charcoal(question: CharcoalQuestion, _: AskContext) -> Answer:
    """Answer in whole kilograms and sacks, and what wind makes of it."""
    fire = charcoal_for(question.grate_m2, question.hours)
    sack = row("rules", "fire", "bag of charcoal")
    sacks = ceil(fire.kg / sack["value"] - 0.02)
    total, windy = (
        Qty(round(fire.kg), "kg"),
        Span(round(fire.windy_low_kg), round(fire.windy_high_kg), "kg"),
    )
    reading = say(
        "{hours} on {sides}", hours=Qty(figures(question.hours), "h"), sides=question.sides
    )
    lines = (
        say(
            "{total}: take {sacks} of {size}.",
            total=total,
            sacks=count(sacks, "bags"),
            size=Qty(sack["value"], "kg"),
        ),
        say(
            "{start} to start + {hourly} for each hour after, +20 %. In wind {windy}.",
            start=Qty(round(fire.start_kg), "kg"),
            hourly=Qty(round(fire.each_hour_kg), "kg"),
            windy=windy,
        ),
        say(
            "Read as {reading}. Never under a roof or in a tent: it gives off CO.", reading=reading
        ),
    )
    return Answer(
        lines,
        numbers=(number("charcoal", total), number("in_wind", windy)),
        read_as=reading,
        sources=(source_of("rules", row("rules", "fire", "charcoal start")),),
    )


@dataclass(frozen=True, slots=True)
class BottleQuestion:
    """So much gas at so much power."""

    gas_kg: float
    power_kw: float


def read_bottle(tokens: Sequence[Token], text: str, context: AskContext) -> BottleQuestion | None:
    """Read '9kg bottle 12kW how long'."""
    line = said(tokens, text, context)
    gas, power = line.only("mass"), line.only("power")
    if gas is None or power is None:
        return None
    if not (line.has("gas", "how_long", "left", "burner") or line.says("bottle", "cylinder")):
        return None
    return BottleQuestion(gas.base, power.base)


def answer_bottle(question: BottleQuestion, _: AskContext) -> Answer:
    """Answer with the hours to plan with, and the hours on paper."""
    found = bottle_hours(question.gas_kg, question.power_kw)
    plan, paper = Qty(figures(found.plan_h, 2), "h"), Qty(figures(found.paper_h), "h")
    reading = say(
        "{gas} of propane at {power}",
        gas=weight(question.gas_kg),
        power=Qty(question.power_kw, "kW"),
    )
    lines = (
        say(
            "About {plan} to plan with ({paper} on paper, {rate}/h).",
            plan=plan,
            paper=paper,
            rate=Qty(figures(found.kg_per_h, 2), "kg"),
        ),
        say(
            "Read as {reading}. A cold half-empty bottle starves a big burner: swap early.",
            reading=reading,
        ),
    )
    return Answer(
        lines,
        numbers=(number("plan", plan), number("paper", paper)),
        read_as=reading,
        sources=(source_of("rules", row("rules", "fire", "propane use")),),
    )


@dataclass(frozen=True, slots=True)
class BurnQuestion:
    """Pellets or split wood for so many hours."""

    wood: bool
    hours: float


def read_burn(tokens: Sequence[Token], text: str, context: AskContext) -> BurnQuestion | None:
    """Read 'pellets for 6 h', 'wood 5 hours'."""
    line = said(tokens, text, context)
    hours = line.only("time")
    if hours is None or not line.has("pellets", "wood") or line.has("charcoal", "late"):
        return None
    return BurnQuestion(line.has("wood"), hours.base / 60)


def answer_burn(question: BurnQuestion, _: AskContext) -> Answer:
    """Answer with a range, and what wind and cold put on top."""
    low, high = splits_kg(question.hours) if question.wood else pellets_kg(question.hours)
    name = "split wood" if question.wood else "pellets"
    total = weights(low, high)
    lines = [say("{total} {fuel}, smoking.", total=total, fuel=name)]
    numbers = [number("fuel", total)]
    if question.wood:
        big = weights(*splits_kg(question.hours, trailer=True))
        lines = [say("{total} in a small pit, {big} in a trailer pit.", total=total, big=big)]
        numbers.append(number("trailer", big))
    reading = say("{fuel} for {hours}", fuel=name, hours=Qty(figures(question.hours), "h"))
    lines.append(
        say(
            "Read as {reading}. Wind or below 10 °C: a third more; near freezing double.",
            reading=reading,
        )
    )
    return Answer(tuple(lines), numbers=tuple(numbers), read_as=reading, sources=(THUMB,))


@dataclass(frozen=True, slots=True)
class IceQuestion:
    """Ice to cool food, for drinks of so many, or for cold boxes of so many litres."""

    food_kg: float | None
    from_c: float
    to_c: float
    guests: int | None
    boxes_l: float | None
    hours: float


def read_ice(tokens: Sequence[Token], text: str, context: AskContext) -> IceQuestion | None:
    """Read 'ice to cool 20 kg beans from 60 to 5', 'hielo 4 cajas 50 L 8 h'."""
    line = said(tokens, text, context)
    if not line.has("ice"):
        return None
    food, box, hours = line.only("mass"), line.only("volume"), line.only("time")
    start, end = _from_to(tokens)
    boxes = line.count_of("box", "cold_box") or 1
    guests = line.people() or (context.to_feed if food is None and box is None else None)
    if food is None and box is None and guests is None:
        return None
    return IceQuestion(
        food.base if food else None,
        start,
        end,
        guests,
        box.base * boxes if box else None,
        hours.base / 60 if hours else 8.0,
    )


def _from_to(tokens: Sequence[Token]) -> tuple[float, float]:
    """Return from and to, °C; unsaid, from the boil to the fridge."""
    ratios = [(t.a, t.b) for t in tokens if isinstance(t, Ratio) and t.a > t.b]
    degrees = [getattr(t, "value", 0.0) for t in tokens if getattr(t, "unit", "") in {"°C", "°"}]
    if ratios:
        return ratios[0]
    if len(degrees) == 2:
        return degrees[0], degrees[1]
    if len(degrees) == 1:
        return degrees[0], _FOOD_FRIDGE_C
    return BOILING_C, _FOOD_FRIDGE_C


BOILING_C = 100.0


def answer_ice(question: IceQuestion, _: AskContext) -> Answer:
    """Answer with kilograms of ice."""
    if question.food_kg is not None:
        return _ice_for_food(question, question.food_kg)
    if question.boxes_l is not None:
        ice = weight(ice_per_box_kg(question.boxes_l, question.hours))
        reading = say(
            "{litres} of cold box for {hours}",
            litres=volume(question.boxes_l),
            hours=Qty(figures(question.hours), "h"),
        )
        rest = say(
            "Read as {reading}, food going in at 5 °C or below, 33 °C outside.", reading=reading
        )
        return Answer(
            (say("{ice} of ice, 30 % spare in it.", ice=ice), rest),
            numbers=(number("ice", ice),),
            read_as=reading,
            sources=(THUMB,),
        )
    guests = question.guests or 0
    total = weights(*drinks_ice_kg(guests))
    reading = say("ice in and around the drinks of {n}", n=count(guests, "people"))
    return Answer(
        (
            say("{total} of ice. Outdoors in heat, double.", total=total),
            say("Read as {reading}.", reading=reading),
        ),
        numbers=(number("ice", total),),
        read_as=reading,
        sources=(THUMB,),
    )


def _ice_for_food(q: IceQuestion, food_kg: float) -> Answer:
    from_the_boil = (q.from_c, q.to_c) == (BOILING_C, _FOOD_FRIDGE_C)
    melted = ice_to_cool_kg(food_kg, q.from_c, q.to_c)
    if from_the_boil:  # one rule with the cooling of food: its own weight and half again
        melted = ice_kg(food_kg) / (1 + _OPEN_AIR)
    bring = weight(melted * (1 + _OPEN_AIR))
    reading = say(
        "{food} from {start} to {end}",
        food=weight(food_kg),
        start=Qty(q.from_c, "°C"),
        end=Qty(q.to_c, "°C"),
    )
    lines = (
        say(
            "Bring {bring} of ice: {melted} melts, half again for losses.",
            bring=bring,
            melted=weight(melted),
        ),
        say(
            "Read as {reading}. Shallow, 4 cm at most, stirred; the cooling clock still rules.",
            reading=reading,
        ),
    )
    numbers = (number("ice", bring), number("melted", weight(melted)))
    return Answer(lines, numbers=numbers, read_as=reading, sources=(SUM, THUMB))


@dataclass(frozen=True, slots=True)
class SupplyQuestion:
    """Water or serviceware for so many over so many hours."""

    what: str
    guests: int
    crew: int
    hours: float


def read_supply(tokens: Sequence[Token], text: str, context: AskContext) -> SupplyQuestion | None:
    """Read 'water for 320 ppl 4 h', 'handwash water 320', 'napkins for 320'."""
    line = said(tokens, text, context)
    what = _supply(line.has("water"), line.has("wash") or line.says("handwash", "washing", "manos"))
    if line.says(
        "napkins",
        "cutlery",
        "cups",
        "servilletas",
        "vasos",
        "serviceware",
        "how many plates",
        "cuantos platos",
    ):
        what = "serviceware"
    if what is None or line.amounts("mass") or line.amounts("percent") or line.ratio():
        return None
    bare = [value for _, value in line.bare()]
    guests = line.crowd() or (int(bare[0]) if len(bare) == 1 else context.to_feed)
    if guests is None or line.amounts("volume"):
        return None
    hours = line.only("time")
    crew = len(context.cards.crew) if context.cards else 0
    return SupplyQuestion(what, guests, crew, hours.base / 60 if hours else 4.0)


def _supply(water: bool, wash: bool) -> str | None:
    if wash:
        return "wash"
    return "drink" if water else None


def answer_supply(question: SupplyQuestion, _: AskContext) -> Answer:
    """Answer with litres, or with pieces of each thing."""
    q = question
    reading = say(
        "{guests}, {hours}", guests=count(q.guests, "people"), hours=Qty(figures(q.hours), "h")
    )
    if q.what == "serviceware":
        found = serviceware(q.guests, q.hours)
        line = say(
            "{plates}, {sets} cutlery sets, {napkins} napkins, {cups} cups.",
            plates=count(found["plates"], "plates"),
            sets=count(found["cutlery sets"]),
            napkins=count(found["napkins"]),
            cups=count(found["cups"]),
        )
        numbers = tuple(Number(k.replace(" ", "_"), v, "count") for k, v in found.items())
    elif q.what == "wash":
        low, high = washing_water_l(q.guests)
        total = span(volume(low), volume(high))
        line = say("{total} for hands and washing up, as much room for waste.", total=total)
        numbers = (number("water", total),)
    else:
        litres = volume(drinking_water_l(q.crew, q.guests, q.hours))
        line = say("{litres} to drink; above 30 °C double for the guests.", litres=litres)
        numbers = (number("water", litres),)
    return Answer(
        (line, say("Read as {reading}.", reading=reading)),
        numbers=numbers,
        read_as=reading,
        sources=(THUMB,),
    )


TOPICS = (
    Topic("charcoal", Rank.EXACT, read_charcoal, answer_charcoal),
    Topic("gas bottle", Rank.EXACT, read_bottle, answer_bottle),
    Topic("pellets and wood", Rank.EXACT, read_burn, answer_burn),
    Topic("ice", Rank.EXACT, read_ice, answer_ice),
    Topic("water and plates", Rank.LOOSE, read_supply, answer_supply),
)
