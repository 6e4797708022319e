"""An event of the protocol to what we heard; values in, values out, nothing of the library.

Everything here was typed by others: a field counts only if it is what the standard says it is.
"""

from __future__ import annotations

import json
import unicodedata
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from bot.ports import Attached, Happened, Incoming

NETWORK = "matrix"
DONE = "✅"
KEYCAP = "\u20e3"
MEDIA = frozenset({"m.image", "m.file", "m.audio", "m.video"})
SPOKEN = frozenset({"m.text", "m.emote"})
SKIN_TONES = frozenset(map(chr, range(0x1F3FB, 0x1F400)))
MOST_REACTIONS = 1000
LONGEST_NAME = 200

Event = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Seen:
    """An event with how it came: `sealed` if it was encrypted and its sender's device made it."""

    source: Event
    sealed: bool = False
    unreadable: bool = False


@dataclass(slots=True)
class Scene:
    """What has to be known of a room to read its events."""

    room: str
    us: str
    encrypted: bool
    private: bool
    names: Mapping[str, str]


@dataclass(slots=True)
class Reactions:
    """Which reaction stands under which message: a withdrawn one no longer says so itself."""

    _known: OrderedDict[str, tuple[str, str]] = field(default_factory=OrderedDict)

    def note(self, event_id: str, under: str, emoji: str) -> None:
        """Remember a reaction; the oldest are forgotten."""
        self._known[event_id] = (under, emoji)
        if len(self._known) > MOST_REACTIONS:
            self._known.popitem(last=False)

    def withdrawn(self, event_id: str) -> tuple[str, str] | None:
        """Return what a withdrawn reaction was and where it stood, if it was one."""
        return self._known.get(event_id)


def plain_emoji(text: str) -> str:
    """Return an emoji without variation selectors, skin tones and keycaps.

    Examples
    --------
    >>> [plain_emoji(e) for e in ("👍🏽", "✔️", "2️⃣", "✅")]
    ['👍', '✔', '2', '✅']
    """
    return "".join(
        c
        for c in text
        if c not in SKIN_TONES
        and c != KEYCAP
        and not unicodedata.name(c, "").startswith("VARIATION")
    )


def tapped(emoji: str) -> str | None:
    """Return the number of the choice an emoji stands for, if it stands for one.

    Examples
    --------
    >>> [tapped(e) for e in ("✅", "2", "👍")]
    ['1', '2', None]
    """
    return "1" if emoji == DONE else emoji if emoji in set("123456789") else None


def incoming(seen: Seen, scene: Scene, reactions: Reactions) -> Incoming | None:
    """Return what an event says to us; None where it says nothing."""
    event = seen.source
    sender, kind = text_of(event, "sender"), text_of(event, "type")
    if kind == "m.room.member":
        return _membership(event, scene)
    if not sender or sender == scene.us:
        return None
    if kind == "m.reaction":
        return _reaction(event, scene, reactions)
    if kind == "m.room.redaction":
        return _withdrawal(event, scene, reactions)
    if seen.unreadable or (kind == "m.room.message" and scene.encrypted and not seen.sealed):
        return said(event, scene, "", Happened.UNREADABLE)
    return _message(event, scene) if kind == "m.room.message" else None


def said(
    event: Event, scene: Scene, text: str, happened: Happened = Happened.SAID, **more: Any
) -> Incoming:
    """Return an Incoming with what every event carries."""
    sender = text_of(event, "sender")
    return Incoming(
        NETWORK,
        text_of(event, "event_id"),
        scene.room,
        sender,
        text.strip(),
        instant(event),
        private=scene.private,
        name=scene.names.get(sender, "")[:LONGEST_NAME],
        happened=happened,
        **more,
    )


def instant(event: Event) -> datetime:
    """Return when the sender's server took the event."""
    stamp_ms = event.get("origin_server_ts")
    try:
        return datetime.fromtimestamp((stamp_ms if isinstance(stamp_ms, int) else 0) / 1000, UTC)
    except (OverflowError, ValueError, OSError):
        return datetime.fromtimestamp(0, UTC)


def text_of(event: Event, name: str) -> str:
    """Return a field that must be text; '' if it is anything else."""
    value = event.get(name)
    return value if isinstance(value, str) else ""


def part_of(event: Event, name: str) -> Event:
    """Return a field that must be a mapping; empty if it is anything else."""
    value = event.get(name)
    return value if isinstance(value, dict) else {}


def _message(event: Event, scene: Scene) -> Incoming | None:
    content = part_of(event, "content")
    relates = part_of(content, "m.relates_to")
    if relates.get("rel_type") == "m.replace":
        text = text_of(part_of(content, "m.new_content"), "body")
        edited = text_of(relates, "event_id")
        return said(event, scene, text, Happened.EDITED, reply_to=edited) if text else None
    # in a thread the last message is named as the one answered, even where nobody chose one
    reply_to = text_of(part_of(relates, "m.in_reply_to"), "event_id") or None
    msgtype = text_of(content, "msgtype")
    if msgtype in SPOKEN:
        body = text_of(content, "body")
        return said(event, scene, _unquoted(body) if reply_to else body, reply_to=reply_to)
    if msgtype in MEDIA and (file := attached(content)):
        body, name = text_of(content, "body"), text_of(content, "filename")
        caption = body if name and body != name else ""
        return said(event, scene, caption, reply_to=reply_to, attached=(file,))
    return None


def _unquoted(body: str) -> str:
    """Return a reply without the quoted lines older clients put before it."""
    lines = body.split("\n")
    while lines and lines[0].startswith("> "):
        lines.pop(0)
    return "\n".join(lines).strip("\n") or body


def attached(content: Event) -> Attached | None:
    """Return the file of a message; its `ref` carries what is needed to fetch and open it."""
    sealed = part_of(content, "file")
    url = text_of(sealed, "url") or text_of(content, "url")
    if not url.startswith("mxc://"):
        return None
    info = part_of(content, "info")
    size = info.get("size")
    ref = {"url": url}
    if sealed:
        ref |= {
            "key": text_of(part_of(sealed, "key"), "k"),
            "iv": text_of(sealed, "iv"),
            "sha256": text_of(part_of(sealed, "hashes"), "sha256"),
        }
    name = text_of(content, "filename") or text_of(content, "body")
    return Attached(
        name.replace("\\", "/").rsplit("/", 1)[-1][:LONGEST_NAME],
        text_of(info, "mimetype") or "application/octet-stream",
        size if isinstance(size, int) and size > 0 else 0,
        json.dumps(ref, separators=(",", ":")),
    )


def _reaction(event: Event, scene: Scene, reactions: Reactions) -> Incoming | None:
    relates = part_of(part_of(event, "content"), "m.relates_to")
    under, emoji = text_of(relates, "event_id"), plain_emoji(text_of(relates, "key"))
    if not under or not emoji:
        return None
    reactions.note(text_of(event, "event_id"), under, emoji)
    return said(event, scene, emoji, Happened.REACTED, reply_to=under, choice=tapped(emoji))


def _withdrawal(event: Event, scene: Scene, reactions: Reactions) -> Incoming | None:
    gone = text_of(event, "redacts") or text_of(part_of(event, "content"), "redacts")
    was = reactions.withdrawn(gone)
    if was is None:
        return None
    under, emoji = was
    return said(event, scene, emoji, Happened.UNREACTED, reply_to=under, choice=tapped(emoji))


def membership_of(event: Event) -> tuple[str, str]:
    """Return what somebody was in the room and what they are now: join, invite, leave, ban."""
    before = part_of(part_of(event, "unsigned"), "prev_content")
    return (
        text_of(before, "membership") or "leave",
        text_of(part_of(event, "content"), "membership"),
    )


def is_our_coming(event: Event, us: str) -> bool:
    """Say whether an event is our own coming into the room: what stands before it is not ours."""
    was, now = membership_of(event)
    ours = event.get("type") == "m.room.member" and event.get("state_key") == us
    return ours and now == "join" and was != "join"


def _membership(event: Event, scene: Scene) -> Incoming | None:
    was, now = membership_of(event)
    who = text_of(event, "state_key")
    if not who or was == now or "join" not in {was, now} or now not in {"join", "leave", "ban"}:
        return None
    ours, came = who == scene.us, now == "join"
    if ours and not came and event.get("sender") == scene.us:
        return None  # we left by ourselves
    happened = {
        (True, True): Happened.ADDED,
        (True, False): Happened.REMOVED,
        (False, True): Happened.JOINED,
        (False, False): Happened.LEFT,
    }[ours, came]
    unsigned = part_of(event, "unsigned")
    by = text_of(unsigned, "prev_sender") if came else text_of(event, "sender")
    about = {**event, "sender": (by or who) if ours else who}
    return said(about, scene, "", happened)
