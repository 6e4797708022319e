"""The door: who comes in, which room works for which cook, and who goes.

| File | What it holds |
|---|---|
| `entry.py` | `Door`: codes, names, rooms, being forgotten: what is said at the door |
| `comings.py` | who comes and goes, and what else happened without being said |
"""

from __future__ import annotations

from bot.door.entry import AT_THE_DOOR, CODE_GOOD, FIRST_CODE_GOOD, Door, Met

__all__ = ["AT_THE_DOOR", "CODE_GOOD", "FIRST_CODE_GOOD", "Door", "Met"]
