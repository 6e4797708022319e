"""Every push of both example days fits a lock screen in both languages, its clock time included."""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path

import pytest

import bot.examples
from bot.cards import read_event
from bot.render import PUSH_LONGEST, over_length, render
from core.calls import calls_owed
from core.cook import Cook, decide
from core.cook.decision import booked
from core.facts import StartCook
from core.model import Call, Cards

EXAMPLES = Path(bot.examples.__file__).parent


def _calls(name: str) -> tuple[Cards, tuple[Call, ...]]:
    cards = read_event(EXAMPLES / name)
    start = datetime.combine(cards.event.day, datetime.min.time(), tzinfo=cards.event.zone)
    wish = StartCook(f"{name}-1", cards, {})
    decision = decide(Cook(), wish, by="bot", at=start, now=start)
    return cards, calls_owed(booked(Cook(), decision.facts, "bot", start))


@pytest.mark.parametrize("name", ["golden_wedding", "harvest_supper"])
def test_every_call_of_an_example_day_fits_a_lock_screen(name: str) -> None:
    cards, calls = _calls(name)
    assert len(calls) > 20
    for call in calls:
        assert over_length(call.line, ("en", "es"), cards.event.zone) == (), (
            f"over {PUSH_LONGEST}: {render(call.line, 'es', cards.event.zone)}"
        )


def test_every_call_says_its_clock_time() -> None:
    cards, calls = _calls("golden_wedding")
    for call in calls:
        for lang in ("en", "es"):
            assert re.search(r"\b\d\d:\d\d\b", render(call.line, lang, cards.event.zone))
