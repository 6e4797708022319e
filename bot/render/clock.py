"""Instants as site time; the day is said where it is not the reader's today."""

from __future__ import annotations

from datetime import datetime, tzinfo

from bot.render.catalogue import translated

_NEAR = {-1: "yesterday {clock}", 1: "tomorrow {clock}"}
_WEEKDAYS = (
    "Mon {clock}",
    "Tue {clock}",
    "Wed {clock}",
    "Thu {clock}",
    "Fri {clock}",
    "Sat {clock}",
    "Sun {clock}",
)
PATTERNS = (*_NEAR.values(), *_WEEKDAYS)
"""The message ids of this file."""


def clock_text(at: datetime, lang: str, zone: tzinfo, now: datetime | None = None) -> str:
    """Return site time, '18:30'; with `now` also 'tomorrow 02:40', 'Sat 14:00', '13.06. 14:00'.

    Examples
    --------
    >>> from datetime import UTC
    >>> noon = datetime(2026, 6, 13, 12, 0, tzinfo=UTC)
    >>> clock_text(datetime(2026, 6, 14, 2, 40, tzinfo=UTC), "en", UTC, noon)
    'tomorrow 02:40'
    """
    local = at.astimezone(zone)
    clock = f"{local:%H:%M}"
    if now is None:
        return clock
    days = (local.date() - now.astimezone(zone).date()).days
    if days == 0:
        return clock
    if abs(days) > 6:
        return f"{local:%d.%m.} {clock}"
    pattern = _NEAR.get(days) or _WEEKDAYS[local.weekday()]
    return translated(pattern, lang).replace("{clock}", clock)
