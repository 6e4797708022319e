"""Gas, power and water gone: what stops at once, which clocks run, what there is left."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.boxes import FOOD, side_of
from core.cook.decision import Dated, Decision, Notice, booked
from core.cook.names import listed
from core.cook.slips.asking import LINES, asked, consequence
from core.cook.slips.offered import carried_on, offers
from core.cook.state import Cook, Phase
from core.cook.subjects import plan_of
from core.errors import CannotPlanError
from core.facts.slips import (
    GasOut,
    StationBack,
    StationDown,
    Supply,
    SupplyFailed,
    SupplyOut,
    SupplyRestored,
    Why,
)
from core.model import (
    FIRES,
    Answer,
    Cards,
    Clock,
    Label,
    Line,
    Number,
    Place,
    Qty,
    Reading,
    Sound,
    Span,
    Station,
    StationKind,
    say,
)
from core.safety.clocks import Side
from core.safety.degrees import Degrees
from core.safety.holding import held_to, hold_rule
from core.scaling.fuel import bottle_hours

GASES = ("propane", "butane", "gas", "lpg")
ELECTRIC = ("electric", "power", "pellet")  # a pellet fire's auger and fan want power
SWAP_MIN = (4, 6)
"""Close, swap, soap test, relight; common practice."""

BOTTLE_KG = 9.0
"""What a spare bottle holds where nobody says; common practice."""


def gas_out(cook: Cook, wish: GasOut, by: str, at: datetime, now: datetime) -> Decision:
    """Book that the gas fires are out for a swap: what to do, what waits, what is left."""
    cards = _cards(cook)
    fires = [s for s in cards.kit.stations if _burns(s, GASES)]
    if wish.station:
        fires = [s for s in fires if s.id.casefold() == wish.station.casefold()] or fires
    until = now + timedelta(minutes=SWAP_MIN[1])
    facts = tuple(Dated(at, StationDown(s.id, Why.GAS, until)) for s in fires)
    after = booked(cook, facts, by, now)
    swap = say("Close tap, burners off, swap, soap test, relight: {swap}.",
               swap=Span(*SWAP_MIN, "min", 0))  # fmt: skip
    power = sum(s.power_kw or 0.0 for s in fires)
    left = wish.left_kg or BOTTLE_KG
    numbers: tuple[Number, ...] = ()
    last: Line | None = None
    if power > 0:
        hours = bottle_hours(left, power)
        numbers = (Number("hours_left", round(hours.plan_h, 1), "h"),)
        last = say("Next bottle ({kg}) at {power}: about {hours}.", kg=Qty(left, "kg"),
                   power=Qty(power, "kW"), hours=Qty(round(hours.plan_h), "h", 0))  # fmt: skip
    waits = _waiting(after, fires, now)
    hot = _hot_boxes(cook)
    keep = carried_on(after, now)
    plates = say("{plates}.", plates=consequence(keep, cook))
    lines = tuple(x for x in (swap, waits or plates, last, hot) if x is not None)[:LINES]
    found = offers(after, now)
    if found and found[0].key == "keep":
        return Decision(facts, Answer(lines, numbers=numbers))
    return asked(after, lines, facts, found, by, at, numbers=numbers)


def _burns(station: Station, fuels: tuple[str, ...]) -> bool:
    return station.kind in FIRES and any(f in station.fuel.casefold() for f in fuels)


def _waiting(cook: Cook, fires: list[Station], now: datetime) -> Line | None:
    """Return what is on the fires that are out, and where else it could go."""
    names = {s.id for s in fires}
    on = [
        run for run in plan_of(cook).runs()
        if (cook.job(run.key).station or run.station) in names
        and (cook.phase(run.key) is Phase.RUNNING
             or (cook.phase(run.key) is Phase.WAITING
                 and now <= run.start <= now + timedelta(minutes=SWAP_MIN[1])))
    ]  # fmt: skip
    if not on:
        return None
    cards = _cards(cook)
    kinds = {s.kind for s in fires}
    other = [s for s in cards.kit.stations if s.kind in kinds and s.id not in names]
    other = [s for s in other if s.id not in cook.slips.down]
    what = listed([Label(run.unit) for run in on], 3)
    if not other:
        return say("{what} on hold, lid shut.", what=what)
    return say("{what} on hold: move to {station}.", what=what, station=Label(other[0].id))


def _hot_boxes(cook: Cook) -> Line | None:
    """Return the last reading of each hot box and until when that may stand."""
    last = _last_good(cook, Side.HOT)
    if not last:
        return None
    newest = max(last.values(), key=lambda r: r.at)
    limit = _limit(cook, Side.HOT)
    return say("{box} {read} at {clock}: needs no gas, lid shut, keep {limit}.",
               box=Label(newest.about), read=Qty(newest.value, "°C"), clock=Clock(newest.at),
               limit=Label(f"≥{limit:g} °C"))  # fmt: skip


def _limit(cook: Cook, side: Side) -> float:
    event = _cards(cook).event
    if event.profile is None:
        return 63.0 if side is Side.HOT else 4.0
    found = held_to(hold_rule(side, event.profile), side, event.house)
    return found.c if found is not None else (63.0 if side is Side.HOT else 4.0)


def _last_good(cook: Cook, side: Side) -> dict[str, Reading]:
    """Return the newest good food reading of each box that keeps food hot, or cold."""
    cards = _cards(cook)
    event = cards.event
    found: dict[str, Reading] = {}
    if event.profile is None:
        return found
    limit = held_to(hold_rule(side, event.profile), side, event.house)
    for reading in sorted(cook.readings, key=lambda r: r.at):
        if side_of(cards.station(reading.about)) is not side or limit is None:
            continue
        food = reading.place in FOOD or (side is Side.HOT and reading.place is Place.AIR)
        read = Degrees(reading.value)
        good = limit.kept(read) if side is Side.COLD else limit.reached(read)
        if food and good:
            found[reading.about] = reading
    return found


def supply_out(cook: Cook, wish: SupplyOut, by: str, at: datetime, now: datetime) -> Decision:
    """Book that power or water is gone or back."""
    if wish.what is Supply.WATER:
        return _water_back(cook, at) if wish.back else _water_out(cook, by, at)
    return _power_back(cook, by, at, now) if wish.back else _power_out(cook, by, at, now)


def _power_out(cook: Cook, by: str, at: datetime, now: datetime) -> Decision:
    cards = _cards(cook)
    fires = [s for s in cards.kit.stations if _burns(s, ELECTRIC)]
    ovens = [s for s in cards.kit.stations if s.kind is StationKind.OVEN and not s.fuel]
    down = [*fires, *ovens]
    facts = (
        Dated(at, SupplyFailed(Supply.POWER)),
        *(Dated(at, StationDown(s.id, Why.POWER)) for s in down),
    )
    after = booked(cook, facts, by, now)
    fridges = [s for s in cards.kit.stations if s.kind is StationKind.FRIDGE]
    lines = [_power_head(cook, down, after, now)]
    lines += _cold_clocks(cook, fridges)
    boxes = listed([Label(s.id) for s in fridges] or [say("every box")], 3)
    lines.append(say("Doors shut. Probe food in {boxes} now, then every 30 min.", boxes=boxes))
    found = offers(after, now) if down else ()
    told = _chef(cook, tuple(lines[:LINES]), by, "power")
    if not down or (found and found[0].key == "keep"):
        return Decision(facts, Answer(tuple(lines[:LINES])), told)
    return asked(after, tuple(lines[:LINES]), facts, found, by, at)


def _power_head(cook: Cook, down: list[Station], after: Cook, now: datetime) -> Line:
    if not down:
        return say("Power out: no fire needs it. Fridges warm from now on.")
    names = listed([Label(s.id) for s in down], 3)
    return say("Power out: {down} down; {plates}.", down=names,
               plates=consequence(carried_on(after, now), cook))  # fmt: skip


def _cold_clocks(cook: Cook, fridges: list[Station]) -> list[Line]:
    """Return from when each fridge's clock runs: its last good reading, never from now."""
    good = _last_good(cook, Side.COLD)
    known = [
        say("{box} {read} at {clock}", box=Label(s.id), read=Qty(good[s.id].value, "°C"),
            clock=Clock(good[s.id].at))
        for s in fridges if s.id in good
    ]  # fmt: skip
    unknown = [Label(s.id) for s in fridges if s.id not in good]
    lines = []
    if known:
        lines.append(say("Cold clocks run from the last good reading: {known}.",
                         known=listed(list(known), 3)))  # fmt: skip
    if unknown:
        lines.append(say("UNKNOWN when {boxes} was last good: probe first.",
                         boxes=listed(list(unknown), 3)))  # fmt: skip
    return lines


def _power_back(cook: Cook, by: str, at: datetime, now: datetime) -> Decision:
    down = [name for name, out in cook.slips.down.items() if out.why is Why.POWER]
    facts = (
        Dated(at, SupplyRestored(Supply.POWER)),
        *(Dated(at, StationBack(name)) for name in down),
    )
    after = booked(cook, facts, by, now)
    since = cook.slips.failed.get(Supply.POWER)
    first = (
        say("Power back {clock}, out since {since}.", clock=Clock(at), since=Clock(since))
        if since else say("Power back {clock}.", clock=Clock(at))
    )  # fmt: skip
    probe = say("Probe every box before it is used: what was warm stays counted.")
    found = offers(after, now) if down else ()
    if not down or (found and found[0].key == "keep"):
        return Decision(facts, Answer((first, probe)))
    return asked(after, (first, probe), facts, found, by, at)


def _water_out(cook: Cook, by: str, at: datetime) -> Decision:
    lines = (
        say("STOP raw handling and bare-hand food: no water, no handwash."),
        say("Hands: bottled water and soap from a tap can; gel is no wash. Raw work waits."),
        say("Dishes: clean stack only. Sauces, rice and salad wash from sealed water."),
    )
    told = _chef(cook, lines[:1], by, "water")
    return Decision((Dated(at, SupplyFailed(Supply.WATER)),), Answer(lines), told)


def _water_back(cook: Cook, at: datetime) -> Decision:
    since = cook.slips.failed.get(Supply.WATER)
    first = (
        say("Water back {clock}, out since {since}.", clock=Clock(at), since=Clock(since))
        if since else say("Water back {clock}.", clock=Clock(at))
    )  # fmt: skip
    run = say("Run it clear first. Everybody washes hands, then raw work goes on.")
    return Decision((Dated(at, SupplyRestored(Supply.WATER)),), Answer((first, run)))


def _chef(cook: Cook, lines: tuple[Line, ...], by: str, what: str) -> tuple[Notice, ...]:
    chef = _cards(cook).chef
    if chef is None or chef.id == by:
        return ()
    return (Notice(f"{what}/{cook.seq}", (chef.id,), lines, Sound.ONCE, kind="finding"),)


def _cards(cook: Cook) -> Cards:
    if cook.cards is None:
        raise CannotPlanError("nothing is cooking yet")
    return cook.cards
