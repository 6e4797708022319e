"""What is left: during service so many plates, after it keep or bin, by the clock and not by looks.

A clock runs from when food was opened, dressed or put on the line; of meat that was never hot
enough to be held, from when it came off its last fire. Where nobody said when, the earliest it can
have been counts, and it is said so.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from core.cook.boxes import FOOD
from core.cook.decision import Dated, Decision, booked
from core.cook.safety.air import air_at
from core.cook.safety.probes import trusted
from core.cook.service.boxes import CAME, side_of_dish, standing, verdict_on
from core.cook.service.forecast import left_answer
from core.cook.service.silence import in_service
from core.cook.state import Cook, Phase, items
from core.errors import OutOfRangeError, UnknownNameError
from core.facts import Came, CountLeft, FoodOut, LeftCounted, SetOut, VerdictGiven
from core.model import (
    Answer,
    Clock,
    Dish,
    Finding,
    Label,
    Line,
    Qty,
    StepRun,
    Verdict,
    say,
)
from core.safety.clocks import Out, Side, out_verdict
from core.safety.degrees import Degrees
from core.safety.holding import held_to, hold_rule
from core.safety.rules import source_of
from core.tables import tables_version

MOST = 20_000.0


def left_counted(cook: Cook, wish: CountLeft, by: str, at: datetime, now: datetime) -> Decision:
    """Book what is left: plates while they go out, else a verdict on keeping it."""
    if not 0 <= wish.amount <= MOST:
        raise OutOfRangeError("left", f"{wish.amount:g}", f"0 to {MOST:g}")
    name = wish.dish or _dish_of(cook, wish)
    dish = _dish(cook, name) if name else None
    unit = "plates" if wish.unit in {"", "plates"} else wish.unit
    fact = Dated(at, LeftCounted(name, wish.amount, unit))
    after = booked(cook, (fact,), by, now)
    chef = cook.cards.chef if cook.cards else None
    if dish is None or (unit == "plates" and in_service(cook, now)):
        answer = left_answer(after, now, chef=chef is not None and chef.id == by)
        return Decision((fact,), answer)
    found, since = keep_or_bin(after, dish, wish.of, now)
    noted = say("{dish}: {amount} left.", dish=Label(dish.name),
                amount=Qty(wish.amount, unit))  # fmt: skip
    given = Dated(at, VerdictGiven(found, tables_version()))
    lines = tuple(line for line in (found.text, noted, since, _how(found)) if line is not None)
    return Decision((fact, given), Answer(lines, found.verdict, sources=source_of(found)))


def _dish_of(cook: Cook, wish: CountLeft) -> str:
    """Return the dish a count without a name is of: its load's, or the only one that is sliced."""
    of = wish.of.casefold()
    for load in cook.plan.loads if cook.plan and of else ():
        if of in {load.name.casefold(), *(r.unit.casefold() for r in load.runs)}:
            return load.dish
    cut = [d.id for d in (cook.cards.dishes if cook.cards else ()) if d.cuts]
    return cut[0] if wish.unit == "slices" and len(cut) == 1 else ""


def _dish(cook: Cook, dish_id: str) -> Dish:
    dishes = cook.cards.dishes if cook.cards else ()
    found = next((d for d in dishes if d.id == dish_id), None)
    if found is None:
        raise UnknownNameError("dish", dish_id, ", ".join(d.name for d in dishes))
    return found


def _how(found: Finding) -> Line | None:
    if found.verdict is Verdict.OK:
        return say("Crew may eat it now. Nothing from the line is kept.")
    return None


def keep_or_bin(cook: Cook, dish: Dish, of: str, now: datetime) -> tuple[Finding, Line | None]:
    """Return the verdict on what is left of a dish, and since when its clock runs."""
    stood = cook.service.stood.get(dish.id)
    if stood is not None and stood.since is not None:
        found = verdict_on(cook, dish.id, stood, now)
        came = next((c for c, at in stood.came.items() if at == stood.since), Came.LINE)
        since = say("Clock from {clock}: {came}.", clock=Clock(stood.since), came=CAME[came])
        if found is not None:
            return found, since
    assert cook.cards is not None
    event = cook.cards.event
    start, why = _earliest(cook, dish, of)
    out = Out(side_of_dish(dish), start, now, air=air_at(cook, now), about=dish.name)
    return out_verdict(out, event.profile, event.house), why


def _earliest(cook: Cook, dish: Dish, of: str) -> tuple[datetime | None, Line | None]:
    """Return since when a dish may have been out of temperature, as far as was reported."""
    if dish.hold.safety == "hot":
        good = _last_hot(cook, dish)
        why = say("Clock from {clock}: last read hot.", clock=Clock(good)) if good else None
        return good, why
    if side_of_dish(dish) is Side.HOT:
        off = sorted(_offs(cook, dish, of))
        if not off:
            return None, None
        return off[0], say("Clock from {clock}: off the fire.", clock=Clock(off[0]))
    dressed = [
        cook.job(key).started or cook.job(key).ended
        for key, item in (items(cook.plan).items() if cook.plan else ())
        if item.dish == dish.id and item.do == "dress"
    ]
    known = [at for at in dressed if at is not None]
    if not known:
        return None, None
    return min(known), say("Clock from {clock}: dressed. On the line since when?",
                           clock=Clock(min(known)))  # fmt: skip


def _last_hot(cook: Cook, dish: Dish) -> datetime | None:
    """Return when the food itself was last read hot enough to be held; None if never."""
    assert cook.cards is not None
    event = cook.cards.event
    if event.profile is None:
        return None
    limit = held_to(hold_rule(Side.HOT, event.profile), Side.HOT, event.house)
    if limit is None:
        return None
    good = [
        r.at
        for r in trusted(cook)
        if r.place in FOOD
        and (r.about == dish.id or r.about.startswith(f"{dish.id}/"))
        and limit.reached(Degrees(r.value))
    ]
    return max(good, default=None)


def _offs(cook: Cook, dish: Dish, of: str) -> Iterator[datetime]:
    """Yield when the batches of a dish came off their last fire; only those of a load named."""
    wanted = of.casefold()
    for load in cook.plan.loads if cook.plan else ():
        if load.dish != dish.id:
            continue
        fires: dict[str, StepRun] = {}
        for run in load.runs:
            if run.on_fire and (run.unit not in fires or run.index > fires[run.unit].index):
                fires[run.unit] = run
        last = max((r.index for r in fires.values()), default=0)
        for unit, run in fires.items():
            ended = cook.job(run.key).ended
            named = not wanted or wanted in {unit.casefold(), load.name.casefold()}
            if run.index == last and ended is not None and named:
                yield ended


# ------------------------------------------------------------------ opened, dressed, on the line


def set_out(cook: Cook, wish: SetOut, at: datetime, now: datetime, by: str) -> Decision:
    """Book that something was opened, dressed, put on the line or put back, and until when."""
    dish = next((d for d in (cook.cards.dishes if cook.cards else ()) if d.id == wish.what), None)
    fact = Dated(at, FoodOut(wish.what, wish.came, dish.id if dish else ""))
    after = booked(cook, (fact,), by, now)
    name = Label(dish.name if dish else wish.what)
    first = say("{what}: {came} {clock}.", what=name, came=CAME[wish.came], clock=Clock(at))
    found = verdict_on(after, wish.what, after.service.stood[wish.what], now)
    if found is None or found.deadline is None:
        lines = (first,) if found is None else (first, found.text)
        return Decision((fact,), Answer(lines))
    by_then = say("Use or bin by {clock}.", clock=Clock(found.deadline))
    return Decision((fact,), Answer((first, by_then), sources=source_of(found)))


def leftovers_answer(cook: Cook, now: datetime) -> Answer:
    """Answer 'keep or bin': what stands out, the next to run out first, a verdict each."""
    found = list(standing(cook, now))
    named = {f.about for f in found}
    for dish in cook.cards.dishes if cook.cards else ():
        if dish.name in named or not _was_served(cook, dish):
            continue
        found.append(keep_or_bin(cook, dish, "", now)[0])
    found.sort(key=lambda f: (f.deadline is None, f.deadline))
    lines = tuple(say("{what}: {text}", what=Label(f.about), text=f.text) for f in found[:4])
    return Answer(lines or (say("Nothing stands out that I know of."),))


def _was_served(cook: Cook, dish: Dish) -> bool:
    """Say whether a dish is on the menu and some of it was finished and is not binned."""
    menu = {m.dish for m in cook.cards.event.menu} if cook.cards else set()
    if dish.id not in menu:
        return False
    jobs = [cook.phase(k) for k, i in (items(cook.plan).items() if cook.plan else ())
            if i.dish == dish.id]  # fmt: skip
    return Phase.OVER in jobs and Phase.GONE not in jobs
