"""Cook after cook through the store: one teaches, the next takes, one under way never moves."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from bot.cards import read_event
from bot.clock import VirtualClock
from bot.directory import NamesDirectory
from bot.dispatch import Dispatcher
from bot.examples import GOLDEN_WEDDING
from bot.ports import Incoming, Sent
from core.cook import Cook, Phase
from core.facts import HeatLearned, HouseForgot, HouseTaken, Measure
from core.house import STREAM, yields_of
from core.model import Cards, Moment
from tests.fakes import MemoryStore

LATE = 1.15  # each of these cooks runs so much longer than its card


def _cards(day: int) -> Cards:
    """Return the wedding again, a week later each time."""
    made = read_event(GOLDEN_WEDDING)
    event = replace(made.event, id=f"lamb-{day}", day=made.event.day + timedelta(days=7 * day))
    return replace(made, event=event)


class Kitchen:
    """Cooks one after another on one store; messages as people type them."""

    def __init__(self) -> None:
        self.clock = VirtualClock(_cards(0).event.instant(Moment(0, 9, 0)))
        self.store = MemoryStore(self.clock)
        self.said = 0
        self._open: dict[str, Dispatcher] = {}

    async def start(self, day: int) -> str:
        cards = _cards(day)
        cook_id = f"{cards.event.id}-1"
        self.clock.set(cards.event.instant(Moment(0, 9, 0)))
        dispatcher = Dispatcher(self.store, self.clock, NamesDirectory("fake", cook_id))
        self._open[cook_id] = dispatcher
        await dispatcher.start(cook_id, cards, {}, "ana")
        return cook_id

    def at(self, cook_id: str, clock: str) -> datetime:
        hour, minute = clock.split(":")
        day = int(cook_id.split("-")[1])
        return _cards(day).event.instant(Moment(0, int(hour), int(minute)))

    async def say(self, cook_id: str, clock: str, who: str, text: str) -> None:
        self.clock.set(max(self.at(cook_id, clock), self.clock.now()))
        self.said += 1
        sent = self.clock.now()
        message = Incoming("fake", str(self.said), f"@{who}", who, text, sent, private=True)
        await self._open[cook_id].hear((message,))

    async def cook(self, cook_id: str) -> Cook:
        return await self._open[cook_id].cook(cook_id)

    async def slow_lamb(self, day: int, yield_percent: int = 77, *, close: bool = True) -> str:
        """Cook rack A, fifteen per cent slower than its card, and weigh it."""
        cook_id = await self.start(day)
        lines = [("12:08", "Bo", "A on"), ("12:44", "Bo", "A 27.9"), ("13:00", "Bo", "A 36.6"),
                 ("13:19", "Bo", "A 46"), ("13:19", "Bo", "A off"),
                 ("16:00", "Ana", f"keep yield lamb rump {yield_percent}%")]  # fmt: skip
        for clock, who, text in lines:
            await self.say(cook_id, clock, who, text)
        if close:
            await self.say(cook_id, "17:30", "Ana", "close cook")
        return cook_id

    async def sent(self) -> list[str]:
        """Return all that was owed to anybody, delivered."""
        texts: list[str] = []
        now = self.clock.now()
        while rows := await self.store.claim("fake", now):
            for row in rows:
                texts.append(row.message.text)
                await self.store.settle(row.key, Sent(row.key), now)
        return texts

    async def house(self) -> list[object]:
        return [entry.fact for entry in await self.store.read(STREAM)]


def _smoke_min(cook: Cook) -> float:
    assert cook.plan is not None
    run = next(r for r in cook.plan.runs() if r.key.startswith("lamb-rump/A/smoke"))
    return (run.end - run.start).total_seconds() / 60


async def test_a_pulled_load_and_a_kept_yield_reach_the_house_at_once() -> None:
    kitchen = Kitchen()
    await kitchen.slow_lamb(0, close=False)
    facts = await kitchen.house()
    learned = [f for f in facts if isinstance(f, HeatLearned)]
    assert len(learned) == 1
    assert learned[0].cut == "lamb-rump"
    assert [value for _, value in learned[0].cores] == [27.9, 36.6, 46.0]
    assert len(facts) == 2


async def test_the_houses_stream_never_wakes_anybody() -> None:
    kitchen = Kitchen()
    await kitchen.slow_lamb(0)
    far = kitchen.clock.now() + timedelta(days=400)
    assert STREAM not in await kitchen.store.wakes(far)


async def test_after_three_cooks_the_fourth_plans_by_the_house_and_says_so() -> None:
    kitchen = Kitchen()
    for day in range(3):
        await kitchen.slow_lamb(day)
    fourth = await kitchen.cook(await kitchen.start(3))
    # by hand: the card says 62 min, each cook took 71
    assert 63.5 <= _smoke_min(fourth) <= 71.5
    taken = fourth.house.taken
    assert taken.heat[0].cooks == 3
    measured = yields_of(taken)[0]
    assert (measured.item, measured.cooks) == ("lamb rump", 3)
    assert measured.fraction == pytest.approx(0.77)


async def test_after_three_cooks_a_quick_question_shows_the_houses_yield() -> None:
    kitchen = Kitchen()
    for day in range(3):
        await kitchen.slow_lamb(day)
    cook_id = await kitchen.start(3)
    await kitchen.say(cook_id, "10:00", "Ana", "lamb rump yield")
    answers = await kitchen.sent()
    assert any("House: 77" in text and "3 cooks" in text for text in answers)
    cook = await kitchen.cook(cook_id)
    assert cook.cards is not None
    rump = next(i for i in cook.cards.dish("lamb-rump").ingredients if i.name == "lamb rump")
    assert rump.cook_yield == pytest.approx(0.77)


async def test_what_is_learned_later_never_moves_a_cook_under_way() -> None:
    kitchen = Kitchen()
    under_way = await kitchen.start(9)
    before = await kitchen.cook(under_way)
    kitchen.clock = VirtualClock(_cards(0).event.instant(Moment(0, 9, 0)))
    for day in range(3):
        await kitchen.slow_lamb(day)
    fresh = Dispatcher(kitchen.store, kitchen.clock, NamesDirectory("fake", under_way))
    again = await fresh.cook(under_way)
    assert again.plan == before.plan
    assert again.house.taken == HouseTaken()


async def test_a_pull_taken_back_takes_its_lesson_along() -> None:
    kitchen = Kitchen()
    cook_id = await kitchen.start(0)
    for clock, text in (("12:08", "A on"), ("12:44", "A 27.9"), ("13:19", "A off")):
        await kitchen.say(cook_id, clock, "Bo", text)
    assert any(isinstance(f, HeatLearned) for f in await kitchen.house())
    await kitchen.say(cook_id, "13:20", "Bo", "undo")
    cook = await kitchen.cook(cook_id)
    assert cook.phase("lamb-rump/A/smoke") is Phase.RUNNING
    assert isinstance((await kitchen.house())[-1], HouseForgot)


async def test_a_lesson_lost_between_two_streams_is_made_good_before_the_next_cook() -> None:
    kitchen = Kitchen()
    kept = kitchen.store.append

    async def torn(stream: str, *args: object, **kwargs: object) -> object:
        if stream == STREAM:
            raise OSError("the lights went out")
        return await kept(stream, *args, **kwargs)  # type: ignore[arg-type]

    kitchen.store.append = torn  # type: ignore[method-assign, assignment]
    await kitchen.slow_lamb(0)
    assert await kitchen.house() == []
    kitchen.store.append = kept  # type: ignore[method-assign]
    cook = await kitchen.cook(await kitchen.start(1))
    assert [h.cooks for h in cook.house.taken.heat] == [1]
    assert [m.kind for m in cook.house.taken.measured] == [Measure.YIELD]


async def test_only_the_chef_keeps_a_measurement() -> None:
    kitchen = Kitchen()
    cook_id = await kitchen.start(0)
    await kitchen.say(cook_id, "16:00", "Bo", "keep yield lamb rump 77%")
    assert await kitchen.house() == []


async def test_a_yield_measured_the_day_after_still_counts() -> None:
    kitchen = Kitchen()
    cook_id = await kitchen.slow_lamb(0)
    await kitchen.say(cook_id, "18:00", "Ana", "keep yield lamb rump 79%")
    cook = await kitchen.cook(await kitchen.start(1))
    assert [m.value for m in cook.house.taken.measured] == [pytest.approx(0.79)]


async def test_a_good_nobody_has_is_refused_by_name() -> None:
    kitchen = Kitchen()
    cook_id = await kitchen.start(0)
    await kitchen.say(cook_id, "16:00", "Ana", "keep yield ostrich 79%")
    assert await kitchen.house() == []
