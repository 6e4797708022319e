"""Quick answers and buy lists against named baselines, in one run.

python -m tests.bench.bench_amounts          all of it, a table on the screen
"""

from __future__ import annotations

import gc
import random
import statistics
import time
from collections.abc import Callable, Iterator
from datetime import UTC, date

import pint

from bot.render import render_answer
from core.ask import AskContext, ask
from core.model import Batch, Cards, Dish, Event, Ingredient, Kit, MenuItem, Pack
from core.scaling.expand import batches_for
from core.scaling.lists import buy_list, make_list
from tests.bench.row import Row
from tests.core.ask.test_ask import sloppy

RATIOS = (
    ("5to1 conc 18L tub how much", "en"),
    ("salmuera 6% 25 kg pollo", "es"),
    ("rub 14kg ribs", "en"),
    ("320 ppl 180g steak how many 12kg cases trim 8", "en"),
    ("2 grates 45x60 stks 20x12 how many loads for 64", "en"),
    ("carbon para 3h parrilla 1,2x0,6", "es"),
)
HEADS = 1200


def _p95(samples: list[float]) -> float:
    return statistics.quantiles(samples, n=20)[-1]


def _timed(work: Callable[[], object], times: int) -> list[float]:
    """Return the seconds of each run, after a warm-up, the collector out of the way."""
    work()
    gc.collect()
    gc.disable()
    try:
        found = []
        for _ in range(times):
            start = time.perf_counter()
            work()
            found.append(time.perf_counter() - start)
        return found
    finally:
        gc.enable()


def _answers() -> Row:
    """A question, parsed, answered and rendered; the baseline reads its two quantities only."""
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()

    def answered(text: str, lang: str) -> Callable[[], object]:
        return lambda: render_answer(ask(text, AskContext(lang=lang)), lang, UTC)

    def baseline() -> None:
        registry.parse_expression("18 L")
        registry.parse_expression("5 gallon")

    mine = _p95([s for text, lang in RATIOS for s in _timed(answered(text, lang), 200)]) * 1000
    theirs = _p95(_timed(baseline, 1000)) * 1000
    return Row(
        "ratio answer, words to text, warm, p95",
        f"{mine:.2f} ms",
        f"pint reading two quantities {theirs:.2f} ms ({mine / theirs:.1f} x)",
        "under 5 ms",
        mine < 5,
    )


def _sloppy() -> Row:
    """A thousand random lines; the baseline splits them at blanks."""
    lines = [sloppy(seed) for seed in range(1000)]
    context = AskContext()
    start = time.perf_counter()
    failed = 0
    for line in lines:
        try:
            ask(line, context)
        except Exception:  # a count of what must be none
            failed += 1
    mine = time.perf_counter() - start
    start = time.perf_counter()
    for line in lines:
        line.split()
    theirs = time.perf_counter() - start
    return Row(
        "1,000 sloppy questions",
        f"{failed} failed, {mine * 1000:.0f} ms",
        f"splitting at blanks {theirs * 1000:.1f} ms",
        "none failed",
        failed == 0,
    )


def big_menu(dishes: int = 20) -> Cards:
    """Return a menu of many dishes, some goods on offer in several sizes."""
    rng = random.Random(7)
    made = [_dish(rng, number) for number in range(dishes)]
    menu = tuple(MenuItem(d.id) for d in made)
    event = Event("big", "Big", date(2026, 6, 13), "Europe/London", HEADS, menu, ())
    return Cards(event, Kit(()), (), tuple(made))


def _dish(rng: random.Random, number: int) -> Dish:
    goods = []
    for index in range(10):
        packs = tuple(
            Pack(size, "kg", round(size * rng.uniform(3, 9), 2))
            for size in rng.sample([1.0, 2.5, 5.0, 10.0, 12.0], rng.choice([0, 1, 1, 2]))
        )
        name = f"good {number}.{index}"
        goods.append(Ingredient(name, qty=rng.uniform(0.05, 2.0), unit="kg", packs=packs))
    return Dish(f"d{number}", f"Dish {number}", Batch(10, "portions"), ingredients=tuple(goods))


def _lists() -> Iterator[Row]:
    """Buy list and make list of 20 dishes; the baseline multiplies the same amounts."""
    cards = big_menu()

    def multiplied() -> None:
        for dish in cards.dishes:
            batches = batches_for(dish, HEADS)
            total: dict[str, float] = {}
            for good in dish.ingredients:
                total[good.name] = total.get(good.name, 0.0) + (good.qty or 0.0) * batches

    theirs = _p95(_timed(multiplied, 100)) * 1000
    for what, work, limit in (
        ("buy list, 20 dishes x 1,200 heads, p95", lambda: buy_list(cards, HEADS), 100.0),
        ("make list, 20 dishes x 1,200 heads, p95", lambda: make_list(cards, HEADS), 100.0),
    ):
        mine = _p95(_timed(work, 40)) * 1000
        yield Row(
            what,
            f"{mine:.1f} ms",
            f"bare multiplication {theirs:.2f} ms ({mine / theirs:.0f} x)",
            f"under {limit:.0f} ms",
            mine < limit,
        )


def rows() -> Iterator[Row]:
    """Yield one line per measurement."""
    yield _answers()
    yield _sloppy()
    yield from _lists()


if __name__ == "__main__":
    for row in rows():
        print(
            "ok  " if row.kept else "MISS", row.what, row.ours, row.baseline, row.wanted, sep=" | "
        )
