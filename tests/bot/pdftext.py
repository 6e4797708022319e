"""Reads back what our own PDFs say, page by page, through each font's table of characters.

ISO 32000-1, 9.10.3: a ToUnicode map says which text a character code stands for. Enough of the
format for what the library writes; a page it cannot read gives no text, and the test fails.
"""

from __future__ import annotations

import re
import zlib

OBJECT = re.compile(rb"(?:^|\n)(\d+) 0 obj\n(.*?)\nendobj", re.DOTALL)
SHOWN = re.compile(rb"/F(\d+) [\d.]+ Tf|\(((?:\\.|[^\\()])*)\) Tj", re.DOTALL)
ESCAPES = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}


def page_texts(data: bytes) -> list[str]:
    """Return the text of each page, pieces on lines of their own."""
    objects = {int(n): body for n, body in OBJECT.findall(data)}
    fonts = {
        int(name): _characters(objects, int(ref))
        for body in objects.values()
        for name, ref in re.findall(rb"/F(\d+) (\d+) 0 R", body)
    }
    pages = [body for body in objects.values() if re.search(rb"/Type /Page\b", body)]
    found = []
    for body in pages:
        ref = re.search(rb"/Contents (\d+) 0 R", body)
        assert ref is not None
        found.append(_shown(_stream(objects[int(ref[1])]), fonts))
    return found


def _stream(body: bytes) -> bytes:
    raw = body.split(b"stream\n", 1)[1].rsplit(b"\nendstream", 1)[0]
    return zlib.decompress(raw) if b"/FlateDecode" in body else raw


def _characters(objects: dict[int, bytes], font: int) -> dict[int, str]:
    ref = re.search(rb"/ToUnicode (\d+) 0 R", objects[font])
    assert ref is not None
    pairs = re.findall(rb"<([0-9A-Fa-f]{4})> <([0-9A-Fa-f]+)>\n", _stream(objects[int(ref[1])]))
    return {int(code, 16): bytes.fromhex(text.decode()).decode("utf-16-be") for code, text in pairs}


def _shown(content: bytes, fonts: dict[int, dict[int, str]]) -> str:
    pieces, font = [], 0
    for match in SHOWN.finditer(content):
        if match[1]:
            font = int(match[1])
            continue
        codes = re.sub(rb"\\(.)", lambda m: ESCAPES.get(m[1], m[1]), match[2], flags=re.DOTALL)
        numbers = [int.from_bytes(codes[n : n + 2], "big") for n in range(0, len(codes), 2)]
        pieces.append("".join(fonts[font][n] for n in numbers))
    return "\n".join(pieces)
