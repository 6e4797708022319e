"""Rings a cook's calls as they fall due, without any edge: who would be rung, when, how loud."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from core.calls import calls_owed, due, merged
from core.cook import Cook
from core.cook.decision import Dated, booked
from core.cook.service.review import asked_with
from core.cook.service.silence import hushed
from core.facts import CallMade
from core.model import Call, Sound, Task


@dataclass(frozen=True)
class Push:
    """One message on a phone: when, whose, how loud, which calls."""

    at: datetime
    person: str
    sound: Sound
    calls: tuple[Call, ...]


def ring(cook: Cook, until: datetime) -> tuple[Cook, list[Push]]:
    """Make every call that falls due by then; return the cook and the pushes."""
    pushes: list[Push] = []
    for _ in range(2000):
        owed = calls_owed(cook)
        first = min((c.at for c in owed), default=None)
        if first is None or first > until:
            return cook, pushes
        now = max(first, cook.entries[-1].heard if cook.entries else first)
        ripe = hushed(cook, due(owed, now), now)
        assert not {c.key for c in ripe} & cook.calls.keys(), "a call was owed twice"
        for person, group in merged(ripe):
            sound = max(c.sound for c in group)
            if sound is not Sound.SILENT and person != "room":
                pushes.append(Push(now, person, sound, group))
        facts = tuple(Dated(now, CallMade(c)) for c in ripe)
        cook = booked(cook, (*facts, *asked_with(cook, ripe, now)), "bot", now)
    raise AssertionError("calls never end")


def to(pushes: list[Push], person: str) -> list[Push]:
    """Return a person's pushes."""
    return [p for p in pushes if p.person == person]


def with_tasks(cook: Cook, start: datetime, every_min: float, count: int, crew: str) -> Cook:
    """Return a cook whose plan is nothing but so many small jobs of one person."""
    assert cook.plan is not None
    step = timedelta(minutes=every_min)
    tasks = tuple(
        Task(f"wash-{n}", "wash", "bench", start + n * step, start + (n + 1) * step, crew=(crew,))
        for n in range(count)
    )
    return replace(cook, plan=replace(cook.plan, loads=(), tasks=tasks), entries=())
