"""Boxes, fridges and tubs found at a temperature: 'cooler at 7', 'hot box 58'."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from core.ask.safety_said import (
    NO_CLOCK,
    all_read,
    dish_of,
    has_food,
    phrases,
    rules_of,
    spans_min,
    temps,
    told,
)
from core.ask.said import Said
from core.ask.topic import AskContext
from core.model import (
    Answer,
    Clock,
    Finding,
    HouseLimits,
    Line,
    Number,
    Place,
    Profile,
    Qty,
    Reading,
    Verdict,
    say,
)
from core.safety.clocks import Out, Side
from core.safety.degrees import Degrees, Limit
from core.safety.holding import RECHECK_MIN, found_at, held_to, hold_rule


@dataclass(frozen=True, slots=True)
class FoundQuestion:
    """A box, fridge or food found at a temperature."""

    read: Degrees
    side: Side
    place: Place | None
    profile: Profile | None
    about: str
    roast: bool = False


_ELSE = phrases("rub, cure, charcoal, gas, pellets, wood, wind, bleach, oil, costing, for, bread")
_FOUND_IN = phrases("box, cold_box, hot_box, fridge, tub, slaw, salad, mayo, dressing, temp, food")


def read_found(line: Said, context: AskContext) -> FoundQuestion | None:
    """Read 'cooler at 7', 'temp 7', 'nevera a 7 comida', 'hot box 58'."""
    if spans_min(line) or line.amounts("mass") or line.amounts("volume") or line.has("delivery"):
        return None
    found = temps(line, bare=(-25.0, 110.0))
    holding = line.has("hold") and (line.has("hot") or line.has("cold"))
    holding = holding or line.says("hot held", "hot hold", "cold hold", "cold held", "hot holding",
                                   "cold holding", "en caliente", "en frio")  # fmt: skip
    if len(found) != 1 or not (line.has(*_FOUND_IN) or holding):
        return None
    if line.has("how_much", "chill", "reheat", "brine", "pull") or line.people():
        return None
    boxed = line.has("box", "cold_box", "hot_box", "fridge", "slaw", "salad", "mayo", "tub")
    if has_food(line) and not boxed and not holding and not line.has("dressing"):
        return None
    if not all_read(line, found) or line.has(*_ELSE):
        return None
    said_so = found[0].unit or line.has("at", "reads", "temp") or line.says("is", "a", "esta")
    if not (said_so or line.has("box", "cold_box", "hot_box", "fridge")):
        return None
    read = found[0].read
    hot = line.has("hot_box", "hot") or line.says("hot held", "hot hold", "hot holding")
    cold = line.has("cold_box", "cold", "fridge", "slaw", "salad", "mayo")
    side = Side.HOT if hot or (not cold and read.c > 30) else Side.COLD
    place = _place(line)
    if place is None and (holding or (has_food(line) and side is Side.HOT)):
        place = Place.CORE
    return FoundQuestion(read, side, place, rules_of(line, context), _about(line, context),
                         line.says("roast", "roasts", "asado"))  # fmt: skip


def _place(line: Said) -> Place | None:
    if line.has("air"):
        return Place.AIR
    if line.has("food", "tub", "core", "slaw", "salad", "mayo", "dressing", "surface"):
        return Place.TUB
    return None


def _about(line: Said, context: AskContext) -> str:
    dish = dish_of(line, context)
    return dish.id if dish else ""


def answer_found(question: FoundQuestion, context: AskContext) -> Answer:
    """Answer with the verdict, or with one question: air or food."""
    now = context.now or NO_CLOCK
    house = context.cards.event.house if context.cards else HouseLimits()
    good = last_good(context, question, house)
    out = Out(question.side, good.at if good else None, now, about=question.about)
    found = found_at(
        question.read, question.place, out, question.profile, house, roast=question.roast
    )
    numbers: tuple[Number, ...] = (
        Number("read", question.read.words().value, question.read.words().unit),
    )
    if question.place is not None:
        if found.deadline is not None and context.now is not None:
            numbers += (Number("deadline", found.deadline.isoformat(), "time"),)
        return told(found, *_next(question, found, now, context), numbers=numbers)
    return _air_or_food(question, found, out, context, numbers)


def _next(
    question: FoundQuestion, found: Finding, now: datetime, context: AskContext
) -> tuple[Line, ...]:
    if question.side is Side.COLD and found.verdict is Verdict.OK and context.now is not None:
        again = Clock(now + timedelta(minutes=RECHECK_MIN))
        return (say("Add ice, lid shut, look again at {at}.", at=again),)
    if question.side is Side.HOT and found.verdict is not Verdict.OK:
        return (say("Reheat it now to 74 °C, once, or bin it."),)
    if question.side is Side.COLD and found.deadline is None:
        return (say("When was it last at 5 °C or less? The clock starts there."),)
    return ()


def _air_or_food(
    question: FoundQuestion,
    found: Finding,
    out: Out,
    context: AskContext,
    numbers: tuple[Number, ...],
) -> Answer:
    lines = [found.text]
    limit = Qty(41, "°F") if question.read.fahrenheit else Qty(5, "°C")
    if question.side is Side.COLD:
        lines.append(say("Food at {limit} or less: add ice, lid shut, look again in 15 min.",
                         limit=limit))  # fmt: skip
    if question.side is Side.COLD and out.since is not None:
        clock = replace(out, air=None)
        ruled = found_at(Degrees(question.read.c), Place.TUB, clock, question.profile,
                         _house_cold(context))  # fmt: skip
        deadline = ruled.deadline or out.since + timedelta(hours=2)
        lines.append(
            say(
                "Food over {limit}: last good {since}, use or bin by {deadline}.",
                limit=limit,
                since=Clock(out.since),
                deadline=Clock(deadline),
            )
        )
        numbers += (Number("deadline", deadline.isoformat(), "time"),)
    elif question.side is Side.COLD:
        lines.append(say("Food over {limit}: no good reading is logged, so unknown since load-out.",
                         limit=limit))  # fmt: skip
    return told(
        replace(found, text=lines[0]),
        *lines[1:],
        numbers=numbers,
        question=say("Air or food?"),
        choices=(say("air"), say("food")),
    )


def _house_cold(context: AskContext) -> HouseLimits:
    """Return the house's limits with the good-practice 5 °C for the answer before the probe."""
    house = context.cards.event.house if context.cards else HouseLimits()
    return replace(house, cold_max_c=min(house.cold_max_c or 5.0, 5.0))


def last_good(context: AskContext, question: FoundQuestion, house: HouseLimits) -> Reading | None:
    """Return the last good reading of that food.

    Where nobody said which box, the oldest of every box's last good reading: another box having
    been cold later says nothing of this one.
    """
    limit = _strictest(question, house)
    if limit is None:
        return None
    keeps = limit.kept if question.side is Side.COLD else limit.reached
    last: dict[str, Reading] = {}
    for reading in sorted(context.readings, key=lambda r: r.at):
        known = reading.unit == "°C" and reading.place is not Place.PIT
        past = context.now is None or reading.at <= context.now
        if known and past and keeps(Degrees(reading.value)):
            last[reading.about] = reading
    if question.about:
        return last.get(question.about) or last.get("")
    return min(last.values(), key=lambda r: r.at, default=None)


def _strictest(question: FoundQuestion, house: HouseLimits) -> Limit | None:
    books = (question.profile,) if question.profile else tuple(Profile)
    found = (held_to(hold_rule(question.side, book), question.side, house) for book in books)
    known = [limit for limit in found if limit is not None]
    if question.side is Side.COLD:
        return min((*known, Limit(5.0, 41)), key=lambda each: each.c)
    return max(known, key=lambda each: each.c, default=None)
