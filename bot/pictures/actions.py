"""What comes next in a plan: one row for each moment somebody must act, as the calls say it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from core.calls import calls_of
from core.cook.names import thing_of, verb_of
from core.cook.state import items
from core.model import FIRES, Call, Cards, Label, Line, Plan, Qty, StepRun, Task, say

ACTS = frozenset({"start", "tick", "end"})
"""Kinds of calls that are actions; looks and flips belong to the one who stands there."""

SAME = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Action:
    """At `at`, `who` does `verb` to `things` at `places`.

    `temp` is the fire's for a start, the core to reach for an end, the core to expect for a check;
    `flips` are the moments to turn what was started, `never_after` a hard maximum.
    """

    at: datetime
    verb: Line | Label
    things: tuple[str, ...]
    places: tuple[str, ...]
    temp: Qty | None
    who: tuple[str, ...]
    kind: str = "start"
    flips: tuple[datetime, ...] = ()
    never_after: datetime | None = None


def actions(plan: Plan, cards: Cards, *, looks: bool = False) -> tuple[Action, ...]:
    """Return what the crew does, in order; what begins together stands together.

    With `looks` also when to look, what to expect there, and hard maxima before they pass.
    """
    kinds = ACTS | {"check", "limit"} if looks else ACTS
    known = items(plan)
    rows: dict[tuple[object, ...], Action] = {}
    for call in calls_of(plan, cards):
        item = known.get(call.about)
        if call.kind not in kinds or item is None or _goes_on(call, item, plan.runs()):
            continue
        one = _action(call, item, cards)
        key = (one.at, one.kind, item.do, item.dish or item.station, one.temp)
        rows[key] = _together(rows[key], one) if key in rows else one
    return tuple(rows.values())


def _goes_on(call: Call, item: StepRun | Task, runs: Iterable[StepRun]) -> bool:
    """Say whether the next batch of the same load takes the same fire at once: then say that."""
    if call.kind != "end" or not isinstance(item, StepRun):
        return False
    return any(
        (run.dish, run.load) == (item.dish, item.load)
        and run.step == item.step
        and run.station == item.station
        and timedelta() <= run.start - item.end <= SAME
        for run in runs
    )


def _action(call: Call, item: StepRun | Task, cards: Cards) -> Action:
    who = tuple(p.name if (p := cards.person(x)) else x for x in call.to if x != "room")
    if call.kind == "end" and isinstance(item, StepRun):
        core = Qty(item.until_core_c, "°C", 0) if item.until_core_c is not None else None
        things, verb = (thing_of(item, cards).text,), verb_of("pull")
        return Action(call.at, verb, things, (item.station or "",), core, who, "end")
    if call.kind == "check" and isinstance(item, StepRun):
        expected = next((c for at, c in item.checks if at == call.at), None)
        core = Qty(expected, "°C", 0) if expected is not None else None
        look, things = say("CHECK"), (thing_of(item, cards).text,)
        return Action(call.at, look, things, (item.station or "",), core, who, "check")
    if call.kind == "limit":
        things = (thing_of(item, cards).text,)
        out = say("{verb} OUT", verb=verb_of(item.do))
        return Action(call.at, out, things, (), None, who, "limit", (), item.never_after)
    station = cards.station(item.station) if item.station else None
    hot = station is not None and station.kind in FIRES and item.temp_c is not None
    temp = Qty(item.temp_c or 0.0, "°C", 0) if hot else None
    things = (thing_of(item, cards).text,)
    places = (item.station,) if item.station and item.station not in things else ()
    flips = item.turns if isinstance(item, StepRun) else ()
    return Action(call.at, verb_of(item.do), things, places, temp, who, "start", flips)


def _together(one: Action, more: Action) -> Action:
    """Return both as one row: every thing, place and person once."""
    return replace(
        one,
        things=_once(one.things, more.things),
        places=_once(one.places, more.places),
        who=_once(one.who, more.who),
    )


def _once(*parts: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(x for part in parts for x in part))


def joined(names: tuple[str, ...]) -> str:
    """Return names in one; words they begin with are said once, batches of a load as numbers.

    Examples
    --------
    >>> joined(("Lamb rump A", "Lamb rump B"))
    'Lamb rump A + B'
    >>> joined(("Lamb rump A.1", "Lamb rump A.2"))
    'Lamb rump A.1+2'
    >>> joined(("smoker",))
    'smoker'
    """
    if len(names) < 2:
        return "".join(names)
    words = [name.split() for name in names]
    same = 0
    while all(len(w) > same + 1 and w[same] == words[0][same] for w in words):
        same += 1
    rest = [" ".join(w[same:]) for w in words]
    load, dot, _ = rest[0].rpartition(".")
    if dot and all(r.rpartition(".")[0] == load for r in rest):
        tail = f"{load}.{'+'.join(r.rpartition('.')[2] for r in rest)}"
    else:
        tail = " + ".join(rest)
    return " ".join([*words[0][:same], tail])
