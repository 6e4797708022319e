"""The table of topics. A new kind of question is a module with a `TOPICS` tuple and a line here."""

from __future__ import annotations

from functools import cache
from typing import Any

from core.ask.topic import Topic


@cache
def topics() -> tuple[Topic[Any], ...]:
    """Return all topics, those that look first first."""
    table: tuple[tuple[Topic[Any], ...], ...] = ()
    return tuple(sorted((topic for part in table for topic in part), key=lambda t: t.rank))
