"""The engine beside the talk: who waits for it (nobody), and what becomes of its answers."""

from __future__ import annotations

import asyncio
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import AsyncIterator, Callable
from concurrent.futures import BrokenExecutor, ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from bot.cards import read_event, read_texts
from bot.directory import NamesDirectory
from bot.dispatch import Dispatcher
from bot.outbox import Outbox
from bot.ports import Incoming
from bot.solving import Solving
from core.cook.better import Work
from core.facts import PlanAdopted
from core.model import Plan, Sound
from tests.bot import golden_facts
from tests.fakes import FakeChat, FakeClock, MemoryStore
from tests.flow.kitchen_cards import write_event

NOW = golden_facts.at(9)
COOK = "quick-1"

Engine = Callable[[Work], Plan | None]


class Beside:
    """A cook on a fake network and an engine that answers as a test wants."""

    def __init__(self, folder: Path) -> None:
        self.clock = FakeClock(NOW)
        self.store, self.chat = MemoryStore(self.clock), FakeChat()
        self.dispatcher = Dispatcher(self.store, self.clock, NamesDirectory("fake", COOK))
        self.outbox = Outbox(self.store, {"fake": self.chat}, self.clock)
        self.threads = ThreadPoolExecutor(1)
        self.solving = Solving(self.dispatcher, self.threads, settle_s=0.0, engine=sharper)
        self.folder = folder

    async def begin(self) -> None:
        event = write_event(self.folder, NOW)
        await self.dispatcher.start(COOK, read_event(event), dict(read_texts(event)), "ana")

    async def say(self, who: str, text: str) -> None:
        number = f"m{len(self.chat.shown)}/{text}"
        message = Incoming("fake", number, f"@{who}", who, text, self.clock.now(), private=True)
        await self.dispatcher.hear((message,))

    async def adopted(self) -> list[Plan]:
        cook = await self.dispatcher.cook(COOK)
        return [e.fact.plan for e in cook.entries if isinstance(e.fact, PlanAdopted)]


def sharper(work: Work) -> Plan | None:
    """Answer once, with the plan in force as if the engine had made it."""
    return replace(work.plan, engine="cp") if work.plan.engine == "list" else None


@pytest.fixture
async def beside(tmp_path: Path) -> AsyncIterator[Beside]:
    made = Beside(tmp_path / "event")
    yield made
    await made.solving.close()
    made.threads.shutdown()


async def test_before_the_day_a_better_plan_takes_the_place_of_the_first(beside: Beside) -> None:
    await beside.begin()
    await beside.solving.settled()
    assert [(p.letter, p.engine) for p in await beside.adopted()] == [("A", "list"), ("B", "cp")]


async def test_the_new_letter_is_shown_to_the_room_without_a_sound(beside: Beside) -> None:
    await beside.begin()
    await beside.solving.settled()
    await beside.outbox.deliver("fake")
    plans = [s for s in beside.chat.shown if "PLAN B" in s.message.text]
    assert [(s.room, s.message.sound) for s in plans] == [("crew", Sound.SILENT)]


async def test_on_the_day_the_chef_alone_is_asked(beside: Beside) -> None:
    await beside.begin()
    await beside.solving.settled()
    beside.clock.advance(timedelta(minutes=2))
    await beside.dispatcher.ring(beside.clock.now())
    beside.solving.engine = lambda work: replace(work.plan, engine="cp")
    await beside.solving.look()
    await beside.solving.settled()
    await beside.outbox.deliver("fake")
    asked = [s for s in beside.chat.shown if "leave it" in s.message.choices]
    assert [s.room for s in asked] == ["@ana"]
    assert len(await beside.adopted()) == 2  # nothing without a tap


async def test_people_are_answered_while_the_engine_thinks(beside: Beside) -> None:
    let_go = threading.Event()

    def slow(work: Work) -> Plan | None:
        let_go.wait(20)
        return sharper(work)

    beside.solving.engine = slow
    await beside.begin()
    await asyncio.sleep(0.05)
    await beside.say("Ana", "status")
    await beside.outbox.deliver("fake")
    answers = [s for s in beside.chat.shown if s.message.reply_to]
    let_go.set()
    await beside.solving.settled()
    assert answers


async def test_a_newer_change_drops_the_older_question(beside: Beside) -> None:
    seen: list[int] = []
    let_go = threading.Event()

    def slow(work: Work) -> Plan | None:
        seen.append(work.seq)
        let_go.wait(20)
        return sharper(work)

    beside.solving.engine = slow
    await beside.begin()
    await asyncio.sleep(0.05)
    await beside.solving.look()
    await asyncio.sleep(0.05)
    let_go.set()
    await beside.solving.settled()
    assert [p.letter for p in await beside.adopted()] == ["A", "B"]  # one answer counted


async def test_an_answer_about_a_day_that_has_moved_on_is_asked_again(beside: Beside) -> None:
    loop = asyncio.get_running_loop()
    asked: list[int] = []

    def late(work: Work) -> Plan | None:
        asked.append(work.seq)
        if len(asked) == 1:
            told = beside.say("Ana", "late 5")
            asyncio.run_coroutine_threadsafe(told, loop).result(20)
        return sharper(work)

    beside.solving.engine = late
    await beside.begin()
    await beside.solving.settled()
    assert len(asked) == 2
    assert asked[1] > asked[0]


async def test_workers_that_have_died_leave_the_plan_as_it_is(beside: Beside) -> None:
    def dead(_: Work) -> Plan | None:
        raise BrokenExecutor

    beside.solving.engine = dead
    await beside.begin()
    await beside.solving.settled()
    assert [p.letter for p in await beside.adopted()] == ["A"]


async def test_closing_drops_what_is_still_open(beside: Beside) -> None:
    let_go = threading.Event()

    def slow(work: Work) -> Plan | None:
        let_go.wait(20)
        return sharper(work)

    beside.solving.engine = slow
    await beside.begin()
    await asyncio.sleep(0.05)
    await beside.solving.close()
    let_go.set()
    assert [p.letter for p in await beside.adopted()] == ["A"]


KILLED = """
import os, signal
from bot.solving import workers
if __name__ == "__main__":
    print(workers().submit(os.getpid).result(), flush=True)
    os.kill(os.getpid(), signal.SIGKILL)
"""


def test_a_worker_ends_with_the_bot_even_by_a_kill(tmp_path: Path) -> None:
    script = tmp_path / "killed.py"
    script.write_text(KILLED, "utf-8")
    ended = subprocess.run([sys.executable, str(script)], capture_output=True, check=False)
    assert ended.returncode == -signal.SIGKILL
    worker = int(ended.stdout)
    for _ in range(200):
        if not _alive(worker):
            return
        time.sleep(0.05)
    os.kill(worker, signal.SIGKILL)
    pytest.fail("the worker has outlived the bot")


def _alive(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0]
    except OSError:
        return False
    return state != "Z"
