"""What somebody attached, fetched within the platform's limit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bot.chat.telegram.receipts import words_of
from bot.ports import FetchError

if TYPE_CHECKING:
    from telegram import Bot

LARGEST_DOWNLOAD = 20_000_000


async def fetched(bot: Bot, ref: str, token: str) -> bytes:
    """Return an attached file; raises `FetchError` with the reason in words."""
    from telegram.error import BadRequest, TelegramError

    try:
        file = await bot.get_file(ref)
        if (file.file_size or 0) > LARGEST_DOWNLOAD:
            raise FetchError("the file is larger than 20 MB")
        content = bytes(await file.download_as_bytearray())
    except BadRequest as error:
        if "too big" in str(error).casefold():
            raise FetchError("the file is larger than 20 MB") from None
        raise FetchError("Telegram no longer has the file") from None
    except TelegramError as error:
        raise FetchError(f"Telegram does not answer: {words_of(error, token)}") from None
    if len(content) > LARGEST_DOWNLOAD:
        raise FetchError("the file is larger than 20 MB")
    return content
