"""Does a food need time and temperature control? By pH and water activity, else by what it is."""

from __future__ import annotations

from core.errors import OutOfRangeError
from core.model import Finding, Verdict, say
from core.safety.rules import Rule, finding
from core.tables import Row, table

_EPS = 1e-9


def control_verdict(
    ph: float | None, aw: float | None, *, treated_and_packed: bool = False
) -> Finding:
    """Return OK where pH and water activity show that no control is needed.

    Parameters
    ----------
    ph
        Acidity, 0 to 14; None is not known.
    aw
        Water activity, 0 to 1; None is not known.
    treated_and_packed
        Heated in its pack, or packed so that nothing gets in after heating.

    Returns
    -------
    Finding
        OK, or NOT CONFIRMED: treat it as needing control.

    References
    ----------
    FDA Food Code 2022, 1-201.10, Tables A and B.

    Examples
    --------
    >>> control_verdict(4.3, 0.95).verdict
    <Verdict.NOT_CONFIRMED: 'NOT CONFIRMED'>
    """
    if ph is not None and not 0 <= ph <= 14:
        raise OutOfRangeError("pH", f"{ph:g}", "0 to 14")
    if aw is not None and not 0 <= aw <= 1:
        raise OutOfRangeError("aw", f"{aw:g}", "0 to 1")
    section = "tcs_packaged" if treated_and_packed else "tcs_open"
    part = table("food_safety_control")[section]
    rule = Rule(f"us.{section}", None, part, str(part["source"]), "", str(part["status"]))
    if ph is not None and _result(part, ph, 1.0 if aw is None else aw) == "no":
        text = say("{verdict}. By its acid and water it needs no cold.", verdict=Verdict.OK)
        return finding(rule, Verdict.OK, text)
    if ph is None and aw is not None and _result(part, 14.0, aw) == "no":
        text = say("{verdict}. Too dry for germs: it needs no cold.", verdict=Verdict.OK)
        return finding(rule, Verdict.OK, text)
    text = say(
        "{verdict}. Treat it as food that spoils: 5 °C or less, 63 °C or more, or a clock.",
        verdict=Verdict.NOT_CONFIRMED,
    )
    return finding(rule, Verdict.NOT_CONFIRMED, text)


def _result(part: Row, ph: float, aw: float) -> str:
    """Return the cell of Table A or B: 'no' or 'PA'."""
    row = next(
        row
        for row in part["rows"]
        if (aw < row["aw_under"] - _EPS if "aw_under" in row else aw <= row["aw_max"] + _EPS)
    )
    column = sum(ph > limit + _EPS for limit in part["ph_over"])
    if "ph_from" in part:
        column += ph >= part["ph_from"] - _EPS
    return str(row["results"][column])
