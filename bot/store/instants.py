"""Instants as whole microseconds UTC, and back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def us(at: datetime) -> int:
    """Return an instant as microseconds since 1970, UTC.

    Examples
    --------
    >>> us(datetime(2026, 6, 13, 12, tzinfo=UTC))
    1781352000000000
    """
    return (at - EPOCH) // timedelta(microseconds=1)


def instant(at_us: int) -> datetime:
    """Return the instant of microseconds since 1970, UTC.

    Examples
    --------
    >>> instant(1781352000000001).isoformat()
    '2026-06-13T12:00:00.000001+00:00'
    """
    return EPOCH + timedelta(microseconds=at_us)
