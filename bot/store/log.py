"""The log of facts: appended in order, chained by hashes, read back, verified.

What is stored and hashed is the whole entry as one JSON text; the columns beside it are for
searching. A stream's last number and hash are remembered, because on SQLite nobody else writes;
on PostgreSQL somebody might, and then the primary key refuses ours.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, bindparam, insert, select, text
from sqlmodel import col

from bot import codec
from bot.ports import NewFact
from bot.store.instants import us
from bot.store.prepared import Prepared, as_text
from bot.store.tables import METADATA, Facts
from core.facts import Entry, Fact

MOST_REMEMBERED = 10_000

Head = tuple[int, str]
EMPTY: Head = (0, "")


@dataclass(frozen=True, slots=True)
class Written:
    """A fact as text, made before it is queued so that the writing thread has less to do."""

    at: datetime
    by: str
    fact: Fact
    text: str
    type: str
    version: int


def written(new: NewFact) -> Written:
    """Return a fact as it will be stored."""
    name = type(new.fact).__name__
    text = codec.fact_text(new.fact)
    return Written(new.at, new.by, new.fact, text, name, codec.CODEC.version(name))


def chained(previous: str, body: str) -> str:
    """Return the hash of an entry: sha256 over the previous hash and the stored bytes, hex.

    Examples
    --------
    >>> chained("", "{}")[:16]
    '44136fa355b3678a'
    """
    return hashlib.sha256(previous.encode() + body.encode()).hexdigest()


class Heads:
    """Each stream's last number and hash, as far as they are remembered."""

    def __init__(self) -> None:
        self._known: dict[str, Head] = {}

    def forget(self) -> None:
        """Forget everything: a transaction was rolled back."""
        self._known.clear()

    def of(self, connection: Connection, stream: str, expected: int) -> Head:
        """Return a stream's head, read again if it is not the expected one."""
        known = self._known.get(stream)
        if known is None or known[0] != expected:
            known = head(connection, stream)
            self.put(stream, known)
        return known

    def put(self, stream: str, new: Head) -> None:
        """Remember a stream's head."""
        if len(self._known) >= MOST_REMEMBERED:
            self._known.clear()
        self._known[stream] = new


_LAST = Prepared(
    select(col(Facts.seq), col(Facts.hash))
    .where(col(Facts.stream) == bindparam("of"))
    .order_by(col(Facts.seq).desc())
    .limit(as_text(1))
    .offset(as_text(0))
)
_COLUMNS = ("stream", "seq", "at_us", "heard_us", "by", "type", "version", "body", "hash")
_INSERT = Prepared(insert(METADATA.tables["facts"]), *_COLUMNS)
_STORED = (
    select(METADATA.tables["facts"])
    .where(col(Facts.stream) == bindparam("of"), col(Facts.seq) > bindparam("after"))
    .order_by(col(Facts.seq))
)


_RUNNING = Prepared(
    text(
        "SELECT stream FROM facts AS began WHERE seq = 1 AND NOT EXISTS ("
        "SELECT 1 FROM facts AS ended WHERE ended.stream = began.stream"
        " AND ended.type = 'CookClosed' AND NOT EXISTS ("
        "SELECT 1 FROM facts AS undone WHERE undone.stream = ended.stream"
        " AND undone.type = 'Undone' AND undone.seq > ended.seq)"
        ") ORDER BY at_us, stream"
    )
)


def running(connection: Connection) -> list[str]:
    """Return the streams that have no end, or one that may have been undone; the oldest first."""
    return list(_RUNNING.run(connection).scalars())


def head(connection: Connection, stream: str) -> Head:
    """Return a stream's last number and hash."""
    found = _LAST.run(connection, {"of": stream}).first()
    return (found.seq, found.hash) if found else EMPTY


def rows(
    stream: str, start: Head, heard: datetime, facts: Sequence[Written]
) -> list[dict[str, Any]]:
    """Return the rows that put these facts behind `start`.

    The whole entry is written in the codec's one way to write it; the fact is text already.
    """
    seq, link = start
    heard_us, told, of = us(heard), codec.instant_text(heard), codec.json_text(stream)
    made = []
    for fact in facts:
        seq += 1
        body = (
            f'{{"at":"{codec.instant_text(fact.at)}","by":{codec.json_text(fact.by)},'
            f'"fact":{fact.text},"heard":"{told}","seq":{seq},"stream":{of}}}'
        )
        link = chained(link, body)
        made.append(
            {
                "stream": stream,
                "seq": seq,
                "at_us": us(fact.at),
                "heard_us": heard_us,
                "by": fact.by,
                "type": fact.type,
                "version": fact.version,
                "body": body,
                "hash": link,
            }
        )
    return made


def entries(heard: datetime, start: int, facts: Sequence[Written]) -> list[Entry]:
    """Return the entries that these facts became."""
    return [
        Entry(seq, fact.at, heard, fact.by, fact.fact) for seq, fact in enumerate(facts, start + 1)
    ]


def store(connection: Connection, new: list[dict[str, Any]]) -> None:
    """Insert rows."""
    _INSERT.run_all(connection, new)


def entry(body: str) -> Entry:
    """Return the entry stored as this text."""
    stored = codec.json_values(body)
    return Entry(
        stored["seq"],
        codec.instant(stored["at"]),
        codec.instant(stored["heard"]),
        stored["by"],
        codec.fact_of(stored["fact"]),
    )


def stored(connection: Connection, stream: str, after: int) -> Iterator[Row[Any]]:
    """Yield a stream's rows in order."""
    yield from connection.execute(_STORED, {"of": stream, "after": after})


def first_broken(connection: Connection, stream: str) -> int | None:
    """Return the number of the first entry that does not fit the chain or its own columns."""
    seq, link = EMPTY
    for row in stored(connection, stream, 0):
        seq += 1
        link = chained(link, row.body)
        if row.seq != seq or row.hash != link or not _agrees(row):
            return seq
    return None


def _agrees(row: Row[Any]) -> bool:
    said = codec.json_values(row.body)
    fact = said["fact"]
    return (
        (row.stream, row.seq, row.by, row.type, row.version)
        == (said["stream"], said["seq"], said["by"], fact["type"], fact["v"])
    ) and (row.at_us, row.heard_us) == tuple(us(codec.instant(said[n])) for n in ("at", "heard"))
