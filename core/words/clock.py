"""The ways to type a time of day: '1830', '18.30', '18h30', '6:30', '6 y media', '630pm'."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta, tzinfo

from core.words.scan import Found, Scan
from core.words.tokens import Time
from core.words.vocabulary import VERBS

_CUES = frozenset(
    {"at", "until", "from", "plates", "serve", "people", "light", "on", "off", "done", "go"}
)
_RATIO_TALK = frozenset(
    {"ratio", "water", "brine", "concentrate", "oil", "vinegar", "bleach", "sanitiser", "mix"}
    | {"dressing", "vinaigrette"}
)
_NAMED_HOURS = {"noon": 12, "midday": 12, "mediodia": 12, "midnight": 0, "medianoche": 0}
_QUARTERS = {"media": 30, "cuarto": 15, "half": 30, "quarter": 15}


def nearest_instant(moment: Time, near: datetime, zone: tzinfo) -> datetime:
    """Return the instant nearest to `near` at which a site clock shows this time, UTC.

    An ambiguous time may be before or after noon; a time the clocks skip is passed over.

    Examples
    --------
    >>> at = datetime(2026, 6, 13, 18, 9, tzinfo=UTC)
    >>> nearest_instant(Time(6, 2, True, "6:02"), at, UTC).isoformat()
    '2026-06-13T18:02:00+00:00'
    """
    hours = {moment.hour, (moment.hour + 12) % 24} if moment.ambiguous else {moment.hour}
    today = near.astimezone(zone).date()
    instants = [
        _instant(today + timedelta(days=shift), time(hour, moment.minute, fold=fold), zone)
        for shift in (-1, 0, 1)
        for hour in hours
        for fold in (0, 1)
    ]
    real = [at for at, exists in instants if exists]
    return min(real, key=lambda at: (abs(at - near), at))


def _instant(day: date, at: time, zone: tzinfo) -> tuple[datetime, bool]:
    local = datetime.combine(day, at, tzinfo=zone)
    instant = local.astimezone(UTC)
    shown = instant.astimezone(zone).replace(tzinfo=None, fold=0)
    return instant, shown == local.replace(tzinfo=None, fold=0)


def hhmm(text: str) -> tuple[int, int] | None:
    """Return hour and minute of '1830', '18.30' or '630'; None where it can be no time."""
    if "." in text or "," in text:
        hour, _, minute = text.replace(",", ".").partition(".")
    else:
        hour, minute = text[:-2], text[-2:]
    fits = hour.isdecimal() and minute.isdecimal() and len(hour) in {1, 2} and len(minute) == 2
    if not fits or int(hour) > 23 or int(minute) > 59:
        return None
    return int(hour), int(minute)


def _time(hour: int, minute: int, scan: Scan, i: int, count: int) -> Time:
    sure = hour == 0 or hour >= 12 or scan.folded(i).startswith("0")
    return Time(hour, minute, not sure, scan.text(i, count))


def _with_half_of_day(scan: Scan, i: int, count: int, hour: int, minute: int) -> Found | None:
    """Return the time with 'am' or 'pm' behind it taken in."""
    if scan.folded(i + count) not in {"am", "pm"} or not 1 <= hour <= 12:
        return None
    hour = hour % 12 + (12 if scan.folded(i + count) == "pm" else 0)
    return (Time(hour, minute, False, scan.text(i, count + 1)),), count + 1


def talks_of_ratios(scan: Scan) -> bool:
    """Tell whether anything in the line is mixed by parts."""
    return any(scan.concept(i) in _RATIO_TALK for i in range(len(scan.atoms)))


def _colon(scan: Scan, i: int) -> Found | None:
    hour, minute = scan.integer(i), scan.integer(i + 2)
    if scan.folded(i + 1) != ":" or not scan.glued(i + 1) or not scan.glued(i + 2):
        return None
    if hour is None or minute is None or len(scan.folded(i + 2)) != 2:
        return None
    if hour > 23 or minute > 59 or (hour < 10 and talks_of_ratios(scan)):
        return None
    found = _with_half_of_day(scan, i, 3, hour, minute)
    if found is not None:
        return found
    if scan.folded(i + 3) == "h" and scan.glued(i + 3):
        return (_time(hour, minute, scan, i, 4),), 4
    has_seconds = scan.folded(i + 3) == ":" and scan.integer(i + 4) is not None
    count = 5 if has_seconds and scan.glued(i + 3) and scan.glued(i + 4) else 3
    return (_time(hour, minute, scan, i, count),), count


def _hours_letter(scan: Scan, i: int) -> Found | None:
    """Read '18h30', and '18h' after 'las'; '1h30' is a length of time and not for here."""
    hour = scan.integer(i)
    if hour is None or hour > 23 or scan.folded(i + 1) != "h":
        return None
    cued = scan.folded(i - 1) == "las" or scan.concept(i - 1) in {"at", "until", "plates"}
    minute = scan.integer(i + 2) if scan.glued(i + 2) else None
    if minute is not None and minute <= 59 and (hour > 4 or cued):
        return (_time(hour, minute, scan, i, 3),), 3
    return ((_time(hour, 0, scan, i, 2),), 2) if cued and minute is None else None


def _quarters(scan: Scan, i: int) -> Found | None:
    """Read '6 y media', '7 menos cuarto', 'half past 6', 'quarter to 7'."""
    hour = scan.number(i)
    if hour and 1 <= hour[0] <= 23 and hour[0].is_integer():
        part = _QUARTERS.get(scan.folded(i + 2))
        if part is not None and scan.folded(i + 1) in {"y", "menos"}:
            minutes = part if scan.folded(i + 1) == "y" else -part
            at = (int(hour[0]) * 60 + minutes) % (24 * 60)
            return (_time(at // 60, at % 60, scan, i, 3),), 3
    part = _QUARTERS.get(scan.folded(i))
    hour = scan.number(i + 2)
    if part is None or scan.folded(i + 1) not in {"past", "to"} or not hour:
        return None
    if not 1 <= hour[0] <= 12 or not hour[0].is_integer():
        return None
    at = int(hour[0]) * 60 + (part if scan.folded(i + 1) == "past" else -part)
    return (Time(at // 60 % 24, at % 60, True, scan.text(i, 3)),), 3


def _cued(scan: Scan, i: int) -> bool:
    """Tell whether a number here is a time by what stands around it."""
    before = {scan.concept(i - 1), scan.concept(i - 2)} if i else set()
    alone = len(scan.atoms) == 1
    opens = i == 0 and scan.concept(1) in VERBS
    opens_name = i == 0 and scan.concept(2) in VERBS and scan.counted(1) == ""
    return bool(before & _CUES) or scan.folded(i - 1) == "las" or alone or opens or opens_name


def _digits(scan: Scan, i: int) -> Found | None:
    """Read '1830' and '18.30' where something says it is a time; '630pm' always."""
    if scan.kind(i) != "number":
        return None
    parts = hhmm(scan.folded(i))
    hour = scan.integer(i)
    if hour is not None and hour <= 12 and parts is None:
        return _with_half_of_day(scan, i, 1, hour, 0)
    if parts is None:
        return None
    found = _with_half_of_day(scan, i, 1, *parts)
    if found is not None:
        return found
    if scan.unit(i + 1) is not None or scan.counted(i + 1) == "count":
        return None
    four = len(scan.folded(i)) == 4 and scan.integer(i) is not None
    dotted = "." in scan.folded(i) and len(scan.folded(i)) == 5
    if (four or dotted) and _cued(scan, i):
        return (_time(*parts, scan, i, 1),), 1
    return None


def _hour_alone(scan: Scan, i: int) -> Found | None:
    """Read the 14 of 'las 14', 'till 14', 'hasta las 2'; 'at 7' may as well be 7 °C."""
    hour = scan.number(i)
    if not hour or not 0 <= hour[0] <= 23 or not hour[0].is_integer():
        return None
    if scan.unit(i + 1) is not None or scan.kind(i + 1) == "sign":
        return None
    if scan.folded(i - 1) == "las" or scan.concept(i - 1) == "until":
        return (_time(int(hour[0]), 0, scan, i, 1),), 1
    return None


def read_time(scan: Scan, i: int) -> Found | None:
    """Return the time of day at `i`, if there is one."""
    if scan.folded(i) in _NAMED_HOURS:
        return (Time(_NAMED_HOURS[scan.folded(i)], 0, False, scan.text(i, 1)),), 1
    for reader in (_colon, _hours_letter, _quarters, _digits, _hour_alone):
        found = reader(scan, i)
        if found is not None:
            return found
    return None


def clock_beside(scan: Scan, i: int) -> Time | None:
    """Return the time a bare number may also be: '1830', '18.30', the 7 of 'at 7'."""
    parts = hhmm(scan.folded(i)) if len(scan.folded(i)) in {4, 5} else None
    if parts is not None:
        return _time(*parts, scan, i, 1)
    hour = scan.integer(i)
    if hour is not None and hour <= 23 and scan.concept(i - 1) == "at":
        return _time(hour, 0, scan, i, 1)
    return None
