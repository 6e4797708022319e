"""A plan as text: the promise, the bottleneck, a line a load, the fires, what is wrong with it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime

from bot.render import render
from core.cook.names import verb_of
from core.cook.plans import used_cards
from core.model import Cards, Clock, Label, Line, Load, Plan, Qty, Task, Value, say
from core.planner import capacity, where


def plan_lines(plan: Plan, cards: Cards, lang: str, booking: Line | None = None) -> tuple[str, ...]:
    """Return the plan as lines of text, times in site time: first whether it fits, then how."""

    def words(line: Line) -> str:
        return render(line, lang, cards.event.zone)

    return (
        *(words(line) for line in _lines(plan, cards, booking)),
        *(_table(plan, cards, words) if plan.loads else ()),
        *_findings(plan, words),
    )


def booking_line(cards: Cards) -> Line:
    """Return how many guests this kit, crew and window can feed, and what fixes the next ten."""
    return say("Booking: {text}", text=capacity(used_cards(cards)[0]).text)


def _lines(plan: Plan, cards: Cards, booking: Line | None) -> Iterator[Line]:
    yield say(
        "PLAN {letter} · {event} · {heads} · plates {clock}",
        letter=Label(plan.letter),
        event=Label(cards.event.name),
        heads=Qty(plan.heads, "heads", 0),
        clock=Clock(plan.plates_at),
    )
    yield _verdict(plan, cards)
    for fix in plan.fixes[:3]:
        yield say("Would help: {fix}", fix=fix)
    if booking is not None:
        yield booking
    if plan.bottleneck is not None:
        yield say("Bottleneck: {text}", text=plan.bottleneck.text)
    if plan.engine.endswith("proved"):
        yield say("Proved: no plan for these loads is less late, fresher or has more in hand.")
    for task in sorted(plan.tasks, key=lambda t: (t.start, t.id)):
        if task.do == "light" and cards.event.local(task.start).date() >= cards.event.day:
            yield _light(task)


def _verdict(plan: Plan, cards: Cards) -> Line:
    """Return whether it fits, and where it is tight or breaks."""
    why = where(plan, cards)
    if plan.fits == "yes":
        return say("Fits.")
    if why is None:
        return say("Tight.") if plan.fits == "tight" else say("Does NOT fit.")
    if plan.fits == "tight":
        return say("Tight: {why}", why=why)
    return say("Does NOT fit: {why}", why=why)


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


def _findings(plan: Plan, words: Callable[[Line], str]) -> Iterator[str]:
    """Yield what is wrong with it; where there is no plan at all, the answer has said it."""
    if not plan.loads and not plan.tasks:
        return
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
