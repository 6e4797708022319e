"""Rub by the kilogram, dressing by the head of cabbage, sauce by the guest, sanitiser."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.ask.said import Said, said
from core.ask.tell import SUM, figures, number, percent, span, volume, weight, weights
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer, Batch, Qty, Source, say
from core.scaling.season import bleach_ml, dose, dressing_for_heads, dressing_kg, per_head_g
from core.tables.quantities import row, source_of
from core.words import Token


@dataclass(frozen=True, slots=True)
class DoseQuestion:
    """A seasoning by its row, on so much meat; g/kg where the house has its own dose."""

    key: str
    meat_kg: float
    unit: str
    g_per_kg: float | None


_DOSES = {"rub": "rub", "marinade": "marinade", "mop": "mop"}


def read_dose(tokens: Sequence[Token], text: str, context: AskContext) -> DoseQuestion | None:
    """Read 'rub 14kg ribs', '12 g/kg rub for 14 kg', 'rub sin sal 57 kg'."""
    line = said(tokens, text, context)
    key = next((row for concept, row in _DOSES.items() if line.has(concept)), None)
    if key is None or line.amounts("volume") or line.has("dry_brine", "cure"):
        return None
    masses = line.amounts("mass")
    rate = next((m for m in masses if line.rate_per(m, "kg", "kilo")), None)
    meats = [m for m in masses if m is not rate]
    if len(meats) != 1 or line.people() is not None:
        return None
    if key == "rub" and line.says("no salt", "without salt", "sin sal", "salt free", "saltless"):
        key = "no-salt rub"
    grams = rate.base * 1000 if rate else None
    return DoseQuestion(key, meats[0].base * _pieces(line), meats[0].unit, grams)


def _pieces(line: Said) -> float:
    """Return how many pieces of that weight, where both were said: '300 steaks 190 g'."""
    bare = [value for _, value in line.bare()]
    meat = line.only("mass")
    return bare[0] if len(bare) == 1 and meat is not None and meat.base < 5 else 1.0


def answer_dose(question: DoseQuestion, _: AskContext) -> Answer:
    """Answer with the weight, what of it is salt, and where the dose comes from."""
    found = dose(question.key, question.meat_kg, question.g_per_kg)
    liquid = question.key in {"marinade", "mop"}
    usual = volume(found.kg) if liquid else weight(found.kg, question.unit)
    each = Qty(figures(found.g_per_kg), "mL" if liquid else "g")
    house = question.g_per_kg is not None
    reading = say(
        "{rub}, {each} for each kg of {meat}",
        rub=question.key,
        each=each,
        meat=weight(question.meat_kg, question.unit),
    )
    origin = say("your dose") if house else say("rule of thumb")
    lines = [say("{amount} ({each}/kg, {origin}).", amount=usual, each=each, origin=origin)]
    numbers = [number(question.key.replace(" ", "_").replace("-", "_"), usual)]
    if found.salt_kg > 0:
        part = found.salt_kg / question.meat_kg if question.meat_kg else 0.0
        salt = weight(found.salt_kg, question.unit)
        lines.append(
            say(
                "{share} of it is salt: {salt} = {part} of the meat. Brined already? No-salt rub.",
                share=percent(found.salt_kg / found.kg),
                salt=salt,
                part=percent(part),
            )
        )
        numbers.append(number("salt", salt))
    if not house:
        low, high = found.low_kg, found.high_kg
        between = span(volume(low), volume(high)) if liquid else weights(low, high, question.unit)
        lines.append(say("Usual range {span}.", span=between))
    return Answer(tuple(lines), numbers=tuple(numbers), read_as=reading, sources=(found.source,))


@dataclass(frozen=True, slots=True)
class CabbageQuestion:
    """Dressing for heads of cabbage, or for so much shredded cabbage, kg."""

    heads: float | None
    shredded_kg: float | None
    unit: str


def read_cabbage(tokens: Sequence[Token], text: str, context: AskContext) -> CabbageQuestion | None:
    """Read 'how much dressing per head of cabage', '14 heads', 'dressing for 13 kg slaw'."""
    line = said(tokens, text, context)
    if not line.has("dressing", "vinaigrette", "mayo", "dress") or line.times() is not None:
        return None
    if not line.has("cabbage", "slaw"):
        return None
    mass = line.only("mass")
    if mass is not None:
        return CabbageQuestion(None, mass.base, mass.unit)
    count = line.count_of("heads", "head", "cabbage")
    if count is None and not line.has("head", "heads", "per"):
        return None
    return CabbageQuestion(count if count is not None else 1.0, None, "kg")


def answer_cabbage(question: CabbageQuestion, _: AskContext) -> Answer:
    """Answer with both kinds of dressing, and what was taken for a head."""
    if question.shredded_kg is not None:
        return _for_shredded(question.shredded_kg, question.unit)
    heads = question.heads or 1.0
    found = dressing_for_heads(heads)
    creamy, thin = weight(found.creamy_kg), weight(found.vinaigrette_kg)
    reading = say("{n} x a head of cabbage, 0.95 kg shredded each", n=Qty(heads, ""))
    lines = (
        say("{creamy} creamy (40 %) or {thin} vinaigrette (22 %).", creamy=creamy, thin=thin),
        say(
            "{n} x about {head} gives {shredded} shredded.",
            n=Qty(heads, ""),
            head=weight(found.head_kg),
            shredded=weight(found.shredded_kg),
        ),
        say(
            "Heads vary {span}: weigh shredded x 0.40.",
            span=weights(found.lightest_kg, found.heaviest_kg),
        ),
    )
    numbers = (
        number("creamy", creamy),
        number("vinaigrette", thin),
        number("shredded", weight(found.shredded_kg)),
    )
    return Answer(lines, numbers=numbers, read_as=reading, sources=(found.source,))


def _for_shredded(shredded_kg: float, unit: str) -> Answer:
    creamy = weight(dressing_kg(shredded_kg, "creamy"), unit)
    thin = weight(dressing_kg(shredded_kg, "vinaigrette"), unit)
    shredded = weight(shredded_kg, unit)
    reading = say("{shredded} of shredded cabbage", shredded=shredded)
    lines = (
        say("{creamy} creamy (40 %) or {thin} vinaigrette (22 %).", creamy=creamy, thin=thin),
        say("Read as {reading}. A bought head loses a fifth.", reading=reading),
    )
    return Answer(
        lines,
        numbers=(number("creamy", creamy), number("vinaigrette", thin)),
        read_as=reading,
        sources=(source_of("rules", row("rules", "dressing", "creamy")),),
    )


@dataclass(frozen=True, slots=True)
class EnoughQuestion:
    """So much of something made already, for so many."""

    made_kg: float
    unit: str
    heads: int
    what: str


def read_enough(tokens: Sequence[Token], text: str, context: AskContext) -> EnoughQuestion | None:
    """Read 'made 14kg sauce 365 ppl ok?'."""
    line = said(tokens, text, context)
    if not line.has("sauce") or line.amounts("percent"):
        return None
    if not (line.has("mix", "ok", "?") or line.says("enough", "suficiente", "llega", "basta")):
        return None
    amount = line.only("mass") or line.only("volume")
    heads = line.crowd() or context.to_feed
    if amount is None or heads is None:
        return None
    return EnoughQuestion(amount.base, amount.unit, heads, "sauce")


def answer_enough(question: EnoughQuestion, context: AskContext) -> Answer:
    """Answer with grams each against the plan, and what to do about the ladle."""
    each = per_head_g(question.made_kg, question.heads)
    plan, known = _planned_g(context)
    got, planned = Qty(round(each, 1), "g"), Qty(plan, "g")
    reading = say(
        "{made} of {what} for {heads}",
        made=weight(question.made_kg, question.unit),
        what=question.what,
        heads=Qty(question.heads, "people", 0),
    )
    whole = Qty(round(each), "g")
    if each >= plan:
        lines = [say("{each} each: enough (plan {plan}).", each=whole, plan=planned)]
    elif each >= 0.9 * plan:
        lines = [
            say(
                "{each} each: enough (plan {plan}). Level ladle, not heaped.",
                each=whole,
                plan=planned,
            )
        ]
    else:
        short = weight((plan - each) * question.heads / 1000)
        lines = [
            say("{each} each, plan {plan}: {short} short.", each=whole, plan=planned, short=short)
        ]
    lines.append(say("Read as {reading}.", reading=reading))
    numbers = (number("each", got), number("plan", planned))
    return Answer(tuple(lines), numbers=numbers, read_as=reading, sources=(known,))


def _planned_g(context: AskContext) -> tuple[float, Source]:
    """Return what a guest should get: the card's portion of sauce, else the rule of thumb."""
    dishes = context.cards.dishes if context.cards else ()
    for dish in dishes:
        match dish.portion:
            case Batch(amount, "kg") if "sauce" in dish.name.casefold():
                return amount * 1000, Source("card", "dish card", dish.name, "card")
    found = row("rules", "side", "sauce")
    return float(found["grams"][0]), source_of("rules", found)


@dataclass(frozen=True, slots=True)
class BucketQuestion:
    """A bucket of sanitiser: water, the bleach's strength where said, and ppm."""

    water_l: float
    unit: str
    bleach: float | None
    ppm: float


def read_bucket(tokens: Sequence[Token], text: str, context: AskContext) -> BucketQuestion | None:
    """Read 'sani bucket 10L bleach 5%'."""
    line = said(tokens, text, context)
    water = line.only("volume")
    if water is None or not line.has("bleach", "sanitiser") or line.ratio() is not None:
        return None
    strength, ppm = line.only("percent"), line.only("ppm")
    target = ppm.base if ppm else float(row("rules", "sanitiser", "chlorine")["target_ppm"])
    return BucketQuestion(water.base, water.unit, strength.base if strength else None, target)


def answer_bucket(question: BucketQuestion, _: AskContext) -> Answer:
    """Answer in mL, with the strip to check by."""
    found = row("rules", "sanitiser", "chlorine")
    source = source_of("rules", found)
    reading = say(
        "{water} of water to {ppm} chlorine",
        water=volume(question.water_l, question.unit),
        ppm=Qty(question.ppm, "ppm"),
    )
    if question.bleach is None:
        return Answer(
            (say("Bleach is sold from 2 to 15 %. The label says which."),),
            read_as=reading,
            question=say("How strong is the bleach?"),
            choices=(say("5 %"), say("2.5 %"), say("12 %")),
            sources=(source,),
        )
    ml = Qty(figures(bleach_ml(question.water_l, question.bleach, question.ppm)), "mL")
    ppm = Qty(question.ppm, "ppm")
    lines = (
        say("{ml} -> {ppm}. {bleach} bleach.", ml=ml, ppm=ppm, bleach=percent(question.bleach)),
        say("Check with a strip: 50-100 ppm for surfaces. Fresh every 2 h or when cloudy."),
        say("Unscented bleach only; never with acid or ammonia."),
    )
    return Answer(
        lines,
        numbers=(number("bleach", ml), number("chlorine", ppm)),
        read_as=reading,
        sources=(source, SUM),
    )


TOPICS = (
    Topic("seasoning", Rank.EXACT, read_dose, answer_dose),
    Topic("cabbage", Rank.EXACT, read_cabbage, answer_cabbage),
    Topic("enough", Rank.EXACT, read_enough, answer_enough),
    Topic("sanitiser", Rank.EXACT, read_bucket, answer_bucket),
)
