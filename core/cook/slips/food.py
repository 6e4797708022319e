"""Food lost, missed or not there: a tray dropped, a tub not brined, a delivery, still frozen."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.decision import Dated, Decision, Notice, booked
from core.cook.names import dish_name
from core.cook.slips.asking import LINES, asked, consequence
from core.cook.slips.force import in_force
from core.cook.slips.heads import bought_heads, cut_pieces
from core.cook.slips.offered import offers
from core.cook.state import Cook, Phase
from core.cook.subjects import items_named, loads_named, plan_of
from core.errors import OutOfRangeError, UnknownNameError
from core.facts import LateReported, Report, StepReported, VerdictGiven
from core.facts.slips import (
    DropPieces,
    FoundFrozen,
    GoodsOff,
    GoodsShort,
    LotMissed,
    LotsMissed,
)
from core.model import (
    Answer,
    Clock,
    Dish,
    Label,
    Line,
    Load,
    Number,
    Qty,
    Sound,
    Source,
    StepRun,
    Task,
    Verdict,
    say,
)
from core.safety.degrees import Degrees
from core.safety.goods import Delivery, delivery_verdict
from core.safety.rules import source_of
from core.scaling.heads import eaters, portions_to_make
from core.scaling.loads import pieces_of_portions
from core.scaling.season import dose
from core.tables import tables_version
from core.tables.heat import heat_row

OPEN = frozenset({Phase.WAITING, Phase.RUNNING})
CALM_LINES = 3  # what was lost changes nothing


# ------------------------------------------------------------------ dropped


def dropped(cook: Cook, wish: DropPieces, by: str, at: datetime, now: datetime) -> Decision:
    """Bin what fell, off the load it was for; what is left is set against what is eaten."""
    load = _load_meant(cook, wish.named)
    gone = gone_of(cook, load)
    left = load.count - gone
    if not 0 < wish.count <= left:
        raise OutOfRangeError("count", wish.count, f"1 to {left}")
    run = _where(cook, load)
    whole = wish.count == left
    fact = Dated(at, StepReported(run.key, Report.DISCARD, None if whole else wish.count))
    after = booked(cook, (fact,), by, now)
    numbers, lines = _counted(after, load, wish.count)
    told = _chef_told(cook, lines, by, Sound.SILENT if len(lines) == CALM_LINES else Sound.ONCE)
    return Decision((fact,), Answer(lines, Verdict.BIN, numbers), told)


def _load_meant(cook: Cook, named: str) -> Load:
    """Return the load a tray was of: the named, else the next of the dish to go on its fire."""
    plan = plan_of(cook)
    loads = loads_named(cook, named) if named else ()
    if loads:
        return loads[0]
    dish = _dish_meant(cook, named)
    mine = [x for x in plan.loads if dish is None or x.dish == dish]
    waiting = [x for x in mine if cook.phase(x.runs[0].key) in OPEN and _left(cook, x) > 0]
    waiting = [x for x in waiting if not _begun_fire(cook, x)] or waiting
    if not waiting:
        raise UnknownNameError("load", named or "tray", ", ".join(x.name for x in mine))
    return min(waiting, key=lambda x: x.on)


def _dish_meant(cook: Cook, named: str) -> str | None:
    if not named:
        return None
    found = [i for i in items_named(cook, named) if i.dish]
    return found[0].dish if found else None


def _begun_fire(cook: Cook, load: Load) -> bool:
    return any(r.on_fire and cook.phase(r.key) is not Phase.WAITING for r in load.runs)


def _left(cook: Cook, load: Load) -> int:
    return load.count - gone_of(cook, load)


def gone_of(cook: Cook, load: Load) -> int:
    """Return how many pieces of a load are in the bin."""
    return sum(cook.job(run.key).gone for run in load.runs)


def _where(cook: Cook, load: Load) -> StepRun:
    """Return the run these pieces are at: what runs, else the next that waits, else the last."""
    running = [r for r in load.runs if cook.phase(r.key) is Phase.RUNNING]
    waiting = [r for r in load.runs if cook.phase(r.key) is Phase.WAITING]
    return (running or waiting or list(load.runs)[-1:])[0]


def _counted(cook: Cook, load: Load, lost: int) -> tuple[tuple[Number, ...], tuple[Line, ...]]:
    """Return needed, had, left and spare, and what the load is now."""
    assert cook.cards is not None
    cards = in_force(cook.cards, cook.slips)
    dish = cards.dish(load.dish)
    need = pieces_of_portions(dish, eaters(cards.event, cook.heads)[dish.id])
    loads = [x for x in plan_of(cook).loads if x.dish == dish.id]
    cooked = sum(_left(cook, x) for x in loads)
    raw = max(_there(cook, dish) - sum(x.count for x in loads), 0)
    left = cooked + raw
    spare = left - need
    numbers = (
        Number("need", need, "count"),
        Number("left", left, "count"),
        Number("spare", spare, "count"),
        Number("load", _left(cook, load), "count"),
    )
    fields = {"need": need, "had": left + lost, "left": left}
    first = (
        say("{verdict}. Need {need}, had {had}: {left} left, {spare} spare.", verdict=Verdict.BIN,
            **fields, spare=spare)
        if spare >= 0 else
        say("{verdict}. Need {need}, had {had}: {left} left, {short} SHORT.", verdict=Verdict.BIN,
            **fields, short=-spare)
    )  # fmt: skip
    second = say("{load} is {now}, not {was}.", load=Label(load.name), now=_left(cook, load),
                 was=_left(cook, load) + lost)  # fmt: skip
    floor = say("Floor greasy: who mops?")
    if cooked >= need:
        return numbers, (first, say("{load} No change to plan.", load=second), floor)
    if spare >= 0:
        more = say("Loads hold {n} too few; {raw} lie raw: one more load, chef decides.",
                   n=need - cooked, raw=raw)  # fmt: skip
        return numbers, (first, second, more, floor)
    return numbers, (first, second, _shorter(dish, left, need), floor)


def _there(cook: Cook, dish: Dish) -> int:
    """Return how many pieces there are of a dish in all: in loads, and raw in the cold."""
    assert cook.cards is not None
    cards, heads = cook.cards, bought_heads(cook)
    item = next(m for m in cards.event.menu if m.dish == dish.id)
    made = pieces_of_portions(dish, portions_to_make(cards.event, dish, item, heads))
    return max(made, cut_pieces(cards, dish, heads) or 0)


def _shorter(dish: Dish, left: int, need: int) -> Line:
    if dish.cuts and dish.cuts > 1:
        return say("{n} slices each covers it.", n=max(left * dish.cuts // max(need, 1), 1))
    return say("Fewer seconds, or another main for {n}: chef decides.", n=need - left)


def _chef_told(
    cook: Cook, lines: tuple[Line, ...], by: str, sound: Sound = Sound.SILENT
) -> tuple[Notice, ...]:
    chef = cook.cards.chef if cook.cards else None
    if chef is None or chef.id == by:
        return ()
    return (Notice(f"binned/{cook.seq}", (chef.id,), lines[:2], sound, kind="finding"),)


# ------------------------------------------------------------------ tubs missed


def lot_missed(cook: Cook, wish: LotMissed, by: str, at: datetime, now: datetime) -> Decision:
    """Book lots that were never done and say the other way the card knows for their pieces."""
    lots = _lots_open(cook, wish.step)
    if not lots:
        line = say("By my log all of {step} is in. Undo that report, then say it again.",
                   step=Label(wish.step))  # fmt: skip
        return Decision(answer=Answer((line,)))
    found = lots[-wish.lots :] if wish.lots <= len(lots) else lots
    dish_id = found[0].dish or ""
    assert cook.cards is not None
    dish = cook.cards.dish(dish_id)
    pieces = sum(t.count or 0 for t in found)
    fact = Dated(at, LotsMissed(tuple(t.id for t in found), pieces))
    over = tuple(Dated(at, StepReported(t.id, Report.DISCARD)) for t in found)
    step = found[0].step or ""
    other = next((s for s in dish.steps if s.instead_of == step), None)
    head = say("{n} of {dish} not done: {step}.", n=Qty(pieces, "pcs", 0),
               dish=Label(dish_name(dish_id, cook.cards)), step=Label(step))  # fmt: skip
    if other is None:
        line = say("The card knows no other way: chef decides, or in now and out by its maximum.")
        return Decision((fact, *over), Answer((head, line)), _chef_told(cook, (head, line), by))
    salt_kg = dose("dry brine", pieces * (dish.piece.weight_kg or 0.0)).kg
    ready = now + timedelta(minutes=other.min_min or other.ideal_min or 0.0)
    line = say("Instead: {step} now, {salt}, good to go on from {clock}.", step=Label(other.id),
               salt=Qty(round(salt_kg * 1000, -1), "g", 0), clock=Clock(ready))  # fmt: skip
    first = _first_waiting(cook, dish_id)
    late = [line]
    if first is not None and first.on < ready:
        late.append(say("{load} goes on {on}: put them in the last load.", load=Label(first.name),
                        on=Clock(first.on)))  # fmt: skip
    lines = (head, *late)
    numbers = (
        Number("pieces", pieces, "count"),
        Number("dry_salt", round(salt_kg * 1000), "g"),
        Number("ready_at", ready.isoformat(), "time"),
    )
    return Decision((fact, *over), Answer(lines, numbers=numbers), _chef_told(cook, lines, by))


def _lots_open(cook: Cook, step: str) -> list[Task]:
    named = [i for i in items_named(cook, step) if isinstance(i, Task) and i.step]
    return [t for t in named if cook.phase(t.id) is Phase.WAITING]


def _first_waiting(cook: Cook, dish: str) -> Load | None:
    loads = [x for x in plan_of(cook).loads if x.dish == dish and not _begun_fire(cook, x)]
    return min(loads, key=lambda x: x.on, default=None)


# ------------------------------------------------------------------ deliveries


def goods_off(cook: Cook, wish: GoodsOff, by: str, at: datetime) -> Decision:
    """Return whether to take a warm delivery, and what so much less of it means."""
    assert cook.cards is not None
    event = cook.cards.event
    facts: list[Dated] = []
    lines: list[Line] = []
    verdict = None
    sources: tuple[Source, ...] = ()
    if wish.core_c is not None:
        delivery = Delivery(Degrees(wish.core_c), about=wish.named)
        given = delivery_verdict(delivery, event.profile, event.house)
        facts.append(Dated(at, VerdictGiven(given, tables_version())))
        lines.append(given.text)
        verdict, sources = given.verdict, source_of(given)
    refused = verdict is Verdict.BIN
    if refused or wish.short_kg is not None:
        facts.append(Dated(at, GoodsShort(wish.named, wish.short_kg, refused)))
        lines += _shortfall(cook, wish)
    answer = Answer(tuple(lines[:LINES]), verdict, sources=sources)
    chef = cook.cards.chef
    told: tuple[Notice, ...] = ()
    if chef is not None and chef.id != by and (refused or wish.short_kg):
        told = (Notice(f"goods/{cook.seq}", (chef.id,), tuple(lines[:LINES]), Sound.ONCE,
                       kind="finding"),)  # fmt: skip
    return Decision(tuple(facts), answer, told)


def _shortfall(cook: Cook, wish: GoodsOff) -> list[Line]:
    """Return what is missing in kilograms and in portions, by the dish it was for."""
    bought = _bought(cook, wish.named)
    kg = wish.short_kg if wish.short_kg is not None else (bought[1] if bought else None)
    if kg is None:
        return [say("Short of {food}: how many kg? Second supplier?", food=Label(wish.named))]
    first = say("Short {kg}: second supplier, or fewer portions?", kg=Qty(round(kg, 1), "kg"))
    if bought is None:
        return [first]
    dish, need, each = bought
    lost = int(kg / each) if each else 0
    have = int(max(need - kg, 0.0) / each) if each else 0
    return [first, say("{dish}: {lost} fewer, {have} left.", dish=Label(dish.name),
                       lost=Qty(lost, "portions", 0), have=Qty(have, "portions", 0))]  # fmt: skip


def _bought(cook: Cook, named: str) -> tuple[Dish, float, float] | None:
    """Return the dish a food is bought for, how much, and how much of it a portion takes, kg."""
    assert cook.cards is not None
    wanted = named.casefold()
    for line in plan_of(cook).buy:
        if line.unit != "kg" or wanted not in line.item.casefold():
            continue
        for item in cook.cards.event.menu:
            dish = cook.cards.dish(item.dish)
            if any(i.name == line.item for i in dish.ingredients):
                heads = max(eaters(cook.cards.event, cook.heads)[dish.id], 1)
                return dish, line.need, line.need / heads
    return None


# ------------------------------------------------------------------ still frozen


def found_frozen(cook: Cook, wish: FoundFrozen, by: str, at: datetime, now: datetime) -> Decision:
    """Say how to thaw and by when, and put the load that waits for it off where it must be."""
    from core.heat.cold import thaw_in_water

    block = float(heat_row("rules", "rules", "block")["kg"])
    water, layer = thaw_in_water(block, False), thaw_in_water(block, True)
    cold = heat_row("rules", "rules", "frozen on the fire")
    more = float(cold["min_at_minus_1"])
    by_layer = now + timedelta(minutes=layer.span_min.high)
    by_block = now + timedelta(minutes=water.span_min.high)
    first = say(
        "Bags in cold water now, packs broken apart, new water every {change}: thawed about "
        "{layer} in one layer, {block} in blocks.",
        change=Qty(water.change_min or 30, "min", 0), layer=Clock(by_layer),
        block=Clock(by_block),
    )  # fmt: skip
    numbers = (
        Number("single_layer_at", by_layer.isoformat(), "time"),
        Number("blocks_at", by_block.isoformat(), "time"),
        Number("longer", more, "min"),
    )
    load = _frozen_load(cook, wish.named)
    on = wish.on_at or (load.on if load else None)
    never = say("Never brine it frozen, never on the bench. Cook it today.")
    if load is None or on is None:
        return Decision(answer=Answer((first, never), numbers=numbers))
    second = say("On at {on} from -1 °C: +{more}, pull by probe.", on=Clock(on),
                 more=Qty(more, "min", 0))  # fmt: skip
    run = next(r for r in load.runs if r.on_fire)
    until = max(on, run.start) + timedelta(minutes=more)
    fact = Dated(at, LateReported(run.key, until, more))
    after = booked(cook, (fact,), by, now)
    found = offers(after, now)
    best = found[0] if found else None
    head = say("{load}: {plates}.", load=Label(load.name), plates=consequence(best, cook))
    lines = (first, second, head, never)
    if best is not None and best.key == "keep" and best.late_min <= 0:
        return Decision((fact,), Answer(lines, numbers=numbers))
    return asked(after, lines[:LINES], (fact,), found, by, at, numbers=numbers)


def _frozen_load(cook: Cook, named: str) -> Load | None:
    """Return the next load of meat that waits for its fire."""
    assert cook.cards is not None
    dish = _dish_meant(cook, named) if named else None
    meat = [
        x for x in plan_of(cook).loads
        if not _begun_fire(cook, x) and (dish is None or x.dish == dish)
        and cook.cards.dish(x.dish).piece.food_class not in {None, "PLANT"}
    ]  # fmt: skip
    return min(meat, key=lambda x: x.on, default=None)
