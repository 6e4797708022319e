"""What holds for the words of every call of the two bundled days."""

from __future__ import annotations

import re
from datetime import UTC, datetime, time
from importlib import resources
from pathlib import Path

import pytest

from bot.cards import read_event
from bot.render import render
from core.calls import calls_of
from core.cook import Cook, decide
from core.facts import PlanAdopted, StartCook

CLOCK = re.compile(r"\b[0-2]\d:[0-5]\d\b")


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("name", ["golden_wedding", "harvest_supper"])
def test_every_call_says_its_own_clock_time(name: str, language: str) -> None:
    cards = read_event(Path(str(resources.files("bot.examples"))) / name)
    chef = cards.chef
    assert chef is not None
    zone = cards.event.zone
    morning = datetime.combine(cards.event.day, time(), zone).astimezone(UTC)
    decision = decide(Cook(), StartCook("x-1", cards, {}), by=chef.id, at=morning, now=morning)
    (plan,) = [d.fact.plan for d in decision.facts if isinstance(d.fact, PlanAdopted)]
    texts = [render(call.line, language, zone) for call in calls_of(plan, cards)]
    assert len(texts) > 50
    assert [text for text in texts if not CLOCK.search(text)] == []
