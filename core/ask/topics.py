"""The table of topics. A new kind of question is a module with a `TOPICS` tuple and a line here."""

from __future__ import annotations

from functools import cache
from typing import Any

from core.ask import (
    bound_topics,
    brine_topics,
    card_topics,
    cost_topics,
    crowd_topics,
    fire_topics,
    fuel_topics,
    heat_topics,
    list_topics,
    load_topics,
    measure_topics,
    mix_topics,
    pace_topics,
    pack_topics,
    ratio_topics,
    safety_topics,
    salometer_topics,
    season_topics,
    side_topics,
    yield_topics,
)
from core.ask.topic import Topic

_TABLE: tuple[tuple[Topic[Any], ...], ...] = (
    safety_topics.TOPICS,
    fire_topics.TOPICS,
    heat_topics.TOPICS,
    bound_topics.TOPICS,
    ratio_topics.TOPICS,
    brine_topics.TOPICS,
    salometer_topics.TOPICS,
    mix_topics.TOPICS,
    season_topics.TOPICS,
    crowd_topics.TOPICS,
    side_topics.TOPICS,
    pack_topics.TOPICS,
    load_topics.TOPICS,
    pace_topics.TOPICS,
    list_topics.TOPICS,
    fuel_topics.TOPICS,
    measure_topics.TOPICS,
    card_topics.TOPICS,
    cost_topics.TOPICS,
    yield_topics.TOPICS,
)


@cache
def topics() -> tuple[Topic[Any], ...]:
    """Return all topics, those that look first first."""
    return tuple(sorted((topic for part in _TABLE for topic in part), key=lambda t: t.rank))
