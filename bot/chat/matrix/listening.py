"""One look at the server is one Batch; what cannot be read yet is held until its key comes.

The token a batch carries is the one it may be continued from. While something is held that is the
token from before it: after a crash it is heard again, and what was heard twice the inbox drops.
"""

from __future__ import annotations

import asyncio
import logging
from dataclasses import dataclass, replace
from typing import Any

from bot.chat.matrix.account import Account
from bot.chat.matrix.answers import RefusedError, UnreachableError, answered
from bot.chat.matrix.gaps import whole_timeline
from bot.chat.matrix.heard import Reactions, Scene, Seen, incoming
from bot.chat.matrix.rooms import Rooms
from bot.chat.matrix.upkeep import Devices, keep_up, made_by_sender, note_key_count
from bot.ports import Batch, Clock, Incoming

LOG = logging.getLogger("pitcrier.matrix")

FILTER: dict[str, dict[str, Any]] = {
    "presence": {"not_types": ["*"]},
    "account_data": {"not_types": ["*"]},
    "room": {
        "timeline": {"limit": 100},
        "ephemeral": {"not_types": ["*"]},
        "account_data": {"not_types": ["*"]},
    },
}
HELD_POLL_MS = 1000
POISONED = 3


@dataclass(frozen=True, slots=True)
class Held:
    """An event whose key has not come yet, and the token from before it."""

    event: Any
    room: str
    until: float
    token: str


class Ears:
    """Looks at the server, one round after the other, from a token on."""

    def __init__(
        self, client: Any, account: Account, rooms: Rooms, clock: Clock, since: str | None
    ) -> None:
        self._client, self._account, self._clock = client, account, clock
        self._rooms, self._token = rooms, since
        self._devices = Devices(client)
        self._reactions = Reactions()
        self._held: dict[str, Held] = {}
        self._failed = 0
        self.synced = False

    async def round(self) -> Batch:
        """Wait for what is new and return it with the token it was read up to."""
        since = self._token
        try:
            return await self._round(since)
        except (RefusedError, UnreachableError):
            raise
        except Exception:
            self._after_a_bug(since)
            raise
        finally:
            if self._token == since:  # not read to its end: the library must take it once more
                self._client.next_batch = ""

    async def _round(self, since: str | None) -> Batch:
        response = await self._response(since)
        note_key_count(self._client, response)
        await keep_up(self._client)
        await self._rooms.note_direct(response.rooms.invite)
        messages = await self._read(response, since)
        messages += self._late()
        await self._rooms.answer_invitations()
        now = self._clock.now()
        messages += await self._rooms.follow_moves(now)
        messages += self._devices.new(now)
        await self._ask_for_keys()
        self._token, self.synced, self._failed = response.next_batch, True, 0
        tokens = [held.token for held in self._held.values()]
        return Batch(tuple(messages), tokens[0] if tokens else self._token)

    async def _response(self, since: str | None) -> Any:
        first = not self.synced
        wait_ms = HELD_POLL_MS if self._held else int(self._account.poll_s * 1000)
        return await answered(
            self._client.sync(
                timeout=0 if first else wait_ms,
                sync_filter=FILTER,
                since=since,
                full_state=True if first else None,
            )
        )

    def _after_a_bug(self, since: str | None) -> None:
        """Count what could not be read; the same thrice is left out, or all would stop."""
        self._failed += 1
        seen = self._client.next_batch
        if self._failed >= POISONED and seen and seen != since:
            LOG.error("an answer of the server cannot be read: left out")
            self._token, self._failed = seen, 0

    # ------------------------------------------------------------ reading

    async def _read(self, response: Any, since: str | None) -> list[Incoming]:
        messages: list[Incoming] = []
        for room_id, info in response.rooms.join.items():
            events = await whole_timeline(self._client, room_id, info.timeline, since)
            if since is not None:  # without one, all this was said to whoever was here before us
                await self._query_unknown(events)
                messages += self._heard(room_id, events, since)
        for room_id, info in response.rooms.leave.items():
            messages += self._heard(room_id, info.timeline.events, None)
            self._client.rooms.pop(room_id, None)
            self._client.invited_rooms.pop(room_id, None)
        return messages

    async def _query_unknown(self, events: list[Any]) -> None:
        """Ask for the devices of senders whose device we do not know yet."""
        theirs = (e for e in events if e.decrypted and e.sender != self._client.user_id)
        unknown = {e.sender for e in theirs if not made_by_sender(self._client, e)}
        if unknown:
            self._client.olm.users_for_key_query.update(unknown)
            await keep_up(self._client)

    def _heard(self, room_id: str, events: list[Any], since: str | None) -> list[Incoming]:
        scene = self._rooms.scene(room_id)
        closed_from = next(
            (n for n, e in enumerate(events) if e.source.get("type") == "m.room.encryption"), 0
        )
        messages: list[Incoming] = []
        for n, event in enumerate(events):
            scene_then = scene if n >= closed_from else replace(scene, encrypted=False)
            if self._is_sealed_off(event):
                self._hold(event, room_id, since)
            elif heard := self._understood(self._seen(event), scene_then):
                messages.append(heard)
        return messages

    def _understood(self, seen: Seen, scene: Scene) -> Incoming | None:
        """Return what an event says; one that trips us up must not take its neighbours with it."""
        try:
            return incoming(seen, scene, self._reactions)
        except Exception:
            LOG.exception("an event was left out", extra={"event": seen.source.get("event_id")})
            return None

    def _seen(self, event: Any) -> Seen:
        sealed = bool(event.decrypted) and made_by_sender(self._client, event)
        foreign = bool(event.decrypted) and not sealed and event.sender != self._client.user_id
        if foreign:
            LOG.warning("not its sender's device", extra={"event": event.source.get("event_id")})
        return Seen(event.source, sealed, foreign)

    @staticmethod
    def _is_sealed_off(event: Any) -> bool:
        return bool(event.source.get("type") == "m.room.encrypted")

    # ------------------------------------------------------------ held

    def _hold(self, event: Any, room_id: str, since: str | None) -> None:
        us = event.source.get("sender") == self._client.user_id
        event_id = event.source.get("event_id", "")
        if not us and since is not None:
            until = asyncio.get_running_loop().time() + self._account.key_grace_s
            self._held.setdefault(event_id, Held(event, room_id, until, since))

    def _late(self) -> list[Incoming]:
        """Return what could be read after all, and tell once of what could not."""
        now, messages = asyncio.get_running_loop().time(), []
        for event_id, held in list(self._held.items()):
            event = self._decrypted(held)
            if event is None and now < held.until:
                continue
            del self._held[event_id]
            scene = self._rooms.scene(held.room)
            seen = self._seen(event) if event is not None else Seen(held.event.source, False, True)
            if heard := self._understood(seen, scene):
                messages.append(heard)
        return messages

    def _decrypted(self, held: Held) -> Any:
        from nio import EncryptionError, MegolmEvent

        if not isinstance(held.event, MegolmEvent):
            return None
        try:
            return self._client.decrypt_event(held.event)
        except EncryptionError:
            return None

    async def _ask_for_keys(self) -> None:
        """Ask the sender's device for a key that is missing, once a session."""
        from nio import MegolmEvent

        for held in self._held.values():
            event = held.event
            if not isinstance(event, MegolmEvent):
                continue
            if event.session_id in self._client.outgoing_key_requests:
                continue
            ask = event.as_key_request(
                event.sender, self._client.device_id, event.session_id, event.device_id
            )
            if ask not in self._client.outgoing_to_device_messages:
                self._client.olm.outgoing_to_device_messages.append(ask)
        await keep_up(self._client)
