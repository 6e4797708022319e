"""Marinade, garlic oil, drips, sick crew, leftovers, deliveries, two fires, thermometers, fire."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from core.ask.safety_said import (
    NO_CLOCK,
    affirms,
    food_of,
    has_food,
    phrases,
    rules_of,
    spans_min,
    temps,
    told,
    told_so,
    word_at,
)
from core.ask.said import Said
from core.ask.topic import AskContext
from core.model import Answer, Finding, HouseLimits, Line, Number, say
from core.safety.crew import sick_findings, sick_lines
from core.safety.goods import Delivery, Leftover, delivery_verdict, leftover_verdict
from core.safety.kitchen import cross_finding, drip_finding, garlic_finding
from core.safety.prep import Marinade, Thaw, marinade_verdict, thaw_verdict
from core.safety.probes import dropped, ice_check
from core.safety.stages import Gap, TwoGoes, gap_verdict, parked_too_long, two_goes_verdict
from core.safety.tcs import control_verdict
from core.words import Num, Word


@dataclass(frozen=True, slots=True)
class Ruled:
    """A question whose finding is known from its words alone; what to say beside it."""

    finding: Finding
    more: tuple[Line, ...] = ()
    numbers: tuple[Number, ...] = ()
    question: Line | None = None


def answer_ruled(question: Ruled, _: AskContext) -> Answer:
    """Answer with the finding."""
    return told(
        question.finding, *question.more, numbers=question.numbers, question=question.question
    )


_REUSE = phrases(
    "reuse, re use, use again, as sauce, as a sauce, for sauce, baste with, reutilizar, "
    "reutilizo, volver a usar, como salsa, para salsa, usar de salsa, uso de salsa, de salsa, "
    "otra vez"
)


def read_marinade(line: Said, context: AskContext) -> Ruled | None:
    """Read 'reuse marinade as sauce?', 'la marinada sirve de salsa?'."""
    if not line.has("marinade") or line.amounts("mass") or line.amounts("volume"):
        return None
    if line.says(*_REUSE) or (line.has("sauce") and line.has("serve", "can")):
        short = any(m < 1.0 for m in spans_min(line))
        cool = any(t.read.c < 98.0 for t in temps(line, bare=(20.0, 97.0)))
        boiled = affirms(line, "boil") and not short and not cool
        again = Marinade(reused=True, boiled=boiled)
        return Ruled(marinade_verdict(again, rules_of(line, context)))
    days = [m / 1440 for m in spans_min(line) if m >= 1440]
    if not days or line.has("how_long"):
        return None
    found = temps(line, bare=(-5.0, 20.0))
    food = food_of(line, context)
    marinade = Marinade(
        poultry=any(kind == "poultry" for kind in food.kinds),
        days=max(days),
        kept=found[0].read if found else None,
    )
    return Ruled(marinade_verdict(marinade, rules_of(line, context)))


def read_garlic(line: Said, context: AskContext) -> Ruled | None:
    """Read 'garlic oil left out since last nite', 'aceite de ajo 3 dias en nevera'."""
    del context
    if not (line.has("garlic_oil") or (line.has("garlic") and line.has("oil"))):
        return None
    if line.amounts("mass") or line.amounts("volume") or line.has("how_much"):
        return None
    out = line.has("left_out") or line.says(
        "out", "fuera", "room temperature", "room temp", "temperatura ambiente", "bench", "counter"
    )
    overnight = line.says("nite", "night", "yesterday", "anoche", "ayer", "overnight")
    days = [m / 1440 for m in spans_min(line)]
    age = max(days) if days else (1.0 if overnight else None)
    cold = affirms(line, "fridge", "cold") or told_so(line, "nevera", "frio", "cold")
    found = garlic_finding(days=age, out=out, cold=cold and not out)
    return Ruled(found, (say("New: 2 L, 10 min. Same day only, 5 °C or less."),))


_DRIP = phrases(
    "dripped, drip, drips, dripping, leaked, goteo, goteado, gotea, chorreo, ha goteado, "
    "chorreado, spilled, salpico, touched raw, cayo sobre"
)


_TOUCHED = phrases(
    "fell on, fell into, touched, juice, juices, contamination, contaminated, blood, jugo, toco,"
    " sangre, contaminacion, contaminado, mojo"
)


def read_drip(line: Said, context: AskContext) -> Ruled | None:
    """Read 'raw chicken dripped on salad tray', 'pollo crudo ha goteado en la ensalada'."""
    del context
    if not line.says(*_DRIP) and not (line.has("raw") and line.says(*_TOUCHED)):
        return None
    if not (line.has("raw") or has_food(line)):
        return None
    return Ruled(
        drip_finding(),
        (
            say("Wipe, sanitise, swap cloth and gloves. Raw goes bottom."),
            say("Log who and what: one line."),
        ),
    )


_ABOVE = phrases("above, over, on top, top shelf, encima, arriba, sobre")
_READY = phrases(
    "salad, salads, slaw, dressing, sauce, bread, fruit, dessert, cheese, cooked, ready, rte,"
    " shelf, ensalada, ensaladas, alino, salsa, pan, fruta, postre, queso, cocido, cocinado, listo,"
    " lista, estante, balda"
)
_TOOLS = phrases(
    "board, boards, tongs, knife, knives, plate, tray, tabla, tablas, pinzas, cuchillo, plato,"
    " bandeja, gloves, guantes, cloth, trapo"
)
_SAME = phrases("same, shared, not washed, unwashed, misma, mismo, mismas, mismos, sin lavar")


def read_cross(line: Said, context: AskContext) -> Ruled | None:
    """Read 'raw chicken above salad ok?', 'same tongs raw and cooked', 'misma tabla'."""
    del context
    raw = line.has("raw")
    above = raw and line.says(*_ABOVE) and line.says(*_READY)
    tools = line.says(*_TOOLS) and line.says(*_SAME) and (raw or has_food(line))
    if not (above or tools) or line.amounts("mass") or line.people():
        return None
    return Ruled(cross_finding(above=above))


_HALF = phrases(
    "half cooked, part cooked, between smoke and sear, between pit and grill, parked, waiting,"
    " a medio hacer, medio hecho, medio hecha, esperando, entre ahumado y brasa"
)


def read_parked(line: Said, context: AskContext) -> Ruled | None:
    """Read 'half cooked pork waiting 12 min', 'cerdo a medio hacer esperando 12 min'."""
    minutes = [m for m in spans_min(line) if m < 1440]
    if not line.says(*_HALF) or len(minutes) != 1 or not has_food(line) or line.people():
        return None
    off = NO_CLOCK - timedelta(minutes=minutes[0])
    food = food_of(line, context)
    found = gap_verdict(Gap(off, None, ""), food, NO_CLOCK)
    return Ruled(parked_too_long(found, minutes[0])) if found is not None else None


_NOT_NAMES = frozenset(
    phrases(
        "i, the, el, la, a, he, she, is, was, has, ha, just, one, crew, been, guest, en, tiene, "
        "esta, feels, somebody, alguien, por, and, y, cook, cocinero"
    )
)


def read_sick(line: Said, context: AskContext) -> Ruled | None:
    """Read 'luis vomito', 'marta has diarrhoea'."""
    if not line.has("sick") or line.amounts("mass"):
        return None
    if has_food(line) and not line.says("vomito", "vomited", "vomiting", "puked", "threw up"):
        return None
    name = _name(line, context)
    found = sick_findings(name, (), rules_of(line, context))
    batches = say("Ready-to-eat food they touched today: bin it. Which batches?")
    return Ruled(
        found[0],
        (batches, *sick_lines()),
        (Number("hours", 48, "h"),),
    )


def _name(line: Said, context: AskContext) -> str:
    people = context.cards.crew if context.cards else ()
    for person in people:
        if f" {person.name.casefold()} " in line.plain or f" {person.id} " in line.plain:
            return person.name
    first = line.tokens[0] if line.tokens else None
    unknown = isinstance(first, Word) and not first.known and first.text.isalpha()
    if not unknown or not isinstance(first, Word) or first.text.casefold() in _NOT_NAMES:
        return ""
    return first.text.capitalize()


_TAKE = phrases("take, take home, home, keep, llevar, llevarse, casa, guardar")


def read_leftovers(line: Said, context: AskContext) -> Ruled | None:
    """Read 'can guests take leftovers', 'se pueden llevar las sobras?'."""
    if not line.has("leftovers") or line.amounts("mass"):
        return None
    if not (line.has("can", "people") or line.says(*_TAKE)):
        return None
    unserved = told_so(line, "unserved", "unopened", "never opened", "sin abrir", "sin servir")
    found = temps(line, bare=(-5.0, 100.0))
    last = found[0].read if found else None
    left = Leftover(False if unserved else None, last, hot=last is not None and last.c > 30)
    return Ruled(leftover_verdict(left, rules_of(line, context)))


def read_delivery(line: Said, context: AskContext) -> Ruled | None:
    """Read 'delivery chicken 8c', 'pollo llega a 8 grados'."""
    arrives = line.has("delivery") or line.says("llega", "llegan", "arrives", "arriving", "driver")
    found = temps(line, bare=(-30.0, 45.0))
    if not arrives or not found or line.people() or line.amounts("time"):
        return None
    if any(not t.unit and word_at(line, t.at - 1) in {"at", "las", "at:"} for t in found):
        return None  # 'arrived at 3' is a time
    read = max((t.read for t in found), key=lambda r: r.c)
    outside = line.says("outside", "outer face", "surface", "fuera de la caja", "por fuera")
    house = context.cards.event.house if context.cards else HouseLimits()
    food = food_of(line, context) if has_food(line) else None
    ruled = delivery_verdict(Delivery(read, food, outside=outside), rules_of(line, context), house)
    words = read.words()
    return Ruled(ruled, numbers=(Number("read", words.value, words.unit),))


_LATER = phrases(
    "tonite, tonight, later, this evening, this am, this morning, yesterday, earlier, esta "
    "noche, esta manana, ayer, luego, mas tarde, par cooked, part cooked, half cooked, manana, "
    "tomorrow, finish"
)


def read_two_goes(line: Said, context: AskContext) -> Ruled | None:
    """Read 'smoked the pork this am can i sear tonite', 'ahumado esta mañana, lo sello luego?'."""
    first = line.has("smoke") or line.says(
        "ahume", "ahumada", "ahumamos", "part cooked", "par cooked", "half cooked", "precocido"
    )
    second = line.has("sear", "grill", "reheat") or line.says(
        "finish", "acabar", "terminar", "sello", "lo marco", "marcarlo", "sellarlo"
    )
    if not (first and second and line.says(*_LATER)) or line.amounts("mass"):
        return None
    chilled: bool | None = True if affirms(line, "chill") else None
    if line.says("not chilled", "never chilled", "sin enfriar", "no se enfrio", "left out"):
        chilled = False
    minutes = [m for m in spans_min(line) if m >= 5]
    procedure = told_so(line, "procedure", "procedimiento") or None
    goes = TwoGoes(minutes[0] if minutes else None, chilled, procedure)
    found = two_goes_verdict(goes, rules_of(line, context))
    return Ruled(found, question=say("What temperature is it now?") if chilled is None else None)


def read_probe(line: Said, context: AskContext) -> Ruled | None:
    """Read 'dropped the probe', 'probe reads 2 in ice', 'sonda se ha caido'."""
    if not line.has("probe"):
        return None
    found = temps(line, bare=(-10.0, 50.0))
    if line.has("ice") and len(found) == 1:
        return Ruled(ice_check(found[0].read))
    if line.has("drop") or line.says("fell", "se cayo", "caido", "wet", "mojada"):
        return Ruled(dropped(context.readings, "", None))
    return None


def read_thaw(line: Said, context: AskContext) -> Ruled | None:
    """Read 'thaw chicken on the table ok?', 'descongelar en la encimera'."""
    if not line.has("thaw", "frozen"):
        return None
    if not (line.has("table") or line.says("counter", "bench", "encimera", "sun", "al sol")):
        return None
    return Ruled(thaw_verdict(Thaw("table"), rules_of(line, context)))


def read_acid(line: Said, context: AskContext) -> Ruled | None:
    """Read 'dressing pH 4.3, aw above 0.92, unpackaged'."""
    del context
    ph, aw = _value_after(line, "ph"), _value_after(line, "aw")
    if ph is None and aw is None:
        return None
    if ph is not None and not 0 <= ph <= 14:
        return None
    if aw is not None and not 0 <= aw <= 1:
        return None
    over = line.says("above", "over", "more than", "encima", "mas de")
    packed = told_so(line, "packaged", "sealed", "envasado", "canned") and told_so(
        line, "heat treated", "cooked", "treated", "pasteurised", "pasteurizado", "cocido"
    )
    water = None if aw is None else min(aw + (0.001 if over else 0.0), 1.0)
    found = control_verdict(ph, water, treated_and_packed=packed)
    numbers = () if ph is None else (Number("ph", ph, ""),)
    return Ruled(found, numbers=numbers)


def _value_after(line: Said, word: str) -> float | None:
    for at, token in enumerate(line.tokens):
        if isinstance(token, Word) and token.text.casefold() == word:
            for later in line.tokens[at + 1 : at + 4]:
                if isinstance(later, Num):
                    return later.value
    return None
