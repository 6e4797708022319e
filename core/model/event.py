"""The event card: the party, its service, guests, weather and emergency card."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from core.errors import ClockError
from core.model.vocabulary import Profile, Rain


@dataclass(frozen=True, slots=True, order=True)
class Moment:
    """A wall-clock time on a day counted from the event's: 'T-2 17:00' is day -2."""

    day: int
    hour: int
    minute: int

    def __str__(self) -> str:
        """Return it as it is typed on a card."""
        clock = f"{self.hour:02}:{self.minute:02}"
        return f"T{self.day:+d} {clock}" if self.day else clock


@dataclass(frozen=True, slots=True)
class MenuItem:
    """A dish on the menu: for `heads` guests, or a `share` of them, or everyone."""

    dish: str
    heads: int | None = None
    share: float | None = None
    spare: float | None = None
    make: int | None = None
    on_demand: bool = False


@dataclass(frozen=True, slots=True)
class Service:
    """When which dishes go out. No dishes named means all. One of the three paces.

    `per_min` guests a minute from `start`; `curve` cumulative arrivals, scaled with the heads;
    `at_once` platters to every table. `until` is the card's `by`.
    """

    start: Moment
    until: Moment | None = None
    dishes: tuple[str, ...] = ()
    per_min: float | None = None
    curve: tuple[tuple[Moment, float], ...] = ()
    at_once: bool = False
    leftovers: bool = False


@dataclass(frozen=True, slots=True)
class Pin:
    """What the chef insists on: a load's step starts then, or has this name, count or station."""

    dish: str
    load: str | None = None
    step: str | None = None
    start: Moment | None = None
    name: str | None = None
    count: int | None = None
    station: str | None = None


@dataclass(frozen=True, slots=True)
class GuestNeed:
    """Guests who need care: 'severe nut allergy, table 4'."""

    needs: str
    heads: int = 1
    table: str | None = None
    vulnerable: bool = False


@dataclass(frozen=True, slots=True)
class Weather:
    """From this time on: air °C, wind and gusts km/h, rain."""

    start: Moment
    air_c: float | None = None
    wind_kmh: float | None = None
    gust_kmh: float | None = None
    rain: Rain = Rain.NONE


@dataclass(frozen=True, slots=True)
class HouseLimits:
    """The house's own limits; may be stricter than the profile, never looser."""

    hot_min_c: float | None = None
    cold_max_c: float | None = None
    table_max_min: float | None = None


@dataclass(frozen=True, slots=True)
class Travel:
    """Load-out, drive and being off the site again."""

    load_out: Moment | None = None
    drive_min: float | None = None
    off_site: Moment | None = None


@dataclass(frozen=True, slots=True)
class Emergency:
    """What must be on every phone before anything is lit."""

    number: str
    address: str
    gate: str = ""
    first_aider: str = ""


@dataclass(frozen=True, slots=True)
class Event:
    """The party. Never a synonym for Fact."""

    id: str
    name: str
    day: date
    tz: str
    heads: int
    menu: tuple[MenuItem, ...]
    serve: tuple[Service, ...]
    profile: Profile | None = None
    tables: int | None = None
    languages: tuple[str, ...] = ("en",)
    currency: str = "EUR"
    calls: str = "both"
    sunset: Moment | None = None
    slack_per_hour_min: float = 10.0
    slack_min: float | None = None
    pins: tuple[Pin, ...] = ()
    guests: tuple[GuestNeed, ...] = ()
    weather: tuple[Weather, ...] = ()
    house: HouseLimits = HouseLimits()
    travel: Travel = Travel()
    emergency: Emergency | None = None
    altitude_m: float = 0.0

    @property
    def zone(self) -> ZoneInfo:
        """Return the event's time zone."""
        return ZoneInfo(self.tz)

    def instant(self, moment: Moment, fold: int = 0) -> datetime:
        """Return the instant of a wall-clock moment, UTC.

        Raises
        ------
        ClockError
            If the clocks skip that time. A repeated time means the first, unless `fold` is 1.

        Examples
        --------
        >>> party = Event("x", "X", date(2026, 6, 13), "Europe/London", 1, (), ())
        >>> party.instant(Moment(0, 14, 0)).isoformat()
        '2026-06-13T13:00:00+00:00'
        """
        day = self.day + timedelta(days=moment.day)
        local = datetime.combine(day, time(moment.hour, moment.minute, fold=fold), tzinfo=self.zone)
        instant = local.astimezone(UTC)
        if instant.astimezone(self.zone).replace(tzinfo=None) != local.replace(tzinfo=None):
            raise ClockError(str(moment), day.isoformat(), self.tz)
        return instant

    def local(self, at: datetime) -> datetime:
        """Return the instant as site time."""
        return at.astimezone(self.zone)
