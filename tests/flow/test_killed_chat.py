"""The chat, killed with SIGKILL at seeded points and started again: nothing lost or doubled."""

from __future__ import annotations

import asyncio
import io
import multiprocessing
import random
import time
from datetime import UTC
from pathlib import Path

import pytest

from bot.app import chat
from bot.clock import SystemClock
from bot.store import open_store
from core.facts import CallAnswered, CallMade, Entry, ReadingTaken, StepReported
from tests.flow.kitchen_cards import write_event

SEEDS = 50
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


@pytest.mark.parametrize("seed", range(SEEDS))
def test_a_killed_chat_loses_no_fact_and_repeats_no_answered_call(
    seed: int, tmp_path: Path
) -> None:
    chance = random.Random(seed)
    event = write_event(tmp_path / "event", SystemClock().now().astimezone(UTC))
    url = f"sqlite:///{tmp_path / 'log.db'}"
    screens = [tmp_path / "first.txt", tmp_path / "second.txt"]

    first = started(event, url, LINES, screens[0])
    first.join(0.15 + chance.random() * 0.9)
    first.kill()
    first.join(LONGEST_S)
    seen = screens[0].read_text("utf-8") if screens[0].exists() else ""
    heard_before = [r for r in READINGS if "→ Ana: " in seen and f" {r} °C" in seen]

    second = started(event, url, ("status", "L1 55"), screens[1])
    second.join(LONGEST_S)
    assert second.exitcode == 0
    after = screens[1].read_text("utf-8")
    entries, broken = asyncio.run(log_of(url))

    assert broken is None
    booked = readings(entries)
    assert [r for r in heard_before if r not in booked] == []  # answered, so it must be there
    assert len(booked) == len(set(booked))  # and once
    made = [e.fact.call.key for e in entries if isinstance(e.fact, CallMade)]
    assert len(made) == len(set(made))
    answered = {e.fact.key for e in entries if isinstance(e.fact, CallAnswered)}
    if "light/G1/tick" in answered and "Took that as" in seen:
        assert f"rings): {CALL}" not in after
    lit = [e for e in entries if isinstance(e.fact, StepReported) and e.fact.run == "light/G1"]
    assert len(lit) <= 1
