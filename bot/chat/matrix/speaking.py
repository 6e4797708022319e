"""A neutral message to events, and events to the server, each under its transaction id.

Before an encrypted message goes out its key must have reached every device that can be reached:
the library would swallow a failed share and leave a phone unable to read the call.
"""

from __future__ import annotations

import asyncio
import logging
from collections import OrderedDict, defaultdict
from typing import Any
from urllib.parse import quote

from bot.chat.matrix.account import Account, Purse
from bot.chat.matrix.answers import RefusedError, UnreachableError, answered, raw, receipt_of
from bot.chat.matrix.box import Box
from bot.chat.matrix.files import uploaded
from bot.chat.matrix.heard import DONE
from bot.chat.matrix.rooms import Rooms
from bot.chat.matrix.words import (
    Content,
    document_content,
    edited,
    fits,
    picture_content,
    related,
    tap,
    text_content,
    transaction,
)
from bot.ports import Clock, Gone, Media, Migrated, NotSent, Outgoing, Receipt, Rejected, Sent, Wait
from core.model import Sound

LOG = logging.getLogger("pitcrier.matrix")

THREADS = "threads"
MOST_KEPT = 2000
NOTHING_THERE = frozenset({"M_NOT_FOUND", "M_FORBIDDEN"})


class TooLongError(Exception):
    """A message no single event can hold."""


class Mouth:
    """Sends and edits messages for one logged-in client."""

    def __init__(
        self,
        client: Any,
        account: Account,
        rooms: Rooms,
        purse: Purse,
        media: Media,
        clock: Clock,
        box: Box,
    ) -> None:
        self._client, self._account, self._rooms, self._purse = client, account, rooms, purse
        self._media, self._clock, self._box = media, clock, box
        self._turns: defaultdict[str, asyncio.Lock] = defaultdict(asyncio.Lock)
        self._rooms_of: OrderedDict[str, str] = OrderedDict()
        self._threads: dict[str, str] = dict(box.read(THREADS) or {})

    # ------------------------------------------------------------ what the outbox asks

    async def send(self, room_id: str, message: Outgoing, key: str) -> Receipt:
        """Send a message; a repeat under the same key is the same event."""
        closed = self._closed(room_id)
        if closed is not None:
            return closed
        async with self._turns[room_id]:
            return await self._receipt(self._sent(room_id, message, key))

    async def edit(self, event_id: str, message: Outgoing) -> Receipt:
        """Replace what stands on the screen; however often, it shows once."""
        try:
            room_id = await self._room_of(event_id)
        except (RefusedError, UnreachableError) as wrong:
            return receipt_of(wrong)
        if room_id is None:
            return Rejected("that message is in none of our rooms")
        closed = self._closed(room_id)
        if closed is not None and not isinstance(closed, Migrated):
            return closed
        async with self._turns[room_id]:
            return await self._receipt(self._edited(room_id, event_id, message))

    async def share_anew(self, room_id: str) -> None:
        """Let the next message in a room go out under a new key, shared with every device anew."""
        room = self._client.rooms.get(room_id)
        if room is not None and room.encrypted:
            self._client.invalidate_outbound_session(room_id)

    async def _receipt(self, sending: Any) -> Receipt:
        try:
            receipt: Receipt = await sending
        except TooLongError:
            return Rejected("longer than one event can hold")
        except (RefusedError, UnreachableError) as wrong:
            receipt = receipt_of(wrong)
            if isinstance(receipt, Wait):
                self._purse.refused(receipt.seconds, self._clock.now())
        return receipt

    def _closed(self, room_id: str) -> Receipt | None:
        new = self._rooms.where(room_id)
        if new is not None:
            return Migrated(new)
        room = self._client.rooms.get(room_id)
        if room is None:
            return Gone("not in the room")
        return None if len(room.users) > 1 else Gone("nobody is left in the room")

    # ------------------------------------------------------------ sending

    async def _sent(self, room_id: str, message: Outgoing, key: str) -> Receipt:
        media = [m for name in message.documents if (m := await self._media.medium(name))]
        rings = message.sound is not Sound.SILENT
        events = 1 + len(media) + message.pin + self._taps(message)
        if wait_s := self._purse.wait_s(events, self._clock.now(), rings=rings):
            return Wait(wait_s)
        root = self._threads.get(self._thread(room_id, message)) if message.thread else None
        content = related(await self._content(room_id, message), message.reply_to, root)
        event_id = await self._put(room_id, "m.room.message", content, transaction(key))
        self._note(room_id, message, event_id)
        for n, medium in enumerate(media):
            file = await uploaded(self._client, medium, encrypt=self._encrypted(room_id))
            part = related(document_content(medium, file), None, root)
            await self._put(room_id, "m.room.message", part, transaction(key, f"file{n}"))
        await self._beside(room_id, message, event_id, key)
        return Sent(event_id)

    async def _edited(self, room_id: str, event_id: str, message: Outgoing) -> Receipt:
        rings = message.sound is not Sound.SILENT
        if wait_s := self._purse.wait_s(1, self._clock.now(), rings=rings):
            return Wait(wait_s)
        content = edited(await self._content(room_id, message), event_id)
        await self._put(room_id, "m.room.message", content, None)
        return Sent(event_id)

    async def _content(self, room_id: str, message: Outgoing) -> Content:
        medium = await self._media.medium(message.picture) if message.picture else None
        if medium is None:
            content = text_content(message)
        else:
            file = await uploaded(self._client, medium, encrypt=self._encrypted(room_id))
            content = picture_content(message, medium, file)
        if not fits(content):
            raise TooLongError
        return content

    async def _beside(self, room_id: str, message: Outgoing, event_id: str, key: str) -> None:
        """Do what a message can do without: pin it, put a tap under it."""
        try:
            if self._taps(message):
                content = tap(event_id, DONE)
                await self._put(room_id, "m.reaction", content, transaction(key, "tap"))
            if message.pin:
                await self._pin(room_id, event_id)
        except (RefusedError, UnreachableError) as wrong:
            if getattr(wrong, "code", "") != "M_DUPLICATE_ANNOTATION":
                LOG.info("beside the message", extra={"why": str(wrong)})

    def _taps(self, message: Outgoing) -> bool:
        """Say whether a ✅ of ours goes under a message: see the folder's account of taps."""
        lifted = self._account.allowance.per_s is None
        return bool(message.choices) and lifted and message.sound is not Sound.SILENT

    async def _pin(self, room_id: str, event_id: str) -> None:
        path = f"rooms/{quote(room_id, safe='')}/state/m.room.pinned_events/"
        try:
            pinned = list((await raw(self._client, "GET", path)).get("pinned", []))
        except RefusedError as refused:
            if refused.code not in NOTHING_THERE:
                raise
            pinned = []
        if event_id not in pinned:
            await raw(self._client, "PUT", path, {"pinned": [*pinned, event_id]})

    def _encrypted(self, room_id: str) -> bool:
        return bool(self._client.rooms[room_id].encrypted)

    def _thread(self, room_id: str, message: Outgoing) -> str:
        return f"{room_id} {message.thread}"

    def _note(self, room_id: str, message: Outgoing, event_id: str) -> None:
        """Remember where an event stands, and the first of a thread, whose root it is."""
        self._rooms_of[event_id] = room_id
        if len(self._rooms_of) > MOST_KEPT:
            self._rooms_of.popitem(last=False)
        name = self._thread(room_id, message)
        if message.thread and name not in self._threads:
            kept = list(self._threads.items())[-(MOST_KEPT - 1) :]
            self._threads = dict([*kept, (name, event_id)])
            self._box.write(THREADS, self._threads)

    async def _room_of(self, event_id: str) -> str | None:
        """Return the room an event stands in: from memory, else by asking room after room."""
        for room_id in [] if event_id in self._rooms_of else list(self._client.rooms):
            path = f"rooms/{quote(room_id, safe='')}/event/{quote(event_id, safe='')}"
            try:
                await raw(self._client, "GET", path)
            except RefusedError as refused:
                if refused.code not in NOTHING_THERE:
                    raise
            else:
                self._rooms_of[event_id] = room_id
                break
        return self._rooms_of.get(event_id)

    # ------------------------------------------------------------ to the server

    async def _put(self, room_id: str, kind: str, content: Content, txn: str | None) -> str:
        """Send one event and return its id."""
        from nio import EncryptionError, LocalProtocolError, SendRetryError

        try:
            if self._encrypted(room_id):
                await self._share_key(room_id)
            answer = await answered(
                self._client.room_send(
                    room_id, kind, content, tx_id=txn, ignore_unverified_devices=True
                )
            )
        except (EncryptionError, LocalProtocolError, SendRetryError) as wrong:
            raise UnreachableError(str(wrong)) from wrong
        finally:
            self._release_share(room_id)
        return str(answer.event_id)

    async def _share_key(self, room_id: str) -> None:
        """Give the room's key to everybody in it; raise if a device that could have it has not."""
        client, room = self._client, self._client.rooms[room_id]
        if not room.members_synced:
            await answered(client.joined_members(room_id))
        if client.should_query_keys:
            await answered(client.keys_query())
        if not client.olm.should_share_group_session(room_id):
            return
        if missing := client.get_missing_sessions(room_id):
            await answered(client.keys_claim(missing))
        shared = await answered(client.share_group_session(room_id, ignore_unverified_devices=True))
        if left_out := self._reachable(room) - set(shared.users_shared_with):
            client.invalidate_outbound_session(room_id)
            raise UnreachableError(f"the room's key did not reach {len(left_out)} devices")

    def _reachable(self, room: Any) -> set[tuple[str, str]]:
        """Return the devices of a room's people that a key can be sent to."""
        client = self._client
        return {
            (user, device.id)
            for user in room.users
            for device in client.device_store.active_user_devices(user)
            if device.id != client.device_id
            and client.olm.session_store.get(device.curve25519) is not None
        }

    def _release_share(self, room_id: str) -> None:
        """Undo the library's mark of a share under way: after a failed claim it would stay, and
        every later message wait for ever. The room's turn is ours, so no other share is under way.
        """
        stuck = self._client.sharing_session.pop(room_id, None)
        if stuck is not None:
            stuck.set()


NOT_THERE_YET = NotSent("not connected yet")
