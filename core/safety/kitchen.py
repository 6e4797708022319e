"""Cross-contamination and garlic in oil: what is binned without a reading."""

from __future__ import annotations

from core.model import Finding, Qty, Verdict, say
from core.safety.rules import finding, the


def drip_finding(about: str = "") -> Finding:
    """Return what raw juice on ready food means: bin what it hit and what stood under it."""
    rule = the("plants", "separation", "hazards")
    text = say("{verdict}: the tray it hit and anything under it.", verdict=Verdict.BIN)
    return finding(rule, Verdict.BIN, text, about=about)


def cross_finding(*, above: bool, about: str = "") -> Finding:
    """Return what raw food over ready food, or one tool for both, means."""
    rule = the("plants", "separation", "hazards")
    text = say(
        "{verdict}. One tool for raw and ready: wash and sanitise it now, bin ready food it"
        " touched.",
        verdict=Verdict.STOP,
    )
    if above:
        text = say(
            "{verdict}. Raw goes at the bottom, ready food on top: move it now, bin what it dripped"
            " on.",
            verdict=Verdict.STOP,
        )
    return finding(rule, Verdict.STOP, text, about=about)


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


def enclosed_finding() -> Finding:
    """Return what a fire in a closed place means, however well it is aired."""
    rule = the("site", "co.enclosed", "hazards")
    text = say(
        "{verdict}. No fire or coals in a tent, van or garage: carbon monoxide. A fan or a window"
        " is not enough.",
        verdict=Verdict.STOP,
    )
    return finding(rule, Verdict.STOP, text)


def red_beans_finding() -> Finding:
    """Return what dry red beans want before any slow pit."""
    rule = the("plants", "plants.red_beans", "hazards")
    text = say(
        "{verdict}. Red beans: soak 5 h, fresh water, then {boil} at a full boil. A slow pit leaves"
        " their poison in.",
        verdict=Verdict.STOP,
        boil=Qty(float(rule.row["boil_min"]), "min"),
    )
    return finding(rule, Verdict.STOP, text)


def raw_egg_finding(*, weak: bool) -> Finding:
    """Return what raw egg in a dressing wants; for vulnerable guests it is not served."""
    rule = the("plants", "mayo.ph", "hazards")
    if weak:
        text = say("{verdict}. Vulnerable guests: pasteurised egg only.", verdict=Verdict.STOP)
        return finding(rule, Verdict.STOP, text)
    text = say(
        "{verdict}. Raw egg: use pasteurised, or 20 mL of 6 % vinegar a yolk and 48 h at 20 °C"
        " before chilling.",
        verdict=Verdict.NOT_YET,
    )
    return finding(rule, Verdict.NOT_YET, text)
