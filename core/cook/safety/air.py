"""How warm the air is: as read on the day, else as seen on site, else as forecast."""

from __future__ import annotations

from datetime import datetime, timedelta

from core.cook.state import Cook
from core.model import Place
from core.safety.degrees import Degrees

FRESH = timedelta(hours=2)
SURE_K = 6.0
"""How far off a forecast may be before it is no word on a hot table (own margin)."""

HOT_C = 32.0


def air_at(cook: Cook, at: datetime) -> Degrees | None:
    """Return the air's temperature at an instant; None where nobody knows.

    The warmest that was read or seen counts: food on a table knows no shade. A forecast counts
    where it is hot, or so cool that it cannot be; between them somebody must look.
    """
    seen = [
        r.value
        for r in cook.readings
        if r.place is Place.AIR and not r.about and at - FRESH <= r.at <= at
    ]
    on_site = cook.slips.weather.air_c if cook.slips.weather else None
    seen += [on_site] if on_site is not None else []
    if seen:
        return Degrees(max(seen))
    event = cook.cards.event if cook.cards else None
    spans = [w for w in event.weather if event.instant(w.start) <= at] if event else []
    forecast = max(spans, key=lambda w: w.start).air_c if spans else None
    if forecast is None or HOT_C - SURE_K < forecast < HOT_C:
        return None
    return Degrees(forecast)
