"""One hand-made value of every fact and message, for the stored format's pins.

After a deliberate change of the format: `python -m tests.bot.golden_facts` adds the new lines and
keeps the old ones, which must stay readable for ever.
"""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from pathlib import Path

from bot import codec
from bot.ports import Incoming, Mention, Outgoing
from core.facts import (
    AlarmRaised,
    BatchMade,
    BrandSwapped,
    CallAnswered,
    CallMade,
    Came,
    CardKind,
    CardRetired,
    CardSaved,
    CardsTaken,
    Choice,
    CookClosed,
    CookLearned,
    CookStarted,
    CrewBack,
    CrewOff,
    DraftOpened,
    DraftResumed,
    DraftSaid,
    DraftShelved,
    EndExpected,
    Fact,
    FoodBinned,
    FoodOut,
    HeadsChanged,
    HeatKnown,
    HeatLearned,
    HouseForgot,
    HouseTaken,
    IceChecked,
    Known,
    LabelConfirmed,
    LabelShown,
    LateReported,
    LeftCounted,
    LidOpened,
    Loaded,
    Measure,
    MeasurementTaken,
    MovePlates,
    Muted,
    PersonAdded,
    PinkApproved,
    PlanAdopted,
    PlatesCounted,
    PlatesMoved,
    PortionSet,
    ProbeDoubted,
    QuestionAnswered,
    QuestionAsked,
    QueueSeen,
    ReadingTaken,
    Report,
    Retimed,
    ServiceHeld,
    ServiceRestarted,
    StepReported,
    StopLifted,
    Surface,
    SurfaceReported,
    TimerSet,
    TimerStopped,
    Undone,
    VerdictGiven,
)
from core.facts.slips import (
    GoodsShort,
    LoadMoving,
    LotsMissed,
    Part,
    PersonArrived,
    PersonAway,
    ServedApart,
    StationBack,
    StationDown,
    StationLent,
    Supply,
    SupplyFailed,
    SupplyRestored,
    TakeOption,
    WeatherSet,
    Why,
)
from core.model import (
    Batch,
    Bottleneck,
    Buy,
    Call,
    Cards,
    Check,
    Clock,
    Dish,
    Emergency,
    Event,
    Finding,
    FoodClass,
    HouseLimits,
    Ingredient,
    Kit,
    Label,
    Lead,
    Load,
    Make,
    MenuItem,
    Moment,
    Pack,
    Person,
    Piece,
    Place,
    Plan,
    Profile,
    Qty,
    Rain,
    Reading,
    Role,
    Service,
    Size,
    Sound,
    Station,
    StationKind,
    Step,
    StepRun,
    Task,
    Tied,
    Verdict,
    say,
)

PINNED = Path(__file__).with_name("golden_facts.json")


def at(hour: int, minute: int = 0, second: int = 0, micro: int = 0) -> datetime:
    """Return an instant on the day."""
    return datetime(2026, 6, 13, hour, minute, second, micro, tzinfo=UTC)


CARDS = Cards(
    event=Event(
        id="garden",
        name="Garden party",
        day=date(2026, 6, 13),
        tz="Europe/Madrid",
        heads=60,
        menu=(MenuItem("lamb", share=0.5),),
        serve=(Service(Moment(0, 14, 0), curve=((Moment(0, 14, 0), 60.0),)),),
        profile=Profile.ES,
        house=HouseLimits(hot_min_c=65.0),
        emergency=Emergency("112", "Mill lane"),
    ),
    kit=Kit((Station("P1", StationKind.SMOKER, "P", Size(200.0, 70.0), racks=2),)),
    crew=(
        Person(
            "ana",
            "Ana",
            Role.CHEF,
            (Lead.PIT,),
            languages=("es",),
            shifts=((Moment(-1, 9, 0), Moment(0, 17, 30)),),
        ),
    ),
    dishes=(
        Dish(
            "lamb",
            "Lamb racks",
            Batch(4.0, "pieces"),
            piece=Piece(1.9, 5.0, Size(30.0, 12.0), FoodClass.A1),
            fits={"smoker": 28},
            ingredients=(
                Ingredient("rack", qty=4.0, unit="pieces", allergens=(), packs=(Pack(12.0, "kg"),)),
            ),
            steps=(Step("smoke", "smoke", "P", 110.0, checks=(Check(31.0, 27.9),)),),
        ),
    ),
)

RUN = StepRun(
    "lamb/A/smoke",
    "lamb",
    "A",
    "A",
    0,
    "smoke",
    "smoke",
    14,
    "P1",
    at(9),
    at(10, 30),
    ("ana",),
    checks=((at(9, 31), 27.9),),
    turns=(at(9, 2, 30),),
    never_after=at(12, 0, 0, 1),
)

PLAN = Plan(
    "A",
    60,
    at(12),
    loads=(
        Load(
            *("A", "L1", "A", "lamb", 14, "P1", at(9), at(10, 30), at(11, 45)),
            needed_by=at(12),
            slack_min=15.0,
            hold_min=25.5,
            runs=(RUN,),
        ),
    ),
    tasks=(Task("light/P1", "light", "P1", at(8), at(8, 45), temp_c=110.0, tied=Tied.PLATES),),
    bottleneck=Bottleneck("P1", say("one smoker"), 40.0, 30.0),
    make=(Make("brine", 12.0, "L"),),
    buy=(Buy("rack", 25.0, "kg", ((Pack(12.0, "kg", 86.4), 3),), leftover=11.0),),
)

FACTS: tuple[Fact, ...] = (
    CookStarted("garden-1"),
    CardsTaken({"event.toml": 'id = "garden"\nname = "Fête"\n'}, CARDS),
    PlanAdopted(PLAN, made_from=2, reason=say("first plan")),
    HeadsChanged(72, was=60),
    PlatesMoved(at(12, 30), was=at(12)),
    StepReported("lamb/A/smoke", Report.DISCARD, count=2, station="P1"),
    Retimed({"lamb/A/smoke": (at(9, 10), at(10, 40))}),
    ReadingTaken(Reading(57.5, Place.CORE, at(11, 2), "ana", "lamb/A", instrument="probe 2")),
    LateReported("lamb/A", at(9, 15), 15.0),
    CallMade(
        Call(
            "garden/lamb/A/smoke/pull/0",
            at(10, 30),
            ("ana",),
            say(
                "pull {load} at {when}: {kg}, {state}, {n}, {why}, {tip}",
                load=Label("A"),
                when=Clock(at(10, 30)),
                kg=Qty(1.5, "kg", 1),
                state=Verdict.NOT_YET,
                n=14,
                why=say("core {c}", c=Qty(54.0, "°C")),
                tip="tongs",
            ),
            Sound.ALARM,
            choices=(say("done"),),
        )
    ),
    EndExpected("lamb/A/smoke", at(10, 41), check_at=at(10, 20), expect_c=51.5),
    CallAnswered("garden/lamb/A/smoke/pull/0"),
    QuestionAsked(
        "slip/7",
        ("ana",),
        (say("Plates slip"),),
        (Choice(say("move"), MovePlates(at(12, 15))), Choice(say("leave it"))),
        Sound.ONCE,
    ),
    QuestionAnswered("slip/7", 1),
    VerdictGiven(
        Finding(
            "safety",
            say("STOP"),
            Verdict.STOP,
            rule="cool-1",
            profile=Profile.UK,
            deadline=at(13),
            lift_by=("ana",),
        ),
        tables="1",
    ),
    Loaded(("kit/P", "two/tongs")),
    PersonAdded(Person("sam", "sam", Role.RUNNER, languages=("es",))),
    SurfaceReported("lamb/A/smoke", Surface.WRAPPED, at_core_c=70.0),
    LidOpened("P1"),
    MeasurementTaken(Measure.YIELD, "rack", 0.77, "", at(16), "garden-1", n=3),
    HeatLearned(
        *("garden-1", "lamb/A/smoke", "P", "lamb", "smoke", "smoker", at(9), at(10, 30)),
        cores=((at(9, 31), 27.9),),
        told=(0.5, -1.25),
        worth=((2.0, 0.5), (0.5, 1.0)),
    ),
    HouseForgot("garden-1", "yield/rack"),
    CookLearned("garden-1"),
    HouseTaken(
        (Known(Measure.MINUTES, "lamb/smoke", 64.0, "min", 3, 6, date(2026, 5, 3)),),
        (
            HeatKnown(
                *("P", "lamb", "smoke", "smoker", (0.5, -1.25), ((2.0, 0.5), (0.5, 1.0))),
                cooks=3,
                day=date(2026, 5, 3),
            ),
        ),
    ),
    DraftOpened("dish-7", CardKind.DISH, {"name": "Rack", "lang": "en"}),
    DraftSaid("dish-7", {"thickness": "2.5 cm", "rested": "0.592 kg"}),
    DraftShelved("dish-7"),
    DraftResumed("dish-7"),
    CardSaved(CardKind.DISH, "rack", 2, {"rack.toml": 'id = "rack"'}, "dish-7"),
    CardRetired(CardKind.DISH, "rack"),
    Muted("ana", at(14)),
    TimerSet("timer/9", "sauce", at(10, 18), ("ana", "bo")),
    TimerStopped("timer/9"),
    PlatesCounted("lane-1a", 80, 210, each=10),
    LeftCounted("lamb", 5.1, "kg"),
    ServiceHeld("speech"),
    ServiceRestarted(),
    FoodOut("box4", Came.OPENED, "lamb"),
    QueueSeen(30, 2.2, "lane-1b"),
    PortionSet("lamb", 4.0, "slices", was=5.0),
    StopLifted(15, "lamb/A/sear/1", "uk.rare", "probed in 3 places", "ana", "bo"),
    BrandSwapped("mayonnaise", photo="c0ffee"),
    LabelShown("mayonnaise", "c0ffee"),
    LabelConfirmed("mayonnaise", ("egg",), ("milk",), "ana", "carmen", "c0ffee"),
    BatchMade("lamb", 2, ("cream",)),
    ProbeDoubted("red", "dropped", at(9), "bo"),
    IceChecked("red", 0.3, good=True),
    CrewOff("bo", 48.0),
    CrewBack("bo"),
    FoodBinned("box4", "uk.cold_hold"),
    PinkApproved("lamb", "ana"),
    AlarmRaised("co"),
    StationDown("P1", Why.BROKEN, at(10)),
    StationBack("P1"),
    StationLent("P2", "G", at(10, 10)),
    LoadMoving("lamb/A/smoke", "P2", at(10), at(10, 40)),
    WeatherSet(30.0, Rain.HEAVY, 6.0, at(18, 30)),
    SupplyFailed(Supply.POWER),
    SupplyRestored(Supply.WATER),
    PersonAway("bo", at(10), at(12)),
    PersonArrived("bo"),
    LotsMissed(("lamb/brine/3",), 28),
    GoodsShort("lamb", 9.5, refused=True),
    ServedApart({"lamb": 15.0}),
    QuestionAsked(
        "change/2",
        ("ana",),
        (say("x"),),
        (Choice(say("apply"), TakeOption("way/lamb/A", Part.FIRE, "60/x")),),
        Sound.ONCE,
    ),
    Undone((3, 4)),
    CookClosed(),
)

MESSAGES: tuple[Incoming | Outgoing, ...] = (
    Incoming("console", "1", "room", "ana", "A on ñ\u2028", at(9, 1), reply_to="x", choice="2"),
    Outgoing(
        ("PULL A now", "P1 18:30"),
        ("done", "late"),
        Sound.ALARM,
        (Mention("7", "Ana"),),
        reply_to="1",
        pin=True,
    ),
)


def written() -> list[str]:
    """Return every value above as stored today."""
    return [codec.json_text(codec.CODEC.encode(v)) for v in (*FACTS, *MESSAGES)]


def pinned() -> list[str]:
    """Return every line that was ever stored, oldest first."""
    lines: list[str] = json.loads(PINNED.read_text("utf-8"))
    return lines


if __name__ == "__main__":
    old = pinned() if PINNED.exists() else []
    new = [*old, *(line for line in written() if line not in old)]
    PINNED.write_text(json.dumps(new, indent=0, ensure_ascii=False) + "\n", "utf-8")
