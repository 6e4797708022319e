"""Ends its own process with SIGKILL at the n-th tick: around every statement and every send."""

from __future__ import annotations

import os
import signal
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Engine, event

from bot.store.prepared import Prepared, Values


class Reaper:
    """Counts ticks; at the chosen one nothing is cleaned up, flushed or said any more."""

    def __init__(self, kill_at: int | None) -> None:
        self.ticks = 0
        self._kill_at = kill_at

    def tick(self, *_: Any, **__: Any) -> None:
        """Count one; perhaps it is the last."""
        self.ticks += 1
        if self.ticks == self._kill_at:
            os.kill(os.getpid(), signal.SIGKILL)

    def die_in(self, ticks: int) -> None:
        """Let the n-th tick from now be the last."""
        self._kill_at = self.ticks + ticks

    def watch_database(self) -> None:
        """Tick before and after every statement and before every commit, the steps' own too."""
        for moment in ("before_cursor_execute", "after_cursor_execute", "commit"):
            event.listen(Engine, moment, self.tick)
        run_all = Prepared.run_all

        def ticked(statement: Prepared, connection: Connection, rows: Sequence[Values]) -> None:
            self.tick()
            run_all(statement, connection, rows)
            self.tick()

        Prepared.run_all = ticked  # type: ignore[assignment,method-assign]  # they go past SQLAlchemy
