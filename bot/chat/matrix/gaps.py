"""What a cut timeline left out, paged back; and what was said before we came, left out."""

from __future__ import annotations

from typing import Any

from bot.chat.matrix.answers import answered
from bot.chat.matrix.heard import is_our_coming

PAGE = 100
MOST_PAGES = 50
"""Five thousand events: who was away for longer asks instead of replaying a season."""


async def whole_timeline(client: Any, room: str, timeline: Any, since: str | None) -> list[Any]:
    """Return a room's events since a token, oldest first, none of them from before we came."""
    events, older = list(timeline.events), []
    if timeline.limited and since and not _our_coming(events, client.user_id):
        older = await _paged_back(client, room, timeline.prev_batch, since)
    known = {_id(event) for event in events}
    events = [e for e in reversed(older) if _id(e) not in known] + events
    coming = _our_coming(events, client.user_id)
    return events[coming[-1] :] if coming else events


def _our_coming(events: list[Any], us: str) -> list[int]:
    return [n for n, event in enumerate(events) if is_our_coming(event.source, us)]


def _id(event: Any) -> str:
    return str(event.source.get("event_id", ""))


async def _paged_back(client: Any, room: str, start: str | None, since: str) -> list[Any]:
    from nio import MessageDirection

    older: list[Any] = []
    for _ in range(MOST_PAGES):
        if not start:
            break
        page = await answered(client.room_messages(room, start, since, MessageDirection.back, PAGE))
        older += page.chunk
        if not page.chunk or _our_coming(page.chunk, client.user_id):
            break
        start = page.end
    return older
