"""What follows from how a send went. No database here: both stores ask this.

A send that surely failed is tried again for ever, ever slower. One that may have arrived is
repeated, marked, when it must arrive. One that was refused is sent once more as plain parts and
then set aside, with somebody told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from typing import assert_never

from bot.ports import (
    Ambiguous,
    Gone,
    Migrated,
    NotSent,
    Outgoing,
    Receipt,
    Rejected,
    Sent,
    Wait,
    Withdrawn,
)

FIRST_BACKOFF_S = 1.0
LONGEST_BACKOFF_S = 30.0
MOST_REPEATS = 4
"""After so many tries of which nobody knows whether they arrived, somebody is told instead."""

MOST_FOLDED = 20

LONGEST_PART = 1000
"""Characters of one plain part: well under every platform's limit, in any alphabet."""


@dataclass(frozen=True, slots=True)
class Try:
    """What is known of a send when its answer comes."""

    attempts: int
    repeat: bool
    must: bool
    plain: bool
    is_edit: bool


@dataclass(frozen=True, slots=True)
class Fate:
    """What becomes of the row (its state) and of its room."""

    state: str
    repeat: bool = False
    why: str | None = None
    counts: int = 1
    wait_s: float = 0.0
    backoff: bool = False
    closes: bool = False
    moves_to: str | None = None


def fate(made: Try, receipt: Receipt) -> Fate:
    """Return what follows from how a send went.

    Examples
    --------
    >>> fate(Try(2, repeat=False, must=True, plain=False, is_edit=False), NotSent("refused"))
    ... # doctest: +ELLIPSIS
    Fate(state='owed', repeat=False, why='refused', counts=1, wait_s=4.0, backoff=True, ...)
    """
    match receipt:
        case Sent():
            return Fate("sent")
        case Withdrawn(why):
            return Fate("let_go", why=why, counts=0)
        case NotSent(why):
            pause_s = backoff_s(made.attempts)
            return Fate("owed", made.repeat, why, wait_s=pause_s, backoff=True)
        case Wait(seconds):
            return Fate("owed", made.repeat, counts=0, wait_s=max(seconds, FIRST_BACKOFF_S))
        case Ambiguous(why):
            if not (made.must or made.is_edit):  # an edit shows once however often it is made
                return Fate("let_go", why=why)
            if made.attempts >= MOST_REPEATS:
                return Fate("refused", repeat=True, why=why)
            pause_s = backoff_s(made.attempts)
            return Fate("owed", repeat=True, why=why, wait_s=pause_s)
        case Rejected(why):
            return Fate("refused" if made.plain else "split", why=why)
        case Gone(why):
            return Fate("gone", why=why, closes=True)
        case Migrated(room):
            return Fate("owed", made.repeat, moves_to=room)
        case _:
            assert_never(receipt)


def backoff_s(attempts: int) -> float:
    """Return how long to wait after so many failed attempts before this one, s."""
    return min(FIRST_BACKOFF_S * 2.0 ** min(attempts, 10), LONGEST_BACKOFF_S)


def plain_parts(message: Outgoing) -> tuple[Outgoing, ...]:
    """Return a message as plain short texts: choices as numbered lines, no picture, no tricks.

    Examples
    --------
    >>> [part.lines for part in plain_parts(Outgoing(("Flip?",), ("now", "later")))]
    [('Flip?', '1 now', '2 later')]
    """
    numbered = (f"{number} {choice}" for number, choice in enumerate(message.choices, 1))
    parts: list[list[str]] = [[]]
    for line in chain.from_iterable(map(_pieces, (*message.lines, *numbered))):
        if parts[-1] and sum(map(len, parts[-1])) + len(line) > LONGEST_PART:
            parts.append([])
        parts[-1].append(line)
    first, *rest = (
        Outgoing(tuple(lines), sound=message.sound, tag=message.tag, again=message.again)
        for lines in parts
    )
    return (replace(first, mention=message.mention), *rest)


def _pieces(line: str) -> list[str]:
    return [line[i : i + LONGEST_PART] for i in range(0, len(line), LONGEST_PART)] or [""]


def folded(messages: Sequence[Outgoing]) -> Outgoing:
    """Return one message for several that waited past their use: the first line of each.

    Examples
    --------
    >>> folded([Outgoing(("12:00 flip A", "tongs"), ("done",)), Outgoing(("12:05 pull A",))]).lines
    ('12:00 flip A', '12:05 pull A')
    """
    lines = [line for m in messages for line in (m.lines if m.folds else m.lines[:1])]
    if len(lines) > MOST_FOLDED:
        lines = [*lines[:MOST_FOLDED], f"… +{len(lines) - MOST_FOLDED}"]
    first = messages[0]
    return Outgoing(
        tuple(lines),
        sound=max(m.sound for m in messages),
        mention=tuple(dict.fromkeys(who for m in messages for who in m.mention)),
        tag=first.tag and replace(first.tag, keys=tuple(_keys(messages))),
        again=first.again,
        late=first.late,
        folds=sum(max(m.folds, 1) for m in messages),
    )


def _keys(messages: Sequence[Outgoing]) -> Iterator[str]:
    for message in messages:
        if message.tag:
            yield from message.tag.keys
