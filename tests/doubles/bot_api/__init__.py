"""A double of the Bot API: real HTTP, real long polls, the documented limits enforced.

What the limits are and where they are documented stands at the tests of this double. Where the
server's words are not documented they are from memory; our code reads only the few it names.

| File | What it holds |
|---|---|
| `server.py` | `BotApi`: the requests, the faults by script, the port |
| `methods.py` | what each method checks and does |
| `updates.py` | the queue of updates: offsets, long polls, rivals, the webhook's caller |
| `world.py` | users, chats, messages |
| `text.py` | HTML to text and entities, or the error |
| `limits.py` | sizes, and the windows of 429 |
| `phones.py` | `Phone`: type, tap, react, send; what it showed and when it rang |
"""

from __future__ import annotations

from tests.doubles.bot_api.phones import Phone, Seen
from tests.doubles.bot_api.server import BotApi, Fault, running
from tests.doubles.bot_api.world import Chat, Post, User

__all__ = ["BotApi", "Chat", "Fault", "Phone", "Post", "Seen", "User", "running"]
