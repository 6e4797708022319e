"""What was sent with a message: photos and PDF are kept, the rest is refused in words.

A file is fetched beside everything else: the message that brought it waits in the inbox until it is
here, and nobody else waits. A restart fetches it again. Cards are the kitchen's, alone with it.
"""

from __future__ import annotations

import asyncio
import logging
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from mimetypes import guess_type
from typing import Protocol

from bot.ports import Attached, Chat, Enclosed, FetchError, Heard, Remote, StoreError
from core.model import Answer, Label, Line, Qty, say

LOG = logging.getLogger("pitcrier.enclosures")

LARGEST_BYTES = 20_000_000
LONGEST_FETCH_S = 60.0
MOST_KEPT = 200
KEPT = {"image/jpeg", "image/png", "application/pdf"}
PAGES = (".toml", ".json", ".jsonld", ".html", ".htm")
"""What only the kitchen reads."""


class Keeps(Protocol):
    """Where photos and documents stay."""

    async def keep(self, content: bytes, kind: str) -> str:
        """Keep a file and return its sha256."""
        ...


@dataclass(slots=True)
class Enclosures:
    """Fetches the files of messages on the side; `arrived` is told when one is here or given up."""

    chats: Mapping[str, Chat]
    files: Keeps
    arrived: Callable[[], None]
    _done: OrderedDict[int, Enclosed] = field(default_factory=OrderedDict)
    _under_way: dict[int, asyncio.Task[None]] = field(default_factory=dict)

    def ready(self, heard: Heard) -> bool:
        """Say whether a message can be handled; if not, see to its file."""
        message = heard.message
        meant = message.private or message.text or message.reply_to
        if not (message.attached and meant) or heard.id in self._done:
            return True
        if heard.id not in self._under_way:
            task = asyncio.create_task(self._fetched(heard))
            self._under_way[heard.id] = task
        return False

    def of(self, heard: Heard) -> Enclosed | None:
        """Return what came of a message's file; None for a message that brought none."""
        return self._done.get(heard.id)

    async def close(self) -> None:
        """Leave what is under way: it is fetched again at the next start."""
        tasks = list(self._under_way.values())
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)

    async def _fetched(self, heard: Heard) -> None:
        file = heard.message.attached[0]
        try:
            enclosed = await self._enclosed(heard.message.network, file)
        except FetchError as wrong:
            why = str(wrong)
            enclosed = _said(
                say("I could not get {name}: {why}.", name=_name(file), why=why),
                say("Send it again, or type what it says."),
            )
        except StoreError as wrong:
            enclosed = _said(say("{name} is not kept: {why}.", name=_name(file),
                                 why=str(wrong.fields["why"])))  # fmt: skip
        except Exception:  # a bug must not leave the message waiting for ever
            LOG.exception("a file was not read", extra={"inbox": heard.id})
            enclosed = _said(say("I could not read {name}. Type what it says.", name=_name(file)))
        self._done[heard.id] = enclosed
        while len(self._done) > MOST_KEPT:
            self._done.popitem(last=False)
        del self._under_way[heard.id]
        self.arrived()

    async def _enclosed(self, network: str, file: Attached) -> Enclosed:
        if file.name.casefold().endswith(PAGES):
            return _said(say("Cards and recipes: chef and leads send them to me alone."))
        if file.kind.startswith("audio/"):
            return _said(say("I hear no voice messages. Type it, please."))
        kind = file.kind if file.kind in KEPT else guess_type(file.name)[0] or file.kind
        if kind not in KEPT:
            return _said(say("I take photos and PDF files, not {name}.", name=_name(file)))
        if file.size > LARGEST_BYTES:
            most = Qty(LARGEST_BYTES / 1e6, "MB", 0)
            return _said(say("{name} is too large: at most {most}.", name=_name(file), most=most))
        content = await self._content(network, file)
        return Enclosed(photo=await self.files.keep(content, kind))

    async def _content(self, network: str, file: Attached) -> bytes:
        chat = self.chats.get(network)
        if not isinstance(chat, Remote):
            raise FetchError("not connected just now")
        try:
            async with asyncio.timeout(LONGEST_FETCH_S):
                return await chat.fetch(file.ref)
        except TimeoutError:
            raise FetchError("it took too long") from None


def _said(*lines: Line) -> Enclosed:
    return Enclosed(said=Answer(lines))


def _name(file: Attached) -> Label:
    return Label(file.name[:40])
