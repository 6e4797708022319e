"""What the suite every front-end passes needs of each: a file a front-end.

A new one adds its opener to `FRONTS`, and to `LISTENING` if people type on it.
"""

from __future__ import annotations

from collections.abc import Mapping

from tests.bot.fronts.console import console
from tests.bot.fronts.front import Front, Opener
from tests.bot.fronts.matrix import matrix
from tests.bot.fronts.rehearsal import rehearsal
from tests.bot.fronts.telegram import telegram

__all__ = ["FRONTS", "LISTENING", "Front"]

FRONTS: Mapping[str, Opener] = {
    "console": console,
    "matrix": matrix,
    "rehearsal": rehearsal,
    "telegram": telegram,
}
LISTENING = ("console", "matrix", "telegram")
"""In a rehearsal nobody types: the script is fed by its player."""
