"""Who comes and who goes: we ourselves, and the people of a room."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import TYPE_CHECKING

from bot.chat.telegram.ids import NETWORK, room_of
from bot.ports import Happened, Incoming

if TYPE_CHECKING:
    from telegram import Chat, ChatMemberUpdated, User

_INSIDE = frozenset({"creator", "administrator", "member"})


def ours(at: int, changed: ChatMemberUpdated) -> Iterator[Incoming]:
    """Yield that we were let in or put out, and by whom; a change of our rights is neither."""
    was, now = _is_inside(changed.old_chat_member), _is_inside(changed.new_chat_member)
    if was != now:
        happened = Happened.ADDED if now else Happened.REMOVED
        yield came(str(at), changed.chat, changed.from_user, changed.date, happened)


def theirs(at: int, changed: ChatMemberUpdated, me: int) -> Iterator[Incoming]:
    """Yield that somebody else came or left."""
    was, now = _is_inside(changed.old_chat_member), _is_inside(changed.new_chat_member)
    user = changed.new_chat_member.user
    if was != now and user.id != me:
        happened = Happened.JOINED if now else Happened.LEFT
        yield came(str(at), changed.chat, user, changed.date, happened)


def came(at: str, chat: Chat, user: User, date: datetime, happened: Happened) -> Incoming:
    """Return a coming or going of somebody."""
    return Incoming(
        NETWORK,
        f"{at}:{chat.id}",
        room_of(chat.id),
        str(user.id),
        "",
        date,
        private=chat.type == "private",
        name=user.full_name,
        happened=happened,
    )


def _is_inside(member: object) -> bool:
    status = str(getattr(member, "status", ""))
    return status in _INSIDE or (status == "restricted" and bool(getattr(member, "is_member", 0)))
