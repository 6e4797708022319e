"""The chat, killed with SIGKILL at seeded points and started again: nothing lost or doubled."""

from __future__ import annotations

import asyncio
import io
import multiprocessing
import random
import signal
import time
from datetime import UTC
from pathlib import Path

import pytest

from bot.app import chat
from bot.clock import SystemClock
from bot.store import open_store
from core.facts import CallAnswered, CallMade, Entry, ReadingTaken, StepReported
from tests.flow.kitchen_cards import write_event

SEEDS, BATCH = 50, 10
MOST_LINES = 14
PAUSE_S = 0.02
LONGEST_S = 60.0
LINES = ("done", "L1 on", "L1 31", "L1 47", "status", "next", "L1 52")
"""Ana ticks the fire that should be lit, puts the load on and types three readings."""
READINGS = ("31", "47", "52")
CALL = "LIGHT G1"

FORKS = multiprocessing.get_context("forkserver")
FORKS.set_forkserver_preload(["bot.app", "tests.flow.test_killed_chat"])


class Typed(io.StringIO):
    """Lines typed with a little time between them."""

    def readline(self, size: int = -1, /) -> str:  # type: ignore[override]  # as TextIO has it
        """Return the next line after a moment."""
        time.sleep(PAUSE_S)
        return super().readline(size)


def run_chat(event: str, url: str, lines: tuple[str, ...], out: str) -> None:
    """Run the chat in this process, its screen in a file that survives a kill."""
    Path(out).parent.mkdir(exist_ok=True)
    with Path(out).open("w", encoding="utf-8", buffering=1) as screen:
        typed = Typed("".join(f"{line}\n" for line in lines))
        asyncio.run(chat(Path(event), "Ana", url, typed, screen))


def started(event: Path, url: str, lines: tuple[str, ...], out: Path) -> multiprocessing.Process:
    process = FORKS.Process(target=run_chat, args=(str(event), url, lines, str(out)))
    process.start()
    return process  # type: ignore[return-value]  # a forkserver's process is one as well


async def log_of(url: str) -> tuple[list[Entry], int | None]:
    store = await open_store(url, SystemClock())
    try:
        stream = next(iter(await store.streams("cook:")))
        return list(await store.read(stream)), await store.verify(stream)
    finally:
        await store.close()


def readings(entries: list[Entry]) -> list[str]:
    return [f"{e.fact.reading.value:g}" for e in entries if isinstance(e.fact, ReadingTaken)]


def killed_at(process: multiprocessing.Process, screen: Path, lines: int) -> str:
    """Kill a chat as soon as its screen has so many lines; return what it had shown."""
    deadline = time.perf_counter() + LONGEST_S
    while time.perf_counter() < deadline and process.is_alive():
        shown = screen.read_text("utf-8") if screen.exists() else ""
        if shown.count("\n") >= lines:
            break
        time.sleep(0.002)
    process.kill()
    process.join(LONGEST_S)
    return screen.read_text("utf-8") if screen.exists() else ""


def one_death(seed: int, folder: Path) -> bool:
    """Kill one chat, start it again, hold both against the log; say whether it died mid-flow."""
    chance = random.Random(seed)
    event = write_event(folder / "event", SystemClock().now().astimezone(UTC))
    url = f"sqlite:///{folder / 'log.db'}"
    first = started(event, url, LINES, folder / "first.txt")
    seen = killed_at(first, folder / "first.txt", chance.randint(0, MOST_LINES))
    second = started(event, url, ("status", "L1 55"), folder / "second.txt")
    second.join(LONGEST_S)
    assert second.exitcode == 0
    after = (folder / "second.txt").read_text("utf-8")
    entries, broken = asyncio.run(log_of(url))

    assert broken is None
    booked = readings(entries)
    answered = [r for r in READINGS if f" {r} °C" in seen]
    assert [r for r in answered if r not in booked] == []  # it was answered, so it must be there
    assert "55" in booked
    assert len(booked) == len(set(booked))  # and once
    made = [e.fact.call.key for e in entries if isinstance(e.fact, CallMade)]
    assert len(made) == len(set(made))
    ticked = {e.fact.key for e in entries if isinstance(e.fact, CallAnswered) and e.by == "ana"}
    if CALL in seen and "light/G1/tick" in ticked:
        assert f"rings): {CALL}" not in after
    lit = [e for e in entries if isinstance(e.fact, StepReported) and e.fact.run == "light/G1"]
    assert len(lit) <= 1
    return first.exitcode == -signal.SIGKILL and "→" in seen


@pytest.mark.parametrize("batch", range(SEEDS // BATCH))
def test_a_killed_chat_loses_no_fact_and_repeats_no_answered_call(
    batch: int, tmp_path: Path
) -> None:
    seeds = range(batch * BATCH, (batch + 1) * BATCH)
    died = [one_death(seed, tmp_path / str(seed)) for seed in seeds]
    assert sum(died) >= BATCH // 2  # most of them while something was going on
