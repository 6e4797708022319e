"""Pictures and files, up and down, encrypted where the room is."""

from __future__ import annotations

import asyncio
import io
import json
from typing import Any
from urllib.parse import quote

from bot.chat.matrix.answers import UnreachableError, answered
from bot.ports import FetchError, Medium

UPLOAD_S = 60.0
FETCH_S = 60.0
CHUNK = 64 * 1024


async def uploaded(client: Any, medium: Medium, *, encrypt: bool) -> dict[str, Any]:
    """Upload a medium; return the part of an event's content that says where it is."""
    info: dict[str, Any] = {"mimetype": medium.kind, "size": len(medium.content)}
    info |= pixels(medium)
    try:
        async with asyncio.timeout(UPLOAD_S):
            response, keys = await client.upload(
                io.BytesIO(medium.content),
                content_type=medium.kind,
                filename=None if encrypt else medium.name,
                encrypt=encrypt,
                filesize=len(medium.content),
            )
    except (TimeoutError, OSError) as wrong:
        raise UnreachableError(type(wrong).__name__) from wrong
    where = (await answered(_already(response))).content_uri
    if not encrypt:
        return {"info": info, "url": where}
    return {"info": info, "file": {**keys, "url": where, "mimetype": medium.kind}}


async def _already(response: Any) -> Any:
    return response


def pixels(medium: Medium) -> dict[str, int]:
    """Return the sides of a picture, so that a client leaves room for it; nothing for a file."""
    if not medium.kind.startswith("image/"):
        return {}
    from PIL import Image

    try:
        with Image.open(io.BytesIO(medium.content)) as picture:
            return {"w": picture.width, "h": picture.height}
    except OSError:
        return {}


async def fetched(client: Any, ref: str, largest: int) -> bytes:
    """Download what an Attached refers to and open it; raises FetchError."""
    try:
        where = json.loads(ref)
        server, _, media_id = str(where["url"]).removeprefix("mxc://").partition("/")
    except (ValueError, TypeError, KeyError) as wrong:
        raise FetchError("that is no file of this platform") from wrong
    path = f"/_matrix/client/v1/media/download/{quote(server)}/{quote(media_id)}"
    content = await _downloaded(client, path, largest)
    return _opened(content, where) if "key" in where else content


async def _downloaded(client: Any, path: str, largest: int) -> bytes:
    from aiohttp import ClientError

    headers = {"Authorization": f"Bearer {client.access_token}"}
    content = bytearray()
    try:
        reply = await client.send("GET", path, None, headers, None, FETCH_S)
        async with reply:
            if reply.status != 200:
                raise FetchError(f"the server no longer gives the file ({reply.status})")
            async for chunk in reply.content.iter_chunked(CHUNK):
                content += chunk
                if len(content) > largest:
                    raise FetchError(f"the file is larger than {largest // 1_000_000} MB")
    except (ClientError, TimeoutError, OSError) as wrong:
        raise FetchError("the server does not answer") from wrong
    return bytes(content)


def _opened(content: bytes, where: dict[str, Any]) -> bytes:
    from nio import EncryptionError
    from nio.crypto import decrypt_attachment

    try:
        opened = decrypt_attachment(content, where["key"], where["sha256"], where["iv"])
    except (EncryptionError, ValueError, TypeError, KeyError) as wrong:
        raise FetchError("the file does not open with the key it came with") from wrong
    return bytes(opened)
