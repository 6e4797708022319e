"""The test kitchen in a private chat: cards captured, shown, corrected, saved, started.

| File | What it holds |
|---|---|
| `host.py` | who speaks, may they, in which language and currency |
| `room.py` | `Kitchen`: a message heard to facts of the house and an answer, in one commit |
| `drafting.py` | a draft and what was said of it: filled, refused, shown, saved |
| `shelf.py` | saved cards: listed, shown, copied, edited, retired |
| `talk.py` | what an answer of the kitchen consists of |
"""

from __future__ import annotations

from bot.kitchen.room import Kitchen

__all__ = ["Kitchen"]
