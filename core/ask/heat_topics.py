"""Quick questions of heat: the stall, thickness, thawing, carry-over, a fire coming back, boxes.

They look after safety, as a core with a food is first of all a question of safety, and before the
exact topics: 'twice as thick' and 'half frozen' are no doubled recipes. What a card or a reading
knows is used; the rest is practice, and said to be. The engines are fetched when they are needed:
most questions need no numpy.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from core.ask.asked_cold import (
    answer_box,
    answer_pan,
    answer_thaw,
    read_box,
    read_pan,
    read_thaw,
)
from core.ask.asked_setback import answer_set_back, read_set_back
from core.ask.asked_temper import answer_temper, read_temper
from core.ask.names import matching
from core.ask.safety_said import Temp, spans_min, temps
from core.ask.said import Said, said
from core.ask.tell import figures
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Clock, Dish, Label, Line, Number, Place, Qty, Source, Span, Step, say
from core.tables.heat import heat_row, heat_source
from core.words import Token

# ------------------------------------------------------------------ the stall

_STALLS = frozenset({"shoulder", "brisket", "pork", "meat"})
_STUCK = ("stuck", "stall", "stalled", "stalling", "plateau", "not moving", "wont move",
          "not rising", "parado", "parada", "atascado", "atascada", "estancado", "estancada",
          "clavado", "clavada", "no sube", "meseta")  # fmt: skip


@dataclass(frozen=True, slots=True)
class StallQuestion:
    """A core that has not moved, for so many minutes if that was said."""

    core: Temp | None
    minutes: float | None


def read_stall(tokens: Sequence[Token], text: str, _: AskContext) -> StallQuestion | None:
    """Read 'butt stuck at 70 for 2h help', 'la paleta lleva 2 h parada en 70'."""
    line = said(tokens, text)
    if not line.says(*_STUCK) or not (line.has(*_STALLS) or line.says("stall", "butt")):
        return None
    cores = temps(line, bare=(1.0, 212.0))
    row = heat_row("rules", "rules", "stall")
    if len(cores) > 1 or any(not row["low_c"] - 5 <= c.read.c <= row["high_c"] + 6 for c in cores):
        return None
    spans = spans_min(line)
    return StallQuestion(cores[0] if cores else None, max(spans) if spans else None)


def answer_stall(question: StallQuestion, context: AskContext) -> Answer:
    """Answer with a window for waiting and one for wrapping; never with a single time."""
    from core.ask.asked_stall import stalled

    row = heat_row("rules", "rules", "stall")
    gone = (question.minutes or 0.0) / 60
    after = heat_row("rules", "rules", "after stall")["hours"]
    low = max(row["hours"][0] - gone, 0.25) + after[0]
    high = max(row["hours"][1] - gone, 0.5) + after[1]
    wrapped = heat_row("rules", "rules", "wrapped on the stall")["hours"]
    fahrenheit = question.core is not None and question.core.read.fahrenheit
    first = say(
        "Normal: the stall, {range}, it lasts {hours}. Fire where it was? Then wait.",
        range=_degrees(row["low_c"], row["high_c"], fahrenheit),
        hours=_hours(*row["hours"]),
    )
    second = _windows(context.now, (low, high), wrapped)
    third = say("No single time can be given. Lid shut; read again in {again}.", again=Qty(1, "h"))
    if gone > row["hours"][1]:
        third = say("Longer than usual: check the fire with a second probe at grate height.")
    now_on = stalled(context)
    first, second, third = now_on if now_on and len(now_on) == 3 else (first, second, third)
    if now_on and len(now_on) == 1:
        second, third = first, second
        first = now_on[0]
    reading = say("a core on the stall")
    if question.core is not None:
        reading = say("core {core}, not moving", core=question.core.read.words())
    return Answer(
        (first, second, third, say("Read as {reading}.", reading=reading)),
        numbers=(
            Number("wait", figures((low + high) / 2, 2), "h", figures(low, 2), figures(high, 2)),
            Number("wrapped", sum(wrapped) / 2, "h", *wrapped),
        ),
        read_as=reading,
        sources=(heat_source("rules", row),),
    )


def _hours(low: float, high: float) -> Span:
    return Span(round(low * 2) / 2, round(high * 2) / 2, "h")


def _windows(now: datetime | None, wait_h: tuple[float, float], wrap_h: Sequence[float]) -> Line:
    """Return both windows, on the clock where it is known what time it is."""
    waiting, wrapped = _hours(*wait_h), _hours(*wrap_h)
    if now is None:
        return say("Waiting: {wait} more. Wrapped now: {wrap}.", wait=waiting, wrap=wrapped)
    clock = [Clock(_quarter(now + timedelta(hours=h))) for h in (*wait_h, *wrap_h)]
    return say(
        "Waiting: {wait} more ({a}-{b}). Wrapped now: {wrap} ({c}-{d}).",
        wait=waiting,
        a=clock[0],
        b=clock[1],
        wrap=wrapped,
        c=clock[2],
        d=clock[3],
    )


def _quarter(at: datetime) -> datetime:
    """Return an instant to the quarter of an hour: a window of hours is no finer."""
    start = at.replace(minute=0, second=0, microsecond=0)
    return start + timedelta(minutes=15 * round((at - start) / timedelta(minutes=15)))


def _degrees(low_c: float, high_c: float, fahrenheit: bool) -> Span:
    if fahrenheit:
        return Span(round(low_c * 1.8 + 32), round(high_c * 1.8 + 32), "°F", 0)
    return Span(low_c, high_c, "°C", 0)


# ------------------------------------------------------------------ thickness

_THICK = ("thick", "thicker", "thickness", "grueso", "gruesa", "gruesos", "gruesas", "grosor",
          "gordo", "gorda", "mas grueso")  # fmt: skip
_INSTEAD = ("instead of", "not", "rather than", "en vez de", "en lugar de")


@dataclass(frozen=True, slots=True)
class ThickQuestion:
    """So many times as thick; what it took before, minutes, and a tested step, where known."""

    ratio: float
    before_min: float | None
    dish: Dish | None
    step: Step | None


def read_thick(tokens: Sequence[Token], text: str, context: AskContext) -> ThickQuestion | None:
    """Read 'twice as thick how long', '40 min at 2.5 cm, how long at 5 cm'."""
    line = said(tokens, text)
    lengths = [a.base for a in line.amounts("length")]
    about_time = line.has("how_long", "when", "how_much") or line.says("time", "tiempo")
    if not about_time or line.amounts("mass"):
        return None
    if len(lengths) == 2 and min(lengths) > 0 and (line.says(*_THICK) or spans_min(line)):
        new, old = lengths if line.says(*_INSTEAD) else reversed(lengths)
        ratio = new / old
    elif line.times() is not None and line.says(*_THICK) and not lengths:
        ratio = line.times() or 1.0
    else:
        return None
    spans = spans_min(line)
    dish, step = _tested(line, context)
    return ThickQuestion(ratio, spans[0] if len(spans) == 1 else None, dish, step)


def _tested(line: Said, context: AskContext) -> tuple[Dish | None, Step | None]:
    """Return the named dish of the cards and its step that ends at a core."""
    dishes = context.cards.dishes if context.cards else ()
    with_core = {
        d.name: (d, step)
        for d in dishes
        if d.piece.thickness_cm
        for step in reversed(d.steps)
        if step.until_core_c is not None and step.temp_c and step.ideal_min and not step.instead_of
        and step.checks
    }  # fmt: skip
    found = matching(line, with_core)
    return with_core[found[0]] if len(found) == 1 else (None, None)


def answer_thick(question: ThickQuestion, context: AskContext) -> Answer:
    """Answer with how many times as long; from the card's own test where it has one."""
    from core.heat.rise import times_thicker

    low, usual, high = times_thicker(question.ratio)
    row = heat_row("rules", "rules", "scaling")
    reading = say("{ratio} times as thick", ratio=Qty(figures(question.ratio, 2), ""))
    tail = say("Only thickness counts, not how many. Pull by probe: look early.")
    read_as = say("Read as {reading}.", reading=reading)
    times = say(
        "About {times} times as long ({range}).",
        times=Qty(figures(usual, 2), ""),
        range=Span(figures(low, 2), figures(high, 2), ""),
    )
    numbers = [Number("times", figures(usual, 2), "1", figures(low, 2), figures(high, 2))]
    carded = _by_card(question, context)
    if carded is not None:
        line, number, source = carded
        lines = (line, tail, read_as)
        return Answer(lines, None, (number, *numbers), reading, sources=(source,))
    lines_ = [times, tail, read_as]
    if question.before_min is not None:
        span = Span(round(question.before_min * low), round(question.before_min * high), "min", 0)
        middle = round(question.before_min * usual)
        lines_[0] = say("About {minutes} ({range}).", minutes=Qty(middle, "min", 0), range=span)
        numbers.insert(0, Number("time", middle, "min", span.low, span.high))
    return Answer(
        tuple(lines_), numbers=tuple(numbers), read_as=reading, sources=(heat_source("rules", row),)
    )


def _by_card(question: ThickQuestion, context: AskContext) -> tuple[Line, Number, Source] | None:
    """Return the time by the card's own test, at the new thickness."""
    from core.heat.card import Conditions, house, time_to_core
    from core.heat.prior import kind_of

    dish, step = question.dish, question.step
    if dish is None or step is None or context.cards is None or not dish.piece.thickness_cm:
        return None
    stations = context.cards.kit.matching(step.station or "")
    kind = kind_of(stations[0].kind if stations else None, step.temp_c, len(step.turns_min))
    tested = dish.batch.amount if dish.batch.unit == "pieces" else 0.0
    known = house(dish.piece, step, kind, tested)
    thick = dish.piece.thickness_cm * question.ratio
    takes = time_to_core(known, step, how=Conditions(thickness_cm=thick))
    if takes is None or takes.high_min is None:
        return None
    low, high = round(takes.low_min), round(takes.high_min)
    middle = round(takes.minutes)
    line = say(
        "{dish} {thick} thick: {minutes} to {core} ({range}); {before} at {was} as tested.",
        dish=Label(dish.name),
        thick=Qty(figures(thick, 2), "cm"),
        minutes=Qty(middle, "min", 0),
        core=Qty(step.until_core_c or 0.0, "°C"),
        range=Span(low, high, "min", 0),
        before=Qty(step.ideal_min or 0.0, "min", 0),
        was=Qty(dish.piece.thickness_cm, "cm"),
    )
    return line, Number("time", middle, "min", low, high), takes.source


# ------------------------------------------------------------------ carry-over

_RISES = ("carry over", "carryover", "carry", "keep cooking", "rise in the rest",
          "rise while resting", "sube al reposar", "subira al reposar", "sube en el reposo",
          "calor residual", "inercia")  # fmt: skip
_SMOKE_C, _ROAST_C = 115.0, 180.0


@dataclass(frozen=True, slots=True)
class RiseQuestion:
    """How far a piece so thick rises; the fire, °C, where it was said."""

    thickness_cm: float
    fire_c: float | None


def read_rise(tokens: Sequence[Token], text: str, context: AskContext) -> RiseQuestion | None:
    """Read 'carry over 9 cm roast 180 C', 'cuanto sube al reposar 5 cm cordero'."""
    line = said(tokens, text)
    resting = line.has("rest") and line.says("rise", "rises", "climb", "climbs", "sube", "subira")
    if not (line.says(*_RISES) or resting) or line.amounts("mass") or spans_min(line):
        return None
    length = line.only("length")
    dish, step = _tested(line, context)
    thick = length.base if length else (dish.piece.thickness_cm if dish else None)
    if thick is None:
        return None
    hot = temps(line, bare=(100.0, 350.0))
    fire = step.temp_c if step is not None else None
    if len(hot) == 1:
        fire = hot[0].read.c
    elif line.has("smoke", "pit"):
        fire = fire or _SMOKE_C
    elif line.has("oven"):
        fire = fire or _ROAST_C
    return RiseQuestion(thick, fire)


def answer_rise(question: RiseQuestion, _: AskContext) -> Answer:
    """Answer with the rise and when it peaks, for the fire said or for a smoker and an oven."""
    from core.heat.rise import carry_over_source, usual_rise

    thick = Qty(figures(question.thickness_cm, 2), "cm")
    fire = question.fire_c or _SMOKE_C
    rise = usual_rise(question.thickness_cm, fire)
    span = Span(figures(rise.low_k, 2), figures(rise.high_k, 2), "°C")
    first = say(
        "+{rise} off {fire}, peak after {peak}. Pull that much below.",
        rise=span,
        fire=Qty(fire, "°C"),
        peak=Qty(round(rise.peak_min), "min", 0),
    )
    numbers = (
        Number("rise", rise.middle_k, "°C", rise.low_k, rise.high_k),
        Number("peak", round(rise.peak_min), "min"),
    )
    lines = [first]
    if question.fire_c is None:
        hot = usual_rise(question.thickness_cm, _ROAST_C)
        lines.append(
            say("Off an oven at {fire}: +{rise}.", fire=Qty(_ROAST_C, "°C"),
                rise=Span(figures(hot.low_k, 2), figures(hot.high_k, 2), "°C"))
        )  # fmt: skip
    lines.append(say("Covered 1-3 °C more; wind on the tray takes all of it. Safety counts what"
                     " the probe has read, never a rise to come."))  # fmt: skip
    reading = say("{thick} thick", thick=thick)
    return Answer(
        (*lines, say("Read as {reading}.", reading=reading)),
        numbers=numbers,
        read_as=reading,
        sources=(carry_over_source(),),
    )


# ------------------------------------------------------------------ a fire coming back

_BACK = ("back up", "back yet", "up yet", "recovered", "recovering", "ya esta", "recuperado",
         "se recupera", "ya llego", "ya ha subido")  # fmt: skip


@dataclass(frozen=True, slots=True)
class BackQuestion:
    """Whether a fire is back at its temperature: its log and what it is set to."""

    log: tuple[tuple[datetime, float], ...]
    target_c: float | None


def read_back(tokens: Sequence[Token], text: str, context: AskContext) -> BackQuestion | None:
    """Read 'pit back up yet', 'ya esta el ahumador'."""
    line = said(tokens, text)
    if context.cook is not None or not line.has("pit", "oven", "grill"):
        return None
    if not line.says(*_BACK) or line.bare():
        return None
    log = tuple((r.at, r.value) for r in context.readings if r.place is Place.PIT)
    steps = [s for d in context.cards.dishes for s in d.steps] if context.cards else []
    fires = {s.temp_c for s in steps if s.temp_c and s.until_core_c and s.temp_c <= 150}
    return BackQuestion(log, fires.pop() if len(fires) == 1 else None)


def answer_back(question: BackQuestion, _: AskContext) -> Answer:
    """Answer by the line of the last readings; without two, ask for them."""
    from core.heat.pit import back_up

    target = question.target_c
    back = back_up(question.log, target if target is not None else 1e6)
    reading = say("the fire coming back")
    if back is None:
        text = say("I can't tell: give me the pit now, and again in 5 min.")
        return Answer((text,), read_as=reading)
    now = Qty(round(back.now_c), "°C")
    numbers = [
        Number("pit", round(back.now_c), "°C"),
        Number("rate", round(back.per_min_k, 1), "°C"),
    ]
    if target is not None and back.now_c >= target:
        return Answer((say("{now}: it is back.", now=now),), None, tuple(numbers), reading)
    if back.at is None or target is None:
        rate = Qty(round(back.per_min_k, 1), "°C")
        text = say("{now}, {rate} a minute.", now=now, rate=rate)
        if target is not None:
            text = say("{now} and not rising. Vents, fuel, lid.", now=now)
        return Answer((text,), None, tuple(numbers), reading)
    numbers.append(Number("back_at", back.at.isoformat(), "time"))
    text = say(
        "{now} and rising {rate} a minute: about {target} at {at}.",
        now=now,
        rate=Qty(round(back.per_min_k, 1), "°C"),
        target=Qty(target, "°C"),
        at=Clock(back.at),
    )
    return Answer((text,), None, tuple(numbers), reading)


TOPICS = (
    Topic("stall", Rank.ALLERGEN, read_stall, answer_stall),
    Topic("thickness", Rank.ALLERGEN, read_thick, answer_thick),
    Topic("thaw", Rank.ALLERGEN, read_thaw, answer_thaw),
    Topic("temper", Rank.ALLERGEN, read_temper, answer_temper),
    Topic("set-back", Rank.ALLERGEN, read_set_back, answer_set_back),
    Topic("carry-over", Rank.ALLERGEN, read_rise, answer_rise),
    Topic("fire back", Rank.ALLERGEN, read_back, answer_back),
    Topic("cold box", Rank.ALLERGEN, read_box, answer_box),
    Topic("pan depth", Rank.ALLERGEN, read_pan, answer_pan),
)
