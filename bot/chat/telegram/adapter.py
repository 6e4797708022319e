"""The front-end itself: what the middle sees of Telegram."""

from __future__ import annotations

import asyncio
import logging
import re
from collections.abc import AsyncGenerator, Coroutine, Sequence
from contextlib import aclosing, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from bot.chat.telegram.client import bot_at
from bot.chat.telegram.door import Webhook, brought
from bot.chat.telegram.files import fetched
from bot.chat.telegram.ids import NETWORK, place_of
from bot.chat.telegram.listening import GOODBYE_S, Line, polled
from bot.chat.telegram.menu import set_menus
from bot.chat.telegram.receipts import words_of
from bot.chat.telegram.sending import Sender
from bot.chat.telegram.updates import TAP, Ears
from bot.ports import (
    Batch,
    Clock,
    Incoming,
    Media,
    Outgoing,
    Pace,
    Receipt,
    Sent,
)
from bot.render import render
from core.errors import KitchenError
from core.model import say

if TYPE_CHECKING:
    from telegram import Update

LOG = logging.getLogger("pitcrier.telegram")

HOME = "https://api.telegram.org"
POLL_S = 30
ERRANDS_AT_ONCE = 8
"""Thirty taps answered at once would keep the loop from what must ring."""

STALE = say("That button is from an older message. Say 'next'.")
_CODE = re.compile(r"[A-Za-z0-9_-]{1,64}")


class TelegramTokenError(KitchenError):
    """Telegram does not know the bot's token."""

    template = "Telegram refuses the bot's token."
    hint = "Ask BotFather for the token again and put it in the settings."

    def __init__(self) -> None:
        super().__init__()


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of the bot and of the line to Telegram, to tell a crew or a watchdog.

    `hears_all` is false while privacy mode is on: in groups the bot then hears only commands,
    taps, answers to its own messages and lines that begin with its name. `rival_since` says since
    when somebody else has been asking with the same token.
    """

    username: str = ""
    hears_all: bool | None = None
    heard_at: datetime | None = None
    rival_since: datetime | None = None
    trouble: str = ""


class Telegram:
    """Implements Remote on Telegram.

    `async start()` checks the token (an unreachable Telegram is no error: listening keeps trying);
    then `batches()` listens, by long polls or, given a `Webhook`, at our door, while `send` and
    `edit` work at any time until `stop()`. `stop_listening()` ends `batches()` and leaves sending
    open for the last answers.
    """

    network = NETWORK
    repeats_harmless = False
    # documented: 30 a second in all, one a second to a chat with short bursts, 20 a minute to a
    # group; the rest is the distance kept from the limit
    pace = Pace(room_burst=3, room_per_min=18, total_per_s=25, minute_for="-", room_before="/")

    def __init__(
        self,
        token: str,
        media: Media,
        *,
        clock: Clock,
        base_url: str = HOME,
        webhook: Webhook | None = None,
        poll_s: int = POLL_S,
        answer_s: float = 10.0,
        pause_s: float = 1.0,
    ) -> None:
        self._token, self._clock, self._hook, self._poll_s = token, clock, webhook, poll_s
        self._bot = bot_at(token, base_url, answer_s)
        self._sender = Sender(self._bot, media, token)
        self._line = Line(
            self._bot, clock, token, first_pause_s=pause_s, rival_pause_s=15 * pause_s
        )
        self._errands: set[asyncio.Task[None]] = set()
        self._few = asyncio.Semaphore(ERRANDS_AT_ONCE)
        self._quiet = asyncio.Event()  # set while listening makes no request
        self._quiet.set()

    @property
    def known(self) -> Known:
        """Return what is known now."""
        now = self._line.standing
        me = self._me
        return Known(
            (me and me.username) or "",
            me.can_read_all_group_messages if me else None,
            now.heard_at,
            now.rival_since,
            now.trouble,
        )

    @property
    def _me(self) -> Any:
        with suppress(RuntimeError):
            return self._bot.bot
        return None

    def link(self, code: str, *, group: bool = False) -> str | None:
        """Return the link that opens a chat with the bot, or adds it to a group, with a code.

        It arrives as `/start CODE`. None while Telegram has not told us our own name.
        """
        if not _CODE.fullmatch(code):
            raise ValueError("a code is 1 to 64 of A-Z, a-z, 0-9, _ and -")
        name = self.known.username
        return f"https://t.me/{name}?start{'group' if group else ''}={code}" if name else None

    async def hears(self, room: str) -> bool | None:
        """Return whether the bot hears everything said in a room; None if nobody can tell."""
        place = place_of(room)
        if place.chat > 0 or self.known.hears_all:
            return True
        try:
            mine = await self._bot.get_chat_member(place.chat, self._bot.id)
        except Exception as error:
            LOG.info("unknown", extra={"room": room, "why": words_of(error, self._token)})
            return None
        return mine.status in {"administrator", "creator"}

    # -------------------------------------------------------------- start and stop

    async def start(self) -> None:
        """Introduce ourselves; raises `TelegramTokenError` if Telegram does not know the token."""
        from telegram.error import InvalidToken, NetworkError

        try:
            await self._bot.initialize()
        except InvalidToken:
            raise TelegramTokenError from None  # the library's own words quote the token
        except NetworkError as error:
            LOG.warning("not reached", extra={"why": words_of(error, self._token)})

    async def stop_listening(self) -> None:
        """End `batches()`; what was not taken comes again."""
        self._line.stopped.set()

    async def stop(self) -> None:
        """Stop listening and let go of Telegram; requests under way may end, within a moment."""
        await self.stop_listening()
        with suppress(TimeoutError):
            async with asyncio.timeout(GOODBYE_S):
                await self._quiet.wait()
        if self._errands:
            _, late = await asyncio.wait(self._errands, timeout=GOODBYE_S)
            for errand in late:
                errand.cancel()
            await asyncio.gather(*late, return_exceptions=True)
        await self._bot.shutdown()

    # -------------------------------------------------------------- heard

    async def batches(self) -> AsyncGenerator[Batch, None]:
        """Yield what Telegram gives, until stopped."""
        self._quiet.clear()
        try:
            async with aclosing(self._updates()) as source:
                async for updates in source:
                    self._quiet.set()
                    yield Batch(self._heard(updates))
                    self._quiet.clear()
                    for update in updates:
                        self._answer(update)
                        self._clear(update)
        finally:
            self._quiet.set()

    async def _updates(self) -> AsyncGenerator[tuple[Update, ...], None]:
        await self._line.insist("introduction", self._bot.initialize)
        self._errand(set_menus(self._bot))
        line, hook = self._line, self._hook
        async with aclosing(brought(line, hook) if hook else polled(line, self._poll_s)) as source:
            async for updates in source:
                yield updates

    async def incoming(self) -> AsyncGenerator[Incoming, None]:
        """Yield what is said, in order per room."""
        async with aclosing(self.batches()) as batches:
            async for batch in batches:
                for message in batch.messages:
                    yield message

    def _heard(self, updates: Sequence[Update]) -> tuple[Incoming, ...]:
        ears = Ears(self.known.username, self._bot.id, self._clock.now())
        heard: list[Incoming] = []
        for update in updates:
            try:
                heard += ears.heard(update)
            except Exception:  # one strange update must not hold up what comes after it
                LOG.exception("not read", extra={"update": update.update_id})
        return tuple(heard)

    def _answer(self, update: Update) -> None:
        """Let a tapped button stop waiting, for its tap is safe; one of another age is told so."""
        query = update.callback_query
        if query is None:
            return
        known = TAP.fullmatch(query.data or "") is not None and query.message is not None
        text = None if known else render(STALE, query.from_user.language_code or "en", UTC)
        self._errand(self._bot.answer_callback_query(query.id, text=text))

    def _clear(self, update: Update) -> None:
        """Take the buttons away once a tap in a private chat is safe: it counts once.

        In a group they stay, for who tapped may not be the one who is asked; the answer's edit
        takes them away.
        """
        query = update.callback_query
        if query is None or query.message is None or query.message.chat.type != "private":
            return
        chat, number = query.message.chat.id, query.message.message_id
        self._errand(self._bot.edit_message_reply_markup(chat, number, reply_markup=None))

    def _errand(self, doing: Coroutine[Any, Any, Any]) -> None:
        """Do something on the side whose failure costs nothing but a line in the log."""

        async def run() -> None:
            try:
                async with self._few:
                    await doing
            except Exception as error:
                LOG.info("errand failed", extra={"why": words_of(error, self._token)})

        task = asyncio.create_task(run())
        self._errands.add(task)
        task.add_done_callback(self._errands.discard)

    # -------------------------------------------------------------- said

    async def send(self, room: str, message: Outgoing, key: str) -> Receipt:
        """Send a message."""
        return await self._sender.send(room, message, key)

    async def edit(self, receipt: Sent, message: Outgoing) -> Receipt:
        """Replace a message already sent."""
        return await self._sender.edit(receipt, message)

    async def fetch(self, ref: str) -> bytes:
        """Return an attached file; raises `FetchError` with the reason in words."""
        return await fetched(self._bot, ref, self._token)
