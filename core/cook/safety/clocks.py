"""Food that is losing time: in boxes, opened, on the table, pink off the fire.

Each clock is judged by the engine at its own moments; nothing here decides what is safe.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from core.cook.boxes import FOOD, air_is_fine, box_out, side_of
from core.cook.names import dish_name
from core.cook.safety.air import air_at
from core.cook.safety.gaps import ANIMAL, Watch
from core.cook.safety.probes import trusted
from core.cook.service.boxes import side_of_dish
from core.cook.state import Cook, Phase, items
from core.facts import Came
from core.model import (
    Clock,
    Dish,
    Finding,
    Label,
    Line,
    Qty,
    Reading,
    Task,
    Verdict,
    say,
)
from core.safety.clocks import Out, Side, out_verdict
from core.safety.degrees import Degrees
from core.safety.holding import found_at, held_to, hold_rule

AHEAD = timedelta(minutes=10)
RECHECK = timedelta(minutes=15)


# ------------------------------------------------------------------ boxes


def bad_boxes(cook: Cook) -> Iterator[tuple[Reading, Side]]:
    """Yield the last reading of each box that holds food and whose last reading was not good."""
    cards = cook.cards
    if cards is None:
        return
    last: dict[str, Reading] = {}
    for reading in trusted(cook):
        if reading.unit == "°C" and cards.station(reading.about):
            last[reading.about] = reading
    for about, reading in last.items():
        side = side_of(cards.station(about))
        binned = cook.safety.binned.get(about)
        if side is None or (binned is not None and binned >= reading.at):
            continue
        found = box_now(cook, reading, side, reading.at)
        if found.verdict is not Verdict.OK and not air_is_fine(cook, reading):
            yield reading, side


def box_now(cook: Cook, reading: Reading, side: Side, now: datetime) -> Finding:
    """Return what a box's reading means at a later instant, its clock having run on."""
    assert cook.cards is not None
    event = cook.cards.event
    out = box_out(cook, reading, side, now)
    return found_at(Degrees(reading.value), reading.place, out, event.profile, event.house)


def box_watches(cook: Cook) -> Iterator[Watch]:
    """Yield the look again after 15 min, and the bin at the deadline of a box out of control."""
    for reading, side in bad_boxes(cook):
        who = (reading.who,) if reading.who else ()
        stamp = f"{reading.at:%dT%H%M}"
        found = box_now(cook, reading, side, reading.at)
        again = reading.at + RECHECK
        by = found.deadline if found.verdict is not Verdict.BIN else None
        if by is None or again < by:
            yield Watch(f"{reading.about}/again/{stamp}", "box", again, reading.about,
                        _again(reading, by), to=who)  # fmt: skip
        if by is not None and reading.place in FOOD:
            at_end = box_now(cook, reading, side, by)
            if at_end.verdict is Verdict.BIN:
                line = say("{about}: {text}", about=Label(reading.about), text=at_end.text)
                yield Watch(f"{reading.about}/bin/{by:%dT%H%M}", "box", by, reading.about, line,
                            at_end, loud=True, choices=(say("binned"),))  # fmt: skip


def _again(reading: Reading, by: datetime | None) -> Line:
    value = Qty(reading.value, reading.unit)
    if reading.place not in FOOD:
        return say("{about}: air was {value}. Probe the food in the middle of a tub.",
                   about=Label(reading.about), value=value)  # fmt: skip
    if by is None:
        return say("{about}: food was {value}. Probe it again.", about=Label(reading.about),
                   value=value)  # fmt: skip
    return say("{about}: food was {value}. Probe it again: use or bin by {clock}.",
               about=Label(reading.about), value=value, clock=Clock(by))  # fmt: skip


# ------------------------------------------------------------------ dressed, on the table, pink


@dataclass(frozen=True, slots=True)
class Standing:
    """Food without cold or heat: since when, how long before, how often.

    `on_table` is False where it stands out of the cold but not before guests: the house's limit
    for tables does not run then.
    """

    key: str
    name: str
    side: Side
    since: datetime
    before_min: float = 0.0
    periods: int = 0
    dish: str = ""
    on_table: bool = True


def standing(cook: Cook) -> Iterator[Standing]:
    """Yield what stands out as somebody said, else from the tick of serving.

    A dressed salad goes back into the cold; it stands out once somebody says so, or serves it.
    """
    cards = cook.cards
    if cards is None:
        return
    said = set[str]()
    for what, stood in cook.service.stood.items():
        dish = next((d for d in cards.dishes if d.id == (stood.dish or what)), None)
        said.add(dish.id if dish else what)
        if stood.since is None or _is_binned(cook, what, stood.since):
            continue
        name, line = dish.name if dish else what, stood.came.get(Came.LINE)
        more = (stood.before_min, len(stood.spans) - 1, dish.id if dish else "")
        yield Standing(what, name, side_of_dish(dish), stood.since, *more, on_table=False)
        if line is not None and line >= stood.since:
            yield Standing(what, name, side_of_dish(dish), line, *more)
    pinks = {each.dish for each in pink(cook)}
    served = _served(cook)
    menu = {m.dish for m in cards.event.menu}
    for dish in cards.dishes if served is not None else ():
        told = dish.id in said | pinks or dish.id not in menu or not _is_made(cook, dish)
        told = told or (side_of_dish(dish) is Side.HOT and not _on_platters(cook, dish.id))
        if served is not None and not told and not _is_binned(cook, dish.id, served):
            yield Standing(dish.id, dish.name, side_of_dish(dish), served, dish=dish.id)


def _on_platters(cook: Cook, dish: str) -> bool:
    """Say whether a dish leaves the kitchen all at once; at a lane hot food waits in its box."""
    services = cook.cards.event.serve if cook.cards else ()
    return any(s.at_once for s in services if not s.dishes or dish in s.dishes)


def _served(cook: Cook) -> datetime | None:
    """Return when the first plates went out, by the first tick of serving."""
    ticks = [
        at
        for key, item in (items(cook.plan).items() if cook.plan else ())
        if isinstance(item, Task) and item.do == "serve"
        and (at := cook.job(key).started or cook.job(key).ended) is not None
    ]  # fmt: skip
    return min(ticks, default=None)


def _is_made(cook: Cook, dish: Dish) -> bool:
    return any(
        item.dish == dish.id and cook.phase(key) is Phase.OVER
        for key, item in (items(cook.plan).items() if cook.plan else ())
    )


def _is_binned(cook: Cook, what: str, since: datetime) -> bool:
    binned = cook.safety.binned.get(what)
    return binned is not None and binned >= since


def pink(cook: Cook) -> Iterator[Standing]:
    """Yield meat served below the heat that would hold it: its one time runs from off the fire."""
    cards = cook.cards
    if cards is None or cook.plan is None:
        return
    for load in cook.plan.loads:
        dish = cards.dish(load.dish)
        if dish.piece.food_class not in ANIMAL:
            continue
        fires = [run for run in load.runs if run.on_fire]
        last = max((run.index for run in fires), default=-1)
        for run in fires:
            off = cook.job(run.key).ended
            done = run.index == last and off is not None and cook.phase(run.key) is Phase.OVER
            cool = run.until_core_c is not None and not _would_hold(cook, run.until_core_c)
            gone = any(
                cook.phase(r.key) is Phase.GONE and r.unit in {run.unit, load.name}
                for r in load.runs
            )  # binned as a report, not as the answer to an alarm
            if done and cool and off is not None and not (gone or _is_binned(cook, run.key, off)):
                name = f"{dish_name(run.dish, cards)} {run.unit}"
                yield Standing(run.key, name, Side.HOT, off, dish=dish.id, on_table=False)


def _would_hold(cook: Cook, core_c: float) -> bool:
    assert cook.cards is not None
    event = cook.cards.event
    rule = hold_rule(Side.HOT, event.profile) if event.profile else None
    limit = held_to(rule, Side.HOT, event.house)
    return core_c >= (limit.c if limit else 63.0)


def judged(cook: Cook, each: Standing, now: datetime) -> Finding:
    """Return the verdict on food that stands out, at an instant."""
    assert cook.cards is not None
    event = cook.cards.event
    known = max(now, cook.entries[-1].heard) if cook.entries else now
    air = air_at(cook, known) if each.side is Side.COLD else None
    out = Out(each.side, each.since, now, each.before_min, each.periods, air, about=each.key)
    house = event.house if each.on_table else replace(event.house, table_max_min=None)
    return out_verdict(out, event.profile, house)


def deadline_of(cook: Cook, each: Standing) -> datetime:
    """Return until when food that stands out may be used; the house's 2 h where no book says."""
    found = judged(cook, each, each.since + timedelta(minutes=1))
    if found.deadline is not None:
        return found.deadline
    return each.since + timedelta(minutes=120 - each.before_min)


def out_watches(cook: Cook) -> Iterator[Watch]:
    """Yield the warning 10 min ahead and the bin at the deadline of what stands out."""
    first: dict[str, Standing] = {}
    for each in standing(cook):
        known = first.get(each.key)
        if known is None or deadline_of(cook, each) < deadline_of(cook, known):
            first[each.key] = each
    for each in first.values():
        yield from _ends(cook, each, "out")
    for each in _first_and_last(tuple(pink(cook))):
        yield from _ends(cook, each, "pink")


def _first_and_last(found: tuple[Standing, ...]) -> tuple[Standing, ...]:
    """Return of each dish's pink batches the oldest and the youngest: two words, not twelve."""
    by_dish: dict[str, list[Standing]] = {}
    for each in found:
        by_dish.setdefault(each.dish, []).append(each)
    kept: list[Standing] = []
    for batches in by_dish.values():
        first, last = min(batches, key=_since), max(batches, key=_since)
        kept += [first] if last.since - first.since < AHEAD else [first, last]
    return tuple(kept)


def _since(each: Standing) -> datetime:
    return each.since


def _ends(cook: Cook, each: Standing, sort: str) -> Iterator[Watch]:
    by = deadline_of(cook, each)
    stamp = f"{by:%dT%H%M}"
    name = Label(each.name)
    warn = say("{what}: use or bin by {clock}.", what=name, clock=Clock(by))
    yield Watch(f"{each.key}/{sort}/ahead/{stamp}", sort, by - AHEAD, each.key, warn)
    at_end = judged(cook, each, by)
    found = at_end if at_end.verdict is Verdict.BIN else None
    line = say("BIN what is left of {what}: out since {since}, limit {clock}.", what=name,
               since=Clock(each.since), clock=Clock(by))  # fmt: skip
    yield Watch(f"{each.key}/{sort}/bin/{stamp}", sort, by, each.key, line, found, loud=True,
                choices=(say("binned"),))  # fmt: skip
