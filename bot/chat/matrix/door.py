"""Logged in once by password, then by the kept session; what was lost is made good.

The device id is ours to choose, so that the crypto store can be made closed before the library
opens it. A store that is gone or does not open is never replaced under the same device: the server
keeps the old identity, others go on writing to it, and nothing can be read for good. So a new
device takes over: signed with the kept seeds, old room keys imported, the old device deleted.
"""

from __future__ import annotations

import asyncio
import importlib
import logging
import secrets
import sqlite3
import string
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

from bot.chat.matrix.account import Account
from bot.chat.matrix.answers import AccountError, RefusedError, answered
from bot.chat.matrix.box import Box
from bot.chat.matrix.signing import delete_device, keys_on_server, sign_device

LOG = logging.getLogger("pitcrier.matrix")

SESSION = "session"
EXPORTED = "roomkeys.txt"
REQUEST_S = 20
ASK_PASSWORD = "Give the password once more; afterwards it may go again."


class Door:
    """Lets us in, and keeps what is needed to get in again."""

    def __init__(self, account: Account) -> None:
        self.account = account
        self.box = Box(account.folder, account.secret, account.user)
        self.client: Any = None
        self._sessions_exported = 0

    async def open(self) -> Any:
        """Return a client that is logged in, with its keys on the server and its device signed."""
        # a second of imports that would hold up every other platform
        await asyncio.to_thread(importlib.import_module, "nio")
        session = self.box.read(SESSION)
        if self.client is None and session is not None and self._restored(session):
            LOG.info("session restored", extra={"device": session["device_id"]})
        elif self.client is None:
            await self._log_in_anew(session)
        await self._make_ready()
        return self.client

    async def log_in_again(self) -> None:
        """Get a new token for the same device after the old one was revoked."""
        if not self.account.password:
            raise AccountError("its session was revoked", ASK_PASSWORD)
        await self._log_in()

    async def close(self) -> None:
        """Let go of the server and the crypto store."""
        client, self.client = self.client, None
        if client is None:
            return
        await client.close()
        if client.store is not None:
            client.store.database.close()

    # ------------------------------------------------------------ in

    def _store(self, device: str) -> Path:
        return self.box.folder / "store" / f"{device}.db"

    def _new_client(self, device: str) -> Any:
        from nio import AsyncClient, AsyncClientConfig

        logging.getLogger("nio").setLevel(logging.CRITICAL)  # it logs what people wrote
        store = self._store(device)
        self.box.closed_file(store)
        config = AsyncClientConfig(
            max_limit_exceeded=0,
            max_timeouts=1,
            request_timeout=REQUEST_S,
            store_sync_tokens=False,
            encryption_enabled=True,
            pickle_key=self.box.key("pickle").hex(),
            store_name=store.name,
        )
        account = self.account
        return AsyncClient(account.homeserver, account.user, device, str(store.parent), config)

    def _restored(self, session: dict[str, Any]) -> bool:
        """Take up a kept session; say whether its crypto store is still there and opens."""
        device = session["device_id"]
        store = self._store(device)
        if not holds_account(store, device):
            return False
        client = self._new_client(device)
        try:
            client.restore_login(session["user_id"], device, session["access_token"])
        except Exception:  # whatever a torn file makes three libraries say
            LOG.exception("the crypto store does not open")
            with suppress(OSError):
                store.replace(store.with_suffix(".broken"))
            return False
        self.client = client
        return True

    async def _log_in_anew(self, lost: dict[str, Any] | None) -> None:
        """Log in as a new device; one that was lost is to be deleted."""
        if not self.account.password:
            why = "its crypto store is lost" if lost else "there is no session yet"
            raise AccountError(why, ASK_PASSWORD)
        letters = string.ascii_uppercase
        self.client = self._new_client("PIT" + "".join(secrets.choice(letters) for _ in range(9)))
        drop = [*lost.get("drop", ()), lost["device_id"]] if lost else []
        try:
            await self._log_in(drop)
        except BaseException:
            await self.close()
            raise

    async def _log_in(self, drop: list[str] | None = None) -> None:
        client = self.client
        try:
            login = client.login(self.account.password, self.account.device_name)
            answer = await answered(login)
        except RefusedError as refused:
            if refused.wait_s is not None:
                raise
            raise AccountError(
                f"the server refused the login ({refused})", "Check user and password."
            ) from refused
        self._keep(answer.user_id, answer.device_id, answer.access_token, drop)

    def _keep(self, user: str, device: str, token: str, drop: list[str] | None) -> None:
        if drop is None:
            drop = (self.box.read(SESSION) or {}).get("drop", [])
        self.box.write(
            SESSION,
            {"user_id": user, "device_id": device, "access_token": token, "drop": drop},
        )

    # ------------------------------------------------------------ ready

    async def _make_ready(self) -> None:
        """Do what a device needs once; what was done before is seen and left."""
        client = self.client
        ours = (await keys_on_server(client)).get("device_keys", {}).get(client.user_id, {})
        if client.device_id not in ours and client.olm.account.shared:
            # the server forgot the device together with its token: it gets the same keys again
            client.olm.account.shared = False
        if client.should_upload_keys:
            await answered(client.keys_upload())
        await sign_device(client, self.account, self.box)
        await self._finish_takeover()

    async def _finish_takeover(self) -> None:
        client, session = self.client, self.box.read(SESSION) or {}
        if not session.get("drop"):
            return
        exported = self.box.folder / EXPORTED
        if exported.exists():
            await client.import_keys(str(exported), self.box.key("export").hex())
        for device in session["drop"]:
            with suppress(RefusedError):  # gone already
                await delete_device(client, self.account, device)
            self._store(device).unlink(missing_ok=True)
        self._keep(client.user_id, client.device_id, client.access_token, [])
        LOG.warning("a lost crypto store was replaced", extra={"device": client.device_id})

    async def export_room_keys(self) -> None:
        """Keep a sealed copy of the room keys for the day the crypto store is lost."""
        client = self.client
        if client is None or client.olm is None:
            return
        count = sum(1 for _ in client.olm.inbound_group_store)
        if count == self._sessions_exported:
            return
        new = self.box.folder / f"{EXPORTED}.new"
        new.unlink(missing_ok=True)  # the library writes a closed file, but never over another
        await client.export_keys(str(new), self.box.key("export").hex())
        new.replace(self.box.folder / EXPORTED)
        self._sessions_exported = count


def holds_account(store: Path, device: str) -> bool:
    """Say whether a crypto store is there and knows the device; the library would make one."""
    if not store.is_file() or not store.stat().st_size:
        return False
    try:
        with closing(sqlite3.connect(f"file:{store}?mode=ro", uri=True)) as connection:
            wanted = "SELECT 1 FROM accounts WHERE device_id = ?"
            return connection.execute(wanted, (device,)).fetchone() is not None
    except sqlite3.DatabaseError:
        return False
