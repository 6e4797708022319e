"""Cards for the planner's tests: the two example days, and a small one built by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from functools import cache
from pathlib import Path

import bot
from bot.cards import read_event
from core.model import (
    Batch,
    Cards,
    Dish,
    Event,
    Hold,
    Kit,
    MenuItem,
    Moment,
    Person,
    Plan,
    Role,
    Service,
    Size,
    Station,
    StationKind,
    Step,
    StepRun,
)
from core.model import Piece as CardPiece

EXAMPLES = Path(bot.__file__).parent / "examples"


@cache
def wedding() -> Cards:
    return read_event(EXAMPLES / "golden_wedding")


@cache
def harvest() -> Cards:
    return read_event(EXAMPLES / "harvest_supper")


def steak(**changes: object) -> Dish:
    """Smoke 45, carry 2 (10 at most), sear 4.5, rest 4; holds 75."""
    dish = Dish(
        "steak",
        "Steak",
        Batch(10, "pieces"),
        portion=Batch(1, "pieces"),
        piece=CardPiece(0.19, 2.5, Size(15, 11)),
        fits={"smoker": 12, "grill": 30},
        steps=(
            Step("smoke", "smoke", "smoker", temp_c=110, ideal_min=45, gap_min=2, gap_max_min=10),
            Step("sear", "sear", "grill", temp_c=280, ideal_min=4.5, hands=1, skill="grill"),
            Step("rest", "rest", "hot_box", min_min=3, ideal_min=4),
        ),
        hold=Hold(quality_max_min=75),
    )
    return replace(dish, **changes)  # type: ignore[arg-type]


def kit(pits: int = 2, grills: int = 2, turn: float = 7) -> Kit:
    """Pits of six racks that take `turn` minutes between loads, grills that take none."""
    return Kit(
        (
            *(
                Station(f"P{n}", StationKind.SMOKER, "P", racks=6, heat_up_min=70, swap_min=turn)
                for n in range(1, pits + 1)
            ),
            *(
                Station(f"G{n}", StationKind.GRILL, "G", heat_up_min=45)
                for n in range(1, grills + 1)
            ),
            Station("hot", StationKind.HOT_BOX, "hot", litres=90),
        )
    )


def crew(grills: int = 2, start: int = 10, end: int = 23) -> tuple[Person, ...]:
    """A pit keeper, and a grill cook for each grill."""
    shift = ((Moment(0, start, 0), Moment(0, end, 0)),)
    cooks = (
        Person(f"g{n}", f"G{n}", Role.PIT, skills=("grill",), shifts=shift, stations=(f"G{n}",))
        for n in range(1, grills + 1)
    )
    return (Person("teo", "Teo", Role.PIT, shifts=shift, stations=("P",)), *cooks)


def supper(heads: int = 282, per_min: float = 5.2875, slack: float = 50) -> Cards:
    """The harvest supper's fires and pace with nothing pinned."""
    event = Event(
        "supper",
        "Supper",
        date(2026, 10, 9),
        "America/Los_Angeles",
        heads,
        (MenuItem("steak", heads=heads, make=-(-heads // 72) * 72),),
        (Service(Moment(0, 19, 0), per_min=per_min),),
        slack_min=slack,
    )
    return Cards(event, kit(), crew(), (steak(),))


def clock(cards: Cards, at: datetime) -> str:
    """Return site time as HH:MM, or HH:MM:SS where there are seconds."""
    local = cards.event.local(at)
    return local.strftime("%H:%M:%S" if local.second else "%H:%M")


def minutes(cards: Cards, at: datetime) -> float:
    """Return minutes since the event's midnight."""
    start = cards.event.instant(Moment(0, 0, 0))
    return (at - start).total_seconds() / 60


def hhmm(text: str) -> float:
    """Return minutes since midnight of '13:18:30'."""
    hours, mins, *rest = (float(part) for part in text.split(":"))
    return hours * 60 + mins + (rest[0] / 60 if rest else 0.0)


def run(plan: Plan, key: str) -> StepRun:
    """Return one run of a plan."""
    return next(r for r in plan.runs() if r.key == key)
