"""How Telegram's numbers are written as our room and message ids.

A room is `chat` or, in a forum, `chat/topic`. A message is `chat:message`; what was heard is
`update:chat:message`, so that an answer finds the message it answers.
"""

from __future__ import annotations

from dataclasses import dataclass

NETWORK = "telegram"


@dataclass(frozen=True, slots=True)
class Place:
    """A chat, and the topic of it that is meant; groups have negative numbers."""

    chat: int
    topic: int | None = None


def place_of(room: str) -> Place:
    """Return the place a room id names.

    Examples
    --------
    >>> place_of("-1001/7"), place_of("42")
    (Place(chat=-1001, topic=7), Place(chat=42, topic=None))
    """
    chat, _, topic = room.partition("/")
    return Place(int(chat), int(topic) if topic else None)


def room_of(chat: int, topic: int | None = None) -> str:
    """Return the room id of a place."""
    return str(chat) if topic is None else f"{chat}/{topic}"


def message_id(chat: int, message: int) -> str:
    """Return our id of a message."""
    return f"{chat}:{message}"


def numbers_of(message: str) -> tuple[int, int] | None:
    """Return chat and message number of an id of ours, sent or heard; None if it is neither.

    Examples
    --------
    >>> numbers_of("-1001:5"), numbers_of("811:-1001:5"), numbers_of("line:7x")
    ((-1001, 5), (-1001, 5), None)
    """
    parts = message.split(":")[-2:]
    try:
        chat, number = (int(part) for part in parts)
    except ValueError:
        return None
    return chat, number
