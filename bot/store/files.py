"""Photos and documents beside the database, by the sha256 of what is in them.

The bytes are on the disk under their own hash before a row speaks of them, so a row never points
at nothing and the same photo is kept once.
"""

from __future__ import annotations

import asyncio
import hashlib
from collections.abc import Sequence
from pathlib import Path

from sqlalchemy import Connection

from bot.ports import Clock, StoreError
from bot.store.copies import whole
from bot.store.dialect import insert_new
from bot.store.engine import told
from bot.store.instants import us
from bot.store.tables import Files
from bot.store.threads import Writer

LARGEST_BYTES = 20_000_000
KINDS = {
    "image/jpeg": b"\xff\xd8\xff",
    "image/png": b"\x89PNG\r\n\x1a\n",
    "application/pdf": b"%PDF-",
}
"""What may be kept, and how it begins; what a file says of itself is not believed."""


class Shelf:
    """Keeps files; reached as `store.files`."""

    def __init__(self, folder: Path, writer: Writer, clock: Clock) -> None:
        self._folder, self._write, self._clock = folder, writer, clock

    async def keep(self, content: bytes, kind: str) -> str:
        """Keep a file and return its sha256."""
        if kind not in KINDS or not content.startswith(KINDS[kind]):
            raise StoreError(f"a file of the kind '{kind}' is not kept", "Send a photo or a PDF.")
        if len(content) > LARGEST_BYTES:
            raise StoreError("the file is larger than 20 MB", "Send a smaller one.")
        name = hashlib.sha256(content).hexdigest()
        await asyncio.to_thread(self._store, name, content)
        row = {
            "sha256": name,
            "kind": kind,
            "size": len(content),
            "stored_us": us(self._clock.now()),
        }
        await self._write.do(_row, row)
        return name

    @told()
    def _store(self, name: str, content: bytes) -> None:
        path = self.path(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        if not path.exists():
            with whole(path) as part:
                part.write_bytes(content)

    def path(self, sha256: str) -> Path:
        """Return where a file is kept."""
        return self._folder / sha256[:2] / sha256

    async def content(self, sha256: str) -> bytes:
        """Return a file; one that is damaged is an error, not a picture."""
        found = await asyncio.to_thread(self._content, sha256)
        if hashlib.sha256(found).hexdigest() != sha256:
            raise StoreError(f"the file {sha256[:12]} is damaged", "Restore it from the backup.")
        return found

    @told()
    def _content(self, sha256: str) -> bytes:
        return self.path(sha256).read_bytes()


def _row(connection: Connection, rows: Sequence[dict[str, object]]) -> list[None]:
    insert_new(connection, Files, rows)
    return [None] * len(rows)
