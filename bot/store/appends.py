"""The commit everything rests on: facts, sends and the closed inbox row, together or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection

from bot.ports import HEAD_HERE, HEAD_SHOWN, HandledError, StaleError, Wake
from bot.store import inbox, log, queueing, wake
from core.facts import Entry


@dataclass(frozen=True, slots=True)
class Append:
    """One wish to append; everything is text already."""

    stream: str
    expected: int
    facts: tuple[log.Written, ...]
    heard: datetime
    sends: tuple[dict[str, Any], ...]
    done: int | None
    wake: Wake | None


class Appends:
    """Appends, several at a time where several wait."""

    def __init__(self) -> None:
        self.heads, self.wakes = log.Heads(), wake.Wakes()

    def forget(self) -> None:
        """Forget what was remembered: a transaction was rolled back."""
        self.heads.forget()
        self.wakes.forget()

    def __call__(
        self, connection: Connection, wishes: Sequence[Append]
    ) -> list[list[Entry] | Exception]:
        """Return the entries of each, or why it was refused; then nothing of it was written."""
        unhandled = inbox.still_open(connection, {w.done for w in wishes if w.done is not None})
        rows: list[dict[str, Any]] = []
        queue: list[dict[str, Any]] = []
        closed: set[int] = set()
        wakes: dict[str, Wake] = {}
        results: list[list[Entry] | Exception] = []
        for wish in wishes:
            refused = self._refused(connection, wish, unhandled - closed)
            if refused:
                results.append(refused)
                continue
            placed = self._placed(connection, wish)
            rows += placed
            queue += (_with_head(send, placed) for send in wish.sends)
            if wish.done is not None:
                closed.add(wish.done)
            results.append(log.entries(wish.heard, wish.expected, wish.facts))
            if wish.facts:
                wakes[wish.stream] = wish.wake or wake.UNKNOWN
        log.store(connection, rows)
        self.wakes.put(connection, wakes)
        queueing.queue(connection, queue)
        inbox.close(connection, closed)
        return results

    def _refused(
        self, connection: Connection, wish: Append, unhandled: set[int]
    ) -> Exception | None:
        if wish.done is not None and wish.done not in unhandled:
            return HandledError(f"inbox row {wish.done} was closed before")
        if wish.facts:
            last, _ = self.heads.of(connection, wish.stream, wish.expected)
            if last != wish.expected:
                return StaleError(f"{wish.stream} is at {last}, not at {wish.expected}")
        return None

    def _placed(self, connection: Connection, wish: Append) -> list[dict[str, Any]]:
        if not wish.facts:
            return []
        start = self.heads.of(connection, wish.stream, wish.expected)
        rows = log.rows(wish.stream, start, wish.heard, wish.facts)
        self.heads.put(wish.stream, (rows[-1]["seq"], rows[-1]["hash"]))
        return rows


def _with_head(send: dict[str, Any], placed: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """Return a send that says, where it asks for it, how far the chain goes with these facts."""
    if not placed or HEAD_HERE not in send["message"]:
        return dict(send)
    head = placed[-1]["hash"][:HEAD_SHOWN]
    return {**send, "message": send["message"].replace(HEAD_HERE, head)}
