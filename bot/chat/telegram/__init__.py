"""Telegram as a front-end. The library is loaded when a `Telegram` is made, not before.

| File | What it holds |
|---|---|
| `adapter.py` | `Telegram`: start, listen, send, fetch, stop; what is known of the line |
| `listening.py` | long polls; taken means the next batch was asked for |
| `door.py` | the webhook, under the same rule |
| `updates.py` | updates to what was heard |
| `comings.py` | who comes and who goes |
| `markup.py` | lines to HTML, in parts that fit |
| `parcels.py` | one message as texts, photo and files |
| `sending.py` | posts out, edits, pins, buttons |
| `receipts.py` | what a failed send means |
| `files.py` | what was attached, fetched |
| `client.py` | the library's bot, as we want it |
| `menu.py` | the command menu from the table of phrases |
| `ids.py` | rooms and messages as we write them |
"""

from __future__ import annotations

from bot.chat.telegram.adapter import Known, Telegram, TelegramTokenError
from bot.chat.telegram.door import Webhook

__all__ = ["Known", "Telegram", "TelegramTokenError", "Webhook"]
