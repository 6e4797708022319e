"""Which scale a bare temperature is on: by what can be, never by guess; both are echoed."""

from __future__ import annotations

from dataclasses import dataclass

_CORE_C = (-25.0, 100.0)  # frozen hard to boiling: no core is hotter, its water would boil away
_CORE_F = (-13.0, 212.0)
_SMOKE_C = (-25.0, 160.0)  # the low ends are open: a pit that has gone out is a reading too
_SMOKE_F = (122.0, 325.0)
_SEAR_C = (-25.0, 450.0)
_SEAR_F = (284.0, 840.0)
_ANY_F = (-13.0, 840.0)


@dataclass(frozen=True, slots=True)
class Degrees:
    """A temperature read: °C, the unit it was taken to be in, and whether that is certain.

    `other_c` is what it would be on the other scale where that can be too; None where it cannot.
    """

    celsius: float
    unit: str
    sure: bool
    other_c: float | None = None


def _c_of(fahrenheit: float) -> float:
    """Return °C; 0 °C is 32 °F and a degree is 5/9 as large."""
    return (fahrenheit - 32.0) * 5.0 / 9.0


def _read(
    value: float, unit: str | None, c: tuple[float, float], f: tuple[float, float]
) -> Degrees | None:
    may_c = c[0] <= value <= c[1]
    may_f = f[0] <= value <= f[1]
    match unit:
        case "°C":
            return Degrees(value, "°C", sure=True) if may_c else None
        case "°F":
            return Degrees(_c_of(value), "°F", sure=True) if may_f else None
        case _ if may_c:
            other = _c_of(value) if may_f else None
            return Degrees(value, "°C", sure=other is None, other_c=other)
        case _ if may_f:
            return Degrees(_c_of(value), "°F", sure=True)
        case _:
            return None


def core_temperature_c(value: float, unit: str | None = None) -> Degrees | None:
    """Return what a number means as the core of a piece; None if no core can be that.

    Parameters
    ----------
    value
        The number typed.
    unit
        '°C', '°F', or None or '°' where no scale was typed. A bare number above 100 is °F, for
        no core is hotter than boiling; one up to 100 is °C, with the other reading beside it.

    Examples
    --------
    >>> core_temperature_c(165).unit, round(core_temperature_c(165).celsius)
    ('°F', 74)
    >>> core_temperature_c(47).celsius, core_temperature_c(300)
    (47, None)
    """
    return _read(value, unit, _CORE_C, _CORE_F)


def pit_temperature_c(
    value: float, unit: str | None = None, stage: str | None = None
) -> Degrees | None:
    """Return what a number means as the heat of a fire; None if no fire is that.

    Parameters
    ----------
    value
        The number typed.
    unit
        '°C', '°F', or None or '°' where no scale was typed.
    stage
        'smoke' or 'sear', which decides a bare 225: 107 °C in a smoker, 225 °C on a grill.
        None where it is not known: the reading is then never sure unless one scale is out of
        the question for both.

    Examples
    --------
    >>> round(pit_temperature_c(225, stage="smoke").celsius), pit_temperature_c(115).celsius
    (107, 115)
    >>> pit_temperature_c(225, stage="sear").celsius, pit_temperature_c(225).sure
    (225, False)
    """
    if unit in {"°C", "°F"}:
        return _read(value, unit, _SEAR_C, _ANY_F)
    match stage:
        case "smoke":
            return _read(value, None, _SMOKE_C, _SMOKE_F)
        case "sear":
            return _read(value, None, _SEAR_C, _SEAR_F)
        case _:
            return _read(value, None, _SEAR_C, (_SMOKE_F[0], _SEAR_F[1]))
