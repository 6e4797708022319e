"""One front-end on the bench: the Chat, and what a person before it does and sees."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from typing import Protocol

from bot.clock import VirtualClock
from bot.ports import Chat


class Front(Protocol):
    """A front-end with one person in one room."""

    chat: Chat
    room: str
    who: str

    async def types(self, text: str) -> None:
        """Let the person type a line."""
        ...

    async def shown(self) -> tuple[str, ...]:
        """Return everything the person's screen shows, message by message, as it reads now."""
        ...

    async def rang(self) -> int:
        """Return how often it rang."""
        ...


Opener = Callable[[VirtualClock], AbstractAsyncContextManager[Front]]
