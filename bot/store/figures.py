"""Counts for a monitor, made when asked."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import Connection, func, select
from sqlmodel import col

from bot.ports import StoreFigures
from bot.store.instants import us
from bot.store.tables import Inbox, Outbox

HOUR = timedelta(hours=1)
WAITING = ("owed", "later", "sending")
FAILED = ("refused", "gone", "let_go")
A_SECOND_US = 1_000_000


def figures(connection: Connection, now: datetime, next_call: datetime | None) -> StoreFigures:
    """Return what waits, what is late and what failed.

    Parameters
    ----------
    connection
        A reading connection.
    now
        The present; lateness is of what was sent in the hour before it.
    next_call
        When the next call falls due, as the store knows it.
    """
    inbox = _counted(connection, Inbox.state)
    states = _counted(connection, Outbox.state)
    larger = func.greatest if connection.dialect.name == "postgresql" else func.max
    due = larger(col(Outbox.queued_us), col(Outbox.not_before_us))
    urgent = col(Outbox.priority) == 0
    late = select(func.max(col(Outbox.sent_us) - due)).where(
        urgent, col(Outbox.state) == "sent", col(Outbox.sent_us) >= us(now - HOUR)
    )
    oldest = select(func.min(due)).where(urgent, col(Outbox.state).in_(["owed", "sending"]))
    owed = select(col(Outbox.priority), func.count()).where(col(Outbox.state).in_(WAITING))
    since = connection.execute(oldest).scalar()
    return StoreFigures(
        inbox_waiting=inbox.get("new", 0),
        inbox_aside=inbox.get("aside", 0),
        owed={r[0]: r[1] for r in connection.execute(owed.group_by(col(Outbox.priority)))},
        oldest_owed_s=0.0 if since is None else max(0.0, (us(now) - since) / A_SECOND_US),
        worst_late_s=max(0.0, (connection.execute(late).scalar() or 0) / A_SECOND_US),
        failed={end: states.get(end, 0) for end in FAILED},
        next_call=next_call,
    )


def _counted(connection: Connection, state: str) -> dict[str, int]:
    rows = connection.execute(select(col(state), func.count()).group_by(col(state)))
    return {row[0]: row[1] for row in rows}
