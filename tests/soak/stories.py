"""Starts a process, lets it be killed, starts the next, and counts what was lost or doubled."""

from __future__ import annotations

import asyncio
import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from bot.clock import SystemClock
from bot.store import open_store
from core.facts import CallAnswered, CallMade, Entry
from tests.soak.fork import forked
from tests.soak.kitchen import ANSWERED_EARLY, NETWORKS, ROOMS, STEPS, STREAM, live


@dataclass
class Tally:
    """What many stories came to."""

    database: str
    seed: int
    kills: int = 0
    stories: int = 0
    sends: int = 0
    repeats_shown: int = 0
    repeats_harmless: int = 0
    steps_killed: int = 0
    days: int = 0
    days_killed: int = 0
    lost: list[str] = field(default_factory=list)


def told(url: str, kill_at: int | None, first_step: int) -> tuple[bool, list[dict[str, Any]]]:
    """Run one process; return whether it was killed and what it told before."""
    return forked(lambda pipe, reaper: live(url, pipe, reaper, first_step), kill_at)


def tallied(database: str, fresh: Callable[[], str], kills: int, seed: int) -> Tally:
    """Play stories until this many kills happened; everything lost or wrong is listed."""
    chance = random.Random(seed)
    tally = Tally(database, seed)
    _, unkilled = told(fresh(), None, 1)
    ticks = unkilled[-1]["ticks"]
    while tally.kills < kills:
        url, shown, step = fresh(), [], 1
        deaths = 0
        while True:
            killed, lines = told(url, chance.randrange(1, ticks), step)
            shown += [line for line in lines if "key" in line]
            step = max([step, *(line["step"] for line in lines if "step" in line)])
            if not killed:
                break
            deaths += 1
        tally.kills += deaths
        tally.stories += 1
        _judge(tally, shown, deaths, asyncio.run(_log(url)))
    return tally


async def _log(url: str) -> tuple[list[Entry], int | None]:
    store = await open_store(url, SystemClock())
    entries, broken = list(await store.read(STREAM)), await store.verify(STREAM)
    await store.close()
    return entries, broken


def _judge(
    tally: Tally, shown: list[dict[str, Any]], deaths: int, log: tuple[list[Entry], int | None]
) -> None:
    entries, broken = log
    story = f"{tally.database} story {tally.stories}"

    def wrong(what: str) -> None:
        tally.lost.append(f"{story}: {what}")

    if broken is not None:
        wrong(f"chain broken at {broken}")
    _judge_facts(entries, wrong)
    arrived = Counter((line["network"], line["key"]) for line in shown)
    for key in _due_keys():
        if not arrived[key]:
            wrong(f"{key} never arrived")
    tally.sends += len(arrived)
    for (network, key), times in arrived.items():
        copies = [
            line["text"] for line in shown if (line["network"], line["key"]) == (network, key)
        ]
        if NETWORKS[network]:
            tally.repeats_harmless += times - 1
            if any("(again)" in text for text in copies):
                wrong(f"{key} marked where the platform shows it once")
        else:
            tally.repeats_shown += times - 1
            if any("(again)" not in text for text in copies[1:]):
                wrong(f"{key} doubled without a mark")
    shown_twice = sum(n - 1 for (network, _), n in arrived.items() if not NETWORKS[network])
    if shown_twice > deaths * len(ROOMS):
        wrong(f"{shown_twice} doubles after {deaths} kills")


def _judge_facts(entries: list[Entry], wrong: Callable[[str], None]) -> None:
    answers = Counter(e.fact.key for e in entries if isinstance(e.fact, CallAnswered))
    calls = Counter(e.fact.call.key for e in entries if isinstance(e.fact, CallMade))
    if answers != Counter(f"m{n}" for n in range(1, STEPS + 1)):
        wrong(f"messages booked {dict(answers)}")
    if calls != Counter(f"c{n}" for n in range(1, STEPS + 1) if f"c{n}" not in ANSWERED_EARLY):
        wrong(f"calls made {dict(calls)}")


def _due_keys() -> list[tuple[str, str]]:
    calls = [f"c{n}" for n in range(1, STEPS + 1) if f"c{n}" not in ANSWERED_EARLY]
    keys = [(net, f"{net}:{call}:{room}") for net in NETWORKS for call in calls for room in ROOMS]
    return keys + [("doubling", f"r:{n}") for n in range(1, STEPS + 1)]
