"""The house's stream: what cooks taught is appended to it, and read when the next one starts.

What is owed to it is computed from a cook's log, so a crash between the two streams is made good
before the house is next asked. Nothing in it falls due: it never wakes anybody.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from bot.ports import FactStore, NewFact, StaleError, Wake
from core.cook import Cook
from core.cook.decision import Dated
from core.cook.learning import owed_to_house, teaches
from core.house import STREAM, House, evolve_house

LOG = logging.getLogger("pitcrier.memory")

BOT = "bot"
CLASHES = 8


@dataclass(slots=True)
class Memory:
    """What the house knows, as far as its stream goes."""

    store: FactStore
    _house: House = field(default_factory=House)

    async def house(self) -> House:
        """Return the house as its stream stands."""
        for entry in await self.store.read(STREAM, self._house.seq):
            self._house = evolve_house(self._house, entry)
        return self._house

    async def after(self, cook: Cook, facts: tuple[Dated, ...], now: datetime) -> None:
        """Learn from a cook if these new facts of it can teach anything; never in its way."""
        if not teaches(facts):
            return
        try:
            await self.learn(cook, now)
        except Exception:  # the cook goes on; what was missed is made good before the next one
            LOG.exception("could not learn", extra={"cook": cook.id})

    async def learn(self, cook: Cook, now: datetime) -> None:
        """Append what the house lacks of a cook; another copy's word first, then ours again."""
        for _ in range(CLASHES):
            house = await self.house()
            owed = await asyncio.to_thread(owed_to_house, cook, house, now)
            if not owed:
                return
            facts = [NewFact(dated.at, BOT, dated.fact) for dated in owed]
            try:
                await self.store.append(STREAM, house.seq, facts, now, wake=Wake(None))
            except StaleError:
                continue
            return

    async def catch_up(self, cooks: Iterable[Cook], now: datetime) -> House:
        """Learn what is still owed of these cooks, and return the house."""
        for cook in cooks:
            await self.learn(cook, now)
        return await self.house()
