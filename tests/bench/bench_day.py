"""The day at its fullest: 30 people and 2,000 facts in one cook; how long a reply takes.

A reply is everything between the words and its messages: reading, rights, decision, rendering,
re-deriving the calls. The planner's time inside it is measured and taken off: it has a benchmark
of its own. The baseline is the same reply in a cook that has just started.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from statistics import median, quantiles
from types import ModuleType

from bot.cards import read_event
from bot.directory import NamesDirectory
from bot.examples import HARVEST_SUPPER
from bot.ports import Heard, Incoming
from bot.replies import Reply, notice_sends, reply_send
from bot.understand import Understanding
from core import planner
from core.calls import calls_owed, due
from core.cook import Cook, decide, evolve, replay
from core.cook.decision import Dated, booked
from core.cook.service.silence import hushed, hushed_notices
from core.errors import KitchenError
from core.facts import CallMade, Entry, PlatesCounted, ReadingTaken, StartCook
from core.model import Moment, Person, Place, Reading, Role
from tests.bench.row import Row

PEOPLE, FACTS, ROUNDS = 30, 2000, 12
GOAL_MS, REPLAY_GOAL_S = 50.0, 2.0
COOK = "harvest-supper-1"

LINES = (
    ("olga", "status"), ("teo", "what's next"), ("iker", "me"), ("olga", "how many left"),
    ("pau", "acabo de llegar"), ("marisol", "who moved plates"), ("teo", "which box first"),
    ("olga", "260 out"), ("kim", "lane-1b 90"), ("olga", "line 30 deep"), ("ben", "timer 12 min x"),
    ("rafa", "callate hasta las 23"), ("teo", "a1 31"), ("iker", "P2 112"), ("rafa", "ok"),
    ("lucia", "5.1 kg salad left"), ("lucia", "ensalada en la línea"), ("ben", "any sesame"),
    ("teo", "a1 off 50"), ("jo", "sear a1"), ("marisol", "undo"), ("eva", "help"),
    ("teo", "47 at 35min when pull"), ("ben", "salmuera 6% 25 kg pollo"), ("olga", "keep or bin"),
)  # fmt: skip


def started() -> Cook:
    """Return the harvest supper with a crew of 30, just started."""
    cards = read_event(HARVEST_SUPPER)
    more = tuple(
        Person(f"hand{n}", f"Hand {n}", Role.CREW, languages=("en",), shifts=cards.crew[0].shifts)
        for n in range(PEOPLE - len(cards.crew))
    )
    cards = replace(cards, crew=(*cards.crew, *more))
    now = cards.event.instant(Moment(0, 11, 0))
    wish = StartCook(COOK, cards, {})
    facts = decide(Cook(), wish, by="marisol", at=now, now=now).facts
    return booked(Cook(), facts, "marisol", now)


def filled(cook: Cook) -> Cook:
    """Return the cook at 18:00 with all its calls made and 2,000 facts in its log."""
    assert cook.cards is not None
    event = cook.cards.event
    now = event.instant(Moment(0, 17, 15))
    for _ in range(400):
        owed = calls_owed(cook)
        first = min((c.at for c in owed), default=now)
        if first >= now:
            break
        ripe = hushed(cook, due(owed, first), first)
        cook = booked(cook, tuple(Dated(first, CallMade(c)) for c in ripe), "bot", first)
    cook = said(cook, "teo", "a1 on", now)[0]
    stations = cook.cards.kit.stations if cook.cards else ()
    boxes = [s.id for s in stations if s.id.startswith(("hot", "trailer"))]
    n = 0
    while len(cook.entries) < FACTS:
        at = now - timedelta(minutes=(FACTS - len(cook.entries)) / 10)
        box = boxes[n % len(boxes)]
        reading = Reading(66.0 if box.startswith("hot") else 3.5, Place.TUB, at, "lucia", box)
        fact = ReadingTaken(reading) if n % 4 else PlatesCounted("", n // 10, n // 10)
        cook = evolve(cook, Entry(cook.seq + 1, at, at, "lucia", fact))
        n += 1
    return cook


def heard(cook: Cook, who: str, text: str, now: datetime) -> Reply:
    """Return a message as the dispatcher has it."""
    message = Incoming("bench", "x", f"@{who}", who, text, now, private=True)
    return Reply(Heard(1, message), NamesDirectory("bench", COOK), cook, COOK, now)


def said(cook: Cook, who: str, text: str, now: datetime) -> tuple[Cook, float]:
    """Return the cook after a line, and how long the reply took without the planner, s."""
    with planner_time() as spent:
        begin = time.process_time()
        reply = heard(cook, who, text, now)
        try:
            decision = Understanding().decision(reply, now)
        except KitchenError as error:
            decision = reply.error(error)
        reply_send(reply, decision)
        notice_sends(reply.voice, hushed_notices(cook, decision.notices, now))
        after = booked(cook, decision.facts, who, now)
        calls_owed(after)
        took = time.process_time() - begin
    return after, took - spent()


@contextmanager
def planner_time() -> Iterator[Callable[[], float]]:
    """Measure what is spent in the planner, wherever the day calls it."""
    total, depth = 0.0, 0

    def timed(real: Callable[..., object]) -> Callable[..., object]:
        def run(*args: object, **kwargs: object) -> object:
            nonlocal total, depth
            begin, depth = time.process_time(), depth + 1
            try:
                return real(*args, **kwargs)
            finally:
                depth -= 1
                total += time.process_time() - begin if not depth else 0.0

        return run

    with ExitStack() as stack:
        for module, name, real in _planning():
            stack.enter_context(swapped(module, name, timed(real)))
        yield lambda: total


@contextmanager
def swapped(module: ModuleType, name: str, new: object) -> Iterator[None]:
    """Have a module use another function for a while."""
    old = getattr(module, name)
    setattr(module, name, new)
    try:
        yield
    finally:
        setattr(module, name, old)


@cache
def _planning() -> tuple[tuple[ModuleType, str, Callable[..., object]], ...]:
    """Return each place outside the planner that a way into the planner is known by."""
    ways: dict[int, Callable[..., object]] = {
        id(planner.replan): planner.replan,
        id(planner.options): planner.options,
    }
    return tuple(
        (module, name, ways[id(value)])
        for key, module in list(sys.modules.items())
        if key.startswith(("core.cook", "bot"))
        for name, value in list(vars(module).items())
        if id(value) in ways
    )


def times_ms(cook: Cook, now: datetime) -> dict[str, list[float]]:
    """Return the milliseconds each line took, over the rounds."""
    took: dict[str, list[float]] = {}
    for n in range(ROUNDS):
        for who, text in LINES:
            _, seconds = said(cook, who, text, now + timedelta(seconds=n))
            if n:  # the first round reads tables
                took.setdefault(text, []).append(1000 * seconds)
    return took


def rows() -> Iterator[Row]:
    """Yield how long replies and a restart take."""
    fresh = started()
    full = filled(fresh)
    assert full.cards is not None
    assert len(full.entries) >= FACTS
    assert len(full.cards.crew) >= PEOPLE
    now = full.cards.event.instant(Moment(0, 18, 0))
    full_ms, fresh_ms = times_ms(full, now), times_ms(fresh, now)
    every = [ms for line in full_ms.values() for ms in line]
    p95 = quantiles(every, n=20)[-1]
    base = quantiles([ms for line in fresh_ms.values() for ms in line], n=20)[-1]
    worst = max(full_ms, key=lambda line: median(full_ms[line]))
    yield Row(
        f"any reply, {PEOPLE} people and {FACTS} facts, p95 without the planner",
        f"{p95:.1f} ms",
        f"{base:.1f} ms in a fresh cook, ratio {p95 / base:.1f}; slowest '{worst}' "
        f"{median(full_ms[worst]):.1f} ms",
        f"under {GOAL_MS:.0f} ms",
        p95 < GOAL_MS,
    )
    begin = time.process_time()
    replay(full.entries)
    took = time.process_time() - begin
    begin = time.process_time()
    tuple(full.entries)
    touch = time.process_time() - begin
    yield Row(f"a restart: {FACTS} facts replayed", f"{took:.2f} s",
              f"{touch * 1e6:.0f} µs to walk them", f"under {REPLAY_GOAL_S:.0f} s",
              took < REPLAY_GOAL_S)  # fmt: skip
