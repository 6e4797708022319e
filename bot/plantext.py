"""A plan as text: the promise, the bottleneck, a line a load, the fires, what is wrong with it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime

from bot.render import render
from core.cook.names import verb_of
from core.model import Cards, Clock, Label, Line, Load, Plan, Qty, Task, Value, say

FITS = {
    "yes": say("Fits."),
    "tight": say("Tight."),
    "no": say("Does NOT fit."),
}


def plan_lines(plan: Plan, cards: Cards, lang: str) -> tuple[str, ...]:
    """Return the plan as lines of text, times in site time."""

    def words(line: Line) -> str:
        return render(line, lang, cards.event.zone)

    return tuple(words(line) for line in _lines(plan, cards)) + tuple(_table(plan, cards, words))


def _lines(plan: Plan, cards: Cards) -> Iterator[Line]:
    yield say(
        "PLAN {letter} · {event} · {heads} · plates {clock}",
        letter=Label(plan.letter),
        event=Label(cards.event.name),
        heads=Qty(plan.heads, "heads", 0),
        clock=Clock(plan.plates_at),
    )
    if plan.bottleneck is not None:
        yield say("Bottleneck: {text}", text=plan.bottleneck.text)
    yield FITS.get(plan.fits, say("Does NOT fit."))
    for fix in plan.fixes[:3]:
        yield say("Would help: {fix}", fix=fix)
    for task in sorted(plan.tasks, key=lambda t: (t.start, t.id)):
        if task.do == "light" and cards.event.local(task.start).date() >= cards.event.day:
            yield _light(task)


def _light(task: Task) -> Line:
    fields: dict[str, Value] = {
        "verb": verb_of("light"),
        "station": Label(task.station or task.id),
        "clock": Clock(task.start),
    }
    if task.temp_c is None:
        return say("{clock} {verb} {station}", **fields)
    return say("{clock} {verb} {station} · {temp}", **fields, temp=Qty(task.temp_c, "°C", 0))


def _table(plan: Plan, cards: Cards, words: Callable[[Line], str]) -> Iterator[str]:
    heads = [say("load"), say("where"), say("pcs"), say("on"), say("off"), say("ready"),
             say("needed"), say("slack"), say("hold")]  # fmt: skip
    rows = [[words(h) for h in heads], *(_row(load, cards) for load in plan.loads)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(heads))]
    yield ""
    for row in rows:
        yield "  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)).rstrip()
    yield ""
    for finding in plan.findings:
        yield f"! {words(finding.text)}"


def _row(load: Load, cards: Cards) -> list[str]:
    def clock(at: datetime) -> str:
        return f"{cards.event.local(at):%H:%M}"

    return [
        f"{load.dish.replace('-', ' ')} {load.name}",
        load.station,
        str(load.count),
        clock(load.on),
        clock(load.off),
        clock(load.ready),
        clock(load.needed_by),
        f"{load.slack_min:.0f} min",
        f"{load.hold_min:.0f} min",
    ]
