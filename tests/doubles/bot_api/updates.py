"""The queue of updates: kept a day, confirmed by a higher offset, one poller, or a webhook."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from urllib.parse import urlsplit

import httpx

from bot.ports import Clock
from tests.doubles.bot_api.limits import PORTS, SECRET
from tests.doubles.bot_api.text import RefusedError, refuse

Json = dict[str, Any]

KEPT = timedelta(hours=24)
NOT_BY_DEFAULT = frozenset({"chat_member", "message_reaction", "message_reaction_count"})
REPEAT_S = 0.02


@dataclass
class Hook:
    """A webhook that was set."""

    url: str
    secret: str
    connections: int


@dataclass
class Updates:
    """What waits for the bot."""

    clock: Clock
    first_id: int = 811_000
    waiting: list[tuple[datetime, Json]] = field(default_factory=list)
    allowed: frozenset[str] | None = None
    hook: Hook | None = None
    routes: dict[str, str] = field(default_factory=dict)
    calls: list[tuple[int, int]] = field(default_factory=list)
    confirmed: set[int] = field(default_factory=set)
    polls: int = 0
    _next: int = 0
    _came: asyncio.Event = field(default_factory=asyncio.Event)
    _poller: asyncio.Event | None = None
    _caller: asyncio.Task[None] | None = None
    _ended: list[asyncio.Task[None]] = field(default_factory=list)

    @property
    def next_id(self) -> int:
        """Return the number the next update gets."""
        return self.first_id + self._next

    def add(self, kind: str, what: Json) -> int:
        """Queue an update, if the bot asked for its kind; return its number."""
        number = self.next_id
        self._next += 1
        wanted = kind in self.allowed if self.allowed is not None else kind not in NOT_BY_DEFAULT
        if wanted:
            self.waiting.append((self.clock.now(), {"update_id": number, kind: what}))
            self._came.set()
        return number

    def again(self, *numbers: int) -> None:
        """Give updates a second time, as happens when an answer is lost."""
        known = [row for row in self.waiting if row[1]["update_id"] in numbers]
        self.waiting.extend(known)
        self._came.set()

    def shuffle(self) -> None:
        """Let what waits arrive the other way round."""
        self.waiting.reverse()

    def allow(self, kinds: Sequence[str] | None) -> None:
        """Note which kinds are asked for; an empty list is the default."""
        if kinds is not None:
            self.allowed = frozenset(kinds) if kinds else None

    async def polled(self, offset: int | None, limit: int, timeout_s: float) -> list[Json]:
        """Return what waits, as soon as something does."""
        if self.hook is not None:
            raise RefusedError(409, "Conflict: can't use getUpdates method while webhook is "
                               "active; use deleteWebhook to delete the webhook first")  # fmt: skip
        if not 1 <= limit <= 100:
            limit = 100
        self.polls += 1
        if self._poller is not None:
            self._poller.set()
        mine = self._poller = asyncio.Event()
        self._forget(offset)
        try:
            await self._until_some(mine, timeout_s)
        finally:
            if self._poller is mine:
                self._poller = None
        if mine.is_set():
            raise RefusedError(409, "Conflict: terminated by other getUpdates request; make sure "
                               "that only one bot instance is running")  # fmt: skip
        return [update for _, update in self.waiting[:limit]]

    def _forget(self, offset: int | None) -> None:
        if offset is not None:
            self.confirmed |= {u["update_id"] for _, u in self.waiting if u["update_id"] < offset}
            self.waiting = [row for row in self.waiting if row[1]["update_id"] >= offset]
        now = self.clock.now()
        self.waiting = [row for row in self.waiting if row[0] > now - KEPT]

    async def _until_some(self, ended: asyncio.Event, timeout_s: float) -> None:
        with suppress(TimeoutError):
            async with asyncio.timeout(timeout_s):
                while not self.waiting and not ended.is_set():
                    self._came.clear()
                    both = [
                        asyncio.ensure_future(self._came.wait()),
                        asyncio.ensure_future(ended.wait()),
                    ]
                    try:
                        await asyncio.wait(both, return_when=asyncio.FIRST_COMPLETED)
                    finally:
                        for one in both:
                            one.cancel()

    # -------------------------------------------------------------- the webhook

    def set_hook(self, url: str, secret: str, connections: int) -> None:
        """Start bringing updates to an address; '' stops it."""
        self.stop()
        if not url:
            self.hook = None
            return
        parts = urlsplit(url)
        if parts.scheme != "https":
            raise refuse("bad webhook: An HTTPS URL must be provided for webhook")
        if (parts.port or 443) not in PORTS:
            raise refuse("bad webhook: Webhook can be set up only on ports 80, 88, 443 or 8443")
        if secret and not SECRET.fullmatch(secret):
            raise refuse("secret token contains unallowed characters")
        if not 1 <= connections <= 100:
            raise refuse("bad webhook: max_connections must be 1 to 100")
        self.hook = Hook(url, secret, connections)
        self._caller = asyncio.create_task(self._bring(self.hook))

    async def _bring(self, hook: Hook) -> None:
        """Bring what waits, one after the other, again until each was taken."""
        headers = {"X-Telegram-Bot-Api-Secret-Token": hook.secret} if hook.secret else {}
        async with httpx.AsyncClient(timeout=10) as client:
            while True:
                while not self.waiting:
                    self._came.clear()
                    await self._came.wait()
                row = self.waiting[0]
                number, status = row[1]["update_id"], 0
                with suppress(httpx.HTTPError):
                    answer = await client.post(
                        self.routes.get(hook.url, hook.url), json=row[1], headers=headers
                    )
                    status = answer.status_code
                self.calls.append((number, status))
                if status == 200:
                    self.confirmed.add(number)
                    self.waiting.remove(row)
                else:
                    await asyncio.sleep(REPEAT_S)

    def stop(self) -> None:
        """Stop bringing."""
        if self._caller is not None:
            self._caller.cancel()
            self._ended.append(self._caller)
            self._caller = None

    async def close(self) -> None:
        """End what is under way: the call to the webhook, the long poll."""
        self.stop()
        if self._poller is not None:
            self._poller.set()
        await asyncio.gather(*self._ended, return_exceptions=True)
