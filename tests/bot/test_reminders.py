from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from datetime import UTC, datetime, timedelta

import pytest

from bot.clock import SystemClock, VirtualClock
from bot.ports import StoreError
from bot.reminders import AlarmClock, Pump
from tests.bot import golden_facts
from tests.fakes import FakeAlarm, FakeClock

NOW = golden_facts.at(9)


class Ringer:
    """Hands out what is due, as the dispatcher would, and remembers when it was asked."""

    def __init__(self, *due: datetime) -> None:
        self.due = sorted(due)
        self.asked: list[datetime] = []
        self.rung: list[datetime] = []
        self.broken: StoreError | None = None

    async def __call__(self, now: datetime) -> datetime | None:
        self.asked.append(now)
        if self.broken:
            raise self.broken
        while self.due and self.due[0] <= now:
            self.rung.append(self.due.pop(0))
        return self.due[0] if self.due else None


class Pumping:
    """A pump at work on a clock and an alarm that stand still."""

    def __init__(self, ringer: Ringer) -> None:
        self.ringer, self.clock, self.alarm = ringer, FakeClock(NOW), FakeAlarm()
        self.pump = Pump(ringer, self.clock, self.alarm)
        self.task = asyncio.create_task(self.pump.run())

    async def looked(self, times: int) -> None:
        await until(lambda: len(self.alarm.set_to) >= times)

    async def ring_at(self, at: datetime) -> None:
        looks = len(self.alarm.set_to)
        self.clock.set(at)
        await self.alarm.ring()
        await self.looked(looks + 1)


@pytest.fixture
async def pumping() -> AsyncIterator[Callable[..., Pumping]]:
    made: list[Pumping] = []

    def start(*due: datetime) -> Pumping:
        made.append(Pumping(Ringer(*due)))
        return made[-1]

    yield start
    for pumping in made:
        pumping.task.cancel()
        await asyncio.gather(pumping.task, return_exceptions=True)


async def until(condition: Callable[[], object]) -> None:
    async with asyncio.timeout(5):
        while not condition():
            await asyncio.sleep(0)


def after(**span: float) -> datetime:
    return NOW + timedelta(**span)


Start = Callable[..., Pumping]


async def test_it_sleeps_until_the_next_call(pumping: Start) -> None:
    at_work = pumping(after(seconds=10), after(seconds=25))
    await at_work.looked(1)
    assert at_work.alarm.at == after(seconds=10)
    await at_work.ring_at(after(seconds=10))
    assert at_work.ringer.rung == [after(seconds=10)]
    assert at_work.alarm.at == after(seconds=25)


async def test_it_looks_after_thirty_seconds_at_the_latest(pumping: Start) -> None:
    at_work = pumping(after(hours=3))
    await at_work.looked(1)
    assert at_work.alarm.at == after(seconds=30)
    nothing = pumping()
    await nothing.looked(1)
    assert nothing.alarm.at == after(seconds=30)


async def test_what_stays_overdue_does_not_spin_the_loop(pumping: Start) -> None:
    at_work = pumping()
    await at_work.looked(1)

    async def stuck(now: datetime) -> datetime:
        return now - timedelta(days=1)

    at_work.pump = Pump(stuck, at_work.clock, at_work.alarm)
    task = asyncio.create_task(at_work.pump.run())
    await at_work.looked(2)
    assert at_work.alarm.at == after(seconds=0.02)
    task.cancel()
    await asyncio.gather(task, return_exceptions=True)


async def test_a_nudge_makes_it_look_at_once(pumping: Start) -> None:
    at_work = pumping()
    await at_work.looked(1)
    at_work.ringer.due = [NOW]
    at_work.pump.nudge()
    await at_work.looked(2)
    assert at_work.ringer.rung == [NOW]


async def test_a_nudge_while_it_rings_is_not_lost(pumping: Start) -> None:
    at_work = pumping()
    at_work.pump.nudge()
    await at_work.looked(1)
    at_work.pump.nudge()
    await at_work.looked(2)


async def test_an_alarm_that_rings_twice_calls_once(pumping: Start) -> None:
    at_work = pumping(after(seconds=5))
    await at_work.looked(1)
    await at_work.ring_at(after(seconds=5))
    await at_work.ring_at(after(seconds=5))
    assert at_work.ringer.rung == [after(seconds=5)]


async def test_after_a_suspended_night_everything_due_rings(pumping: Start) -> None:
    due = [after(minutes=n) for n in (5, 90, 300)]
    at_work = pumping(*due)
    await at_work.looked(1)
    await at_work.ring_at(after(hours=8))
    assert at_work.ringer.rung == due


async def test_a_clock_put_forward_rings_what_became_due_and_nothing_twice(
    pumping: Start,
) -> None:
    at_work = pumping(after(minutes=30), after(minutes=90))
    await at_work.looked(1)
    await at_work.ring_at(after(hours=1))
    assert at_work.ringer.rung == [after(minutes=30)]


async def test_a_clock_put_back_rings_nothing_twice(pumping: Start) -> None:
    at_work = pumping(after(seconds=5), after(minutes=30))
    await at_work.looked(1)
    await at_work.ring_at(after(seconds=5))
    await at_work.ring_at(after(hours=-1))
    assert at_work.ringer.rung == [after(seconds=5)]
    assert at_work.alarm.at == after(hours=-1, seconds=30)


async def test_a_lost_alarm_costs_one_sleep_at_most() -> None:
    ringer, alarm = Ringer(), FakeAlarm()
    pump = asyncio.create_task(Pump(ringer, FakeClock(NOW), alarm, longest_s=0.001).run())
    await until(lambda: len(ringer.asked) >= 3)  # and nobody rang
    pump.cancel()
    await asyncio.gather(pump, return_exceptions=True)


async def test_a_store_that_fails_is_asked_again(pumping: Start) -> None:
    at_work = pumping()
    at_work.ringer.broken = StoreError("the disk is full", "Free some space.")
    await at_work.looked(1)
    at_work.ringer.broken, at_work.ringer.due = None, [NOW]
    await at_work.ring_at(after(seconds=30))
    assert at_work.ringer.rung == [NOW]


async def test_stopping_it_forgets_the_alarm(pumping: Start) -> None:
    at_work = pumping(after(seconds=10))
    await at_work.looked(1)
    at_work.task.cancel()
    await asyncio.gather(at_work.task, return_exceptions=True)
    assert at_work.alarm.at is None


# ------------------------------------------------------------------ the real alarm clock


async def test_the_alarm_clock_rings_once_at_the_newest_time() -> None:
    rung: list[str] = []
    done = asyncio.Event()
    alarm = AlarmClock()

    async def first() -> None:
        rung.append("first")

    async def second() -> None:
        rung.append("second")
        done.set()

    alarm.set(SystemClock().now() + timedelta(hours=1), first)
    alarm.set(SystemClock().now(), second)
    async with asyncio.timeout(5):
        await done.wait()
    alarm.stop()
    assert rung == ["second"]


async def test_an_alarm_long_past_still_rings() -> None:
    done = asyncio.Event()
    alarm = AlarmClock()

    async def ring() -> None:
        done.set()

    alarm.set(SystemClock().now() - timedelta(hours=9), ring)
    async with asyncio.timeout(5):
        await done.wait()
    alarm.stop()


async def test_an_alarm_set_anew_while_it_rings_rings_again() -> None:
    rings = 0
    done = asyncio.Event()
    alarm = AlarmClock()

    async def ring() -> None:
        nonlocal rings
        rings += 1
        if rings == 4:
            done.set()
        else:
            alarm.set(SystemClock().now(), ring)

    alarm.set(SystemClock().now(), ring)
    async with asyncio.timeout(5):
        await done.wait()
    alarm.stop()


async def test_stopping_an_alarm_clock_that_never_ran_is_no_error() -> None:
    AlarmClock().stop()


def test_a_virtual_clock_stands_still_until_it_is_moved() -> None:
    clock = VirtualClock(datetime.fromisoformat("2026-06-13T11:00+02:00"))
    assert clock.now() == NOW
    assert clock.now().tzinfo is UTC
    assert clock.advance(timedelta(minutes=5)) == clock.now() == after(minutes=5)
    clock.set(after(hours=-1))
    assert clock.now() == after(hours=-1)


def test_the_systems_clock_is_in_utc() -> None:
    assert SystemClock().now().tzinfo is UTC
