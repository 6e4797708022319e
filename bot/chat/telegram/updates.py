"""Telegram's updates as what was heard. One update may be several happenings, or none."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from bot.chat.telegram.comings import came, ours, theirs
from bot.chat.telegram.ids import NETWORK, message_id, room_of
from bot.ports import Attached, Happened, Incoming

if TYPE_CHECKING:
    from telegram import (
        CallbackQuery,
        Message,
        MessageReactionUpdated,
        ReactionType,
        Update,
    )

KINDS = (
    "message", "edited_message", "callback_query", "my_chat_member", "chat_member",
    "message_reaction",
)  # fmt: skip
"""What we ask for; reactions and members are left out by default."""

TAP = re.compile(r"c:(\d{1,2})")
_COMMAND = re.compile(r"/(\w{1,32})@(\w+)(?=\s|$)")
_DRESSING = re.compile("[\ufe0e\ufe0f\U0001f3fb-\U0001f3ff]")
"""Variation selectors and skin tones: a thumb is a thumb."""


@dataclass(frozen=True, slots=True)
class Ears:
    """What is needed to read updates: our own name, and when it is where Telegram gives no time."""

    username: str
    me: int
    now: datetime

    def heard(self, update: Update) -> tuple[Incoming, ...]:
        """Return what an update tells, in order."""
        return tuple(self._heard(update))

    def _heard(self, update: Update) -> Iterator[Incoming]:
        at = update.update_id
        if update.message is not None:
            yield from self._message(at, update.message)
        elif update.edited_message is not None:
            yield from self._edited(at, update.edited_message)
        elif update.callback_query is not None:
            yield from self._tapped(at, update.callback_query)
        elif update.message_reaction is not None:
            yield from self._reacted(at, update.message_reaction)
        elif update.my_chat_member is not None:
            yield from ours(at, update.my_chat_member)
        elif update.chat_member is not None:
            yield from theirs(at, update.chat_member, self.me)

    # -------------------------------------------------------------- words and files

    def _message(self, at: int, message: Message) -> Iterator[Incoming]:
        if message.migrate_to_chat_id is not None:
            new = str(message.migrate_to_chat_id)
            yield self._said(at, message, new, happened=Happened.MOVED)
        elif message.new_chat_members:
            for n, user in enumerate(message.new_chat_members):
                if user.id != self.me:
                    joined = Happened.JOINED
                    yield came(f"{at}.{n}", message.chat, user, message.date, joined)
        elif message.left_chat_member is not None:
            user = message.left_chat_member
            if user.id != self.me:
                yield came(str(at), message.chat, user, message.date, Happened.LEFT)
        else:
            yield from self._spoken(at, message)

    def _spoken(self, at: int, message: Message) -> Iterator[Incoming]:
        text, attached = self._text(message), tuple(_attached(message))
        if (text or attached) and message.from_user is not None:
            answered = message.reply_to_message
            if answered is not None and answered.forum_topic_created is not None:
                answered = (
                    None  # in a forum, what answers nothing answers the topic's first message
                )
            to = message_id(message.chat.id, answered.message_id) if answered else None
            yield self._said(at, message, text, reply_to=to, attached=attached)

    def _edited(self, at: int, message: Message) -> Iterator[Incoming]:
        text = self._text(message)
        if text and message.from_user is not None:
            itself = message_id(message.chat.id, message.message_id)
            yield self._said(at, message, text, Happened.EDITED, itself)

    def _text(self, message: Message) -> str:
        """Return the words without our own name; '' for a command to another bot."""
        text = (message.text or message.caption or "").strip()
        command = _COMMAND.match(text)
        if command is not None:
            if command[2].casefold() != self.username.casefold():
                return ""
            return f"/{command[1]}{text[command.end() :]}"
        name = f"@{self.username}"
        if self.username and text.casefold().startswith(name.casefold()):
            return text[len(name) :].lstrip(" ,:")
        return text

    def _said(
        self,
        at: int,
        message: Message,
        text: str,
        happened: Happened = Happened.SAID,
        reply_to: str | None = None,
        attached: tuple[Attached, ...] = (),
    ) -> Incoming:
        user, chat = message.from_user, message.chat
        return Incoming(
            NETWORK,
            f"{at}:{message_id(chat.id, message.message_id)}",
            room_of(chat.id, _topic(message)),
            str(user.id) if user else "",
            text,
            (message.edit_date or message.date) if happened is Happened.EDITED else message.date,
            reply_to=reply_to,
            private=chat.type == "private",
            name=user.full_name if user else "",
            happened=happened,
            attached=attached,
        )

    # -------------------------------------------------------------- taps and reactions

    def _tapped(self, at: int, query: CallbackQuery) -> Iterator[Incoming]:
        tap, message = TAP.fullmatch(query.data or ""), query.message
        if tap is None or message is None:
            return
        chat = message.chat
        under = message_id(chat.id, message.message_id)
        topic = getattr(message, "message_thread_id", None)
        is_topic = bool(getattr(message, "is_topic_message", False))
        yield Incoming(
            NETWORK,
            f"{at}:{under}",
            room_of(chat.id, topic if is_topic else None),
            str(query.from_user.id),
            f"[{tap[1]}]",
            self.now,
            reply_to=under,
            choice=tap[1],
            private=chat.type == "private",
            name=query.from_user.full_name,
        )

    def _reacted(self, at: int, changed: MessageReactionUpdated) -> Iterator[Incoming]:
        if changed.user is None:
            return
        was, now = _emojis(changed.old_reaction), _emojis(changed.new_reaction)
        gone = [(emoji, Happened.UNREACTED) for emoji in was if emoji not in now]
        new = [(emoji, Happened.REACTED) for emoji in now if emoji not in was]
        under = message_id(changed.chat.id, changed.message_id)
        for n, (emoji, happened) in enumerate((*gone, *new)):
            yield Incoming(
                NETWORK,
                f"{at}.{n}:{under}",
                room_of(changed.chat.id),
                str(changed.user.id),
                emoji,
                changed.date,
                reply_to=under,
                private=changed.chat.type == "private",
                name=changed.user.full_name,
                happened=happened,
            )


def _topic(message: Message) -> int | None:
    return message.message_thread_id if message.is_topic_message else None


def _emojis(reactions: Sequence[ReactionType]) -> list[str]:
    """Return the plain emoji of reactions; a custom picture says nothing we know."""
    found = (getattr(reaction, "emoji", None) for reaction in reactions)
    return [plain for emoji in found if emoji and (plain := _DRESSING.sub("", emoji))]


def _attached(message: Message) -> Iterator[Attached]:
    if message.photo:
        best = max(message.photo, key=lambda size: size.width * size.height)
        yield Attached("photo.jpg", "image/jpeg", best.file_size or 0, best.file_id)
    for file, name, kind in (
        (message.document, "file", "application/octet-stream"),
        (message.voice, "voice.ogg", "audio/ogg"),
    ):
        if file is not None:
            called = getattr(file, "file_name", None) or name
            yield Attached(called, file.mime_type or kind, file.file_size or 0, file.file_id)
