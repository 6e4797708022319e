"""What a device owes after each look at the server, and whose devices are new."""

from __future__ import annotations

import logging
from datetime import datetime
from typing import Any

from bot.chat.matrix.answers import RefusedError, UnreachableError, answered
from bot.chat.matrix.heard import NETWORK
from bot.ports import Happened, Incoming

LOG = logging.getLogger("pitcrier.matrix")


def note_key_count(client: Any, response: Any) -> None:
    """Tell the library that our one-time keys are used up: it takes a count of 0 for unknown and
    would stay deaf to everybody new.
    """
    if client.olm is not None and response.device_key_count.signed_curve25519 == 0:
        client.olm.uploaded_key_count = 0


async def keep_up(client: Any) -> None:
    """Upload, ask for and claim the keys that are wanted; what fails is tried after the next look.

    Raises RefusedError only if we are not logged in any more.
    """
    if client.should_upload_keys:
        await _tried(client.keys_upload())
    if client.should_query_keys:
        await _tried(client.keys_query())
    if client.should_claim_keys:
        await _tried(client.keys_claim(client.get_users_for_key_claiming()))
    for message in list(client.outgoing_to_device_messages):
        await _tried(client.to_device(message))


async def _tried(asked: Any) -> None:
    try:
        await answered(asked)
    except UnreachableError as wrong:
        LOG.info("keys wait", extra={"why": str(wrong)})
    except RefusedError as wrong:
        if wrong.is_about_the_token:
            raise
        LOG.warning("keys wait", extra={"why": wrong.code})


class Devices:
    """Which devices of whom we know; the first ones of a person are taken on trust."""

    def __init__(self, client: Any) -> None:
        self._client = client
        self._known = self._now()

    def _now(self) -> set[tuple[str, str]]:
        return {(device.user_id, device.id) for device in self._client.device_store}

    def new(self, now: datetime) -> list[Incoming]:
        """Return who speaks from a device not seen before, though we knew others of theirs."""
        known, self._known = self._known, self._now()
        people = {user for user, _ in known} - {self._client.user_id}
        fresh = sorted(d for d in self._known - known if d[0] in people)
        return [
            Incoming(
                NETWORK,
                f"device:{user}:{device}",
                room.room_id,
                user,
                device,
                now,
                private=len(room.users) == 2,
                happened=Happened.NEW_DEVICE,
            )
            for user, device in fresh
            if (room := self._shared_room(user)) is not None
        ]

    def _shared_room(self, user: str) -> Any:
        """Return the smallest room we share with somebody: nearest to being alone with them."""
        shared = [r for r in self._client.rooms.values() if user in r.users]
        return min(shared, key=lambda r: (len(r.users), r.room_id), default=None)


def made_by_sender(client: Any, event: Any) -> bool:
    """Say whether a decrypted event comes from a device its sender has: the server names senders,
    the keys prove them.
    """
    devices = client.device_store[event.sender].values()
    return any(device.curve25519 == event.sender_key for device in devices)
