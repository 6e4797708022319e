"""One message as the posts Telegram can take: texts, one of which may be a caption, and files."""

from __future__ import annotations

import logging
import struct
from dataclasses import dataclass

from bot.chat.telegram.markup import LONGEST_CAPTION, LONGEST_TEXT, parts_of
from bot.ports import Media, Medium, Outgoing

LOG = logging.getLogger("pitcrier.telegram")

LARGEST_PHOTO = 10_000_000
LONGEST_SIDES = 10_000
STEEPEST = 20
"""A photo's limits: bytes, width and height together, and the longer over the shorter side."""

LARGEST_FILE = 50_000_000
MOST_CHOICES = 100


@dataclass(frozen=True, slots=True)
class Post:
    """One thing to send. The main one bears the buttons, rings, and gives the message its id."""

    html: str = ""
    medium: Medium | None = None
    main: bool = False

    @property
    def as_photo(self) -> bool:
        """Tell whether its medium can be shown as a photo; what cannot is sent as a file."""
        return self.medium is not None and is_photo(self.medium)


async def posts_of(message: Outgoing, media: Media) -> tuple[Post, ...]:
    """Return what is sent for a message, in order; empty if it says nothing at all."""
    picture = await medium_of(message.picture, media) if message.picture else None
    texts = parts_of(message, LONGEST_CAPTION if picture else LONGEST_TEXT)
    posts = [Post(html) for html in texts[:-1]]
    if texts or picture:
        posts.append(Post(texts[-1] if texts else "", picture, main=True))
    for name in message.documents:
        document = await medium_of(name, media)
        if document is not None:
            posts.append(Post("", document, main=not posts))
    return tuple(posts)


async def medium_of(name: str, media: Media) -> Medium | None:
    """Return a medium that can be sent; the words go without one that is too large."""
    medium = await media.medium(name)
    if medium is not None and len(medium.content) > LARGEST_FILE:
        LOG.error("too large to send", extra={"medium": name, "bytes": len(medium.content)})
        return None
    return medium


def is_photo(medium: Medium) -> bool:
    """Return whether a picture is within what Telegram takes as a photo."""
    if medium.kind not in {"image/png", "image/jpeg"} or len(medium.content) > LARGEST_PHOTO:
        return False
    size = png_size(medium.content)
    if size is None:
        return True
    return sum(size) <= LONGEST_SIDES and max(size) <= STEEPEST * min(size)


def png_size(content: bytes) -> tuple[int, int] | None:
    """Return width and height of a PNG; None if it is none. They stand at bytes 16 to 24.

    References
    ----------
    ISO/IEC 15948, Portable Network Graphics, 11.2.2 IHDR.
    """
    if len(content) < 24 or not content.startswith(b"\x89PNG\r\n\x1a\n"):
        return None
    width, height = struct.unpack(">II", content[16:24])
    return int(width), int(height)
