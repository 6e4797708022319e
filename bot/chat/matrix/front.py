"""Matrix: what the rest of the program holds. A Remote with a state that can be told.

The loop is our own: the library's spins on error answers and keeps the token before anything was
handled. Between two failed looks it waits 1 s, then twice as long each time, up to a minute; a
server that is down or a token that was revoked troubles no other front-end.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator, Callable, Coroutine
from contextlib import suppress
from enum import StrEnum
from typing import Any

from bot.chat.matrix.account import Account, Purse
from bot.chat.matrix.answers import AccountError, RefusedError, UnreachableError
from bot.chat.matrix.door import Door
from bot.chat.matrix.files import fetched
from bot.chat.matrix.heard import NETWORK
from bot.chat.matrix.listening import Ears
from bot.chat.matrix.rooms import Rooms
from bot.chat.matrix.speaking import NOT_THERE_YET, Mouth
from bot.ports import Batch, Clock, FetchError, Incoming, Media, Outgoing, Receipt, Sent
from bot.store.lock import OneCopy

LOG = logging.getLogger("pitcrier.matrix")

FIRST_PAUSE_S = 1.0
LONGEST_PAUSE_S = 60.0
EXPORT_EVERY_S = 600.0


class State(StrEnum):
    """How we stand with the server."""

    STOPPED = "stopped"
    CONNECTING = "connecting"
    READY = "ready"
    DOWN = "down"  # does not answer; tried again by ourselves
    REVOKED = "revoked"  # somebody has to do something: `why` says what


def _untold(state: State, why: str) -> None:
    LOG.info("matrix", extra={"state": str(state), "why": why})


class Matrix:
    """Implements Remote on one Matrix account.

    `start` opens the folder and takes its lock, `batches` connects and listens until `stop` or
    until the account cannot be used (state REVOKED); both front-end and token survive a server
    that is down. `since` is the cursor of the last batch that was kept. `told` hears each change
    of state with the reason.
    """

    network = NETWORK
    repeats_harmless = True

    def __init__(
        self,
        account: Account,
        media: Media,
        clock: Clock,
        told: Callable[[State, str], None] = _untold,
    ) -> None:
        self.account, self._media, self._clock, self._told = account, media, clock, told
        self.pace = account.allowance.pace
        self.state, self.why = State.STOPPED, ""
        self._door: Door | None = None
        self._lock: OneCopy | None = None
        self._rooms: Rooms | None = None
        self._ears: Ears | None = None
        self._mouth: Mouth | None = None
        self._since: str | None = None
        self._stopping = asyncio.Event()
        self._pause_s = FIRST_PAUSE_S
        self._exported_at = 0.0

    # ------------------------------------------------------------ life

    async def start(self, since: str | None = None) -> None:
        """Open the folder for ourselves alone; raises AccountError or StoreError if that fails."""
        self._door = Door(self.account)
        self._lock = OneCopy(self.account.folder / "device")
        self._since = since
        self._stopping.clear()
        self._set(State.CONNECTING)

    async def stop(self) -> None:
        """Stop listening, keep a copy of the room keys, and let go of the server and the folder."""
        self._stopping.set()
        door, self._door = self._door, None
        if door is not None:
            try:
                await door.export_room_keys()
            except OSError:  # a full disk must not keep us from stopping
                LOG.exception("the room keys were not copied")
            await door.close()
        if self._lock is not None:
            self._lock.release()
        self._ears = self._mouth = self._rooms = self._lock = None
        self._set(State.STOPPED)

    def _set(self, state: State, why: str = "") -> None:
        if (state, why) != (self.state, self.why):
            self.state, self.why = state, why
            self._told(state, why)

    # ------------------------------------------------------------ listening

    async def incoming(self) -> AsyncIterator[Incoming]:
        """Yield what is said, in order per room."""
        async for batch in self.batches():
            for message in batch.messages:
                yield message

    async def batches(self) -> AsyncIterator[Batch]:
        """Yield what the server gives; a batch counts as kept when the next is asked for.

        A look that found nothing is an empty batch: a sign of life.
        """
        cursor = self._since
        while not self._stopping.is_set() and self.state is not State.REVOKED:
            batch = await self._round()
            if batch is not None:
                yield batch if batch.messages or batch.cursor != cursor else Batch(())
                cursor = batch.cursor

    async def _round(self) -> Batch | None:
        """Look once; None if that gave nothing, after the pause that is due."""
        try:
            batch = await self._unless_stopped(self._look())
        except AccountError as wrong:
            self._set(State.REVOKED, str(wrong))
            return None
        except (RefusedError, UnreachableError) as wrong:
            self._set(State.DOWN, str(wrong))
            await self._pause(getattr(wrong, "wait_s", None))
            return None
        except Exception:  # a bug of ours or the library's must not end the evening
            LOG.exception("a look at the server failed")
            self._set(State.DOWN, "a bug, see the log")
            await self._pause(None)
            return None
        if batch is not None:
            self._pause_s = FIRST_PAUSE_S
            self._set(State.READY)
        return batch

    async def _look(self) -> Batch:
        if self._ears is None:
            await self._connect()
        ears, door = self._ears, self._door
        assert ears is not None  # connecting made it
        assert door is not None
        try:
            batch = await ears.round()
        except RefusedError as refused:
            if refused.is_about_the_token:
                await door.log_in_again()
                await door.open()
            raise
        await self._export(door)
        return batch

    async def _connect(self) -> None:
        door = self._door
        assert door is not None  # started
        try:
            client = await door.open()
        except RefusedError as refused:
            if not refused.is_about_the_token:
                raise
            await door.log_in_again()
            client = await door.open()
        account, clock, purse = self.account, self._clock, Purse(self.account.allowance)
        rooms = Rooms(client, account, purse, clock)
        await rooms.read_direct()
        self._ears = Ears(client, account, rooms, clock, self._since)
        self._mouth = Mouth(client, account, rooms, purse, self._media, clock, door.box)
        self._rooms = rooms

    async def _export(self, door: Door) -> None:
        now = asyncio.get_running_loop().time()
        if now - self._exported_at >= EXPORT_EVERY_S:
            self._exported_at = now
            await door.export_room_keys()

    async def _unless_stopped(self, look: Coroutine[Any, Any, Batch]) -> Batch | None:
        """Return what a look gives, or None as soon as we are to stop."""
        task = asyncio.create_task(look)
        stop = asyncio.create_task(self._stopping.wait())
        try:
            await asyncio.wait({task, stop}, return_when=asyncio.FIRST_COMPLETED)
            return task.result() if task.done() else None
        finally:
            for one in (task, stop):
                one.cancel()
            with suppress(asyncio.CancelledError, Exception):
                await task

    async def _pause(self, wanted_s: float | None) -> None:
        seconds = max(self._pause_s, wanted_s or 0.0)
        self._pause_s = min(self._pause_s * 2, LONGEST_PAUSE_S)
        with suppress(TimeoutError):
            async with asyncio.timeout(seconds):
                await self._stopping.wait()

    # ------------------------------------------------------------ speaking

    async def send(self, room: str, message: Outgoing, key: str) -> Receipt:
        """Send a message; a repeat under the same key shows once."""
        if self._mouth is None or self._ears is None or not self._ears.synced:
            return NOT_THERE_YET
        return await self._mouth.send(room, message, key)

    async def edit(self, receipt: Sent, message: Outgoing) -> Receipt:
        """Replace a message already sent."""
        if self._mouth is None or self._ears is None or not self._ears.synced:
            return NOT_THERE_YET
        return await self._mouth.edit(receipt.id, message)

    async def send_with_new_keys(self, room: str, message: Outgoing, key: str) -> Receipt:
        """Send a message nobody answered once more, as a new event under a new room key.

        For safety alone: a phone that missed the room's key could not read the first one. `key`
        must differ from the first send's.
        """
        if self._mouth is not None:
            await self._mouth.share_anew(room)
        return await self.send(room, message, key)

    # ------------------------------------------------------------ on request

    async def fetch(self, ref: str) -> bytes:
        """Return an attached file; raises FetchError with the reason in words."""
        if self._door is None or self._door.client is None:
            raise FetchError("not connected just now")
        return await fetched(self._door.client, ref, self.account.largest_file)

    async def powers(self, room: str) -> dict[str, int]:
        """Return who has which power level in a room, by user id; asked for, never acted on."""
        if self._rooms is None:
            raise UnreachableError("not connected just now")
        return await self._rooms.powers(room)
