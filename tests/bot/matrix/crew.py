"""Who takes part in the tests: phones with clients of their own, and the bot's front-end, listened
to as the composition root listens.
"""

from __future__ import annotations

import asyncio
import io
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from nio import (
    AsyncClient,
    AsyncClientConfig,
    MegolmEvent,
    RoomPreset,
    RoomVisibility,
    SyncResponse,
)
from nio.crypto import decrypt_attachment
from nio.store import SqliteMemoryStore, SqliteStore

from bot.chat.matrix import UNLIMITED, Account, Matrix
from bot.chat.matrix.answers import answered
from bot.clock import SystemClock
from bot.ports import Batch, Clock, Happened, Incoming, Medium
from tests.synapse import PASSWORD, Synapse

PATIENCE_S = 60.0
ENCRYPTED = {"type": "m.room.encryption", "content": {"algorithm": "m.megolm.v1.aes-sha2"}}
LONG = {"room": {"timeline": {"limit": 100}}}


class NoMedia:
    """Implements Media with what a test puts in."""

    def __init__(self, *media: Medium) -> None:
        self._media = {m.name: m for m in media}

    async def medium(self, name: str) -> Medium | None:
        return self._media.get(name)


@dataclass
class Phone:
    """Somebody of the crew with a client of their own."""

    client: AsyncClient
    seen: list[Any] = field(default_factory=list)
    asked: list[Any] = field(default_factory=list)

    @property
    def user(self) -> str:
        return str(self.client.user_id)

    async def look(self, wait_s: float = 0.0) -> None:
        """Sync once and do what a client owes the server."""
        response = await answered(
            self.client.sync(
                timeout=int(wait_s * 1000), sync_filter=LONG, full_state=not self.client.rooms
            )
        )
        assert isinstance(response, SyncResponse)
        for info in response.rooms.join.values():
            self.seen += [e for e in info.timeline.events if e not in self.seen]
        self.asked += response.to_device_events
        if self.client.should_upload_keys:
            await answered(self.client.keys_upload())
        if self.client.should_query_keys:
            await answered(self.client.keys_query())

    async def reads(self, text: str) -> Any:
        """Return the event with this text, as soon as it is there to be read."""
        return await self.sees(lambda e: text in e.source["content"].get("body", ""), text)

    async def sees(self, wanted: Callable[[Any], bool], what: str = "that") -> Any:
        """Return the first event that fits, as soon as it is there."""
        async with asyncio.timeout(PATIENCE_S):
            while True:
                for event in self.seen:
                    if wanted(event):
                        return event
                try:
                    await self.look(0.5)
                except TimeoutError:
                    raise AssertionError(f"{self.user} never saw {what}") from None

    async def sees_to_device(self, kind: str) -> Any:
        """Return what another device asked of this one."""
        async with asyncio.timeout(PATIENCE_S):
            while True:
                for event in self.asked:
                    if event.source.get("type") == kind:
                        return event
                await self.look(0.5)

    def bodies(self) -> list[str]:
        """Return all texts so far."""
        contents = (e.source["content"] for e in self.seen)
        return [c["body"] for c in contents if isinstance(c.get("body"), str)]

    async def say(self, room: str, text: str, **more: Any) -> str:
        """Say something and return its event id."""
        return await self.put(room, "m.room.message", {"msgtype": "m.text", "body": text, **more})

    async def put(self, room: str, kind: str, content: dict[str, Any]) -> str:
        """Send any event."""
        sent = self.client.room_send(room, kind, content, ignore_unverified_devices=True)
        return str((await answered(sent)).event_id)

    async def tap(self, room: str, event_id: str, emoji: str) -> str:
        """React to a message."""
        relates = {"rel_type": "m.annotation", "event_id": event_id, "key": emoji}
        return await self.put(room, "m.reaction", {"m.relates_to": relates})

    async def upload(self, content: bytes) -> dict[str, Any]:
        """Upload a file encrypted; return the part of an event that says how to open it."""
        answer, keys = await self.client.upload(
            io.BytesIO(content), "image/png", encrypt=True, filesize=len(content)
        )
        return {**keys, "url": answer.content_uri}

    async def opened(self, content: dict[str, Any]) -> bytes:
        """Download the encrypted file of an event and return what is in it."""
        file = content["file"]
        answer = await answered(self.client.download(file["url"]))
        key, digest, iv = file["key"]["k"], file["hashes"]["sha256"], file["iv"]
        return bytes(decrypt_attachment(answer.body, key, digest, iv))

    async def make_room(
        self, *people: str, name: str = "crew", encrypted: bool = True, direct: bool = False
    ) -> str:
        """Open a room and invite people."""
        made = await answered(
            self.client.room_create(
                visibility=RoomVisibility.private,
                name=None if direct else name,
                preset=RoomPreset.private_chat,
                is_direct=direct,
                invite=list(people),
                initial_state=[{**ENCRYPTED, "state_key": ""}] if encrypted else [],
            )
        )
        await self.look()
        return str(made.room_id)

    async def join(self, room: str) -> None:
        """Accept an invitation."""
        await answered(self.client.join(room))
        await self.look()

    async def waits_for(self, room: str, user: str) -> None:
        """Look until somebody is in the room with their keys known."""
        async with asyncio.timeout(PATIENCE_S):
            while True:
                there = self.client.rooms.get(room)
                if there is not None and user in there.users and not there.users[user].invited:
                    encrypted = there.encrypted
                    if not encrypted or any(self.client.device_store.active_user_devices(user)):
                        return
                await self.look(0.5)

    def unreadable(self) -> list[Any]:
        return [e for e in self.seen if isinstance(e, MegolmEvent)]


@asynccontextmanager
async def phone(
    synapse: Synapse, user: str, device: str = "", folder: Path | None = None
) -> AsyncIterator[Phone]:
    """Log somebody in on a device; its keys are kept in memory unless there is a folder."""
    store = SqliteMemoryStore if folder is None else SqliteStore
    config = AsyncClientConfig(store=store, encryption_enabled=True)
    client = AsyncClient(synapse.url, user, device, str(folder or ""), config)
    try:
        await answered(client.login(PASSWORD, "phone"))
        made = Phone(client)
        await made.look()
        yield made
    finally:
        await client.close()
        if client.store is not None:
            client.store.database.close()


@dataclass
class Bot:
    """The front-end, its batches kept as an inbox keeps them."""

    matrix: Matrix
    heard: list[Incoming] = field(default_factory=list)
    cursor: str | None = None
    states: list[str] = field(default_factory=list)
    _task: asyncio.Task[None] | None = None

    async def start(self) -> None:
        await self.matrix.start(self.cursor)
        self._task = asyncio.create_task(self._listen())
        await self.is_("ready")

    async def _listen(self) -> None:
        async for batch in self.matrix.batches():
            self._keep(batch)

    def _keep(self, batch: Batch) -> None:
        known = {m.ext_id for m in self.heard}
        self.heard += [m for m in batch.messages if m.ext_id not in known]
        self.cursor = batch.cursor or self.cursor

    async def stop(self) -> None:
        await self.matrix.stop()
        if self._task is not None:
            with suppress(asyncio.CancelledError):
                await self._task
            self._task = None

    async def die(self) -> None:
        """End as a killed process would: nothing is put away."""
        matrix, task = self.matrix, self._task
        assert task is not None
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task
        self._task = None
        assert matrix._door is not None
        await matrix._door.close()
        assert matrix._lock is not None
        matrix._lock.release()

    async def is_(self, state: str) -> None:
        """Wait until the front-end stands so with the server."""
        async with asyncio.timeout(PATIENCE_S):
            while str(self.matrix.state) != state:
                await asyncio.sleep(0.02)

    async def hears(self, text: str = "", happened: Happened = Happened.SAID) -> Incoming:
        """Return what was heard, as soon as it is."""
        try:
            async with asyncio.timeout(PATIENCE_S):
                while True:
                    for message in self.heard:
                        if message.happened is happened and text in message.text:
                            return message
                    await asyncio.sleep(0.02)
        except TimeoutError:
            raise AssertionError(f"never heard {happened} {text!r}; only {self.heard}") from None

    async def comes_into(self, room: str) -> None:
        """Wait until the room can be spoken into."""
        client = await self._client()
        async with asyncio.timeout(PATIENCE_S):
            while room not in client.rooms:
                await asyncio.sleep(0.02)

    async def _client(self) -> Any:
        assert self.matrix._door is not None
        return self.matrix._door.client

    def texts(self) -> list[str]:
        return [m.text for m in self.heard if m.happened is Happened.SAID]


def account_of(synapse: Synapse, user: str, folder: Path, **more: Any) -> Account:
    """Return the bot's account, open to everybody's invitation, quick for tests."""
    values = {
        "homeserver": synapse.url,
        "user": user,
        "folder": folder,
        "password": PASSWORD,
        "may_invite": lambda _: True,
        "allowance": UNLIMITED,
        "poll_s": 1.0,
        "key_grace_s": 0.5,
    }
    return Account(**{**values, **more})


def bot_of(account: Account, *media: Medium, clock: Clock | None = None) -> Bot:
    """Return the front-end of an account, not started."""
    states: list[str] = []
    matrix = Matrix(
        account, NoMedia(*media), clock or SystemClock(), lambda state, _: states.append(str(state))
    )
    return Bot(matrix, states=states)


@asynccontextmanager
async def started(bot: Bot) -> AsyncIterator[Bot]:
    """Run the front-end until the test is over."""
    await bot.start()
    try:
        yield bot
    finally:
        await bot.stop()


async def room_of(bot: Bot, host: Phone, *people: Phone) -> str:
    """Open an encrypted room in which everybody can read everybody."""
    us = bot.matrix.account.user
    made = await host.make_room(*(p.user for p in people), us)
    for person in people:
        await person.join(made)
    await bot.comes_into(made)
    for person in (host, *people):
        await person.waits_for(made, us)
    return made
