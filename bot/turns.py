"""Who may decide on a cook first: whoever was beaten to it, so that nobody is beaten for ever.

Decisions on one cook are made side by side and the second one's facts are refused. Two rooms that
never pause would let the slower one lose every time; so who has lost once decides alone among us,
and who comes new waits for that. Other copies of the process are not waited for: pauses let them.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field

PAUSE_S = 0.01


@dataclass(slots=True)
class Turns:
    """A lock a cook, taken only by who has lost."""

    _locks: dict[str, asyncio.Lock] = field(default_factory=dict)

    @asynccontextmanager
    async def turn(self, cook_id: str, lost: int) -> AsyncIterator[None]:
        """Give a turn to decide; `lost` is how often this decision was refused so far."""
        if not lost:
            if (first := self._locks.get(cook_id)) is not None:
                async with first:
                    pass
            yield
            return
        lock = self._locks.setdefault(cook_id, asyncio.Lock())
        try:
            async with lock:
                await asyncio.sleep(PAUSE_S * (lost - 1))
                yield
        finally:
            if not lock.locked():
                self._locks.pop(cook_id, None)
