"""Posts out, receipts back. What of a message surely arrived is not sent again with the rest."""

from __future__ import annotations

import logging
from collections import OrderedDict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from bot.chat.telegram.ids import Place, message_id, numbers_of, place_of
from bot.chat.telegram.markup import LONGEST_CAPTION, LONGEST_TEXT, parts_of
from bot.chat.telegram.parcels import MOST_CHOICES, Post, is_photo, medium_of, posts_of
from bot.chat.telegram.receipts import NOT_MODIFIED, receipt_of
from bot.ports import Media, Outgoing, Receipt, Rejected, Sent
from core.model import Sound

if TYPE_CHECKING:
    from telegram import Bot, InlineKeyboardMarkup, Message

LOG = logging.getLogger("pitcrier.telegram")

MOST_UNFINISHED = 1000
NO_TOPIC = "message thread not found"
NO_TEXT = ("there is no text in the message", "message has no text")


@dataclass(slots=True)
class Sender:
    """Sends and edits for one bot."""

    bot: Bot
    media: Media
    token: str
    _arrived: OrderedDict[str, list[Message]] = field(default_factory=OrderedDict)
    _unpinned: set[str] = field(default_factory=set)

    async def send(self, room: str, message: Outgoing, key: str) -> Receipt:
        """Send a message; asked again with the same key, go on where it failed."""
        posts = await posts_of(message, self.media)
        if not posts:
            return Rejected("there is nothing to say")
        arrived = self._arrived.setdefault(key, [])
        self._arrived.move_to_end(key)
        while len(self._arrived) > MOST_UNFINISHED:
            self._arrived.popitem(last=False)
        try:
            for post in posts[len(arrived) :]:
                arrived.append(await self._post(place_of(room), message, post))
        except Exception as error:
            return receipt_of(error, self.token)
        del self._arrived[key]
        main = next(m for m, post in zip(arrived, posts, strict=True) if post.main)
        receipt = Sent(message_id(main.chat.id, main.message_id))
        if message.pin:
            await self._pin(receipt)
        return receipt

    async def edit(self, receipt: Sent, message: Outgoing) -> Receipt:
        """Replace a message already sent; one that reads so already counts as replaced."""
        where = numbers_of(receipt.id)
        if where is None:
            return Rejected(f"no message of ours: {receipt.id}")
        try:
            done = await self._edited(*where, message)
        except Exception as error:
            if NOT_MODIFIED not in str(error).casefold():
                return receipt_of(error, self.token)
            done = receipt
        if message.pin and receipt.id in self._unpinned:
            await self._pin(receipt)
        return done

    # -------------------------------------------------------------- one post

    async def _post(self, place: Place, message: Outgoing, post: Post) -> Message:
        from telegram.error import BadRequest

        try:
            return await self._posted(place, message, post)
        except BadRequest as error:
            if place.topic is None or NO_TOPIC not in str(error).casefold():
                raise
            # the topic was deleted: the line is for people, so it goes to the chat
            return await self._posted(Place(place.chat), message, post)

    async def _posted(self, place: Place, message: Outgoing, post: Post) -> Message:
        how = self._how(place, message, post)
        if post.medium is None:
            return await self.bot.send_message(text=post.html, **how)
        content, name = post.medium.content, post.medium.name
        if post.as_photo:
            return await self.bot.send_photo(
                photo=content, filename=name, caption=post.html or None, **how
            )
        return await self.bot.send_document(
            document=content, filename=name, caption=post.html or None, **how
        )

    def _how(self, place: Place, message: Outgoing, post: Post) -> dict[str, Any]:
        """Return what is the same for every kind of post."""
        from telegram import LinkPreviewOptions, ReplyParameters

        answered = numbers_of(message.reply_to) if message.reply_to else None
        reply = None
        if answered is not None and answered[0] == place.chat:
            reply = ReplyParameters(answered[1], allow_sending_without_reply=True)
        rings = post.main and message.sound is not Sound.SILENT
        how: dict[str, Any] = {
            "chat_id": place.chat,
            "message_thread_id": place.topic,
            "parse_mode": "HTML",
            "disable_notification": not rings,
            "reply_parameters": reply,
            "reply_markup": keyboard(message.choices) if post.main else None,
        }
        if post.medium is None:
            how["link_preview_options"] = LinkPreviewOptions(is_disabled=True)
        return how

    async def _pin(self, receipt: Sent) -> None:
        """Pin a message without a sound; where we may not, the message alone must do."""
        where = numbers_of(receipt.id)
        assert where is not None  # an id of our own making
        try:
            await self.bot.pin_chat_message(*where, disable_notification=True)
            self._unpinned.discard(receipt.id)
        except Exception as error:
            self._unpinned.add(receipt.id)
            LOG.warning("not pinned", extra={"why": str(receipt_of(error, self.token))})

    # -------------------------------------------------------------- one edit

    async def _edited(self, chat: int, number: int, message: Outgoing) -> Receipt:
        picture = await medium_of(message.picture, self.media) if message.picture else None
        texts = parts_of(message, LONGEST_CAPTION if picture else LONGEST_TEXT)
        if len(texts) != 1 and not (picture and not texts):
            return Rejected("too long to stand in one message" if texts else "nothing to say")
        html = texts[0] if texts else ""
        buttons = keyboard(message.choices)
        if picture is not None:
            from telegram import InputMediaDocument, InputMediaPhoto

            shape = InputMediaPhoto if is_photo(picture) else InputMediaDocument
            media = shape(
                picture.content, caption=html or None, parse_mode="HTML", filename=picture.name
            )
            await self.bot.edit_message_media(media, chat, number, reply_markup=buttons)
        else:
            await self._reworded(chat, number, html, buttons)
        return Sent(message_id(chat, number))

    async def _reworded(
        self, chat: int, number: int, html: str, buttons: InlineKeyboardMarkup | None
    ) -> None:
        from telegram import LinkPreviewOptions
        from telegram.error import BadRequest

        try:
            await self.bot.edit_message_text(
                html,
                chat,
                number,
                parse_mode="HTML",
                reply_markup=buttons,
                link_preview_options=LinkPreviewOptions(is_disabled=True),
            )
        except BadRequest as error:
            if not any(words in str(error).casefold() for words in NO_TEXT):
                raise
            await self.bot.edit_message_caption(
                chat, number, caption=html, parse_mode="HTML", reply_markup=buttons
            )


def keyboard(choices: tuple[str, ...]) -> InlineKeyboardMarkup | None:
    """Return the choices as buttons, one a row: broad, far apart, words in full.

    What a button says back is its number alone, so it means the same after a restart.
    """
    from telegram import InlineKeyboardButton, InlineKeyboardMarkup

    if not choices:
        return None
    numbered = enumerate(choices[:MOST_CHOICES], 1)
    rows = [[InlineKeyboardButton(words, callback_data=f"c:{n}")] for n, words in numbered]
    return InlineKeyboardMarkup(rows)
