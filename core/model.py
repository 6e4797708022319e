"""The nouns: Event, Dish, Step, Load, Station, Person, Plan, Call, Reading, Finding, Answer.

Frozen values, no behaviour beyond simple look-ups. Inside everything is kg, L, min, °C, kW, cm;
an instant is an aware datetime in UTC; a length of time is minutes. A tuple, never a list.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from enum import IntEnum, StrEnum
from zoneinfo import ZoneInfo

from core.errors import ClockError

# ------------------------------------------------------------------ closed vocabularies


class Verdict(StrEnum):
    """The words a verdict may be. Only OK, and NO with every label confirmed, clear anything."""

    OK = "OK"
    NOT_YET = "NOT YET"
    BIN = "BIN"
    STOP = "STOP"
    UNKNOWN = "UNKNOWN"
    NOT_CONFIRMED = "NOT CONFIRMED"
    YES = "YES"
    NO = "NO"


class Profile(StrEnum):
    """A rule book. An event without one is judged by all of them, the worst verdict given."""

    US = "us"
    US_CONSUMER = "us-consumer"
    UK = "uk"
    SCOTLAND = "scotland"
    ES = "es"
    AU = "au"
    NZ = "nz"
    CA = "ca"


class FoodClass(StrEnum):
    """Cook classes of the published safety tables."""

    A1 = "A1"
    A2 = "A2"
    A3 = "A3"
    B = "B"
    C = "C"
    EGG = "EGG"
    FISH = "FISH"
    PLANT = "PLANT"


class StationKind(StrEnum):
    """What a station is; a step names a station by id or by kind."""

    SMOKER = "smoker"
    GRILL = "grill"
    OVEN = "oven"
    GRIDDLE = "griddle"
    RING = "ring"
    HOT_BOX = "hot_box"
    COLD_BOX = "cold_box"
    FRIDGE = "fridge"
    TABLE = "table"
    LANE = "lane"
    TUB = "tub"


FIRES = frozenset(
    {
        StationKind.SMOKER,
        StationKind.GRILL,
        StationKind.OVEN,
        StationKind.GRIDDLE,
        StationKind.RING,
    }
)
"""Stations that are lit, have one temperature at a time and take food in loads."""


class Role(StrEnum):
    """What a person does on the day."""

    CHEF = "chef"
    PIT = "pit"
    COLD = "cold"
    FRONT = "front"
    RAW = "raw"
    RUNNER = "runner"
    WASH = "wash"
    DRIVER = "driver"
    LANE = "lane"
    CREW = "crew"


class Lead(StrEnum):
    """What a person leads; the column of the rights table."""

    PIT = "pit"
    COLD = "cold"
    FRONT = "front"
    ALLERGY = "allergy"
    NIGHT = "night"


class Tied(StrEnum):
    """What holds a step in time: its slack, the plates, or the world."""

    ELASTIC = "elastic"
    PLATES = "plates"
    WORLD = "world"


class Per(StrEnum):
    """What a step's minutes are for: the whole load, one tub or tray, or one piece."""

    LOAD = "load"
    LOT = "lot"
    PIECE = "piece"


class Rain(StrEnum):
    """How hard it rains."""

    NONE = "none"
    LIGHT = "light"
    HEAVY = "heavy"


class Sound(IntEnum):
    """How loud a message is: silent, once, or repeating until answered."""

    SILENT = 0
    ONCE = 1
    ALARM = 2


class Place(StrEnum):
    """Where a thermometer was."""

    CORE = "core"
    PIT = "pit"
    AIR = "air"
    TUB = "tub"
    SURFACE = "surface"


# ------------------------------------------------------------------ words with values in them


@dataclass(frozen=True, slots=True)
class Qty:
    """A number with its unit as a cook reads it; `digits` after the point, None for 'as is'."""

    value: float
    unit: str
    digits: int | None = None


@dataclass(frozen=True, slots=True)
class Span:
    """A range with its unit: '10-15 min'."""

    low: float
    high: float
    unit: str
    digits: int | None = None


@dataclass(frozen=True, slots=True)
class Clock:
    """An instant to be spoken as site time: '18:30'."""

    at: datetime


@dataclass(frozen=True, slots=True)
class Label:
    """A dish, tub, load or person name: never translated."""

    text: str


@dataclass(frozen=True, slots=True)
class Line:
    """One sentence: an English template and the values in it. The edge translates and formats.

    `text` is the gettext message id with `{name}` fields. Values keep their meaning (`Qty`,
    `Clock`, `Label`, a nested `Line`, a `Verdict`), so that 1.5 kg is '1,5 kg' to a Spanish reader.
    A plain str field is itself a message id and gets translated; use `Label` for names.
    """

    text: str
    fields: Mapping[str, Value] = field(default_factory=dict)


Value = Qty | Span | Clock | Label | Line | Verdict | str | int


def say(text: str, /, **fields: Value) -> Line:
    """Return a `Line`; the one place where templates are written, so catalogues can find them.

    Examples
    --------
    >>> say("{salt} salt", salt=Qty(1.5, "kg"))
    Line(text='{salt} salt', fields={'salt': Qty(value=1.5, unit='kg', digits=None)})
    """
    return Line(text, fields)


@dataclass(frozen=True, slots=True)
class Source:
    """Where a number or verdict comes from; `status` is C, C2, M, house, card, rule of thumb."""

    id: str
    title: str
    clause: str = ""
    status: str = ""


@dataclass(frozen=True, slots=True)
class Number:
    """One number of an answer for machines; `name` snake_case English, an ISO string for a time."""

    name: str
    value: float | str
    unit: str
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer: verdict or number first, at most four lines, one question with its choices."""

    lines: tuple[Line, ...]
    verdict: Verdict | None = None
    numbers: tuple[Number, ...] = ()
    read_as: Line | None = None
    question: Line | None = None
    choices: tuple[Line, ...] = ()
    sources: tuple[Source, ...] = ()


# ------------------------------------------------------------------ the cards: event


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


# ------------------------------------------------------------------ the cards: kit and crew


@dataclass(frozen=True, slots=True)
class Size:
    """A rectangle, cm."""

    width_cm: float
    depth_cm: float


@dataclass(frozen=True, slots=True)
class Station:
    """One fire, oven, box, lane or tub. `count = 4` on the card becomes four of these.

    `family` is the id on the card ('P'), `id` the single station ('P1'). `racks` is how many
    racks of `size` it has; `load_by` whether racks go in one by one or all together; `places` how
    many pieces or people fit where a size means nothing; `fill_max` the usable fraction.
    """

    id: str
    kind: StationKind
    family: str = ""
    size: Size | None = None
    racks: int = 1
    load_by: str = "all"
    keep_free: float = 0.0
    places: int | None = None
    heat_up_min: float = 0.0
    recovery_min: float = 0.0
    swap_min: float = 0.0
    litres: float | None = None
    fill_max: float = 0.75
    fuel: str = ""
    burn: str = ""
    feed_every_min: float | None = None
    power_kw: float | None = None
    per_min: float | None = None
    start: Moment | None = None


@dataclass(frozen=True, slots=True)
class Probe:
    """A thermometer and when it was last checked in ice slush."""

    id: str
    kind: str = "instant"
    ice_check: str | None = None


@dataclass(frozen=True, slots=True)
class Kit:
    """All stations, one entry each, and the thermometers."""

    stations: tuple[Station, ...]
    probes: tuple[Probe, ...] = ()

    def matching(self, name: str) -> tuple[Station, ...]:
        """Return the stations a step may use: by single id, by family, else by kind."""
        by_id = tuple(s for s in self.stations if s.id == name)
        by_family = tuple(s for s in self.stations if s.family == name)
        return by_id or by_family or tuple(s for s in self.stations if s.kind == name)


@dataclass(frozen=True, slots=True)
class Person:
    """One of the crew; `role` what they do, `leads` what they answer for."""

    id: str
    name: str
    role: Role = Role.CREW
    leads: tuple[Lead, ...] = ()
    skills: tuple[str, ...] = ()
    languages: tuple[str, ...] = ()
    shifts: tuple[tuple[Moment, Moment], ...] = ()
    break_min: float | None = None
    backup: str | None = None
    stations: tuple[str, ...] = ()


# ------------------------------------------------------------------ the cards: dishes


@dataclass(frozen=True, slots=True)
class Batch:
    """What a recipe was tested at: '4 pieces', '1 L'. `unit` is pieces, kg, L or portions."""

    amount: float
    unit: str


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece as it goes on the fire."""

    weight_kg: float | None = None
    thickness_cm: float | None = None
    footprint: Size | None = None
    food_class: FoodClass | None = None
    fat: float | None = None


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack on offer: size in kg, L or pieces, and its price in the event's currency."""

    amount: float
    unit: str
    price: float | None = None


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One ingredient of the batch as bought. `card` names another dish card instead of a good.

    `qty` with `unit` kg, L or pieces; or `parts`, of which `fill_to` litres are made. `trim` is
    the fraction lost to trimming, `cook_yield` the fraction left after cooking. `allergens` None
    means unknown, () means none.
    """

    name: str
    card: str | None = None
    qty: float | None = None
    unit: str = ""
    parts: float | None = None
    fill_to_l: float | None = None
    eaten: bool = True
    trim: float = 0.0
    cook_yield: float | None = None
    allergens: tuple[str, ...] | None = None
    may_contain: tuple[str, ...] = ()
    label_confirmed: bool = False
    packs: tuple[Pack, ...] = ()


@dataclass(frozen=True, slots=True)
class Check:
    """A planned look: after this many minutes of the step expect this core, °C."""

    after_min: float
    expect_c: float


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a dish card. Minutes, °C, fractions.

    `lot` is one tub or tray, in `lot_unit`: pieces, kg or L.
    `min_min, ideal_min, max_min` are quality; `never_over_min` is a hard maximum. `in_wind_min`
    replaces the ideal in wind. `gap_min, gap_max_min` lie between this step and the next.
    `before_plates_min` and `day` place a step that is tied to plates or to a prep day.
    """

    id: str
    do: str
    station: str | None = None
    temp_c: float | None = None
    start_temp_c: float | None = None
    until_core_c: float | None = None
    per: Per = Per.LOAD
    lot: float | None = None
    lot_unit: str = "pieces"
    min_min: float | None = None
    ideal_min: float | None = None
    max_min: float | None = None
    never_over_min: float | None = None
    in_wind_min: float | None = None
    checks: tuple[Check, ...] = ()
    turns_min: tuple[float, ...] = ()
    gap_min: float = 0.0
    gap_max_min: float | None = None
    hands: int = 0
    shared_by: int = 1
    skill: str | None = None
    tied: Tied = Tied.ELASTIC
    before_plates_min: float | None = None
    day: int | None = None
    ahead_max_min: float | None = None
    keep_above_c: float | None = None
    keep_below_c: float | None = None
    instead_of: str | None = None


@dataclass(frozen=True, slots=True)
class Hold:
    """How a dish may wait after its last step."""

    min_temp_c: float | None = None
    quality_max_min: float | None = None
    safety: str = ""


@dataclass(frozen=True, slots=True)
class Dish:
    """A tested dish on a card."""

    id: str
    name: str
    batch: Batch
    portion: Batch | None = None
    cuts: int | None = None
    piece: Piece = Piece()
    fits: Mapping[str, int] = field(default_factory=dict)
    ingredients: tuple[Ingredient, ...] = ()
    steps: tuple[Step, ...] = ()
    hold: Hold = Hold()

    def step(self, step_id: str) -> Step | None:
        """Return the step with this id."""
        return next((s for s in self.steps if s.id == step_id), None)


@dataclass(frozen=True, slots=True)
class Cards:
    """Everything an event folder says, parsed."""

    event: Event
    kit: Kit
    crew: tuple[Person, ...]
    dishes: tuple[Dish, ...]

    def dish(self, dish_id: str) -> Dish:
        """Return the dish with this id; KeyError is a bug, cards are checked when read."""
        return next(d for d in self.dishes if d.id == dish_id)

    def person(self, person_id: str) -> Person | None:
        """Return the person with this id."""
        return next((p for p in self.crew if p.id == person_id), None)

    def station(self, station_id: str) -> Station | None:
        """Return the single station with this id."""
        return next((s for s in self.kit.stations if s.id == station_id), None)

    @property
    def chef(self) -> Person | None:
        """Return who owns plan and menu."""
        return next((p for p in self.crew if p.role is Role.CHEF), None)

    def leading(self, lead: Lead) -> Person | None:
        """Return who leads this; None if nobody does."""
        return next((p for p in self.crew if lead in p.leads), None)


# ------------------------------------------------------------------ the plan


@dataclass(frozen=True, slots=True)
class StepRun:
    """One step of one load, lot or batch with its times.

    `key` is unique in a plan and stable across plans: 'lamb/A/smoke', 'lamb/A/sear/2'. `index`
    is the step's place on its dish card; `unit` the load ('A'), lot ('A') or batch ('A.2').
    `crew` are person ids; `checks` the planned looks as instants with the core to expect, °C;
    `on_fire` whether its station is a fire.
    """

    key: str
    dish: str
    load: str
    unit: str
    index: int
    step: str
    do: str
    count: int
    station: str | None
    start: datetime
    end: datetime
    crew: tuple[str, ...] = ()
    checks: tuple[tuple[datetime, float], ...] = ()
    turns: tuple[datetime, ...] = ()
    never_after: datetime | None = None
    tied: Tied = Tied.ELASTIC
    on_fire: bool = False
    temp_c: float | None = None
    until_core_c: float | None = None


@dataclass(frozen=True, slots=True)
class Load:
    """Food that goes on and comes off its first fire together, from on to plates.

    `number` is L1, L2… per dish in order of going on; `name` what the crew calls it ('A').
    """

    id: str
    number: str
    name: str
    dish: str
    count: int
    station: str
    on: datetime
    off: datetime
    ready: datetime
    needed_by: datetime
    slack_min: float
    hold_min: float
    runs: tuple[StepRun, ...]
    crew: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Task:
    """A single job that is no load: light a fire, dress a salad, a prep-day step, open a lane.

    `dish`, `load`, `step` and `batch` say what it is for, where it is for something.
    """

    id: str
    do: str
    station: str | None
    start: datetime
    end: datetime
    dish: str | None = None
    load: str | None = None
    step: str | None = None
    batch: str | None = None
    count: int | None = None
    crew: tuple[str, ...] = ()
    temp_c: float | None = None
    never_after: datetime | None = None
    tied: Tied = Tied.ELASTIC


@dataclass(frozen=True, slots=True)
class Bottleneck:
    """The slowest link: what it can do an hour and what is asked of it, portions an hour."""

    station: str
    text: Line
    per_hour: float
    demand_per_hour: float


@dataclass(frozen=True, slots=True)
class Make:
    """So much of something to make: brine, dressing, salad."""

    item: str
    qty: float
    unit: str
    of: str = ""


@dataclass(frozen=True, slots=True)
class Buy:
    """So much to buy, and in which packs; what is left over, in `unit`."""

    item: str
    need: float
    unit: str
    packs: tuple[tuple[Pack, int], ...] = ()
    leftover: float = 0.0


@dataclass(frozen=True, slots=True)
class Finding:
    """Unsafe, late, short or unknown: what rule, until when, what to do, who may lift it."""

    kind: str
    text: Line
    verdict: Verdict | None = None
    rule: str = ""
    profile: Profile | None = None
    source: str = ""
    status: str = ""
    deadline: datetime | None = None
    lift_by: tuple[str, ...] = ()
    about: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole schedule. Lettered A, B, C… with the reason it replaced the last."""

    letter: str
    heads: int
    plates_at: datetime
    loads: tuple[Load, ...]
    tasks: tuple[Task, ...]
    bottleneck: Bottleneck | None = None
    make: tuple[Make, ...] = ()
    buy: tuple[Buy, ...] = ()
    fits: str = "yes"
    fixes: tuple[Line, ...] = ()
    findings: tuple[Finding, ...] = ()
    reason: str = ""
    engine: str = "list"

    def runs(self) -> Iterator[StepRun]:
        """Yield every step run of every load."""
        for load in self.loads:
            yield from load.runs

    def load(self, load_id: str) -> Load | None:
        """Return the load with this id."""
        return next((x for x in self.loads if x.id == load_id), None)


# ------------------------------------------------------------------ the day


@dataclass(frozen=True, slots=True)
class Reading:
    """A temperature (°C) or weight (kg): of what, where, by which instrument, by whom, when."""

    value: float
    place: Place
    at: datetime
    who: str
    about: str = ""
    unit: str = "°C"
    instrument: str = ""


@dataclass(frozen=True, slots=True)
class Progress:
    """What has happened so far, for a re-plan. Keys are `StepRun.key` or `Task.id`.

    `started` and `ended` are true times; `expected_end` a better guess of a running step's end
    (a thermometer's, or somebody saying so); `not_before` the earliest start of something that
    waits (somebody said it runs late); `down` stations out of use, from and until (None: for
    good); `moved` runs that went to another station; `gone` pieces binned, by run.
    """

    now: datetime
    started: Mapping[str, datetime] = field(default_factory=dict)
    ended: Mapping[str, datetime] = field(default_factory=dict)
    expected_end: Mapping[str, datetime] = field(default_factory=dict)
    not_before: Mapping[str, datetime] = field(default_factory=dict)
    down: Mapping[str, tuple[datetime, datetime | None]] = field(default_factory=dict)
    moved: Mapping[str, str] = field(default_factory=dict)
    gone: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Call:
    """One timed line to the person who must act. `key` is stable across plans and restarts.

    `to` are person ids, or ('room',). `about` is the run or task key it is for. A call of a higher
    `rung` repeats an unanswered one to somebody else.
    """

    key: str
    at: datetime
    to: tuple[str, ...]
    line: Line
    sound: Sound = Sound.ONCE
    kind: str = "step"
    about: str = ""
    rung: int = 0
    choices: tuple[Line, ...] = ()
    must: bool = False
    load: str | None = None
    step: str | None = None
