"""One send as JSON for machines that read along; `rehearse --json`."""

from __future__ import annotations

from datetime import datetime

from bot.askjson import Json, numbers_json
from bot.ports import Outgoing, Tag

ROOM = "room"


def send_json(
    n: int, at: datetime, room: str, message: Outgoing, key: str, edit_of: int | None = None
) -> Json:
    """Return one send; what is absent is null.

    Parameters
    ----------
    n
        The send's `id`, counted from 1; `edit_of` is the id of the send that this one replaces.
    at
        When it is shown, in the zone the reader is to see.
    room
        Where it is shown; whom it is for says the message's own tag, where it has one.
    message, key
        What is shown. A message made of calls bears their keys, the same in a silent copy; any
        other bears the key it is sent under.
    """
    tag = message.tag or Tag("reply" if message.reply_to else ROOM, (_whose(room),))
    keys = tag.keys or (key,)
    return {
        "id": n,
        "at": at.isoformat(),
        "kind": tag.kind,
        "to": list(tag.to),
        "sound": int(message.sound),
        "text": message.text,
        "choices": list(message.choices),
        "numbers": numbers_json(tag.numbers),
        "verdict": tag.verdict.value if tag.verdict else None,
        "key": keys[0],
        "keys": list(keys),
        "load": tag.load,
        "step": tag.step,
        "letter": tag.letter,
        "picture": message.picture,
        "edit_of": edit_of,
        "line": tag.line,
    }


def _whose(room: str) -> str:
    """Return the person whose own screen a room is, else 'room'.

    Examples
    --------
    >>> _whose("@bo"), _whose("crew")
    ('bo', 'room')
    """
    return room[1:] if room.startswith("@") else ROOM
