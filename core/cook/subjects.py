"""What a name said by the crew means: 'b1', 'load 2', 'P1', 'rack A', 'salad', 'S1'.

Names are matched exactly after folding case; a load is meant by its name, its number (L2) or by
what a batch of it is called (A.2); a station by what runs or is due on it; a task by its id, its
station or its dish. Among several the one that is next in the plan is meant.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from core.cook.state import NEXT, Cook, Phase
from core.errors import CannotPlanError, UnknownNameError
from core.facts import Report
from core.model import Load, Plan, StepRun, Task

Item = StepRun | Task

STARTS = {"on", "in", "start"}
ENDS = {"off", "pull", "out"}
FIRE_JOBS = {"light", "feed"}
"""Jobs of a station, for whatever dish they are."""

FILLER = {"load", "rack", "batch", "tray", "box", "the", "tanda", "lote", "rejilla", "bandeja"}


def folded(name: str) -> str:
    """Return a name as it is compared.

    Examples
    --------
    >>> folded("Rack A")
    'a'
    """
    words = [w for w in name.casefold().replace("_", " ").split() if w not in FILLER]
    return " ".join(words) if words else name.casefold().strip()


def plan_of(cook: Cook) -> Plan:
    """Return the adopted plan; a cook without one cannot be reported on."""
    if cook.plan is None:
        raise CannotPlanError("nothing is cooking yet")
    return cook.plan


def key_of(item: Item) -> str:
    """Return the key of a run or task."""
    return item.key if isinstance(item, StepRun) else item.id


def in_order(plan: Plan) -> list[Item]:
    """Return runs and tasks by start, then key."""
    found: list[Item] = [*plan.runs(), *plan.tasks]
    return sorted(found, key=lambda item: (item.start, key_of(item)))


def loads_named(cook: Cook, name: str) -> tuple[Load, ...]:
    """Return the loads a name may mean: by name, by number, by what is on that station."""
    plan, wanted = plan_of(cook), folded(name)
    by_name = [x for x in plan.loads if folded(x.name) == wanted or x.id.casefold() == wanted]
    by_number = [x for x in plan.loads if wanted in {x.number.casefold(), x.number[1:]}]
    return tuple(by_name or by_number)


def items_named(cook: Cook, name: str) -> list[Item]:
    """Return every run and task a name may mean, in plan order.

    Raises
    ------
    UnknownNameError
        If nothing in the plan is called that; lists what there is.
    """
    plan, wanted = plan_of(cook), folded(name)
    for means in _meanings(cook, wanted):
        found = [item for item in in_order(plan) if means(item)]
        if found:
            return found
    raise UnknownNameError("load", name, known_names(plan))


def _meanings(cook: Cook, wanted: str) -> Iterator[Callable[[Item], bool]]:
    loads = {load.id for load in loads_named(cook, wanted)}
    dishes = {
        d.id
        for d in (cook.cards.dishes if cook.cards else ())
        if wanted in {d.id.casefold(), folded(d.name)}
    }
    yield lambda item: key_of(item).casefold() == wanted
    yield lambda item: isinstance(item, StepRun) and f"{item.dish}/{item.load}" in loads
    yield lambda item: isinstance(item, StepRun) and folded(item.unit) == wanted
    yield lambda item: item.station is not None and folded(item.station) == wanted
    yield lambda item: wanted in {item.do.casefold(), (item.step or "").casefold()}
    yield lambda item: item.dish in dishes and item.do not in FIRE_JOBS
    if wanted:
        yield (
            lambda item: (
                wanted in key_of(item).casefold().replace("_", "-").split("/")[0].split("-")
            )
        )


def known_names(plan: Plan) -> str:
    """Return the names a cook may use now, for an error."""
    names = [load.name for load in plan.loads]
    stations = sorted({item.station for item in in_order(plan) if item.station})
    return ", ".join(dict.fromkeys([*names, *stations][:14])) or "nothing yet"


def fits_verb(item: Item, verb: str) -> bool:
    """Say whether what was said suits a step: its own verb, or 'on' and 'off' for any fire."""
    if verb in {"", "done"} or item.do.casefold() == verb:
        return True
    on_fire = isinstance(item, StepRun) and item.on_fire
    return (verb in STARTS | ENDS) and on_fire


def candidates(cook: Cook, subject: str, verb: str) -> list[Item]:
    """Return what a report may be about, in plan order: the named, narrowed by the verb."""
    named = items_named(cook, subject) if subject else in_order(plan_of(cook))
    fitting = [item for item in named if fits_verb(item, verb)]
    if verb in ENDS and not fitting:
        fitting = [item for item in named if cook.phase(key_of(item)) is Phase.RUNNING]
    return fitting


def legal(cook: Cook, item: Item, report: Report) -> bool:
    """Say whether a report may come now for a run or task."""

    return (cook.phase(key_of(item)), report) in NEXT
