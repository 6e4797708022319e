"""Telegram's HTML to text and entities, or the error it answers."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import unescape
from typing import Any

TAGS = frozenset({"b", "strong", "i", "em", "u", "ins", "s", "strike", "del", "a", "code", "pre",
                  "blockquote", "tg-spoiler"})  # fmt: skip
KINDS = {"b": "bold", "strong": "bold", "i": "italic", "em": "italic", "u": "underline",
         "ins": "underline", "s": "strikethrough", "strike": "strikethrough", "a": "text_link",
         "del": "strikethrough", "tg-spoiler": "spoiler"}  # fmt: skip
_BIT = re.compile(r"<(?P<end>/?)(?P<tag>[a-z-]*)(?P<rest>[^>]*)>?|[^<]+", re.IGNORECASE)
_HREF = re.compile(r"""\s+href=(?:"([^"]*)"|'([^']*)')\s*""")
_ENTITY = re.compile(r"&(lt|gt|amp|quot|#\d+|#x[0-9a-fA-F]+);")


class RefusedError(Exception):
    """A request the server refuses: its number, its words, its parameters."""

    def __init__(self, code: int, words: str, **parameters: int) -> None:
        self.code, self.words, self.parameters = code, words, parameters
        super().__init__(words)


def refuse(words: str) -> RefusedError:
    """Return a 400 with these words."""
    return RefusedError(400, f"Bad Request: {words}")


def units(text: str) -> int:
    """Return the length in UTF-16 units."""
    return sum(2 if ord(c) > 0xFFFF else 1 for c in text)


@dataclass(frozen=True)
class Open:
    tag: str
    at: int
    href: str = ""


def parsed(html: str) -> tuple[str, list[dict[str, Any]]]:
    """Return the text and its entities.

    Raises
    ------
    RefusedError
        If a tag is unknown, torn or crossed.
    """
    text, entities, stack = "", list[dict[str, Any]](), list[Open]()
    for bit in _BIT.finditer(html):
        if not bit[0].startswith("<"):
            text += _ENTITY.sub(lambda m: unescape(m[0]), bit[0])
        elif bit["end"]:
            text = _closed(bit, stack, entities, text)
        else:
            tag = bit["tag"].lower()
            if tag not in TAGS or not bit[0].endswith(">"):
                raise refuse(f'can\'t parse entities: Unsupported start tag "{tag}" at byte '
                             f"offset {bit.start()}")  # fmt: skip
            href = _HREF.fullmatch(bit["rest"])
            stack.append(Open(tag, units(text), (href[1] or href[2]) if href else ""))
    if stack:
        raise refuse(f'can\'t parse entities: Can\'t find end tag corresponding to start tag '
                     f'"{stack[-1].tag}"')  # fmt: skip
    stripped = text.rstrip()
    return stripped, [e for e in entities if e["length"]]


def _closed(
    bit: re.Match[str], stack: list[Open], entities: list[dict[str, Any]], text: str
) -> str:
    tag = bit["tag"].lower()
    if not stack:
        raise refuse(f"can't parse entities: Unexpected end tag at byte offset {bit.start()}")
    opened = stack.pop()
    if opened.tag != tag:
        raise refuse(f"can't parse entities: Unmatched end tag at byte offset {bit.start()}, "
                     f'expected "</{opened.tag}>", found "</{tag}>"')  # fmt: skip
    entity: dict[str, Any] = {
        "type": KINDS.get(tag, tag),
        "offset": opened.at,
        "length": units(text) - opened.at,
    }
    if opened.href.startswith("tg://user?id="):
        entity |= {"type": "text_mention", "user": int(opened.href.removeprefix("tg://user?id="))}
    elif opened.href:
        entity["url"] = opened.href
    entities.append(entity)
    return text
