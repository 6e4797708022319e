"""Cross-contamination and garlic in oil: what is binned without a reading."""

from __future__ import annotations

from core.model import Finding, Qty, Verdict, say
from core.safety.rules import finding, the


def drip_finding(about: str = "") -> Finding:
    """Return what raw juice on ready food means: bin what it hit and what stood under it."""
    rule = the("plants", "separation", "hazards")
    text = say("{verdict}: the tray it hit and anything under it.", verdict=Verdict.BIN)
    return finding(rule, Verdict.BIN, text, about=about)


def garlic_finding(*, days: float | None, out: bool, cold: bool, about: str = "") -> Finding:
    """Return whether raw garlic in oil may be used: house rule same day, and kept cold.

    Parameters
    ----------
    days
        Its age; None is not known.
    out
        Whether it stood at room temperature.
    cold
        Whether it was kept at 5 °C or less all along.
    about
        The dish or tub.
    """
    tcs = the("garlic", "garlic.tcs", "hazards")
    limit = the("garlic", "garlic.days", "hazards")
    most = float(limit.row["max_days"])
    if out:
        text = say(
            "{verdict}. Raw garlic in oil at room temperature = botulism risk.",
            verdict=Verdict.BIN,
        )
        return finding(tcs, Verdict.BIN, text, about=about)
    if days is not None and days > most:
        text = say(
            "{verdict}. Garlic in oil {days} old, limit {limit} in the cold.",
            verdict=Verdict.BIN,
            days=Qty(round(days, 1), "d"),
            limit=Qty(most, "d"),
        )
        return finding(limit, Verdict.BIN, text, about=about)
    if days is not None and days >= 1:
        house = the("house", "house.garlic_oil")
        text = say(
            "{verdict}. House rule: garlic in oil is used the same day.", verdict=Verdict.BIN
        )
        return finding(house, Verdict.BIN, text, about=about)
    if days is None or not cold:
        text = say(
            "{verdict}. Made when, and cold since? Same day and 5 °C or less, or bin.",
            verdict=Verdict.UNKNOWN,
        )
        return finding(limit, Verdict.UNKNOWN, text, about=about)
    text = say("{verdict}. Today's, at 5 °C or less. Bin it after service.", verdict=Verdict.OK)
    return finding(limit, Verdict.OK, text, about=about)
