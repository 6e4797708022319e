"""The library's bot, made the way we want it: no token in a log, enough connections."""

from __future__ import annotations

import logging
import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from telegram import Bot

MOST_CONNECTIONS = 128
"""More than the outbox has in flight, so that no send waits for a connection."""


def bot_at(token: str, base_url: str, answer_s: float) -> Bot:
    """Return a bot that waits so long for an answer; nothing is sent yet."""
    # spans as spans: the library's own switch to what its next major version does
    os.environ.setdefault("PTB_TIMEDELTA", "1")
    from telegram import Bot
    from telegram.request import HTTPXRequest

    for chatty in ("httpx", "httpcore"):  # they log whole addresses, and the token is part of them
        logging.getLogger(chatty).setLevel(logging.WARNING)

    def request(connections: int) -> HTTPXRequest:
        return HTTPXRequest(
            connection_pool_size=connections, read_timeout=answer_s, pool_timeout=answer_s
        )

    return Bot(
        token,
        base_url=f"{base_url}/bot",
        base_file_url=f"{base_url}/file/bot",
        request=request(MOST_CONNECTIONS),
        get_updates_request=request(2),
    )
